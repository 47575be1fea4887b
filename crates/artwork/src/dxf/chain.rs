//! Loose curves joined end to end, and curves drawn twice drawn once.

use super::{Repair, RepairKind};
use crate::grid::Point;
use kurbo::{BezPath, PathEl, Shape as _};
use quantity::{Length, Quantity as _};
use std::collections::HashMap;

/// A gap up to this is rounding of the file's numbers, not a fault of the drawing.
const ROUNDING_MM: f64 = 1e-4;

/// Curves of one layer, in millimetres.
#[derive(Debug, Clone, Default)]
pub(super) struct Curves {
    pub(super) closed: Vec<BezPath>,
    pub(super) open: Vec<BezPath>,
}

/// The closed outlines that curves come to.
///
/// Ends are joined, nearest first, where they are no further apart than `tolerance_mm`; every gap
/// above rounding is a [`Repair`], as is a curve that lies on another, and a chain that stays open.
pub(super) fn outlines(curves: Curves, tolerance_mm: f64, repairs: &mut Vec<Repair>) -> Vec<BezPath> {
    let mut closed = singled(curves.closed, tolerance_mm, repairs);
    let mut open: Vec<BezPath> = Vec::new();
    for path in singled(curves.open, tolerance_mm, repairs) {
        let (start, end) = ends(&path);
        let alone = distance(start, end) <= ROUNDING_MM && path.elements().len() > 2;
        if alone { closed.push(path) } else { open.push(path) }
    }
    closed.extend(joined(open, tolerance_mm, repairs));
    closed
}

/// Which end of which curve: curve `i` starts at end `2 i` and ends at `2 i + 1`.
type End = usize;

fn joined(open: Vec<BezPath>, tolerance_mm: f64, repairs: &mut Vec<Repair>) -> Vec<BezPath> {
    let at: Vec<Point> = open.iter().flat_map(|path| <[Point; 2]>::from(ends(path))).collect();
    let mut partner: Vec<Option<End>> = vec![None; at.len()];
    for (gap, a, b) in pairs(&at, &open, tolerance_mm) {
        if partner[a].is_none() && partner[b].is_none() {
            partner[a] = Some(b);
            partner[b] = Some(a);
            if gap > ROUNDING_MM {
                let at = Point { x: 0.5 * (at[a].x + at[b].x), y: 0.5 * (at[a].y + at[b].y) };
                repairs.push(Repair { at, gap: Length::clamped(gap * 1e-3), kind: RepairKind::GapClosed });
            }
        }
    }
    let mut used = vec![false; open.len()];
    let mut made = Vec::new();
    // Chains with a loose end first, from that end; what is left are loops.
    let loose = (0..at.len()).filter(|&end| partner[end].is_none());
    for first in loose.collect::<Vec<End>>() {
        if !used[first / 2] {
            let (_, last) = follow(first, &open, &partner, &mut used);
            let gap = distance(at[first], at[last]);
            let kind = RepairKind::StaysOpen;
            repairs.push(Repair { at: at[first], gap: Length::clamped(gap * 1e-3), kind });
        }
    }
    for first in (0..at.len()).step_by(2) {
        if !used[first / 2] {
            let (mut path, _) = follow(first, &open, &partner, &mut used);
            path.close_path();
            made.push(path);
        }
    }
    made
}

/// Walks a chain from one of its ends; gives its path and the end that it stops at.
fn follow(first: End, open: &[BezPath], partner: &[Option<End>], used: &mut [bool]) -> (BezPath, End) {
    let mut path = BezPath::new();
    let mut entered = first;
    loop {
        let curve = entered / 2;
        used[curve] = true;
        let piece = if entered.is_multiple_of(2) { open[curve].clone() } else { open[curve].reverse_subpaths() };
        for element in piece.elements() {
            match element {
                PathEl::MoveTo(p) if !path.is_empty() => path.line_to(*p),
                other => path.push(*other),
            }
        }
        let left = entered ^ 1;
        match partner[left] {
            Some(next) if !used[next / 2] => entered = next,
            _ => return (path, left),
        }
    }
}

