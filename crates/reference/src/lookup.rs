//! Finding a row by what people write, and naming the nearest one when there is none.

use language::say;

/// A name that no table row has.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Unknown {
    /// Not a material of `materials.toml`.
    #[error("{}", say!("unknown material \"{given}\"; nearest known: {nearest}"))]
    Material {
        /// What was written.
        given: String,
        /// The nearest row's id.
        nearest: String,
    },
    /// Not an abrasive of `abrasives.toml`.
    #[error("{}", say!("unknown abrasive \"{given}\"; nearest known: {nearest}"))]
    Abrasive {
        /// What was written.
        given: String,
        /// The nearest row's id.
        nearest: String,
    },
    /// Not a resist of `resists.toml`.
    #[error("{}", say!("unknown resist \"{given}\"; nearest known: {nearest}"))]
    Resist {
        /// What was written.
        given: String,
        /// The nearest row's id.
        nearest: String,
    },
    /// Not a grit of `grits.toml`.
    #[error("{}", say!("unknown grit \"{given}\"; nearest known: {nearest}"))]
    Grit {
        /// What was written.
        given: String,
        /// The nearest grade by number, or by spelling when there is no number.
        nearest: String,
    },
    /// A P grade belongs to coated abrasives, whose sizes differ from the F grade of the same number.
    #[error(
        "{}",
        say!(
            "\"{given}\" is a grade of abrasive paper (P series), not of blasting grit; write the F grade, such as \
             {nearest}"
        )
    )]
    CoatedGrit {
        /// What was written.
        given: String,
        /// The F grade nearest in number; its grains are not the same size.
        nearest: String,
    },
    /// Not a row of `equipment.toml`.
    #[error("{}", say!("unknown equipment \"{given}\"; nearest known: {nearest}"))]
    Equipment {
        /// What was written.
        given: String,
        /// The nearest row's id.
        nearest: String,
    },
    /// Not a row of `nozzles.toml`.
    #[error("unknown nozzle material \"{given}\"; nearest known: {nearest}")]
    Nozzle {
        /// What was written.
        given: String,
        /// The nearest row's id.
        nearest: String,
    },
    /// Not a class of `filters.toml`.
    #[error("{}", say!("unknown filter class \"{given}\"; nearest known: {nearest}"))]
    Filter {
        /// What was written.
        given: String,
        /// The nearest class's id.
        nearest: String,
    },
    /// Not a limit of `limits.toml`.
    #[error("{}", say!("unknown limit \"{given}\"; nearest known: {nearest}"))]
    Limit {
        /// What was written.
        given: String,
        /// The nearest limit's id.
        nearest: String,
    },
}

/// An id as the tables spell it: small letters, words joined by underscores.
pub(crate) fn as_id(given: &str) -> String {
    given.trim().to_lowercase().replace([' ', '-'], "_")
}

/// The name most like `given`; empty only when there are no names.
pub(crate) fn nearest<'a>(given: &str, names: impl Iterator<Item = &'a str>) -> String {
    let likeness = |name: &str| strsim::jaro_winkler(given, name);
    names.max_by(|a, b| likeness(a).total_cmp(&likeness(b))).unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use crate::{Unknown, tables};

    #[test]
    fn a_row_is_found_by_id_or_by_the_words_of_it() {
        for given in ["white_alumina", "White alumina", " white-alumina "] {
            assert_eq!(tables().abrasive(given).unwrap().id, "white_alumina");
        }
    }

    #[test]
    fn a_misspelt_name_is_answered_with_the_nearest() {
        let nearest = |fault: Unknown| match fault {
            Unknown::Material { nearest, .. }
            | Unknown::Abrasive { nearest, .. }
            | Unknown::Resist { nearest, .. }
            | Unknown::Limit { nearest, .. } => nearest,
            other => panic!("{other}"),
        };
        assert_eq!(nearest(tables().material("granit").unwrap_err()), "granite");
        assert_eq!(nearest(tables().material("flaot glass").unwrap_err()), "float_glass");
        assert_eq!(nearest(tables().abrasive("silicon carbid").unwrap_err()), "silicon_carbide");
        assert_eq!(nearest(tables().resist("photo_4mi").unwrap_err()), "photo_4mil");
        assert_eq!(nearest(tables().limit("rcs_pal").unwrap_err()), "rcs_pel");
    }

    #[test]
    fn the_message_names_the_kind_the_word_and_the_mend() {
        let words = tables().material("granit").unwrap_err().to_string();
        assert_eq!(words, "unknown material \"granit\"; nearest known: granite");
    }
}
