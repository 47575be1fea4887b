//! A nested sheet as an SVG at true scale: the sheet, its pieces by number, what stays whole.

use super::{NestedSheet, Piece};
use crate::svg_out::escaped;
use artwork::bounds::Bounds;
use artwork::region::Ring;
use std::fmt::Write as _;

/// Space around the sheet and height of the words, as shares of its width.
const MARGIN: f64 = 0.06;
const WORDS: f64 = 0.035;
/// Most that a piece's number may be as high as, as a share of the lesser side of its box.
const NUMBER: f64 = 0.3;

/// Draws a sheet. One unit is a millimetre; the group `pieces` holds the lines to cut, one path for each copy.
///
/// Every piece bears its number in the list, and its name as a title; what stays whole is hatched and says its size.
#[must_use]
pub fn svg(sheet: &NestedSheet, pieces: &[Piece], name: &str) -> String {
    let (length, width) = (sheet.length_mm, sheet.width_mm);
    let (margin, words) = (MARGIN * width, WORDS * width);
    let (page_width, page_height) = (length + 2.0 * margin, width + 2.0 * margin + 2.0 * words);
    let [line, thin] = [0.002, 0.001].map(|share| share * width);
    let mut svg = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"{page_width:.3}mm\" height=\"{page_height:.3}mm\" \
         viewBox=\"{:.3} {:.3} {page_width:.3} {page_height:.3}\" \
         font-family=\"sans-serif\" font-size=\"{words:.3}\">\n<title>{name}</title>\n",
        -margin,
        -margin - 2.0 * words,
        name = escaped(name),
    );
    let _ = writeln!(
        svg,
        "<defs><pattern id=\"whole\" width=\"{0:.3}\" height=\"{0:.3}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><path d=\"M0 0V{0:.3}\" stroke=\"#8a94a0\" stroke-width=\"{thin:.3}\"/>\
         </pattern></defs>",
        0.5 * words
    );
    let _ = writeln!(
        svg,
        "<rect x=\"{:.3}\" y=\"{:.3}\" width=\"{page_width:.3}\" height=\"{page_height:.3}\" fill=\"#ffffff\"/>",
        -margin,
        -margin - 2.0 * words
    );
    let _ = writeln!(svg, "<text x=\"0\" y=\"{:.3}\" fill=\"#1b2026\">{}</text>", -0.8 * words, escaped(&headline(sheet, name)));
    rest(sheet, words, &mut svg);
    let _ = writeln!(
        svg,
        "<g id=\"sheet\" fill=\"none\" stroke=\"#1b2026\" stroke-width=\"{line:.3}\">\
         <path d=\"M0 0H{length:.3}V{width:.3}H0Z\"/></g>"
    );
    let _ = writeln!(svg, "<g id=\"pieces\" fill=\"#dfe7ee\" stroke=\"#12395c\" stroke-width=\"{line:.3}\">");
    let outlines: Vec<Ring> = sheet.placements.iter().map(|at| at.outline(&pieces[at.piece])).collect();
    for (at, ring) in sheet.placements.iter().zip(&outlines) {
        let _ = writeln!(svg, "<path d=\"{}\"><title>{}</title></path>", path(ring), escaped(&pieces[at.piece].name));
    }
    let _ = writeln!(svg, "</g>\n<g id=\"numbers\" fill=\"#1b2026\" text-anchor=\"middle\" dominant-baseline=\"central\">");
    for (at, ring) in sheet.placements.iter().zip(&outlines) {
        number(at.piece + 1, ring, words, &mut svg);
    }
    svg.push_str("</g>\n</svg>\n");
    svg
}

fn headline(sheet: &NestedSheet, name: &str) -> String {
    format!(
        "{name}: {:.1} × {:.1} mm, {} pieces, used to {:.1} mm, {:.1} % of that covered",
        sheet.length_mm,
        sheet.width_mm,
        sheet.placements.len(),
        sheet.used_mm,
        100.0 * sheet.density
    )
}

/// What stays whole beyond the pieces.
fn rest(sheet: &NestedSheet, words: f64, svg: &mut String) {
    let Some((length, width)) = sheet.remnant_mm() else { return };
    let _ = writeln!(
        svg,
        "<rect id=\"remnant\" x=\"{:.3}\" y=\"0\" width=\"{length:.3}\" height=\"{width:.3}\" fill=\"url(#whole)\"/>",
        sheet.used_mm
    );
    let text = format!("left whole: {length:.1} × {width:.1} mm");
    // Upright when it is too narrow for the words.
    let narrow = length < 0.6 * words * text.chars().count() as f64;
    let (x, y) = (sheet.used_mm + 0.5 * length, 0.5 * width);
    let turn = if narrow { format!(" transform=\"rotate(-90 {x:.3} {y:.3})\"") } else { String::new() };
    if length > 1.5 * words {
        let _ = writeln!(
            svg,
            "<text x=\"{x:.3}\" y=\"{y:.3}\" fill=\"#1b2026\" text-anchor=\"middle\" dominant-baseline=\"central\" \
             stroke=\"#ffffff\" stroke-width=\"{:.3}\" paint-order=\"stroke\"{turn}>{text}</text>",
            0.3 * words
        );
    }
}

fn number(number: usize, ring: &Ring, words: f64, svg: &mut String) {
    let Some(bounds) = Bounds::around(ring.0.iter().copied()) else { return };
    let size = (NUMBER * bounds.width_mm().min(bounds.height_mm())).min(words);
    let at = super::kind::label_point(ring);
    let _ = writeln!(svg, "<text x=\"{:.3}\" y=\"{:.3}\" font-size=\"{size:.3}\">{number}</text>", at.x, at.y);
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
