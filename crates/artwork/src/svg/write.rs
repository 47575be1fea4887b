//! A drawing as an SVG file at true scale, one path for each shape.

use crate::drawing::{Drawing, Shape};
use crate::region::Region;
use std::fmt::Write as _;

/// Writes a drawing: millimetres, ten nanometres fine, outlines filled by the even-odd rule, each
/// under its own id inside its groups' names.
#[must_use]
pub fn write_svg(drawing: &Drawing) -> String {
    let [width, height] = [drawing.width_mm, drawing.height_mm].map(number);
    let mut svg = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" \
         height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n"
    );
    for shape in &drawing.shapes {
        written(shape, &mut svg);
    }
    svg + "</svg>\n"
}

fn written(shape: &Shape, svg: &mut String) {
    for group in &shape.groups {
        let _ = write!(svg, "<g id=\"{}\">", escaped(group));
    }
    let id = if shape.id.is_empty() { String::new() } else { format!(" id=\"{}\"", escaped(&shape.id)) };
    let _ = write!(svg, "<path{id} fill=\"{}\" fill-rule=\"evenodd\" d=\"{}\"/>", shape.paint, path(&shape.region));
    svg.push_str(&"</g>".repeat(shape.groups.len()));
    svg.push('\n');
}

fn path(region: &Region) -> String {
    let mut d = String::with_capacity(16 * region.vertex_count());
    for ring in region.rings() {
        for (i, point) in ring.0.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, number(point.x), number(point.y));
        }
        d.push('Z');
    }
    d
}

/// At most five decimals, none that are nought.
fn number(mm: f64) -> String {
    let text = format!("{mm:.5}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::{ReadOptions, read_svg};

    #[test]
    fn what_is_written_reads_as_the_same_drawing() {
        let svg = br##"<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
            <g id="leaves &amp; stems"><path id="a" fill="#aa3300" d="M2 2h20v20h-20zM8 8h6v6h-6z"/></g>
            <circle id="b" cx="30" cy="15" r="7.3"/></svg>"##;
        let first = read_svg(svg, &ReadOptions::default()).unwrap();
        let again = read_svg(write_svg(&first).as_bytes(), &ReadOptions::default()).unwrap();
        assert_eq!((first.width_mm, first.height_mm), (again.width_mm, again.height_mm));
        for (before, after) in first.shapes.iter().zip(&again.shapes) {
            assert_eq!((&before.id, &before.paint), (&after.id, &after.paint));
            assert!((before.region.area().to_square_mm() / after.region.area().to_square_mm() - 1.0).abs() < 1e-6);
        }
        assert_eq!(first.shapes.len(), again.shapes.len());
    }
}
