//! A closed line cut a little past its beginning, so that its corner comes free.

use crate::strokes::{Stroke, apart};
use artwork::grid::Point;
use quantity::Length;

/// Follows each closed stroke for a length past its beginning. Open strokes stay as they are.
///
/// The result is open and lies wholly on the old line. Longer than the line itself goes once around at most.
/// Usual: half to one millimetre (common practice, no source).
#[must_use]
pub fn overcut(strokes: &[Stroke], by: Length) -> Vec<Stroke> {
    let by = by.to_mm();
    strokes.iter().map(|stroke| if stroke.closed && by > 0.0 { past(stroke, by) } else { stroke.clone() }).collect()
}

fn past(stroke: &Stroke, by_mm: f64) -> Stroke {
    let mut points: Vec<Point> = stroke.points.clone();
    points.extend(stroke.points.first());
    let mut left = by_mm;
    for (a, b) in stroke.edges() {
        let length = apart(a, b);
        if length >= left {
            let t = left / length;
            points.push(Point { x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t });
            break;
        }
        points.push(b);
        left -= length;
    }
    Stroke { points, closed: false }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strokes::{deviation_mm, rectangle};
    use artwork::bounds::Bounds;

    #[test]
    fn a_square_is_cut_on_past_its_corner_and_nowhere_else() {
        let square = [rectangle(Bounds::from_size(10.0, 10.0))];
        for by in [0.7, 12.5] {
            let cut = overcut(&square, Length::mm(by).unwrap());
            assert!((cut[0].length_mm() - 40.0 - by).abs() < 1e-12 && !cut[0].closed);
            assert!(deviation_mm(&cut, &square, 0.1) < 1e-12);
        }
        let endless = overcut(&square, Length::mm(500.0).unwrap());
        assert!((endless[0].length_mm() - 80.0).abs() < 1e-12);
    }
}
