//! The pens that all charts draw with. Sizes are in text sizes (`em`, millimetres), so that a chart
//! grows with its words.

use crate::axis::spread;
use crate::metrics::{CAP_HEIGHT, fitted, width_mm};
use crate::scene::{Anchor, Face, Item, Paint, Path, Stroke, Text};
use crate::theme::Role;
use artwork::grid::Point;

/// A line's width at a text size of 2.7 mm.
const LINE_MM: f64 = 0.35;

/// A stroke of so many usual line widths.
pub(crate) fn stroke(em: f64, widths: f64, paint: impl Into<Paint>) -> Stroke {
    Stroke::new(widths * LINE_MM * em / 2.7, paint)
}

/// Words whose capitals are centred on a place's height.
pub(crate) fn words(em: f64, at: Point, anchor: Anchor, face: Face, role: Role, text: &str) -> Text {
    let at = Point { x: at.x, y: at.y + 0.5 * CAP_HEIGHT * em };
    Text { at, text: text.to_owned(), size_mm: em, anchor, face, paint: role.into() }
}

/// A label right of a plot: where it points, a number, and a name.
pub(crate) struct Label {
    pub(crate) y_mm: f64,
    pub(crate) number: String,
    pub(crate) name: String,
    pub(crate) paint: Paint,
}

/// Names in the margin right of a plot, moved apart, each led to its place.
///
/// * `margin`: its left and right edge. * `lane`: top and bottom of the plot.
pub(crate) fn labels(em: f64, margin: (f64, f64), lane: (f64, f64), labels: &[Label]) -> Vec<Item> {
    let wanted: Vec<f64> = labels.iter().map(|label| label.y_mm).collect();
    let numbers = labels.iter().map(|label| width_mm(&label.number, em, Face::Condensed)).fold(0.0, f64::max);
    let placed = spread(&wanted, 1.2 * em, lane.0, f64::max(lane.1, lane.0 + 1.2 * em));
    let after_number = margin.0 + 2.0 * em + numbers;
    let room = margin.1 - after_number - 0.4 * em;
    let mut items = Vec::new();
    for (label, y) in labels.iter().zip(placed) {
        let points = [(0.0, label.y_mm), (0.7, label.y_mm), (1.3, y), (1.7, y)];
        let points = points.map(|(step, y)| Point { x: margin.0 + step * em, y });
        items.extend(Path::polyline(points, stroke(em, 0.6, label.paint)).map(Item::from));
        let at = |x: f64| Point { x, y };
        items.push(words(em, at(after_number), Anchor::End, Face::Condensed, Role::Ink, &label.number).into());
        let name = fitted(&label.name, em, Face::Condensed, room);
        let left = after_number + 0.4 * em;
        items.push(words(em, at(left), Anchor::Start, Face::Condensed, Role::DimInk, &name).into());
    }
    items
}
