//! From a place measured to the narrowest place beside it.

use super::starts::normal;
use super::{Spot, millimetres};
use crate::edges::Edges;
use crate::grid::Point;
use crate::medial::{Side, Start, ball};

/// Moves a spot along the outline to where it is narrowest: the place measured may lie up to a step beside it.
pub(super) fn slide(edges: &Edges, side: Side, spot: &mut Spot, step: f64) {
    let Some((mut edge, mut at)) = nearest_edge(edges, side, spot.at, 0.6 * spot.width.to_mm()) else { return };
    let mut by = 0.5 * step;
    // Halving steps: after ten they are a thousandth of the first.
    for _ in 0..10 {
        for way in [by, -by] {
            let start = slid(edges, side, edge, at, way);
            let radius_max = 0.5 * spot.width.to_mm();
            if let Some(found) =
                ball(edges, side, &start, radius_max).filter(|found| !found.tip && found.radius < radius_max)
            {
                (edge, at) = (start.edge, start.at);
                *spot = Spot { at: found.centre, width: millimetres(2.0 * found.radius), ..*spot };
                break;
            }
        }
        by *= 0.5;
    }
}

/// The edge of a ring that is nearest to a point, and the place on it.
fn nearest_edge(edges: &Edges, side: Side, p: Point, reach: f64) -> Option<(usize, Point)> {
    let mut best: Option<(f64, usize, Point)> = None;
    edges.near(p, reach, |index, edge| {
        let q = edge.nearest(p);
        let distance = (q.x - p.x).hypot(q.y - p.y);
        let ahead = {
            let length = (edge.b.x - edge.a.x).hypot(edge.b.y - edge.a.y).max(1e-12);
            let n = normal(edge, side, length);
            (p.x - q.x) * n.x + (p.y - q.y) * n.y > 0.5 * distance
        };
        if edge.ring.is_some() && ahead && best.is_none_or(|(least, ..)| distance < least) {
            best = Some((distance, index, q));
        }
    });
    best.map(|(_, index, q)| (index, q))
}

/// A place further along a ring, or back.
fn slid(edges: &Edges, side: Side, edge: usize, at: Point, by: f64) -> Start {
    let ring = edges.all[edge].ring.map_or(0, |ring| ring as usize);
    let (from, to) = (edges.ring_starts[ring] as usize, edges.ring_starts[ring + 1] as usize);
    let (mut index, mut at, mut left) = (edge, at, by.abs());
    for _ in 0..to - from {
        let end = if by > 0.0 { edges.all[index].b } else { edges.all[index].a };
        let length = (end.x - at.x).hypot(end.y - at.y);
        if length >= left {
            let share = left / length.max(1e-12);
            at = Point { x: at.x + share * (end.x - at.x), y: at.y + share * (end.y - at.y) };
            break;
        }
        left -= length;
        at = end;
        index = match (by > 0.0, index) {
            (true, index) if index + 1 == to => from,
            (true, index) => index + 1,
            (false, index) if index == from => to - 1,
            (false, index) => index - 1,
        };
    }
    let edge = &edges.all[index];
    let length = (edge.b.x - edge.a.x).hypot(edge.b.y - edge.a.y).max(1e-12);
    Start { edge: index, at, normal: normal(edge, side, length), weight_mm: 1.0 }
}
