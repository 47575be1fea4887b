//! The largest circle that touches an edge at a given place: how wide an opening or a wall is there.

use crate::edges::{Edge, Edges};
use crate::grid::Point;

/// Edges this little inside a circle do not count: coordinates are rounded to 0.06 µm.
const ROUNDING_MM: f64 = 3e-4;
/// Touching points this much of the radius further out count as touching: arcs are chords.
const CHORD_SHARE: f64 = 0.015;
/// Least angle at the centre between two touching points that lie on *opposite* sides, as a cosine.
/// 120°. In a corner of 60° or more the two points come nearer together than that.
const OPPOSITE: f64 = -0.5;
/// Least turn of an outline, in radians, that makes the end of a narrowing part a tip. 100°.
const SHARP: f64 = 1.745;
/// Most turn besides the sharp one on the way round a tip. 50°.
const STRAIGHT: f64 = 0.873;

/// Between two sides with less outline than this between them there is no place, only a point that rounding or mending
/// left.
const TRIFLE_MM: f64 = 0.01;

/// Which side of the edges is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Opening,
    Wall,
}

/// A place on the outline and the way from it into the side measured.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Start {
    pub(crate) edge: usize,
    pub(crate) at: Point,
    /// Unit vector.
    pub(crate) normal: Point,
    /// Length of outline that this place stands for.
    pub(crate) weight_mm: f64,
}

/// A circle that touches the outline on opposite sides.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ball {
    pub(crate) centre: Point,
    /// Half of the way across through the centre. (The circle's own radius suffers where an edge is so
    /// short that rounding turns it; the way across does not.)
    pub(crate) radius: f64,
    /// The two sides meet in one sharp corner nearby.
    pub(crate) tip: bool,
    pub(crate) weight_mm: f64,
}

/// The largest circle that touches the outline at `start` and has no edge within; `None` when its radius
/// is `radius_max` or more, or when it touches no opposite side.
///
/// Method: the shrinking ball (J. Ma, S. W. Bae and S. Choi, "3D medial axis point approximation using
/// nearest neighbors and the normal field", 2012; from memory): while a point `q` of the outline lies
/// inside, the circle through it that touches at `a` is next, `r = |q - a|² / (2 n·(q - a))`.
pub(crate) fn ball(edges: &Edges, side: Side, start: &Start, radius_max: f64) -> Option<Ball> {
    let (radius, touched) = shrink(edges, side, start.at, start.normal, radius_max);
    touched?;
    let centre = along(start.at, start.normal, radius);
    let opposite = most_opposite(edges, side, start.at, centre, radius).filter(|touch| touch.cosine <= OPPOSITE)?;
    if 2.0 * radius < TRIFLE_MM && is_trifle(edges, start, &opposite) {
        return None;
    }
    let tip = is_tip(edges, start.edge, opposite.edge);
    Some(Ball { centre, radius: 0.5 * (radius + opposite.distance), tip, weight_mm: start.weight_mm })
}

/// The radius at which nothing is inside any more, and the last point that was.
///
/// Circles that touch at the same place lie within each other, so any that holds a point will do to
/// start with: the search grows to it from a small one, and costs no more than the place is wide.
pub(crate) fn shrink(edges: &Edges, side: Side, a: Point, n: Point, radius_max: f64) -> (f64, Option<Point>) {
    let mut radius = edges.reach().min(radius_max);
    while radius < radius_max && innermost(edges, side, along(a, n, radius), radius).is_none() {
        radius = (2.0 * radius).min(radius_max);
    }
    let mut touched = None;
    // Each round shrinks the circle onto another point; a few do, the bound is for rounding.
    for _ in 0..64 {
        let Some(q) = innermost(edges, side, along(a, n, radius), radius) else { break };
        let (dx, dy) = (q.x - a.x, q.y - a.y);
        let height = n.x * dx + n.y * dy;
        let smaller = (dx * dx + dy * dy) / (2.0 * height);
        if height <= 0.0 || smaller >= radius {
            break;
        }
        radius = smaller;
        touched = Some(q);
    }
    (radius, touched)
}

/// The point of the outline furthest inside a circle.
fn innermost(edges: &Edges, side: Side, centre: Point, radius: f64) -> Option<Point> {
    let mut least = (radius - ROUNDING_MM).max(0.0).powi(2);
    let mut found = None;
    edges.near(centre, radius, |_, edge| {
        if let Some(q) = considered(edge, side, centre) {
            let squared = (q.x - centre.x).powi(2) + (q.y - centre.y).powi(2);
            if squared < least {
                least = squared;
                found = Some(q);
            }
        }
    });
    found
}

