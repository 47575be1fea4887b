//! Corners: as drawn, eased so that nothing tears, or cut past so that they come free.

use crate::strokes::{Stroke, apart};
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use quantity::Length;

/// What is done at a corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Corners {
    /// Cut as drawn.
    #[default]
    AsDrawn,
    /// Eased: an arc instead of the point, so that a thick resist does not tear from there. Changes the artwork.
    Eased {
        /// How far from the corner the curve begins, along both of its sides.
        by: Length,
    },
    /// The blade comes off at the corner and sets in again, each time past it, so that the corner comes free.
    Past {
        /// How far past the corner each cut goes, into the resist that stays.
        by: Length,
    },
}

/// Turns sharper than this are corners; what a curve was flattened to turns by less. Judgement.
const CORNER_DEGREES: f64 = 25.0;
/// Share of the way to the next corner that an easing takes at most, so that two never meet.
const SIDE_SHARE: f64 = 0.45;
/// Pieces of an eased corner.
const PIECES: usize = 8;

/// Openings with their corners eased: from `by` before a corner to `by` after it a parabola that touches both sides.
///
/// At a right angle the point moves in by 0.35 of `by`. Between two corners nearer than `by` the curve is shorter.
#[must_use]
pub fn eased(openings: &Region, by: Length) -> Region {
    let rings: Vec<Ring> = openings.rings().map(|ring| eased_ring(ring, by.to_mm())).collect();
    Region::from_rings(&rings, FillRule::EvenOdd)
}

fn eased_ring(ring: &Ring, by_mm: f64) -> Ring {
    let corners = corners(&ring.0);
    if by_mm <= 0.0 || corners.is_empty() {
        return ring.clone();
    }
    let sides = sides(&ring.0, &corners);
    let ease = |side: &[Point]| by_mm.min(SIDE_SHARE * length(side));
    let mut points = Vec::with_capacity(ring.0.len() + PIECES * corners.len());
    for (side, next) in sides.iter().zip(sides.iter().cycle().skip(1)) {
        let kept = between(side, ease(side), length(side) - ease(side));
        let (from, corner, to) = (kept[kept.len() - 1], side[side.len() - 1], along(next, ease(next)));
        points.extend(kept);
        points.extend((1..PIECES).map(|k| parabola(from, corner, to, k as f64 / PIECES as f64)));
    }
    Ring(points)
}

fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|pair| apart(pair[0], pair[1])).sum()
}

