//! Curves into chords, and how often chords cross.

use super::Ring;
use crate::bounds::Bounds;
use crate::grid::Point;
use kurbo::{Affine, BezPath, PathEl};

/// The chords of a path after `transform`, one ring for each closed or open subpath.
pub(crate) fn flattened(path: &BezPath, transform: Affine, tolerance_mm: f64) -> Vec<Ring> {
    let mut rings: Vec<Ring> = Vec::new();
    kurbo::flatten(transform * path, tolerance_mm, |element| match element {
        PathEl::MoveTo(p) => rings.push(Ring(vec![Point { x: p.x, y: p.y }])),
        PathEl::LineTo(p) => {
            if let Some(ring) = rings.last_mut() {
                ring.0.push(Point { x: p.x, y: p.y });
            }
        }
        _ => {}
    });
    rings.retain(|ring| ring.0.len() > 2);
    rings
}

/// Length of a curve's control polygon, which is no shorter than the curve.
pub(crate) fn control_length(curve: &kurbo::PathSeg) -> f64 {
    let cubic = curve.to_cubic();
    cubic.p0.distance(cubic.p1) + cubic.p1.distance(cubic.p2) + cubic.p2.distance(cubic.p3)
}

/// Edge pairs looked at to estimate how often outlines cross.
const PAIRS: u64 = 1 << 16;

/// How often edges cross, from a fixed sample of pairs: for `n` edges, right to about `n² / 2¹⁷` crossings.
pub(crate) fn crossings(edges: &[(Point, Point)]) -> u64 {
    let n = edges.len() as u64;
    if n < 2_000 {
        return 0;
    }
    // A linear congruential generator (Knuth's MMIX constants) spreads the pairs; always the same.
    let mut state = 1_u64;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        edges[((state >> 33) % n) as usize]
    };
    let hits = (0..PAIRS).filter(|_| cross(draw(), draw())).count() as u64;
    (hits as f64 / PAIRS as f64 * 0.5 * (n as f64).powi(2)) as u64
}

fn cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let touches = |(a, b), (c, d)| match (Bounds::around([a, b]), Bounds::around([c, d])) {
        (Some(one), Some(two)) => one.touches(&two),
        _ => false,
    };
    let side = |a: Point, b: Point, p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    touches((a, b), (c, d)) && side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
