//! Pockets that close when an outline is moved.
//!
//! A run of corners that close, between two lips `A` and `B` that open, is a pocket. Lay a disc of the radius `d` of the
//! move on both lips, its middle `X` on the moved side. When it touches nothing within, nothing of the pocket's own edges
//! is left once moved: a place over the mouth that is further than `d` from both lips has a disc that reaches below the
//! mouth within the first one, so no edge of the pocket is within `d` of it; and a place in the pocket is within half the
//! mouth, and so within `d`, of its walls, because they nowhere run apart. So the pocket may be filled, and the arcs about
//! the lips cut off at `X`, where they meet: what lies past `X` on the one's arc is nearer to the other lip.

use super::outline::{Joint, Outline};

/// Most corners of a pocket: looking for its end costs as much.
const CORNERS_MAX: usize = 2_000;
/// An edge that touches the disc by less than this share of its radius only touches it.
const TOUCH: f64 = 1e-9;
/// Arcs in order may be off by rounding.
const ORDER: f64 = 1e-9;

/// Leaves out every pocket that closes when the outline is moved by `by`, outwards when positive.
pub(super) fn left_out(outline: &mut Outline, by: f64) {
    let count = outline.corners.len();
    let Some(first) = (0..count).find(|&corner| !outline.closes(corner, by)) else { return };
    let mut lip = first;
    let mut last_pocket = None;
    for step in 1..=count {
        let corner = (first + step) % count;
        if step < count && outline.closes(corner, by) {
            continue;
        }
        let before = (lip + count - first) % count;
        let run = Run { lip, corners: step - before - 1, other: corner };
        lip = corner;
        if run.corners == 0 || run.other == run.lip || run.corners > CORNERS_MAX {
            continue;
        }
        let all_fit = (1..=run.corners).all(|k| outline.fits((run.lip + k) % count, by));
        if !all_fit && let Some(middle) = run.middle(outline, by) {
            run.leave_out(outline, middle, by);
            if in_order(outline, run.lip, by) {
                last_pocket = Some(run);
            } else {
                run.keep(outline);
            }
        }
    }
    // The first lip's arc now begins at the last pocket.
    if let Some(run) = last_pocket.filter(|run| run.other == first)
        && !in_order(outline, first, by)
    {
        run.keep(outline);
    }
}

/// Whether a lip's arc still ends after it begins.
fn in_order(outline: &Outline, lip: usize, by: f64) -> bool {
    let (from, to) = outline.arc(lip);
    by.signum() * (from.0 * to.1 - from.1 * to.0) >= -ORDER
}

/// A run of corners that close, between two lips.
#[derive(Debug, Clone, Copy)]
struct Run {
    lip: usize,
    corners: usize,
    other: usize,
}

impl Run {
    /// The middle of the disc that lies on both lips, when it touches nothing in the pocket.
    fn middle(self, outline: &Outline, by: f64) -> Option<(f64, f64)> {
        let (a, b) = (outline.corners[self.lip], outline.corners[self.other]);
        let (cx, cy) = (b.0 - a.0, b.1 - a.1);
        let squared = cx * cx + cy * cy;
        let up = by * by - 0.25 * squared;
        if up <= 0.0 || squared == 0.0 {
            return None;
        }
        let count = outline.corners.len();
        // Walls that run apart below the mouth: an edge along (-y, x) of its normal.
        let inward = |side: usize| cy * outline.sides[side].x - cx * outline.sides[side].y >= 0.0;
        if !inward(self.lip) || !inward((self.other + count - 1) % count) {
            return None;
        }
        let lean = by.signum() * (up / squared).sqrt();
        let middle = (0.5 * (a.0 + b.0) + lean * cy, 0.5 * (a.1 + b.1) - lean * cx);
        let least = by * by * (1.0 - TOUCH);
        let clear = |k: usize| {
            let (p, q) = (outline.corners[(self.lip + k) % count], outline.corners[(self.lip + k + 1) % count]);
            let within = by.signum() * (cx * (p.1 - a.1) - cy * (p.0 - a.0)) >= 0.0;
            within && squared_distance(middle, p, q) >= least
        };
        (0..=self.corners).all(clear).then_some(middle)
    }

    fn leave_out(self, outline: &mut Outline, middle: (f64, f64), by: f64) {
        let (a, b) = (outline.corners[self.lip], outline.corners[self.other]);
        outline.joints[self.lip].to = Some(((middle.0 - a.0) / by, (middle.1 - a.1) / by));
        outline.joints[self.other].from = Some(((middle.0 - b.0) / by, (middle.1 - b.1) / by));
        self.set(outline, true);
    }

    /// Takes leaving out back.
    fn keep(self, outline: &mut Outline) {
        outline.joints[self.lip].to = None;
        outline.joints[self.other].from = None;
        self.set(outline, false);
    }

    fn set(self, outline: &mut Outline, left_out: bool) {
        let count = outline.corners.len();
        for k in 1..=self.corners {
            outline.joints[(self.lip + k) % count] = Joint { left_out, ..Joint::default() };
        }
    }
}

fn squared_distance(from: (f64, f64), p: (f64, f64), q: (f64, f64)) -> f64 {
    let (dx, dy) = (q.0 - p.0, q.1 - p.1);
    let (fx, fy) = (from.0 - p.0, from.1 - p.1);
    let along = ((fx * dx + fy * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    let (x, y) = (fx - along * dx, fy - along * dy);
    x * x + y * y
}
