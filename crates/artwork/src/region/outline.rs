//! A ring on the grid, as it is drawn in or out.

use super::Ring;

/// A ring's corners, the sides between them, and how pockets were left out at them.
#[derive(Debug, Default)]
pub(super) struct Outline {
    /// In lines of the grid, none twice in a row; none at all of a ring without three.
    pub(super) corners: Vec<(f64, f64)>,
    /// The side that leads on from each corner.
    pub(super) sides: Vec<Side>,
    /// One for each corner.
    pub(super) joints: Vec<Joint>,
}

/// An edge's outward normal, of length 1, and its length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Side {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) length: f64,
}

/// Where the arc about a corner begins and ends, as shares of the distance, when that is not at an edge's normal; or
/// that the corner is left out.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Joint {
    pub(super) from: Option<(f64, f64)>,
    pub(super) to: Option<(f64, f64)>,
    pub(super) left_out: bool,
}

impl Joint {
    pub(super) const fn is_free(&self) -> bool {
        self.from.is_none() && self.to.is_none()
    }
}

impl Outline {
    /// Takes another ring.
    pub(super) fn read(&mut self, ring: &Ring, lines_per_mm: f64) {
        let line = |mm: f64| f64::from(nearest(mm * lines_per_mm));
        let Self { corners, sides, joints } = self;
        corners.clear();
        corners.extend(ring.0.iter().map(|p| (line(p.x), line(p.y))));
        corners.dedup();
        while corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        if corners.len() < 3 {
            corners.clear();
        }
        sides.clear();
        let next = corners.iter().cycle().skip(1);
        sides.extend(corners.iter().zip(next).map(|(a, b)| {
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            // No overflow to fear on a grid of 2³⁰ lines.
            let length = (dx * dx + dy * dy).sqrt();
            Side { x: dy / length, y: -dx / length, length }
        }));
        joints.clear();
        joints.resize(corners.len(), Joint::default());
    }

    /// The sides that lead to a corner and on from it.
    pub(super) fn sides_at(&self, corner: usize) -> (Side, Side) {
        (self.sides[if corner == 0 { self.sides.len() - 1 } else { corner - 1 }], self.sides[corner])
    }

    /// Whether moved edges run into each other at a corner: it turns away from the side that it is moved to.
    pub(super) fn closes(&self, corner: usize, by: f64) -> bool {
        let (before, after) = self.sides_at(corner);
        (before.x * after.y - before.y * after.x) * by < 0.0
    }

    /// Whether both edges are long enough for moved ones to meet within them: `2 d tan(t/2)`, `tan(t/2)` being
    /// `sin t / (1 + cos t)`.
    pub(super) fn fits(&self, corner: usize, by: f64) -> bool {
        let (before, after) = self.sides_at(corner);
        let (sine, cosine) = (before.x * after.y - before.y * after.x, before.x * after.x + before.y * after.y);
        2.0 * by.abs() * sine.abs() <= before.length.min(after.length) * (1.0 + cosine)
    }

    /// Where the arc about a corner begins and ends.
    pub(super) fn arc(&self, corner: usize) -> ((f64, f64), (f64, f64)) {
        let ((before, after), joint) = (self.sides_at(corner), self.joints[corner]);
        (joint.from.unwrap_or((before.x, before.y)), joint.to.unwrap_or((after.x, after.y)))
    }
}

/// The nearest line of the grid, without the call that `round` is on older processors.
pub(super) fn nearest(lines: f64) -> i32 {
    (lines + 0.5_f64.copysign(lines)) as i32
}
