//! Pockets that close when an outline is moved.
//!
//! A run of corners that close, between two lips `A` and `B` that open, is a pocket, with corners that open beside them. Lay a disc of the radius `d` of the
//! move on both lips, its middle `X` on the moved side. When it touches nothing within, nothing of the pocket's own edges
//! is left once moved: a place over the mouth that is further than `d` from both lips has a disc that reaches below the
//! mouth within the first one, so no edge of the pocket is within `d` of it; and a place in the pocket is within half the
//! mouth, and so within `d`, of its walls, because they go from lip to lip without turning back. So the pocket may be filled, and the arcs about
//! the lips cut off at `X`, where they meet: what lies past `X` on the one's arc is nearer to the other lip. Where the disc
//! cuts into an edge outside of a lip, it comes to rest further out.

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
    // Counted from the first lip, so that an end at `count` is that lip again.
    let (mut lip, mut floor) = (0, 0);
    for step in 1..=count {
        let corner = (first + step) % count;
        if step < count && outline.closes(corner, by) {
            continue;
        }
        let run = Run { first, lip, other: step };
        lip = step;
        let is_pocket = run.other - run.lip > 1 && run.other - run.lip < count;
        if !is_pocket || run.inner().all(|k| outline.fits(run.at(outline, k), by)) {
            continue;
        }
        if let Some((run, middle)) = run.resting(outline, by, floor) {
            run.leave_out(outline, middle, by);
            floor = run.other;
        }
    }
}

/// A run of corners that close, between two lips, counted from the first corner that opens.
#[derive(Debug, Clone, Copy)]
struct Run {
    first: usize,
    lip: usize,
    other: usize,
}

impl Run {
    fn at(self, outline: &Outline, step: usize) -> usize {
        (self.first + step) % outline.corners.len()
    }

    fn inner(self) -> std::ops::Range<usize> {
        self.lip + 1..self.other
    }

    /// The lips on which a disc comes to rest, and its middle, when it touches nothing in the pocket. Where it would cut
    /// into an edge outside, the next corner is the lip. `floor`: no lip before this.
    fn resting(mut self, outline: &Outline, by: f64, floor: usize) -> Option<(Self, (f64, f64))> {
        let count = outline.corners.len();
        let in_order = |from: (f64, f64), to: (f64, f64)| by.signum() * (from.0 * to.1 - from.1 * to.0) >= -ORDER;
        loop {
            if self.other - self.lip > CORNERS_MAX || self.other - self.lip >= count {
                return None;
            }
            let middle = self.middle(outline, by)?;
            let (lip, other) = (self.at(outline, self.lip), self.at(outline, self.other));
            let (from, to) = (outline.arc(lip).0, outline.arc(other).1);
            let (before, after) = (in_order(from, self.way(outline, lip, middle, by)), {
                in_order(self.way(outline, other, middle, by), to)
            });
            if before && after {
                return self.is_clear(outline, middle, by).then_some((self, middle));
            }
            // A lip that is another pocket's, or a corner that closes, is not passed.
            let goes_on = |step: usize| step < count && !outline.closes(self.at(outline, step), by);
            match (before, after) {
                (false, _) if self.lip > floor && goes_on(self.lip - 1) => self.lip -= 1,
                (true, false) if goes_on(self.other + 1) || self.other + 1 == count => self.other += 1,
                _ => return None,
            }
        }
    }

    /// From a lip to the disc's middle, as a share of the distance.
    fn way(self, outline: &Outline, lip: usize, middle: (f64, f64), by: f64) -> (f64, f64) {
        let at = outline.corners[lip];
        ((middle.0 - at.0) / by, (middle.1 - at.1) / by)
    }

    /// The middle of the disc that lies on both lips; `None` where it would fall through.
    fn middle(self, outline: &Outline, by: f64) -> Option<(f64, f64)> {
        let [a, b] = [self.lip, self.other].map(|step| outline.corners[self.at(outline, step)]);
        let (cx, cy) = (b.0 - a.0, b.1 - a.1);
        let squared = cx * cx + cy * cy;
        let up = by * by - 0.25 * squared;
        if up <= 0.0 || squared == 0.0 {
            return None;
        }
        let lean = by.signum() * (up / squared).sqrt();
        Some((0.5 * (a.0 + b.0) + lean * cy, 0.5 * (a.1 + b.1) - lean * cx))
    }

    /// Whether the pocket lies below its mouth, goes from one lip to the other without turning back, and keeps out of the
    /// disc.
    fn is_clear(self, outline: &Outline, middle: (f64, f64), by: f64) -> bool {
        let [a, b] = [self.lip, self.other].map(|step| outline.corners[self.at(outline, step)]);
        let (cx, cy) = (b.0 - a.0, b.1 - a.1);
        let least = by * by * (1.0 - TOUCH);
        (self.lip..self.other).all(|step| {
            let [p, q] = [step, step + 1].map(|step| outline.corners[self.at(outline, step)]);
            let below = by.signum() * (cx * (p.1 - a.1) - cy * (p.0 - a.0)) >= 0.0;
            let onward = cx * (q.0 - p.0) + cy * (q.1 - p.1) >= 0.0;
            below && onward && squared_distance(middle, p, q) >= least
        })
    }

    fn leave_out(self, outline: &mut Outline, middle: (f64, f64), by: f64) {
        let [lip, other] = [self.lip, self.other].map(|step| self.at(outline, step));
        outline.joints[lip].to = Some(self.way(outline, lip, middle, by));
        outline.joints[other].from = Some(self.way(outline, other, middle, by));
        for step in self.inner() {
            let corner = self.at(outline, step);
            outline.joints[corner] = Joint { left_out: true, ..Joint::default() };
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
