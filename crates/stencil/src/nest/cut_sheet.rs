//! A nested sheet for the cutter: what is cut in each piece, at true scale, where it lies.

use super::{NestedSheet, Piece, Placement};
use crate::svg_out::escaped;
use artwork::region::{Region, Ring};
use std::fmt::Write as _;

/// Draws a sheet for the cutter. One unit is a millimetre, x along the roll.
///
/// The group `cut` holds the openings, a path for each piece; `boxes` the line around each, for weeding and for
/// parting them; `numbers` each piece's number on the sheet, which is not cut. `cuts`: for each piece of the list.
#[must_use]
pub fn cut_svg(sheet: &NestedSheet, pieces: &[Piece], cuts: &[Region], name: &str) -> String {
    let (length, width) = (sheet.used_mm, sheet.width_mm);
    let mut svg = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{length:.3}mm\" \
         height=\"{width:.3}mm\" viewBox=\"0 0 {length:.3} {width:.3}\">\n<title>{}</title>\n<g id=\"boxes\" \
         fill=\"none\" stroke=\"#7a8a99\" stroke-width=\"0.1\">\n",
        escaped(name)
    );
    for at in &sheet.placements {
        let _ = writeln!(svg, "<path d=\"{}\"/>", path(std::slice::from_ref(&at.outline(&pieces[at.piece])).iter()));
    }
    svg.push_str("</g>\n<g id=\"cut\" fill=\"#1b2026\" fill-rule=\"evenodd\" stroke=\"none\">\n");
    for at in &sheet.placements {
        let rings: Vec<Ring> =
            cuts.get(at.piece).into_iter().flat_map(Region::rings).map(|ring| moved(at, ring)).collect();
        let title = escaped(&pieces[at.piece].name);
        let _ = writeln!(svg, "<path d=\"{}\"><title>{title}</title></path>", path(rings.iter()));
    }
    svg.push_str("</g>\n<g id=\"numbers\" font-family=\"sans-serif\" font-size=\"2.6\" fill=\"#7a8a99\">\n");
    for at in &sheet.placements {
        let corner = at.outline(&pieces[at.piece]);
        let left = corner.0.iter().map(|point| point.x).fold(f64::INFINITY, f64::min);
        let top = corner.0.iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
        let _ = writeln!(svg, "<text x=\"{:.3}\" y=\"{:.3}\">{}</text>", left + 0.8, top + 2.9, at.piece + 1);
    }
    svg.push_str("</g>\n</svg>\n");
    svg
}

fn moved(at: &Placement, ring: &Ring) -> Ring {
    Ring(ring.0.iter().map(|&point| at.moved(point)).collect())
}

fn path<'a>(rings: impl Iterator<Item = &'a Ring>) -> String {
    let mut path = String::new();
    for ring in rings {
        for (index, point) in ring.0.iter().enumerate() {
            let _ = write!(path, "{}{:.3} {:.3}", if index == 0 { "M" } else { "L" }, point.x, point.y);
        }
        path.push('Z');
    }
    path
}
