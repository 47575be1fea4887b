//! A nested sheet as an SVG at true scale: the sheet, its pieces by number, what stays whole.

use super::kind::label_point;
use super::{NestedSheet, Piece};
use crate::svg_out::escaped;
use artwork::bounds::Bounds;
use artwork::region::Ring;
use language::{say, say_count};
use std::fmt::Write as _;

/// Space around the sheet, height of the words, and width of lines, as shares of the sheet's width.
const MARGIN: f64 = 0.06;
const WORDS: f64 = 0.035;
const LINE: f64 = 0.002;
/// A piece's number is at most this share of the lesser side of its box high.
const NUMBER: f64 = 0.5;
/// Width of a letter over its height, about.
const LETTER: f64 = 0.6;

/// Draws a sheet. One unit is a millimetre; the group `pieces` holds the lines to cut, one path for each copy.
///
/// Every piece bears its number in the list, and its name as a title; what stays whole is hatched and says its size.
#[must_use]
pub fn svg(sheet: &NestedSheet, pieces: &[Piece], name: &str) -> String {
    let words = WORDS * sheet.width_mm;
    let outlines: Vec<(usize, Ring)> =
        sheet.placements.iter().map(|at| (at.piece, at.outline(&pieces[at.piece]))).collect();
    let mut svg = head(sheet, name, words);
    rest(sheet, words, &mut svg);
    edge(sheet, &mut svg);
    cuts(&outlines, pieces, LINE * sheet.width_mm, &mut svg);
    numbers(&outlines, words, &mut svg);
    svg.push_str("</svg>\n");
    svg
}

/// The page, its ground and its headline.
fn head(sheet: &NestedSheet, name: &str, words: f64) -> String {
    let margin = MARGIN * sheet.width_mm;
    let (left, top) = (-margin, -margin - 2.0 * words);
    // The headline may be longer than a short sheet.
    let headline = headline(sheet, name);
    let told = LETTER * words * headline.chars().count() as f64;
    let (width, height) = (sheet.length_mm.max(told) + 2.0 * margin, sheet.width_mm + margin - top);
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"{width:.3}mm\" height=\"{height:.3}mm\" viewBox=\"{left:.3} {top:.3} {width:.3} {height:.3}\" \
         font-family=\"sans-serif\" font-size=\"{words:.3}\" fill=\"#1b2026\">\n<title>{title}</title>\n\
         <rect x=\"{left:.3}\" y=\"{top:.3}\" width=\"{width:.3}\" height=\"{height:.3}\" fill=\"#ffffff\"/>\n\
         <text x=\"0\" y=\"{:.3}\">{}</text>\n",
        -0.8 * words,
        escaped(&headline),
        title = escaped(name),
    )
}

fn headline(sheet: &NestedSheet, name: &str) -> String {
    let covered = 100.0 * sheet.density;
    say_count!(
        sheet.placements.len(),
        "{name}: {count} piece, used to {used:.1} mm, {covered:.1} % of that covered",
        "{name}: {count} pieces, used to {used:.1} mm, {covered:.1} % of that covered",
        count = sheet.placements.len(),
        used = sheet.used_mm
    )
}

fn edge(sheet: &NestedSheet, svg: &mut String) {
    let _ = writeln!(
        svg,
        "<g id=\"sheet\" fill=\"none\" stroke=\"#1b2026\" stroke-width=\"{:.3}\"><path d=\"M0 0H{:.4}V{:.4}H0Z\"/></g>",
        LINE * sheet.width_mm,
        sheet.length_mm,
        sheet.width_mm
    );
}

/// What stays whole beyond the pieces; its size is written along it when it is too narrow for the words.
fn rest(sheet: &NestedSheet, words: f64, svg: &mut String) {
    let Some((length, width)) = sheet.remnant_mm() else { return };
    let (x, y, step) = (sheet.used_mm + 0.5 * length, 0.5 * width, 0.5 * words);
    let _ = writeln!(
        svg,
        "<defs><pattern id=\"whole\" width=\"{step:.3}\" height=\"{step:.3}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><path d=\"M0 0V{step:.3}\" stroke=\"#8a94a0\" stroke-width=\"{:.3}\"/>\
         </pattern></defs>\n<rect id=\"remnant\" x=\"{:.3}\" y=\"0\" width=\"{length:.3}\" height=\"{width:.3}\" \
         fill=\"url(#whole)\"/>",
        0.1 * step,
        sheet.used_mm
    );
    let text = say!("left whole: {length:.1} × {width:.1} mm");
    let along = LETTER * words * text.chars().count() as f64;
    let turn = if along > length { format!(" transform=\"rotate(-90 {x:.3} {y:.3})\"") } else { String::new() };
    if length > 1.5 * words {
        let _ = writeln!(
            svg,
            "<text x=\"{x:.3}\" y=\"{y:.3}\" text-anchor=\"middle\" dominant-baseline=\"central\" stroke=\"#ffffff\" \
             stroke-width=\"{:.3}\" paint-order=\"stroke\"{turn}>{text}</text>",
            0.3 * words
        );
    }
}

fn cuts(outlines: &[(usize, Ring)], pieces: &[Piece], line: f64, svg: &mut String) {
    let _ = writeln!(svg, "<g id=\"pieces\" fill=\"#dfe7ee\" stroke=\"#12395c\" stroke-width=\"{line:.3}\">");
    for (piece, ring) in outlines {
        let _ = writeln!(svg, "<path d=\"{}\"><title>{}</title></path>", path(ring), escaped(&pieces[*piece].name));
    }
    svg.push_str("</g>\n");
}

fn numbers(outlines: &[(usize, Ring)], words: f64, svg: &mut String) {
    svg.push_str("<g id=\"numbers\" text-anchor=\"middle\" dominant-baseline=\"central\">\n");
    for (piece, ring) in outlines {
        let Some(bounds) = Bounds::around(ring.0.iter().copied()) else { continue };
        let size = (NUMBER * bounds.width_mm().min(bounds.height_mm())).min(words);
        let (at, number) = (label_point(ring), piece + 1);
        let _ = writeln!(svg, "<text x=\"{:.3}\" y=\"{:.3}\" font-size=\"{size:.3}\">{number}</text>", at.x, at.y);
    }
    svg.push_str("</g>\n");
}

fn path(ring: &Ring) -> String {
    let mut d = String::with_capacity(18 * ring.0.len());
    for (i, point) in ring.0.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{letter}{:.4} {:.4}", point.x, point.y);
    }
    d.push('Z');
    d
}
