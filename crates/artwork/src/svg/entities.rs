//! How much text a file's own entities stand for, found without expanding them.

use super::error::{Place, ReadError};
use std::collections::HashMap;

/// Most bytes that all references to a file's entities may stand for, together. Namespaces kept
/// in entities, as some drawing programs do, come to a few thousand.
const EXPANSION_MAX: usize = 1 << 20;

/// Refuses entities that stand for themselves or, in all the places that name them, for more than
/// [`EXPANSION_MAX`] bytes.
pub(super) fn check(text: &str) -> Result<(), ReadError> {
    let mut table = Table { text, declared: declarations(text), lengths: HashMap::new() };
    if table.declared.is_empty() {
        return Ok(());
    }
    let mut total = 0_usize;
    for name in references(text) {
        total = total.saturating_add(table.length(name, 0)?);
        if total > EXPANSION_MAX {
            return Err(table.refused(name));
        }
    }
    Ok(())
}

struct Table<'a> {
    text: &'a str,
    declared: HashMap<&'a str, &'a str>,
    lengths: HashMap<&'a str, usize>,
}

impl<'a> Table<'a> {
    /// Bytes that an entity stands for. A circle goes on until it is deeper than there are names.
    fn length(&mut self, name: &'a str, depth: usize) -> Result<usize, ReadError> {
        if let Some(&known) = self.lengths.get(name) {
            return Ok(known);
        }
        let Some(&value) = self.declared.get(name) else { return Ok(0) };
        if depth > 16 {
            return Err(self.refused(name));
        }
        let mut length = value.len();
        for inner in references(value) {
            length = length.saturating_add(self.length(inner, depth + 1)?);
            if length > EXPANSION_MAX {
                return Err(self.refused(name));
            }
        }
        self.lengths.insert(name, length);
        Ok(length)
    }

    fn refused(&self, name: &str) -> ReadError {
        let at = self.text.find(&format!("<!ENTITY {name}")).unwrap_or(0);
        ReadError::Entity { place: place(self.text, at), name: name.to_owned(), limit: EXPANSION_MAX }
    }
}

/// Where a byte of the text is.
pub(super) fn place(text: &str, byte: usize) -> Place {
    let before = &text.as_bytes()[..byte];
    let line_start = before.iter().rposition(|&b| b == b'\n').map_or(0, |at| at + 1);
    let characters = before[line_start..].iter().filter(|&&b| b & 0xc0 != 0x80).count();
    let lines = before.iter().filter(|&&b| b == b'\n').count();
    Place { line: lines as u32 + 1, column: characters as u32 + 1 }
}

/// The names and quoted values declared anywhere (the first of a name counts, as in XML).
fn declarations(text: &str) -> HashMap<&str, &str> {
    let mut found = HashMap::new();
    for (at, key) in text.match_indices("<!ENTITY") {
        let rest = text[at + key.len()..].trim_start();
        let Some((name, rest)) = rest.split_once(char::is_whitespace) else { continue };
        let rest = rest.trim_start();
        let Some(quote) = rest.chars().next().filter(|c| matches!(c, '"' | '\'')) else { continue };
        if let Some((value, _)) = rest[1..].split_once(quote) {
            found.entry(name).or_insert(value);
        }
    }
    found
}

/// The names in `&name;`, character references left out.
fn references(text: &str) -> impl Iterator<Item = &str> {
    text.split('&').skip(1).filter_map(|after| {
        let (name, _) = after.split_once(';')?;
        (!name.starts_with('#') && name.len() < 256).then_some(name)
    })
}
