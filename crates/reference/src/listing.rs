//! Every number of the tables in one list, as its file writes it, with its source: to be read by people.

use crate::Source;
use crate::tables::EMBEDDED;
use language::{say, told};
use serde::Deserialize as _;
use toml::{Table, Value};

/// A file of the tables.
#[derive(Debug, Clone, PartialEq)]
pub struct Listing {
    /// What it holds: "Abrasives".
    pub title: &'static str,
    /// What its author says of it, from the head of the file.
    pub about: String,
    /// Its numbers, by row and name.
    pub rows: Vec<Listed>,
}

/// A number with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// The row it belongs to: "White alumina". Empty for a limit that stands alone.
    pub of: String,
    /// What it is: "bulk density", or a limit's own sentence.
    pub what: String,
    /// The value with its unit; a range as "low – mid – high".
    pub value: String,
    /// Where it came from.
    pub source: Source,
    /// What must be known to use it, and where it holds.
    pub note: Option<String>,
    /// Values met and not used.
    pub disagrees: Vec<(String, Source)>,
}

/// All tables.
#[must_use]
pub fn listings() -> Vec<Listing> {
    files().into_iter().map(|(title, text)| listing(title, text)).collect()
}

fn files() -> [(&'static str, &'static str); 8] {
    [
        (say!("Materials"), EMBEDDED.materials),
        (say!("Abrasives"), EMBEDDED.abrasives),
        (say!("Grit grades"), EMBEDDED.grits),
        (say!("Resists"), EMBEDDED.resists),
        (say!("Limits"), EMBEDDED.limits),
        (say!("Compressed-air equipment"), EMBEDDED.equipment),
        (say!("Air filters"), EMBEDDED.filters),
        (say!("Nozzles"), EMBEDDED.nozzles),
    ]
}

fn listing(title: &'static str, text: &str) -> Listing {
    let head = text.lines().take_while(|line| line.starts_with('#')).map(|line| line.trim_start_matches(['#', ' ']));
    // An embedded table reads, or no test of this crate passes.
    let table: Table = toml::from_str(text).unwrap_or_default();
    let mut rows = Vec::new();
    for (key, value) in &table {
        match value {
            Value::Array(list) => {
                list.iter().filter_map(Value::as_table).for_each(|row| walk(&name(row), "", row, &mut rows))
            }
            Value::Table(row) => walk("", key, row, &mut rows),
            _ => (),
        }
    }
    Listing { title, about: told(&head.collect::<Vec<_>>().join(" ")).to_owned(), rows }
}

fn name(row: &Table) -> String {
    let text = |key: &str| row.get(key).and_then(Value::as_str);
    told(text("name").or(text("id")).unwrap_or_default()).to_owned()
}

/// Adds what has a value and a source, at any depth below a row.
fn walk(of: &str, path: &str, table: &Table, rows: &mut Vec<Listed>) {
    if let Some(row) = listed(of, path, table) {
        rows.push(row);
        return;
    }
    for (key, value) in table {
        let path = if path.is_empty() { key.clone() } else { format!("{path} {key}") };
        if let Value::Table(inner) = value {
            walk(of, &path, inner, rows);
        }
    }
}

fn listed(of: &str, path: &str, table: &Table) -> Option<Listed> {
    let source = |value: &Value| Source::deserialize(value.clone()).ok();
    let text = |key: &str| table.get(key).and_then(Value::as_str).map(|text| told(text).to_owned());
    let year = table.get("as_of").map(|year| say!("text of {year}"));
    let notes: Vec<String> = [text("jurisdiction"), year, text("note")].into_iter().flatten().collect();
    let others = table.get("disagrees").and_then(Value::as_array).into_iter().flatten();
    Some(Listed {
        of: of.to_owned(),
        what: text("says").unwrap_or_else(|| told(&path.replace('_', " ")).to_owned()),
        value: written(table.get("value")?),
        source: source(table.get("source")?)?,
        note: (!notes.is_empty()).then(|| notes.join("; ")),
        disagrees: others
            .filter_map(|other| Some((written(other.get("value")?), source(other.get("source")?)?)))
            .collect(),
    })
}

fn written(value: &Value) -> String {
    match value {
        Value::String(text) if text.starts_with(char::is_alphabetic) => told(text).to_owned(),
        // A number with its unit, or several of them.
        Value::String(text) => language::number(text.clone()),
        Value::Table(range) => {
            let ends = ["low", "mid", "high"].into_iter().filter_map(|end| range.get(end)).map(written);
            ends.collect::<Vec<_>>().join(" – ")
        }
        Value::Array(list) => list.iter().map(written).collect::<Vec<_>>().join(", "),
        other => language::number(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_source_of_every_file_is_listed_once() {
        for (listing, (file, text)) in listings().iter().zip(files()) {
            let data: String = text.lines().filter(|line| !line.trim_start().starts_with('#')).collect();
            let written = data.matches("source = {").count();
            let listed: usize = listing.rows.iter().map(|row| 1 + row.disagrees.len()).sum();
            assert!(written > 0 && listed == written, "{file}: {listed} of {written} listed");
        }
    }

    #[test]
    fn a_range_is_listed_with_its_unit_and_source() {
        let listings = listings();
        let abrasives = listings.iter().find(|listing| listing.title == "Abrasives").unwrap();
        let bulk = abrasives.rows.iter().find(|row| row.of == "White alumina" && row.what == "bulk density").unwrap();
        assert_eq!(bulk.value, "1600 kg/m3 – 1800 kg/m3 – 2000 kg/m3");
        assert_eq!(bulk.source.to_string(), "from memory");
        assert!(abrasives.about.starts_with("Abrasives, by kind and not by maker."));
    }

    #[test]
    fn a_limit_is_listed_by_its_sentence_and_its_place() {
        let listings = listings();
        let limits = listings.iter().find(|listing| listing.title == "Limits").unwrap();
        let row = limits.rows.iter().find(|row| row.what.starts_with("Carving deeper than half")).unwrap();
        assert_eq!((row.value.as_str(), row.note.as_deref()), ("50%", Some("rule of the trade")));
    }
}
