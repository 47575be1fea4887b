//! Lines as a tool or a pen follows them, and how far two sets of them lie apart.

use crate::layers::{Mark, StencilLayer};
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{Region, Ring};
use std::collections::HashMap;

/// A line that is drawn or cut in one go.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Its corners in mm, in order.
    pub points: Vec<Point>,
    /// Whether the last joins the first.
    pub closed: bool,
}

impl Stroke {
    /// The straight pieces, the closing one last.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let next = self.points.iter().cycle().skip(1);
        let count = if self.closed { self.points.len() } else { self.points.len().saturating_sub(1) };
        self.points.iter().zip(next).take(count).map(|(&a, &b)| (a, b))
    }

    /// Its length, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.edges().map(|(a, b)| apart(a, b)).sum()
    }
}

impl From<&Ring> for Stroke {
    fn from(ring: &Ring) -> Self {
        Self { points: ring.0.clone(), closed: true }
    }
}

/// Every ring of a region.
#[must_use]
pub fn outlines(region: &Region) -> Vec<Stroke> {
    region.rings().filter(|ring| ring.0.len() > 1).map(Stroke::from).collect()
}

/// All that a layer's file draws: openings, registration marks, further cuts, the weed box last.
#[must_use]
pub fn of_layer(layer: &StencilLayer) -> Vec<Stroke> {
    let marks = layer.marks.iter().flat_map(cross);
    outlines(&layer.openings).into_iter().chain(marks).chain(around(layer)).collect()
}

/// What is cut but opens nothing: further cuts and the weed box.
#[must_use]
pub fn around(layer: &StencilLayer) -> Vec<Stroke> {
    layer.cuts.iter().map(Stroke::from).chain([rectangle(layer.weed_box)]).collect()
}

/// The two strokes of a registration cross.
#[must_use]
pub fn cross(mark: &Mark) -> [Stroke; 2] {
    let (c, r) = (mark.centre, mark.reach_mm);
    let line = |dx: f64, dy: f64| Stroke {
        points: vec![Point { x: c.x - dx, y: c.y - dy }, Point { x: c.x + dx, y: c.y + dy }],
        closed: false,
    };
    [line(r, 0.0), line(0.0, r)]
}

/// A rectangle's outline.
#[must_use]
pub fn rectangle(bounds: Bounds) -> Stroke {
    let (a, c) = (bounds.min, bounds.max);
    Stroke { points: vec![a, Point { x: c.x, y: a.y }, c, Point { x: a.x, y: c.y }], closed: true }
}

/// Furthest that a place of one set of strokes lies from the nearest place of the other, both ways, mm.
///
/// Corners and places at most a quarter of a millimetre apart are looked at. Beyond `reach_mm` it is not
/// looked, and the answer is infinity.
#[must_use]
pub fn deviation_mm(a: &[Stroke], b: &[Stroke], reach_mm: f64) -> f64 {
    one_way(a, b, reach_mm).max(one_way(b, a, reach_mm))
}

/// Edge of the cells in which pieces are looked up, and longest piece, mm.
const CELL_MM: f64 = 1.0;
/// Furthest between two places that are looked at, mm.
const LOOK_MM: f64 = 0.25;

type Cells = HashMap<(i64, i64), Vec<(Point, Point)>>;

fn one_way(from: &[Stroke], to: &[Stroke], reach_mm: f64) -> f64 {
    let mut cells = Cells::new();
    for (a, b) in to.iter().flat_map(Stroke::edges) {
        split(a, b, CELL_MM).for_each(|piece| add(&mut cells, piece, reach_mm));
    }
    let nearest = |p: Point| {
        let near = cells.get(&cell(p)).into_iter().flatten();
        near.map(|&(a, b)| to_piece(p, a, b)).fold(f64::INFINITY, f64::min)
    };
    from.iter()
        .flat_map(Stroke::edges)
        .flat_map(|(a, b)| split(a, b, LOOK_MM).map(|piece| piece.0).chain([b]).collect::<Vec<_>>())
        .map(nearest)
        .map(|off| if off <= reach_mm { off } else { f64::INFINITY })
        .fold(0.0, f64::max)
}

fn split(a: Point, b: Point, longest_mm: f64) -> impl Iterator<Item = (Point, Point)> {
    let n = (apart(a, b) / longest_mm).ceil().max(1.0);
    let at = move |i: usize| Point { x: a.x + (b.x - a.x) * i as f64 / n, y: a.y + (b.y - a.y) * i as f64 / n };
    (0..n as usize).map(move |i| (at(i), at(i + 1)))
}

fn add(cells: &mut Cells, (a, b): (Point, Point), reach_mm: f64) {
    let low = cell(Point { x: a.x.min(b.x) - reach_mm, y: a.y.min(b.y) - reach_mm });
    let high = cell(Point { x: a.x.max(b.x) + reach_mm, y: a.y.max(b.y) + reach_mm });
    for x in low.0..=high.0 {
        for y in low.1..=high.1 {
            cells.entry((x, y)).or_default().push((a, b));
        }
    }
}

fn cell(p: Point) -> (i64, i64) {
    ((p.x / CELL_MM).floor() as i64, (p.y / CELL_MM).floor() as i64)
}

fn to_piece(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let squared = dx * dx + dy * dy;
    let t = if squared > 0.0 { (((p.x - a.x) * dx + (p.y - a.y) * dy) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (p.x - a.x - t * dx).hypot(p.y - a.y - t * dy)
}

/// From one point to another, mm.
pub(crate) fn apart(a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    // Lengths of a sheet do not overflow, and the library's careful root is several times slower.
    (dx * dx + dy * dy).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, side: f64) -> Vec<Stroke> {
        vec![rectangle(Bounds { min: Point { x, y: 0.0 }, max: Point { x: x + side, y: side } })]
    }

    #[test]
    fn the_deviation_of_a_moved_square_is_its_way() {
        assert!((deviation_mm(&square(0.0, 10.0), &square(0.03, 10.0), 0.1) - 0.03).abs() < 1e-12);
        assert_eq!(deviation_mm(&square(0.0, 10.0), &square(5.0, 10.0), 0.1), f64::INFINITY);
        // What one set has more is seen, whichever it is.
        let both = [square(0.0, 10.0), square(20.0, 1.0)].concat();
        assert_eq!(deviation_mm(&square(0.0, 10.0), &both, 0.1), f64::INFINITY);
        assert_eq!(deviation_mm(&both, &square(0.0, 10.0), 0.1), f64::INFINITY);
    }
}
