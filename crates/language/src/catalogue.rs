//! The translations, read once from the files in `locale/`.

use crate::Language;
use polib::catalog::Catalog;
use std::collections::HashMap;
use std::sync::{LazyLock, Mutex, PoisonError};

const GERMAN: &str = include_str!("../../../locale/de.po");

/// What stands between marks in [`Language::Marked`].
const MARKS: (char, char) = ('‹', '›');

/// A sentence's key: what tells it apart, and its English text.
type Key = (&'static str, &'static str);

/// The forms of each sentence: one, or one for each number of things that the language tells apart.
type Sentences = HashMap<Key, Vec<&'static str>>;

static TRANSLATED: LazyLock<Sentences> = LazyLock::new(|| read(GERMAN));

/// The translation of `english`, if it is to be read in another language and has one.
#[must_use]
pub fn text(context: &'static str, english: &'static str) -> Option<&'static str> {
    match Language::current() {
        Language::English => None,
        Language::German => TRANSLATED.get(&(context, english))?.first().copied(),
        Language::Marked => Some(marked(english)),
    }
}

/// The translation of a sentence about `count` things, in the form that suits.
#[must_use]
pub fn counted(context: &'static str, one: &'static str, many: &'static str, count: u64) -> Option<&'static str> {
    let language = Language::current();
    match language {
        Language::English => None,
        Language::German => TRANSLATED.get(&(context, one))?.get(language.form(count)).copied(),
        Language::Marked => Some(marked(if count == 1 { one } else { many })),
    }
}

/// What tells the texts of tables from sentences of the code.
const TABLE: &str = "table";

/// A text of a data table in the language of who reads it: `told("White alumina")`.
///
/// The catalogue lists them from the tables themselves, and from what the code gives as a source in their manner, all
/// with the context "table". A text that has no translation (a name that somebody gave) stays as it is.
#[must_use]
pub fn told(text: &str) -> &str {
    match Language::current() {
        Language::English => text,
        Language::German => within(&TRANSLATED, text).unwrap_or(text),
        Language::Marked => marked(text),
    }
}

/// The translation of a text that lives shorter than the catalogue.
fn within<'a>(known: &'a HashMap<(&'a str, &'a str), Vec<&'static str>>, text: &'a str) -> Option<&'a str> {
    known.get(&(TABLE, text))?.first().copied()
}

fn read(file: &'static str) -> Sentences {
    // The file is a part of the program, and the tests read it.
    let catalogue = polib::po_file::parse_from_reader(file.as_bytes()).expect("locale/de.po is well formed");
    sentences(catalogue)
}

fn sentences(catalogue: Catalog) -> Sentences {
    let forever = |text: &str| -> &'static str { Box::leak(text.to_owned().into_boxed_str()) };
    let translated = catalogue.messages().filter(|message| message.is_translated());
    translated
        .map(|message| {
            let key = (forever(message.msgctxt().unwrap_or_default()), forever(message.msgid()));
            let forms = match message.is_plural() {
                true => message.msgstr_plural().into_iter().flatten().map(|form| forever(form)).collect(),
                false => vec![forever(message.msgstr().unwrap_or_default())],
            };
            (key, forms)
        })
        .collect()
}

/// `english` between marks, made once.
fn marked(english: &str) -> &'static str {
    static MADE: LazyLock<Mutex<HashMap<String, &'static str>>> = LazyLock::new(Mutex::default);
    let mut made = MADE.lock().unwrap_or_else(PoisonError::into_inner);
    made.entry(english.to_owned())
        .or_insert_with(|| Box::leak(format!("{}{english}{}", MARKS.0, MARKS.1).into_boxed_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_of_a_table_is_told_in_the_language_of_its_reader() {
        assert_eq!(told("Thin rubber, 15 mil"), "Thin rubber, 15 mil");
        assert_eq!(Language::German.scope(|| told("Thin rubber, 15 mil")), "Gummi dünn, 15 mil");
        assert_eq!(Language::Marked.scope(|| told("Thin rubber, 15 mil")), "‹Thin rubber, 15 mil›");
    }

    #[test]
    fn a_name_that_somebody_gave_stays() {
        let name = String::from("Anna's first bowl");
        assert_eq!(Language::German.scope(|| told(&name)), name);
    }
}
