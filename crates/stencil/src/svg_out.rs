//! A layer as an SVG file at true scale.

use crate::layers::{Mark, Side, StencilLayer};
use artwork::region::{Region, Ring};
use std::fmt::Write as _;

/// Id of the group that holds what is cut and weeded.
pub const OPENINGS: &str = "openings";
/// Id of the group that holds registration marks, further cuts and the weed box: strokes only.
pub const MARKS: &str = "marks";

/// Writes a layer.
///
/// One unit of the file is a millimetre, and `width` and `height` say so; the page is the weed box;
/// coordinates are the blank's, rounded to 0.1 µm. All openings are one path, filled even-odd. A file
/// straight from here is not checked yet: hand out [`crate::verify::verified`]'s.
#[must_use]
pub fn write(layer: &StencilLayer) -> String {
    let page = layer.weed_box;
    let [left, top] = [page.min.x, page.min.y].map(number);
    let [width, height] = [page.width_mm(), page.height_mm()].map(number);
    let mut svg = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"{left} {top} {width} {height}\">\n\
         <title>{}</title>\n<desc>{}</desc>\n",
        escaped(&title(layer)),
        side(layer.side),
    );
    let _ = writeln!(
        svg,
        "<g id=\"{OPENINGS}\" fill=\"#000000\" fill-rule=\"evenodd\" stroke=\"none\">\n<path d=\"{}\"/>\n</g>",
        path(&layer.openings)
    );
    let _ = writeln!(svg, "<g id=\"{MARKS}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.1\">");
    let _ = writeln!(svg, "<path id=\"registration\" d=\"{}\"/>", layer.marks.iter().map(cross).collect::<String>());
    if !layer.cuts.is_empty() {
        let mut cuts = String::new();
        layer.cuts.iter().for_each(|ring| ring_path(ring, &mut cuts));
        let _ = writeln!(svg, "<path id=\"cuts\" d=\"{cuts}\"/>");
    }
    let _ = writeln!(svg, "<path id=\"weed-box\" d=\"M{left} {top}h{width}v{height}h-{width}Z\"/>\n</g>\n</svg>");
    svg
}

fn title(layer: &StencilLayer) -> String {
    format!("Stage {} of {}: {}", layer.stage, layer.stages, layer.name)
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Front => "As seen, for carving from the front.",
        Side::Back => "Mirrored for carving from the back.",
    }
}

fn path(region: &Region) -> String {
    let mut d = String::with_capacity(16 * region.vertex_count());
    for ring in region.rings() {
        ring_path(ring, &mut d);
    }
    d
}

fn ring_path(ring: &Ring, d: &mut String) {
    for (i, point) in ring.0.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{letter}{} {}", number(point.x), number(point.y));
    }
    if !ring.0.is_empty() {
        d.push('Z');
    }
}

fn cross(mark: &Mark) -> String {
    let (x, y, r) = (mark.centre.x, mark.centre.y, mark.reach_mm);
    let [left, right, top, bottom] = [x - r, x + r, y - r, y + r].map(number);
    format!("M{left} {}H{right}M{} {top}V{bottom}", number(y), number(x))
}

/// Millimetres to the nearest tenth of a micrometre, without idle zeros: a hair of an opening, 0.15 mm wide
/// and 120 mm long, keeps its area to a thousandth.
fn number(mm: f64) -> String {
    let tenths = (mm * 1e4).round() as i64;
    let sign = if tenths < 0 { "-" } else { "" };
    let (whole, part) = (tenths.abs() / 10_000, tenths.abs() % 10_000);
    if part == 0 {
        return format!("{sign}{whole}");
    }
    format!("{sign}{whole}.{part:04}").trim_end_matches('0').to_owned()
}

/// Text that XML takes: its signs written out, control characters (which it cannot hold) left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(|c| !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}')) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_right_to_a_tenth_of_a_micrometre() {
        let texts = [0.0, -0.0002, 12.0, 12.5, -3.0406, 0.0009, 1999.9996].map(number);
        assert_eq!(texts, ["0", "-0.0002", "12", "12.5", "-3.0406", "0.0009", "1999.9996"]);
    }

    #[test]
    fn names_may_hold_anything() {
        assert_eq!(escaped("Oak & <Ash>\u{7}\n"), "Oak &amp; &lt;Ash&gt;");
    }
}
