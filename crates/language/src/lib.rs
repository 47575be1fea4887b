//! What is said, in the language of who reads it.
//!
//! A sentence stands in the code in English, written with [`say!`] as with `format!`. That text is its own key:
//! `locale/sabulo.pot` lists every one with its place, ready for a translator, and `locale/LANGUAGE.po` holds the
//! translations, both in the format of GNU gettext, which translators have tools for. The test `catalogue` complains
//! about a sentence without its translation, and about a translation without its sentence;
//! `cargo run -p language --example catalogue` brings the files to what the code says.
//!
//! Which language is meant is set for a stretch of work by [`Language::scope`], much as a log line knows its span.
//! Results do not hang on it: only words and the decimal mark do. Work that goes on in another thread takes it
//! along by [`carried`]; answers of a server by [`Language::during`]. Without a scope it is English, so that files
//! and answers for programs are the same everywhere.
//!
//! ```
//! use language::{Language, say, say_count};
//!
//! let roll = 300.0;
//! let said = || say!("The stencil fits the roll: {roll:.1} mm");
//! assert_eq!(said(), "The stencil fits the roll: 300.0 mm");
//! // Without a translation it stays English; the test of the catalogue sees to it that there is one.
//! assert_eq!(Language::German.scope(|| say!("no such sentence")), "no such sentence");
//! let sheets = |n: usize| say_count!(n, "{n} sheet", "{n} sheets");
//! assert_eq!((sheets(1), sheets(2)), ("1 sheet".to_owned(), "2 sheets".to_owned()));
//! // Two equal English words that other languages tell apart get a context.
//! assert_eq!(say!(in "a nozzle", "open"), "open");
//! ```
//!
//! Texts of the data tables are not in the code: [`told`] looks them up when they are shown.

mod catalogue;
mod fill;
mod scope;

pub use catalogue::{counted, text, told};
pub use fill::fill;
/// A sentence in the language of who reads it: `say!("The roll is {width} wide")`.
///
/// Takes what `format!` takes, but for a width or precision that is an argument. With `in "a button",` before the
/// template, equal English texts are told apart. Without a hole it is a `&'static str`, else a `String`.
pub use language_macros::say;
/// A sentence about a number of things: `say_count!(n, "{n} stage", "{n} stages")`, each language with its own forms.
pub use language_macros::say_count;
pub use scope::{During, carried};

/// A language that pages and papers can be read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Language {
    /// As it stands in the code.
    #[default]
    English,
    /// From `locale/de.po`.
    German,
    /// English between the marks ‹ and ›: what stands outside of them was not said through the catalogue. For tests;
    /// nobody is offered it.
    Marked,
}

impl Language {
    /// Those that a person can choose.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// The tag of BCP 47.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
            Self::Marked => "en-XA",
        }
    }

    /// Its name, in itself.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
            Self::Marked => "Marked",
        }
    }

    /// The language with this tag, or with its first part: `de-AT` is German.
    #[must_use]
    pub fn of_tag(tag: &str) -> Option<Self> {
        let tag = tag.trim();
        let first = tag.split('-').next().unwrap_or(tag);
        match tag == Self::Marked.tag() {
            true => Some(Self::Marked),
            false => Self::ALL.into_iter().find(|language| language.tag().eq_ignore_ascii_case(first)),
        }
    }

    /// What stands between the whole and its parts.
    #[must_use]
    pub const fn decimal_mark(self) -> char {
        match self {
            Self::German => ',',
            Self::English | Self::Marked => '.',
        }
    }

    /// Which of its forms a number of things takes: an index into the forms of the catalogue.
    const fn form(self, count: u64) -> usize {
        match self {
            Self::English | Self::German | Self::Marked => (count != 1) as usize,
        }
    }
}

/// A number as it was formatted, with the decimal mark of who reads it.
#[must_use]
pub fn number(formatted: String) -> String {
    match Language::current().decimal_mark() {
        '.' => formatted,
        mark => formatted.replace('.', mark.encode_utf8(&mut [0; 4])),
    }
}

/// What can be counted in a sentence.
pub trait Count {
    /// How many.
    fn count(self) -> u64;
}

macro_rules! count {
    ($($kind:ty)*) => {$(
        impl Count for $kind {
            fn count(self) -> u64 {
                // Below zero there is nothing to count; a larger number takes the form of many anyhow.
                u64::try_from(self).unwrap_or(u64::MAX)
            }
        }

        impl Count for &$kind {
            fn count(self) -> u64 {
                (*self).count()
            }
        }
    )*};
}

count! { u8 u16 u32 u64 u128 usize i32 i64 }
