//! What a file says before its entities: unit, layers, blocks.

use super::DxfError;
use super::colour::{indexed, packed};
use super::pairs::{Pair, Record, records};
use crate::drawing::Rgb;
use kurbo::Point;
use std::borrow::Cow;
use std::collections::HashMap;

/// A file by its parts; the entities still as records.
pub(super) struct File<'a, 'p> {
    /// Millimetres in a unit; `None` when the file does not say.
    pub(super) unit_mm: Option<f64>,
    pub(super) layers: HashMap<&'a str, Layer>,
    pub(super) blocks: HashMap<&'a str, Block<'a, 'p>>,
    pub(super) entities: Vec<Record<'a, 'p>>,
}

/// A layer's own look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Layer {
    pub(super) colour: Rgb,
    /// Neither switched off nor frozen.
    pub(super) seen: bool,
}

/// Entities under a name.
pub(super) struct Block<'a, 'p> {
    pub(super) base: Point,
    pub(super) entities: Vec<Record<'a, 'p>>,
}

/// The file's text: UTF-8, or else the Western European code page that older releases wrote.
pub(super) fn decode(bytes: &[u8]) -> Result<Cow<'_, str>, DxfError> {
    if bytes.contains(&0) {
        return Err(DxfError::NotText);
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    Ok(match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().map(|&byte| western(byte)).collect()),
    })
}

/// A character of Windows code page 1252 (the Unicode Consortium's mapping table).
fn western(byte: u8) -> char {
    const HIGH: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}', '‘',
        '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9f => HIGH[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

/// Sorts a file's groups into its sections.
pub(super) fn file<'a, 'p>(pairs: &'p [Pair<'a>]) -> Result<File<'a, 'p>, DxfError> {
    let mut file = File { unit_mm: None, layers: HashMap::new(), blocks: HashMap::new(), entities: Vec::new() };
    let all: Vec<Record<'a, 'p>> = records(pairs).collect();
    if !all.iter().any(|record| record.kind == "SECTION") {
        return Err(DxfError::NotText);
    }
    let mut rest = &all[..];
    while let Some(start) = rest.iter().position(|record| record.kind == "SECTION") {
        let body = &rest[start + 1..];
        let end = body.iter().position(|record| record.kind == "ENDSEC").unwrap_or(body.len());
        match rest[start].text(2) {
            Some("HEADER") => file.unit_mm = unit(rest[start].pairs)?,
            Some("TABLES") => layers(&body[..end], &mut file.layers)?,
            Some("BLOCKS") => blocks(&body[..end], &mut file.blocks)?,
            Some("ENTITIES") => file.entities = body[..end].to_vec(),
            _ => {}
        }
        rest = &body[end..];
    }
    Ok(file)
}

/// `$INSUNITS`, in millimetres.
fn unit(header: &[Pair<'_>]) -> Result<Option<f64>, DxfError> {
    let Some(at) = header.iter().position(|pair| pair.code == 9 && pair.value == "$INSUNITS") else { return Ok(None) };
    let Some(value) = header.get(at + 1) else { return Ok(None) };
    Ok(match value.whole()? {
        1 => Some(25.4),
        2 => Some(304.8),
        4 => Some(1.0),
        5 => Some(10.0),
        6 => Some(1000.0),
        8 => Some(25.4e-6),
        9 => Some(25.4e-3),
        10 => Some(914.4),
        13 => Some(1e-3),
        14 => Some(100.0),
        21 => Some(1_200_000.0 / 3937.0),
        _ => None,
    })
}

fn layers<'a>(records: &[Record<'a, '_>], layers: &mut HashMap<&'a str, Layer>) -> Result<(), DxfError> {
    for record in records.iter().filter(|record| record.kind == "LAYER") {
        let Some(name) = record.text(2) else { continue };
        let index = record.whole_or(62, 7)?;
        let own = record.find(420).map(Pair::whole).transpose()?.map(packed);
        let colour = own.unwrap_or(indexed(index.unsigned_abs().min(255) as u8));
        layers.insert(name, Layer { colour, seen: index >= 0 && record.whole_or(70, 0)? & 1 == 0 });
    }
    Ok(())
}

fn blocks<'a, 'p>(records: &[Record<'a, 'p>], blocks: &mut HashMap<&'a str, Block<'a, 'p>>) -> Result<(), DxfError> {
    let mut rest = records;
    while let Some(start) = rest.iter().position(|record| record.kind == "BLOCK") {
        let head = rest[start];
        let body = &rest[start + 1..];
        let end = body.iter().position(|record| record.kind == "ENDBLK").unwrap_or(body.len());
        let base = Point::new(head.number_or(10, 0.0)?, head.number_or(20, 0.0)?);
        if let Some(name) = head.text(2) {
            blocks.insert(name, Block { base, entities: body[..end].to_vec() });
        }
        rest = &body[end..];
    }
    Ok(())
}
