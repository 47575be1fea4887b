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

/// The overlap of two placed shapes that are known to overlap; above zero.
pub(super) fn overlap(a: &SPolygon, kind_a: &Kind, b: &SPolygon, kind_b: &Kind) -> f32 {
    let fade = FADE * a.diameter().max(b.diameter());
    let area = circles_overlap(&a.surrogate().poles, &b.surrogate().poles, fade);
    (area + fade * fade).sqrt() * kind_a.scale * kind_b.scale
}

fn circles_overlap(a: &[Circle], b: &[Circle], fade: f32) -> f32 {
    let mut sum = 0.0;
    for p in a {
        for q in b {
            let (dx, dy) = (p.center.0 - q.center.0, p.center.1 - q.center.1);
            let depth = p.radius + q.radius - (dx * dx + dy * dy).sqrt();
            let faded = fade * fade / (2.0 * fade - depth.min(fade));
            sum += depth.max(faded) * p.radius.min(q.radius);
        }
    }
    sum
}
