//! The tables read from their files, once.

use crate::{
    Abrasive, Equipment, Filter, Grit, LimitView, Limits, Material, NozzleMaterial, Resist, Unknown, grit, lookup,
};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::sync::OnceLock;

/// Every table.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Tables {
    /// Grit grades, coarse first.
    pub grits: Vec<Grit>,
    /// Abrasives.
    pub abrasives: Vec<Abrasive>,
    /// Materials of blanks.
    pub materials: Vec<Material>,
    /// Resists, cut ones first, thin first.
    pub resists: Vec<Resist>,
    /// Typical compressed-air equipment.
    pub equipment: Equipment,
    /// Classes of air filter.
    pub filters: Vec<Filter>,
    /// What nozzles are made of, the shortest-lived first.
    pub nozzles: Vec<NozzleMaterial>,
    /// Limits.
    pub limits: Limits,
}

/// The embedded tables.
///
/// # Panics
/// When an embedded file does not read; the tests read them all, so that it cannot be met in use.
#[must_use]
pub fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(|| match Tables::read(&EMBEDDED) {
        Ok(tables) => tables,
        Err(fault) => panic!("an embedded table does not read: {fault}"),
    })
}

impl Tables {
    /// The material of this id, or of its words: `float_glass`, `Float glass`.
    ///
    /// # Errors
    /// [`Unknown::Material`] with the nearest id.
    pub fn material(&self, given: &str) -> Result<&Material, Unknown> {
        find(&self.materials, |row| &row.id, given)
            .map_err(|nearest| Unknown::Material { given: given.to_owned(), nearest })
    }

    /// The abrasive of this id. A refused one is found too: look at [`Abrasive::refused`].
    ///
    /// # Errors
    /// [`Unknown::Abrasive`] with the nearest id.
    pub fn abrasive(&self, given: &str) -> Result<&Abrasive, Unknown> {
        find(&self.abrasives, |row| &row.id, given)
            .map_err(|nearest| Unknown::Abrasive { given: given.to_owned(), nearest })
    }

    /// The resist of this id.
    ///
    /// # Errors
    /// [`Unknown::Resist`] with the nearest id.
    pub fn resist(&self, given: &str) -> Result<&Resist, Unknown> {
        find(&self.resists, |row| &row.id, given)
            .map_err(|nearest| Unknown::Resist { given: given.to_owned(), nearest })
    }

    /// The grit grade, as people write it: `F120`, `f 120`, `#120`, `120`, `120 grit`.
    ///
    /// # Errors
    /// [`Unknown::Grit`] with the nearest grade; [`Unknown::CoatedGrit`] for a P grade.
    pub fn grit(&self, given: &str) -> Result<&Grit, Unknown> {
        grit::find(&self.grits, given)
    }

    /// The class of filter of this id.
    ///
    /// # Errors
    /// [`Unknown::Filter`] with the nearest id.
    pub fn filter(&self, given: &str) -> Result<&Filter, Unknown> {
        find(&self.filters, |row| &row.id, given)
            .map_err(|nearest| Unknown::Filter { given: given.to_owned(), nearest })
    }

    /// What a nozzle is made of, by its id.
    ///
    /// # Errors
    /// [`Unknown::Nozzle`] with the nearest id.
    pub fn nozzle(&self, given: &str) -> Result<&NozzleMaterial, Unknown> {
        find(&self.nozzles, |row| &row.id, given)
            .map_err(|nearest| Unknown::Nozzle { given: given.to_owned(), nearest })
    }

    /// The limit of this id, its type forgotten. In code prefer the field of [`Tables::limits`].
    ///
    /// # Errors
    /// [`Unknown::Limit`] with the nearest id.
    pub fn limit(&self, given: &str) -> Result<LimitView<'_>, Unknown> {
        self.limits.find(given)
    }

    fn read(files: &Files) -> Result<Self, TablesError> {
        Ok(Self {
            grits: read::<GritFile>("grits.toml", files.grits)?.grit,
            abrasives: read::<AbrasiveFile>("abrasives.toml", files.abrasives)?.abrasive,
            materials: read::<MaterialFile>("materials.toml", files.materials)?.material,
            resists: read::<ResistFile>("resists.toml", files.resists)?.resist,
            equipment: read("equipment.toml", files.equipment)?,
            filters: read::<FilterFile>("filters.toml", files.filters)?.filter,
            nozzles: read::<NozzleFile>("nozzles.toml", files.nozzles)?.nozzle,
            limits: read("limits.toml", files.limits)?,
        })
    }
}

/// A table file that does not read.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {fault}")]
pub struct TablesError {
    file: &'static str,
    #[source]
    fault: toml::de::Error,
}

fn find<'a, T>(rows: &'a [T], id_of: impl Fn(&T) -> &String, given: &str) -> Result<&'a T, String> {
    let id = lookup::as_id(given);
    let row = rows.iter().find(|row| *id_of(row) == id);
    row.ok_or_else(|| lookup::nearest(&id, rows.iter().map(|row| id_of(row).as_str())))
}

/// The text of every table file.
pub(crate) struct Files {
    pub grits: &'static str,
    pub abrasives: &'static str,
    pub materials: &'static str,
    pub resists: &'static str,
    pub equipment: &'static str,
    pub filters: &'static str,
    pub nozzles: &'static str,
    pub limits: &'static str,
}