fn parabola(a: Point, corner: Point, b: Point, t: f64) -> Point {
    let [u, v, w] = [(1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t];
    Point { x: u * a.x + v * corner.x + w * b.x, y: u * a.y + v * corner.y + w * b.y }
}

/// Closed strokes broken at their corners into open ones that reach past them; others stay.
///
/// Every place of the old line is on the new ones, which leave it by `by` at most, at corners only.
#[must_use]
pub fn past(strokes: &[Stroke], by: Length) -> Vec<Stroke> {
    let by_mm = by.to_mm();
    strokes.iter().flat_map(|stroke| past_one(stroke, by_mm)).collect()
}

fn past_one(stroke: &Stroke, by_mm: f64) -> Vec<Stroke> {
    let corners = if stroke.closed && by_mm > 0.0 { corners(&stroke.points) } else { Vec::new() };
    if corners.is_empty() {
        return vec![stroke.clone()];
    }
    let reach = |mut side: Vec<Point>| {
        let last = side.len() - 1;
        let (first, end) = (beyond(side[1], side[0], by_mm), beyond(side[last - 1], side[last], by_mm));
        side.insert(0, first);
        side.push(end);
        Stroke { points: side, closed: false }
    };
    sides(&stroke.points, &corners).into_iter().map(reach).collect()
}

/// The point past `to` on the way from `from`.
fn beyond(from: Point, to: Point, by_mm: f64) -> Point {
    let t = by_mm / apart(from, to).max(f64::MIN_POSITIVE);
    Point { x: to.x + (to.x - from.x) * t, y: to.y + (to.y - from.y) * t }
}

/// Places of a ring's corners.
fn corners(points: &[Point]) -> Vec<usize> {
    let n = points.len();
    let turn = |i: usize| {
        let [a, b, c] = [points[(i + n - 1) % n], points[i], points[(i + 1) % n]];
        let (u, v) = ((b.x - a.x, b.y - a.y), (c.x - b.x, c.y - b.y));
        (u.0 * v.1 - u.1 * v.0).atan2(u.0 * v.0 + u.1 * v.1).abs()
    };
    (0..n).filter(|&i| n > 2 && turn(i) > CORNER_DEGREES.to_radians()).collect()
}

/// A ring's pieces from corner to corner, both included.
fn sides(points: &[Point], corners: &[usize]) -> Vec<Vec<Point>> {
    let n = points.len();
    let side = |i: usize| {
        let (from, to) = (corners[i], corners[(i + 1) % corners.len()]);
        let count = if to > from { to - from } else { to + n - from };
        (0..=count).map(|k| points[(from + k) % n]).collect()
    };
    (0..corners.len()).map(side).collect()
}

/// The part of a line between two distances along it.
fn between(line: &[Point], from: f64, to: f64) -> Vec<Point> {
    let mut points = vec![along(line, from)];
    let mut done = 0.0;
    for pair in line.windows(2) {
        done += apart(pair[0], pair[1]);
        if from < done && done < to {
            points.push(pair[1]);
        }
    }
    points.push(along(line, to));
    points
}

/// The point at a distance along a line.
fn along(line: &[Point], distance: f64) -> Point {
    let mut left = distance;
    for pair in line.windows(2) {
        let length = apart(pair[0], pair[1]);
        if length >= left && length > 0.0 {
            let t = left / length;
            return Point { x: pair[0].x + (pair[1].x - pair[0].x) * t, y: pair[0].y + (pair[1].y - pair[0].y) * t };
        }
        left -= length;
    }
    line[line.len() - 1]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strokes::{deviation_mm, outlines, rectangle};
    use artwork::bounds::Bounds;

    fn square() -> Region {
        Region::rectangle(Bounds::from_size(10.0, 10.0))
    }

    fn circle() -> Region {
        let at = |i: u32| (f64::from(i) * std::f64::consts::TAU / 180.0).sin_cos();
        Region::from_rings(
            &[Ring((0..180).map(at).map(|(s, c)| Point { x: 5.0 * c, y: 5.0 * s }).collect())],
            FillRule::EvenOdd,
        )
    }

    #[test]
    fn an_eased_square_loses_a_sixth_of_the_square_of_the_easing_at_each_corner() {
        // Between the parabola and its two tangents lies a third of their triangle, which is half of by squared; in
        // eight chords it loses a 64th of the other two thirds as well (Archimedes).
        let lost = 100.0 - eased(&square(), Length::mm(1.5).unwrap()).area().to_square_mm();
        let want = 4.0 * 0.5 * 1.5 * 1.5 * (1.0 / 3.0 + 2.0 / 3.0 / 64.0);
        assert!((lost / want - 1.0).abs() < 1e-4, "{lost} {want}");
        // The parabola's middle is a quarter of the way from the corner's chord: 0.3536 of by off the corner.
        let off = deviation_mm(&outlines(&eased(&square(), Length::mm(1.5).unwrap())), &outlines(&square()), 1.0);
        assert!((off - 1.5 * 0.5 / 2_f64.sqrt()).abs() < 0.01, "{off}");
    }

    #[test]
    fn easings_of_a_short_side_do_not_meet_and_curves_have_no_corner() {
        let thin = Region::rectangle(Bounds::from_size(10.0, 1.0));
        let area = eased(&thin, Length::mm(3.0).unwrap()).area().to_square_mm();
        assert!(area > 7.0 && area < 10.0, "{area}");
        assert_eq!(eased(&circle(), Length::mm(1.0).unwrap()), circle());
    }

    #[test]
    fn a_square_cut_past_its_corners_is_four_lines_that_cross_there() {
        let square = [rectangle(Bounds::from_size(10.0, 10.0))];
        let cut = past(&square, Length::mm(0.5).unwrap());
        assert_eq!(cut.len(), 4);
        assert!(cut.iter().all(|line| (line.length_mm() - 11.0).abs() < 1e-12 && !line.closed));
        assert!((deviation_mm(&cut, &square, 1.0) - 0.5).abs() < 1e-9);
        let round = outlines(&circle());
        assert_eq!(past(&round, Length::mm(0.5).unwrap()), round);
    }
}
