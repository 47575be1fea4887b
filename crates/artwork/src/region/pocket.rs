//! Pockets that close when an outline is moved.
//!
//! A disc of the radius `d` of the move lies on two corners of an outline, the lips `A` and `B`, on the side that the
//! outline is moved to; its middle is `X`. What lies between the lips is a pocket when it lies below their mouth, goes
//! from one to the other without turning back, and keeps out of the disc. Nothing of its own edges is left once moved: a
//! place over the mouth that is further than `d` from both lips has a disc that reaches below the mouth within the first
//! one, so no edge of the pocket is within `d` of it; and a place in the pocket is within half the mouth, and so within
//! `d`, of its walls. So the pocket may be filled, and what is left of it once moved are the two triangles from the lips
//! to `X` and to the middle of the mouth: all that is over the mouth and nearest to a lip, and not over another edge.
//!
//! Pockets are looked for where a disc would roll, which is found as a convex hull is: of three corners the middle one is
//! passed over when the disc on the outer two does not reach it. That may find what is none, so each is looked at whole.

use super::outline::{Joint, Outline};

/// Most corners of a pocket: looking for its end costs as much.
const CORNERS_MAX: usize = 2_000;
/// Edges that a pocket is made less by, to keep out of the disc: it comes to rest on edges and not on corners.
const EDGES_LESS: usize = 6;
/// An edge that touches the disc by less than this share of its radius only touches it.
const TOUCH: f64 = 1e-9;

/// Leaves out the pockets that close when the outline is moved by `by`, outwards when positive.
pub(super) fn left_out(outline: &mut Outline, by: f64) {
    let whole = Run { first: 0, lip: 0, other: outline.corners.len() };
    if !whole.is_worth_it(outline, by) {
        return;
    }
    // A first round finds a corner that the disc touches, to begin from: no pocket goes over it.
    let parts = whole.parts(outline, by, Span::Any);
    let first = parts[parts.len() / 2].lip;
    for run in (Run { first, ..whole }).parts(outline, by, Span::Any) {
        run.close(outline, by, &[Span::Mouth, Span::Closing]);
    }
}

/// Which corners a pocket may have between its lips.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Span {
    /// Any that a disc passes over.
    Any,
    /// Of those the ones across the mouth.
    Mouth,
    /// Such as close, whether a disc passes over them or not.
    Closing,
}

/// Corners from one lip to another, counted from the first.
#[derive(Debug, Clone, Copy)]
struct Run {
    first: usize,
    lip: usize,
    other: usize,
}

impl Run {
    fn at(self, outline: &Outline, step: usize) -> usize {
        let corner = self.first + step;
        let count = outline.corners.len();
        // Never twice around.
        if corner < count { corner } else { corner - count }
    }

    fn inner(self) -> std::ops::Range<usize> {
        self.lip + 1..self.other
    }

    /// Whether moving its corners one by one would lead through them.
    fn is_worth_it(self, outline: &Outline, by: f64) -> bool {
        let mut inner = self.inner().map(|step| self.at(outline, step));
        inner.any(|corner| outline.closes(corner, by) && !outline.fits(corner, by))
    }

    /// From each corner to the next that a rolling disc touches.
    fn parts(self, outline: &Outline, by: f64, span: Span) -> Vec<Self> {
        let mut touched: Vec<usize> = Vec::new();
        for other in self.lip..=self.other {
            while let [.., lip, last] = touched[..] {
                if !(Self { lip, other, ..self }).passes_over(outline, last, by, span) {
                    break;
                }
                touched.pop();
            }
            touched.push(other);
        }
        touched.windows(2).map(|pair| Self { lip: pair[0], other: pair[1], ..self }).collect()
    }

    /// Whether a corner lies between two lips.
    fn passes_over(self, outline: &Outline, step: usize, by: f64, span: Span) -> bool {
        if self.other - self.lip > CORNERS_MAX || self.other - self.lip >= outline.corners.len() {
            return false;
        }
        if span == Span::Closing {
            return outline.closes(self.at(outline, step), by);
        }
        let [a, b, p] = [self.lip, self.other, step].map(|step| outline.corners[self.at(outline, step)]);
        let ((cx, cy), (px, py)) = ((b.0 - a.0, b.1 - a.1), (p.0 - a.0, p.1 - a.1));
        let below = by * (cx * py - cy * px) >= 0.0;
        let is_across = span == Span::Any || (0.0..=cx * cx + cy * cy).contains(&(cx * px + cy * py));
        below && is_across && self.middle(outline, by).is_some_and(|middle| squared(middle, p) >= by * by)
    }

    /// Leaves the run out if it is a pocket, else looks for smaller ones in it.
    fn close(self, outline: &mut Outline, by: f64, smaller: &[Span]) {
        if !self.is_worth_it(outline, by) {
            return;
        }
        let is_pocket = self.clear(outline, by).is_some_and(|(run, middle)| run.leave_out(outline, middle, by));
        if let (false, [span, smaller @ ..]) = (is_pocket, smaller) {
            self.parts(outline, by, *span).into_iter().for_each(|part| part.close(outline, by, smaller));
        }
    }

    /// The pocket, less a few edges next to its lips that reach into the disc, and the disc's middle.
    fn clear(mut self, outline: &Outline, by: f64) -> Option<(Self, (f64, f64))> {
        let whole = self;
        while self.other - self.lip > 1 && self.inner().len() + EDGES_LESS >= whole.inner().len() {
            let middle = self.middle(outline, by)?;
            let reaches = |step: usize| {
                let [p, q] = [step, step + 1].map(|step| outline.corners[self.at(outline, step)]);
                squared_distance(middle, p, q) < by * by * (1.0 - TOUCH)
            };
            match (reaches(self.lip), reaches(self.other - 1)) {
                (true, _) => self.lip += 1,
                (_, true) => self.other -= 1,
                _ => return self.is_clear(outline, middle, by).then_some((self, middle)),
            }
        }
        None
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

    /// Leaves it out, unless at a lip it cannot be told whether the line there turns back or goes all around.
    fn leave_out(self, outline: &mut Outline, middle: (f64, f64), by: f64) -> bool {
        let [lip, other] = [self.lip, self.other].map(|step| self.at(outline, step));
        // From a lip to the disc's middle, as a share of the distance.
        let way = |at: (f64, f64)| ((middle.0 - at.0) / by, (middle.1 - at.1) / by);
        let (to, from) = (way(outline.corners[lip]), way(outline.corners[other]));
        let is_told =
            |a: (f64, f64), b: (f64, f64)| by.signum() * (a.0 * b.1 - a.1 * b.0) >= 0.0 || a.0 * b.0 + a.1 * b.1 >= 0.0;
        if !is_told(outline.arc(lip).0, to) || !is_told(from, outline.arc(other).1) {
            return false;
        }
        outline.joints[lip].to = Some(to);
        outline.joints[other].from = Some(from);
        for step in self.inner() {
            let corner = self.at(outline, step);
            outline.joints[corner] = Joint { left_out: true, ..Joint::default() };
        }
        true
    }
}

fn squared(a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    dx * dx + dy * dy
}

fn squared_distance(from: (f64, f64), p: (f64, f64), q: (f64, f64)) -> f64 {
    let (dx, dy) = (q.0 - p.0, q.1 - p.1);
    let (fx, fy) = (from.0 - p.0, from.1 - p.1);
    let along = ((fx * dx + fy * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    let (x, y) = (fx - along * dx, fy - along * dy);
    x * x + y * y
}
