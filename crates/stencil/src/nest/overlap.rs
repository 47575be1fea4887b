//! How much two pieces overlap: a smooth stand-in, quick to compute.
//!
//! Each piece is filled with circles. For two circles `p` and `q` the penetration is `δ = rp + rq - |pq|`; below
//! `ε` it fades as `ε² / (2ε - δ)` instead of ending, so that a move that brings two pieces further apart always
//! tells. Their sum, each times the lesser radius, is about an area; its root, times the mean size of the two
//! pieces, is the loss:
//!
//! `loss = sqrt(Σ δ' min(rp, rq) + ε²) (Ha Hb)^¼`, `ε = 1 %` of the larger diameter, `H` the convex hull's area.
//!
//! Source: J. Gardeyn, G. Vanden Berghe and T. Wauters, arXiv 2509.13329 (2025), the overlap proxy; from its
//! description.

use super::kind::Kind;
use jagua_rs::geometry::primitives::{Circle, SPolygon};

/// The share of the larger piece's diameter below which a penetration fades.
const FADE: f32 = 0.01;
/// Circles that are compared at once.
const LANES: usize = 8;

/// The circles of a placed shape, laid out to be compared several at once; the last ones may be of no size.
#[derive(Debug, Clone, Default)]
pub(super) struct Circles {
    x: Vec<[f32; LANES]>,
    y: Vec<[f32; LANES]>,
    radius: Vec<[f32; LANES]>,
}

impl Circles {
    pub(super) fn of(shape: &SPolygon) -> Self {
        let circles = &shape.surrogate().poles;
        let lanes = |value: fn(&Circle) -> f32| {
            let filled = |some: &[Circle]| std::array::from_fn(|i| some.get(i).map_or(0.0, value));
            circles.chunks(LANES).map(filled).collect()
        };
        Self { x: lanes(|c| c.center.0), y: lanes(|c| c.center.1), radius: lanes(|c| c.radius) }
    }
}

/// The overlap of two placed shapes that are known to overlap; above zero.
///
/// Once it is sure to reach `most`, anything from there up may be given.
pub(super) fn overlap(a: &SPolygon, kind_a: &Kind, b: &Circles, kind_b: &Kind, most: f32) -> f32 {
    let fade = FADE * a.diameter().max(kind_b.shape.diameter());
    let scale = kind_a.scale * kind_b.scale;
    let enough = (most / scale) * (most / scale);
    let mut area = fade * fade;
    // The largest circles come first, so that a deep overlap tells early.
    for circle in &a.surrogate().poles {
        area += with_one(circle, b, fade);
        if area > enough {
            break;
        }
    }
    area.sqrt() * scale
}

fn with_one(circle: &Circle, others: &Circles, fade: f32) -> f32 {
    let mut sums = [0.0; LANES];
    for ((x, y), radius) in others.x.iter().zip(&others.y).zip(&others.radius) {
        for i in 0..LANES {
            let (dx, dy) = (circle.center.0 - x[i], circle.center.1 - y[i]);
            let depth = circle.radius + radius[i] - (dx * dx + dy * dy).sqrt();
            // Below `fade` the fading one is the larger, above it is `fade` itself.
            let faded = fade * fade / (2.0 * fade - lesser(depth, fade));
            sums[i] += larger(depth, faded) * lesser(circle.radius, radius[i]);
        }
    }
    sums.iter().sum()
}

/// `f32::min` without its care for NaN, which keeps the loop from being done several at once.
fn lesser(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

fn larger(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}