/// A point that a circle touches.
struct Touch {
    edge: usize,
    at: Point,
    /// Of the angle at the centre to the place where the circle starts.
    cosine: f64,
    /// From the centre.
    distance: f64,
}

/// The touching point most nearly opposite to `a`.
fn most_opposite(edges: &Edges, side: Side, a: Point, centre: Point, radius: f64) -> Option<Touch> {
    let reach = radius * (1.0 + CHORD_SHARE) + 2.0 * ROUNDING_MM;
    let mut best: Option<Touch> = None;
    edges.near(centre, reach, |index, edge| {
        let Some(q) = considered(edge, side, centre) else { return };
        let distance = apart(q, centre);
        if distance > reach || distance <= 0.0 {
            return;
        }
        let dot = (q.x - centre.x) * (a.x - centre.x) + (q.y - centre.y) * (a.y - centre.y);
        let cosine = dot / (distance * radius);
        if best.as_ref().is_none_or(|touch| cosine < touch.cosine) {
            best = Some(Touch { edge: index, at: q, cosine, distance });
        }
    });
    best
}

fn considered(edge: &Edge, side: Side, centre: Point) -> Option<Point> {
    (edge.ring.is_some() || side == Side::Wall).then(|| edge.nearest(centre))
}

/// Whether the outline leads from one side to the other, either way, in less than [`TRIFLE_MM`].
fn is_trifle(edges: &Edges, start: &Start, touch: &Touch) -> bool {
    let Some((first, count)) = shared_ring(edges, start.edge, touch.edge) else { return false };
    let leads = |(from, p): (usize, Point), (to, q): (usize, Point)| {
        let (mut at, mut long, mut edge) = (p, 0.0, from);
        // Each edge but the last ends where the next begins.
        while edge != to && long < TRIFLE_MM {
            long += apart(at, edges.all[edge].b);
            (at, edge) = (edges.all[edge].b, first + (edge + 1 - first) % count);
        }
        long + apart(at, q) < TRIFLE_MM
    };
    let (start, touch) = ((start.edge, start.at), (touch.edge, touch.at));
    leads(start, touch) || leads(touch, start)
}

/// Where the edges of a ring begin that two edges share, and how many there are.
fn shared_ring(edges: &Edges, one: usize, other: usize) -> Option<(usize, usize)> {
    let ring = edges.all[one].ring.filter(|ring| edges.all[other].ring == Some(*ring))? as usize;
    let first = edges.ring_starts[ring] as usize;
    Some((first, edges.ring_starts[ring + 1] as usize - first))
}

/// Whether the outline from one edge to the other, by the shorter way, is straight but for one sharp turn.
fn is_tip(edges: &Edges, one: usize, other: usize) -> bool {
    let Some((start, length)) = shared_ring(edges, one, other) else { return false };
    let ahead = (other + length - one) % length;
    let (from, steps) = if ahead <= length - ahead { (one, ahead) } else { (other, length - ahead) };
    let (mut total, mut sharpest) = (0.0_f64, 0.0_f64);
    // A way of this many points is no corner; the bound keeps the walk short.
    for step in 0..steps.min(256) {
        let edge = |k: usize| &edges.all[start + (from - start + k) % length];
        let turn = turn(edge(step), edge(step + 1)).abs();
        total += turn;
        sharpest = sharpest.max(turn);
        // What turns besides the sharpest only grows.
        if total - sharpest > STRAIGHT {
            return false;
        }
    }
    sharpest >= SHARP && total - sharpest <= STRAIGHT
}

/// How much the outline turns from one edge to the next, in radians; left is positive.
pub(crate) fn turn(before: &Edge, after: &Edge) -> f64 {
    let (ax, ay) = (before.b.x - before.a.x, before.b.y - before.a.y);
    let (bx, by) = (after.b.x - after.a.x, after.b.y - after.a.y);
    (ax * by - ay * bx).atan2(ax * bx + ay * by)
}

/// Millimetres between two places. No coordinate is so large that its square would overflow.
pub(crate) fn apart(p: Point, q: Point) -> f64 {
    ((p.x - q.x).powi(2) + (p.y - q.y).powi(2)).sqrt()
}

pub(crate) fn along(a: Point, n: Point, by: f64) -> Point {
    Point { x: a.x + n.x * by, y: a.y + n.y * by }
}
