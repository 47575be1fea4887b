//! Brings `locale/` to what the code says: `cargo run -p language --example catalogue [MORE.po ...]`.
//!
//! New sentences are added without a translation, those that nobody says any more are dropped. Translations that
//! other files have are taken from there. Says what still wants one.

#[path = "../tests/catalogue/extract.rs"]
mod extract;

use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let sentences = extract::sentences();
    let locale = extract::root().join("locale");
    std::fs::write(locale.join("sabulo.pot"), extract::written(&extract::catalogue(&sentences, "", &[])))?;
    for language in language::Language::ALL.into_iter().filter(|language| *language != language::Language::English) {
        let file = locale.join(format!("{}.po", language.tag()));
        let mut known = vec![polib::po_file::parse(&file)?];
        for more in std::env::args().skip(1) {
            known.push(polib::po_file::parse(more.as_ref())?);
        }
        let made = extract::catalogue(&sentences, language.tag(), &known);
        std::fs::write(&file, extract::written(&made))?;
        let wanting = made.messages().filter(|message| !message.is_translated());
        let wanting: Vec<_> = wanting.map(|message| format!("  {}: {:?}", message.source(), message.msgid())).collect();
        println!("{}: {} sentences, {} without a translation", language.name(), sentences.len(), wanting.len());
        wanting.iter().for_each(|line| println!("{line}"));
    }
    Ok(())
}
