//! Regions as DXF, for cutters and for drawing programs.

use crate::region::{Region, Ring};
use std::fmt::Write as _;

/// One layer of a file.
#[derive(Debug, Clone, Copy)]
pub struct DxfLayer<'a> {
    /// Its name. Characters that the format forbids in names become `_`.
    pub name: &'a str,
    /// Its colour's index, 1 to 255: 1 red, 2 yellow, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black.
    pub colour: u8,
    /// What is on it.
    pub region: &'a Region,
}

/// Writes a DXF file of release 12 in millimetres: a layer for each region, a closed polyline for each
/// ring, y up from the bottom of a page of this height.
///
/// Release 12, because everything that reads DXF reads it. The unit stands in `$INSUNITS`, which
/// readers of that release pass over. Coordinates have six decimals, a nanometre, so that a region read back has
/// its very points.
/// Checked: ezdxf's auditor finds nothing to mend, and ezdxf sees the same area (tests/oracles/artwork_dxf.py).
#[must_use]
pub fn write_dxf(layers: &[DxfLayer<'_>], height_mm: f64) -> String {
    let mut out = String::new();
    let names = names(layers);
    header(&mut out, layers, height_mm);
    tables(&mut out, layers, &names);
    out.push_str("0\nSECTION\n2\nENTITIES\n");
    for (layer, name) in layers.iter().zip(&names) {
        layer.region.rings().for_each(|ring| polyline(&mut out, ring, name, height_mm));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out
}

fn header(out: &mut String, layers: &[DxfLayer<'_>], height_mm: f64) {
    let around = layers.iter().filter_map(|layer| layer.region.bounds()).reduce(crate::bounds::Bounds::with);
    let around = around.unwrap_or(crate::bounds::Bounds::from_size(1.0, height_mm));
    let (low, high) = ((around.min.x, height_mm - around.max.y), (around.max.x, height_mm - around.min.y));
    out.push_str("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n");
    for (name, (x, y)) in [("$EXTMIN", low), ("$EXTMAX", high)] {
        push(out, format_args!("9\n{name}\n10\n{x:.6}\n20\n{y:.6}\n30\n0.0\n"));
    }
    out.push_str("0\nENDSEC\n");
}

fn tables(out: &mut String, layers: &[DxfLayer<'_>], names: &[String]) {
    out.push_str("0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLTYPE\n70\n1\n");
    out.push_str("0\nLTYPE\n2\nCONTINUOUS\n70\n0\n3\nSolid line\n72\n65\n73\n0\n40\n0.0\n0\nENDTAB\n");
    push(out, format_args!("0\nTABLE\n2\nLAYER\n70\n{}\n", layers.len() + 1));
    let zero = (&"0".to_owned(), 7);
    let named = names.iter().zip(layers).map(|(name, layer)| (name, layer.colour.max(1)));
    for (name, colour) in std::iter::once(zero).chain(named) {
        push(out, format_args!("0\nLAYER\n2\n{name}\n70\n0\n62\n{colour}\n6\nCONTINUOUS\n"));
    }
    out.push_str("0\nENDTAB\n0\nENDSEC\n");
}

fn polyline(out: &mut String, ring: &Ring, layer: &str, height_mm: f64) {
    push(out, format_args!("0\nPOLYLINE\n8\n{layer}\n66\n1\n10\n0.0\n20\n0.0\n30\n0.0\n70\n1\n"));
    for point in &ring.0 {
        let (x, y) = (point.x, height_mm - point.y);
        push(out, format_args!("0\nVERTEX\n8\n{layer}\n10\n{x:.6}\n20\n{y:.6}\n30\n0.0\n"));
    }
    push(out, format_args!("0\nSEQEND\n8\n{layer}\n"));
}

/// Names that the format allows, all different.
fn names(layers: &[DxfLayer<'_>]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for layer in layers {
        let mut name = allowed(layer.name);
        while name == "0" || names.contains(&name) {
            name.push('_');
        }
        names.push(name);
    }
    names
}

fn allowed(name: &str) -> String {
    let mut out = String::new();
    for character in name.chars().take(200) {
        match character {
            '<' | '>' | '/' | '\\' | '"' | ':' | ';' | '?' | '*' | '|' | '=' | '`' | ',' | '\'' => out.push('_'),
            c if c.is_control() || c.is_whitespace() => out.push('_'),
            c if c.is_ascii() => out.push(c),
            c if (c as u32) < 0x1_0000 => push(&mut out, format_args!("\\U+{:04X}", c as u32)),
            _ => out.push('_'),
        }
    }
    if out.is_empty() { "layer".to_owned() } else { out }
}

fn push(out: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing to a string cannot fail.
    let _ = out.write_fmt(text);
}