pub(crate) const EMBEDDED: Files = Files {
    grits: include_str!("../data/grits.toml"),
    abrasives: include_str!("../data/abrasives.toml"),
    materials: include_str!("../data/materials.toml"),
    resists: include_str!("../data/resists.toml"),
    equipment: include_str!("../data/equipment.toml"),
    filters: include_str!("../data/filters.toml"),
    nozzles: include_str!("../data/nozzles.toml"),
    limits: include_str!("../data/limits.toml"),
};

macro_rules! file_of_rows {
    ($($file:ident { $rows:ident: $row:ty })+) => {$(
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct $file {
            $rows: Vec<$row>,
        }
    )+};
}
file_of_rows! {
    GritFile { grit: Grit }
    AbrasiveFile { abrasive: Abrasive }
    MaterialFile { material: Material }
    ResistFile { resist: Resist }
    FilterFile { filter: Filter }
    NozzleFile { nozzle: NozzleMaterial }
}

fn read<T: DeserializeOwned>(file: &'static str, text: &str) -> Result<T, TablesError> {
    toml::from_str(text).map_err(|fault| TablesError { file, fault })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;
    use toml::Value;

    const FILES: [(&str, &str); 8] = [
        ("grits.toml", EMBEDDED.grits),
        ("abrasives.toml", EMBEDDED.abrasives),
        ("materials.toml", EMBEDDED.materials),
        ("resists.toml", EMBEDDED.resists),
        ("equipment.toml", EMBEDDED.equipment),
        ("filters.toml", EMBEDDED.filters),
        ("nozzles.toml", EMBEDDED.nozzles),
        ("limits.toml", EMBEDDED.limits),
    ];

    fn walk(value: &Value, see: &mut impl FnMut(&toml::Table)) {
        match value {
            Value::Table(table) => {
                see(table);
                table.values().for_each(|inner| walk(inner, see));
            }
            Value::Array(array) => array.iter().for_each(|inner| walk(inner, see)),
            _ => {}
        }
    }

    #[test]
    fn every_file_reads() {
        Tables::read(&EMBEDDED).unwrap();
    }

    #[test]
    fn a_number_without_a_source_or_a_unit_is_refused() {
        let row = |d50: &str| format!("[[grit]]\nname = 'F36'\nseries = 'macro'\n[grit.d50]\n{d50}");
        let band = "value = { low = '490um', mid = '525um', high = '560um' }";
        let bare = "value = { low = '490', mid = '525um', high = '560um' }";
        let source = "source = { kind = 'memory' }";
        let fault = |text: String| read::<GritFile>("grits.toml", &text).err().unwrap().to_string();
        assert!(read::<GritFile>("grits.toml", &row(&format!("{band}\n{source}"))).is_ok());
        assert!(fault(row(band)).contains("missing field `source`"));
        assert!(fault(row(&format!("{bare}\n{source}"))).contains("no unit"));
    }

    #[test]
    fn every_value_in_every_file_stands_beside_its_source() {
        for (file, text) in FILES {
            let mut values = 0;
            walk(&text.parse::<toml::Table>().unwrap().into(), &mut |table| {
                if table.contains_key("value") {
                    values += 1;
                    assert!(table.contains_key("source"), "{file}: {table:?}");
                }
            });
            assert!(values > 5, "{file} holds {values} values");
        }
    }

    #[test]
    fn a_row_lists_every_source_it_rests_on() {
        let written = |text: &str| {
            // Sources of values that disagree stand inside an array of inline tables.
            let mut kinds = 0i64;
            walk(&text.parse::<toml::Table>().unwrap().into(), &mut |table| {
                kinds += i64::from(table.contains_key("source"));
                kinds -= table.get("disagrees").and_then(Value::as_array).map_or(0, |others| others.len() as i64);
            });
            usize::try_from(kinds).unwrap()
        };
        let t = tables();
        assert_eq!(t.abrasives.iter().flat_map(Abrasive::sources).count(), written(EMBEDDED.abrasives));
        assert_eq!(t.materials.iter().flat_map(Material::sources).count(), written(EMBEDDED.materials));
        assert_eq!(t.filters.iter().flat_map(Filter::sources).count(), written(EMBEDDED.filters));
        assert_eq!(t.resists.iter().flat_map(Resist::sources).count(), written(EMBEDDED.resists));
        assert_eq!(t.nozzles.iter().flat_map(NozzleMaterial::sources).count(), written(EMBEDDED.nozzles));
    }

    #[test]
    fn a_source_without_words_has_no_stray_keys() {
        for (file, text) in FILES {
            walk(&text.parse::<toml::Table>().unwrap().into(), &mut |table| {
                if table.get("kind").and_then(Value::as_str) == Some("common_practice") {
                    assert_eq!(table.len(), 1, "{file}: {table:?}");
                }
            });
        }
    }

    #[test]
    fn no_id_is_used_twice() {
        let t = tables();
        let names: [Vec<&str>; 5] = [
            t.grits.iter().map(|row| row.name.as_str()).collect(),
            t.abrasives.iter().map(|row| row.id.as_str()).collect(),
            t.materials.iter().map(|row| row.id.as_str()).collect(),
            t.resists.iter().map(|row| row.id.as_str()).collect(),
            t.nozzles.iter().map(|row| row.id.as_str()).collect(),
        ];
        for names in names {
            assert_eq!(names.iter().collect::<HashSet<_>>().len(), names.len(), "{names:?}");
        }
    }

    #[test]
    fn no_table_promises_what_cannot_be_promised() {
        for (file, text) in FILES {
            let words = text.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase);
            for word in words {
                let banned = ["safe", "safely", "guaranteed", "guarantee", "compliant", "certified"];
                assert!(!banned.contains(&word.as_str()), "{file} says \"{word}\"");
            }
        }
    }
}
