//! Names that tables give their rows.

use language::told;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The name of a table's row for people: shown in the language of who reads it, kept and compared in English.
///
/// Made into a `String` it is in the language of that moment: for a file or a program write [`Name::english`].
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(transparent)]
pub struct Name(String);

impl Name {
    /// The name as its table has it: for files, keys and what is looked up again.
    #[must_use]
    pub fn english(&self) -> &str {
        &self.0
    }

    /// The name in the language of who reads it, for now.
    #[must_use]
    pub fn shown(&self) -> &str {
        told(&self.0)
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.shown())
    }
}

#[cfg(test)]
mod tests {
    use crate::tables;
    use language::Language;

    #[test]
    fn a_name_is_shown_in_the_language_of_its_reader_and_kept_in_english() {
        let marble = &tables().material("marble").unwrap().name;
        assert_eq!((marble.to_string().as_str(), marble.english()), ("Marble", "Marble"));
        Language::German.scope(|| {
            assert_eq!((marble.to_string().as_str(), marble.english()), ("Marmor", "Marble"));
            assert_eq!(format!("{marble:>8}"), "  Marmor");
            assert_eq!(toml::Value::try_from(marble).unwrap().as_str(), Some("Marble"));
        });
    }
}
