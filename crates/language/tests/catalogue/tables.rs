//! Every text that a data table shows to people, found in the tables themselves.

use super::Said;
use std::collections::BTreeSet;
use toml::{Table, Value};

/// What tells these from sentences of the code, as `language::told` looks them up.
const CONTEXT: &str = "table";

/// Keys of citations. What describes a work or a place is words; a title is none, and stays.
const CITED: [&str; 3] = ["work", "place", "via"];

/// Keys whose texts are shown.
const SHOWN: [&str; 6] = ["basis", "by", "jurisdiction", "name", "note", "says"];

/// The texts of a table, in order of the alphabet: what its head says, what its rows say, and what their values are.
pub(crate) fn texts(file: &str) -> Vec<Said> {
    let table: Table = toml::from_str(file).expect("a table is TOML");
    let mut found = BTreeSet::from([head(file)]);
    for (key, value) in &table {
        match value {
            Value::Array(rows) => rows.iter().filter_map(Value::as_table).for_each(|row| walk("", row, &mut found)),
            Value::Table(row) => walk(key, row, &mut found),
            _ => {}
        }
    }
    found.into_iter().filter(|text| is_words(text)).map(said).collect()
}

/// A text with the context of tables.
pub(crate) fn said(text: String) -> Said {
    (CONTEXT.to_owned(), text, None)
}

/// Whether a text has two letters in a row: `F120` is called so in every language.
pub(crate) fn is_words(text: &str) -> bool {
    let letters: Vec<char> = text.chars().collect();
    letters.windows(2).any(|pair| pair.iter().all(|letter| letter.is_alphabetic()))
}

/// What the author says of the whole table, as one text.
fn head(file: &str) -> String {
    let lines = file.lines().take_while(|line| line.starts_with('#')).map(|line| line.trim_start_matches(['#', ' ']));
    lines.collect::<Vec<_>>().join(" ")
}

fn walk(path: &str, table: &Table, found: &mut BTreeSet<String>) {
    if table.contains_key("value") && table.contains_key("source") && !table.contains_key("says") {
        // A value is listed under the keys that lead to it.
        found.insert(path.replace('_', " "));
    }
    for (key, value) in table {
        match value {
            Value::String(text) if SHOWN.contains(&key.as_str()) || is_sentence(key, text) => {
                found.insert(text.clone());
            }
            Value::String(text) if CITED.contains(&key.as_str()) && describes(text) => {
                found.insert(text.clone());
            }
            Value::Table(inner) => walk(format!("{path} {key}").trim_start(), inner, found),
            Value::Array(others) => {
                others.iter().filter_map(Value::as_table).for_each(|other| walk(path, other, found));
            }
            _ => {}
        }
    }
}

/// Whether a citation has a word of four letters or more that begins small, as titles do not.
pub(crate) fn describes(text: &str) -> bool {
    let words = text.split(|letter: char| !letter.is_alphabetic());
    words.into_iter().any(|word| word.chars().count() >= 4 && word.starts_with(char::is_lowercase))
}

/// A value that is no number with its unit but words.
fn is_sentence(key: &str, text: &str) -> bool {
    key == "value" && text.starts_with(char::is_alphabetic)
}
