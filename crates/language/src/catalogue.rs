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
fn marked(english: &'static str) -> &'static str {
    static MADE: LazyLock<Mutex<HashMap<&'static str, &'static str>>> = LazyLock::new(Mutex::default);
    let mut made = MADE.lock().unwrap_or_else(PoisonError::into_inner);
    made.entry(english).or_insert_with(|| Box::leak(format!("{}{english}{}", MARKS.0, MARKS.1).into_boxed_str()))
}
