//! The catalogue says what the code says, and every language says all of it.

mod extract;

use language::Language;
use polib::catalog::Catalog;
use std::collections::BTreeSet;

fn file(name: &str) -> String {
    std::fs::read_to_string(extract::root().join("locale").join(name)).unwrap()
}

fn translated() -> impl Iterator<Item = (Language, Catalog)> {
    let others = Language::ALL.into_iter().filter(|language| *language != Language::English);
    others.map(|language| {
        let text = file(&format!("{}.po", language.tag()));
        (language, polib::po_file::parse_from_reader(text.as_bytes()).unwrap())
    })
}

/// The English texts of a message, and what each form of its translation is.
fn forms(message: &dyn polib::message::MessageView) -> (Vec<String>, Vec<String>) {
    match message.is_plural() {
        true => (
            vec![message.msgid().to_owned(), message.msgid_plural().unwrap().to_owned()],
            message.msgstr_plural().unwrap().clone(),
        ),
        false => (vec![message.msgid().to_owned()], vec![message.msgstr().unwrap().to_owned()]),
    }
}

/// The names of the holes of a text; places count from 0.
fn holes(text: &str) -> BTreeSet<String> {
    let text = text.replace("{{", "").replace("}}", "");
    let inside = text.split('{').skip(1).filter_map(|part| part.split_once('}')).map(|(inside, _)| inside);
    let mut place = 0;
    let named = inside.map(|inside| match inside.split(':').next().unwrap_or_default() {
        "" => {
            place += 1;
            (place - 1).to_string()
        }
        name => name.to_owned(),
    });
    named.collect()
}

const HOW: &str = "bring it there by `cargo run -p language --example catalogue`";

#[test]
fn the_template_lists_every_sentence_of_the_code() {
    let made = extract::written(&extract::catalogue(&extract::sentences(), "", &[]));
    assert!(made == file("sabulo.pot"), "locale/sabulo.pot is not what the code says: {HOW}");
}

#[test]
fn every_sentence_has_its_translation_and_every_translation_its_sentence() {
    for (language, known) in translated() {
        let made = extract::written(&extract::catalogue(&extract::sentences(), language.tag(), &[known]));
        let tag = language.tag();
        assert!(made == file(&format!("{tag}.po")), "locale/{tag}.po has other sentences than the code: {HOW}");
        let made = polib::po_file::parse_from_reader(made.as_bytes()).unwrap();
        let wanting: Vec<_> = made.messages().filter(|message| !message.is_translated()).map(|m| m.msgid()).collect();
        assert!(wanting.is_empty(), "{} sentences without {language:?}: {wanting:#?}", wanting.len());
    }
}

#[test]
fn a_translation_has_the_holes_and_narrow_spaces_of_its_sentence() {
    let narrow = |text: &str| text.matches('\u{202f}').count();
    for (language, catalogue) in translated() {
        for message in catalogue.messages() {
            let (english, said) = forms(message);
            let given: BTreeSet<String> = english.iter().flat_map(|text| holes(text)).collect();
            for form in &said {
                assert!(
                    holes(form).is_subset(&given),
                    "{language:?} {form:?} has a hole that {english:?} does not fill"
                );
                assert_eq!(
                    narrow(form),
                    narrow(&english[0]),
                    "{language:?} {form:?} of {english:?}: U+202F before units"
                );
            }
            let all: BTreeSet<String> = said.iter().flat_map(|text| holes(text)).collect();
            assert_eq!(all, given, "{language:?} {said:?} of {english:?}");
        }
    }
}

#[test]
fn no_language_promises_or_shouts() {
    // As `safety::words` for English: what was checked is said, never that nothing can happen.
    let promises = ["sicher", "sichere", "sicheren", "sicherer", "garantiert", "gefahrlos", "optimal", "einfach"];
    for (language, catalogue) in translated() {
        for message in catalogue.messages() {
            for form in forms(message).1 {
                let lower = form.to_lowercase();
                let word = lower.split(|c: char| !c.is_alphabetic()).find(|word| promises.contains(word));
                assert_eq!(word, None, "{language:?}: {form:?}");
                assert!(!form.contains('!'), "{language:?}: {form:?}");
            }
        }
    }
}

#[test]
fn the_files_say_how_many_forms_the_program_takes() {
    for (language, catalogue) in translated() {
        assert_eq!(catalogue.metadata.plural_rules.nplurals, 2, "{language:?}");
        assert_eq!(catalogue.metadata.language, language.tag());
    }
}
