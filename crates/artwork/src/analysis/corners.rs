//! Sharp corners of outlines.

use crate::grid::Point;
use crate::region::{Region, Ring};
use rayon::prelude::*;

/// What lies inside a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The opening runs out into it: it comes out blunt.
    Opening,
    /// Resist runs out into it: it lifts first.
    Wall,
}

/// A sharp corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Where.
    pub at: Point,
    /// Its angle, in degrees, on the side that runs out.
    pub degrees: f64,
    /// Which side that is.
    pub side: Side,
}

/// How far to either side of a corner its legs are looked at: chords nearer by may be the rounding of a
/// curve's end.
const LEG_MM: f64 = 0.15;
/// An outline that turns less at a point has no corner there. 20°.
const BEND: f64 = 0.35;

/// Corners sharper than a limit, sharpest first.
pub(super) fn corners(region: &Region, sharpest_degrees: f64) -> Vec<Corner> {
    let rings: Vec<&Ring> = region.rings().collect();
    let mut found: Vec<Corner> = rings.into_par_iter().flat_map_iter(|ring| of_ring(ring, sharpest_degrees)).collect();
    found.sort_by(|a, b| a.degrees.total_cmp(&b.degrees));
    found
}

fn of_ring(ring: &Ring, sharpest_degrees: f64) -> Vec<Corner> {
    let points = &ring.0;
    let n = points.len();
    let legs = |i: usize| {
        let (before, after) = (leg(points, i, n - 1), leg(points, i, 1));
        let turn = turn(before, points[i], after);
        let degrees = 180.0 - turn.abs().to_degrees();
        // Outer rings have positive area: there a left turn (positive) has the opening inside.
        let side = if turn > 0.0 { Side::Opening } else { Side::Wall };
        Corner { at: points[i], degrees, side }
    };
    let bends = |i: &usize| turn(points[(i + n - 1) % n], points[*i], points[(i + 1) % n]).abs() > BEND;
    let mut found: Vec<Corner> =
        (0..n).filter(bends).map(legs).filter(|corner| corner.degrees < sharpest_degrees).collect();
    // A corner cut off by a tiny edge is one corner, not two.
    found.dedup_by(|b, a| (a.at.x - b.at.x).hypot(a.at.y - b.at.y) < LEG_MM);
    found
}

fn turn(before: Point, at: Point, after: Point) -> f64 {
    let (ax, ay, bx, by) = (at.x - before.x, at.y - before.y, after.x - at.x, after.y - at.y);
    (ax * by - ay * bx).atan2(ax * bx + ay * by)
}

/// The place along the outline a leg's length from a point, or the next corner on the way.
fn leg(points: &[Point], from: usize, step: usize) -> Point {
    let n = points.len();
    let (mut at, mut left) = (from, LEG_MM);
    for _ in 0..n {
        let next = (at + step) % n;
        let (dx, dy) = (points[next].x - points[at].x, points[next].y - points[at].y);
        let length = dx.hypot(dy);
        if length >= left {
            return Point { x: points[at].x + dx * left / length, y: points[at].y + dy * left / length };
        }
        left -= length;
        at = next;
        if turn(points[(at + n - step) % n], points[at], points[(at + step) % n]).abs() > BEND {
            break;
        }
    }
    points[at]
}