/// Ends no further apart than the tolerance, nearest first. The two ends of one curve are a pair only
/// when the curve is longer than they are apart by far: else it is a dot.
fn pairs(at: &[Point], open: &[BezPath], tolerance_mm: f64) -> Vec<(f64, End, End)> {
    let cell = tolerance_mm.max(ROUNDING_MM);
    let key = |p: Point| ((p.x / cell).floor() as i64, (p.y / cell).floor() as i64);
    let mut cells: HashMap<(i64, i64), Vec<End>> = HashMap::new();
    let mut found = Vec::new();
    for (end, &point) in at.iter().enumerate() {
        let (column, row) = key(point);
        for near in (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (column + dx, row + dy))) {
            // A place where very many ends meet is paired up from the first few of them.
            for &other in cells.get(&near).into_iter().flatten().take(64) {
                let gap = distance(point, at[other]);
                let own = other / 2 == end / 2;
                if gap <= cell && (!own || open[end / 2].perimeter(1e-3) > 4.0 * gap.max(cell)) {
                    found.push((gap, other, end));
                }
            }
        }
        cells.entry((column, row)).or_default().push(end);
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// Each curve once: of those that lie on each other, in either direction, the first.
fn singled(paths: Vec<BezPath>, tolerance_mm: f64, repairs: &mut Vec<Repair>) -> Vec<BezPath> {
    let within = tolerance_mm.min(0.01);
    let key = |looks: &Looks| ((looks.0[0] / 1.0).floor() as i64, (looks.0[1] / 1.0).floor() as i64);
    let mut seen: HashMap<(i64, i64), Vec<Looks>> = HashMap::new();
    let mut kept = Vec::with_capacity(paths.len());
    for path in paths {
        let looks = looks(&path);
        let (column, row) = key(&looks);
        let cells = (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (column + dx, row + dy)));
        let same = |other: &Looks| looks.0.iter().zip(other.0).all(|(a, b)| (a - b).abs() <= within);
        if cells.flat_map(|cell| seen.get(&cell).into_iter().flatten()).any(same) {
            let at = Point { x: looks.0[0], y: looks.0[1] };
            repairs.push(Repair { at, gap: Length::clamped(0.0), kind: RepairKind::DoubleRemoved });
        } else {
            seen.entry((column, row)).or_default().push(looks);
            kept.push(path);
        }
    }
    kept
}

/// What two curves that lie on each other share: the middle of their ends and the sum of both ends'
/// products (the same in either direction), the rectangle around them, length, and moments of their points.
struct Looks([f64; 10]);

fn looks(path: &BezPath) -> Looks {
    let bounds = path.bounding_box();
    let (start, end) = ends(path);
    let middle = |a: f64, b: f64| 0.5 * (a + b);
    let closed = distance(start, end) <= ROUNDING_MM;
    let [cx, cy] =
        if closed { [bounds.center().x, bounds.center().y] } else { [middle(start.x, end.x), middle(start.y, end.y)] };
    // Tells a rising diagonal from a falling one.
    let lean = if closed {
        0.0
    } else {
        ((start.x - cx) * (start.y - cy)).abs().sqrt() * ((start.x - cx) * (start.y - cy)).signum()
    };
    let length = path.perimeter(1e-4);
    let area = path.area().abs().sqrt();
    let (mx, my) = centroid(path, length);
    Looks([cx, cy, bounds.x0, bounds.y0, bounds.x1, bounds.y1, lean, length, if closed { area } else { mx }, my])
}

/// Middle of a curve's length, roughly: enough to tell curves apart that share their box.
fn centroid(path: &BezPath, length: f64) -> (f64, f64) {
    use kurbo::{ParamCurve, ParamCurveArclen};
    let (mut x, mut y) = (0.0, 0.0);
    for segment in path.segments() {
        let share = segment.arclen(1e-4) / length.max(1e-12);
        let (a, m, b) = (segment.start(), segment.eval(0.5), segment.end());
        x += share * (a.x + 4.0 * m.x + b.x) / 6.0;
        y += share * (a.y + 4.0 * m.y + b.y) / 6.0;
    }
    (x, y)
}

fn ends(path: &BezPath) -> (Point, Point) {
    let point = |p: kurbo::Point| Point { x: p.x, y: p.y };
    let start = path.elements().first().and_then(PathEl::end_point).unwrap_or_default();
    let end = path.elements().iter().rev().find_map(PathEl::end_point).unwrap_or(start);
    (point(start), point(end))
}

fn distance(a: Point, b: Point) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}
