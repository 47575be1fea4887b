//! Places on the outline from which is measured.

use crate::edges::{Edge, Edges};
use crate::grid::Point;
use crate::medial::{Side, Start, apart, turn};
use crate::windows::Windows;
use rayon::prelude::*;

/// Distance between the places along the outline from which is measured.
pub(super) fn step(limit_mm: f64) -> f64 {
    (limit_mm / 3.0).clamp(0.1, 1.0)
}

/// Places along the outline, `step` apart, within windows if any are given, and on every corner that juts into the side measured.
pub(super) fn starts(edges: &Edges, side: Side, step: f64, within: Option<&Windows>) -> Vec<Start> {
    let rings: Vec<(usize, usize)> = edges.ring_starts.windows(2).map(|w| (w[0] as usize, w[1] as usize)).collect();
    let of_ring = |(from, to)| {
        let mut found = ring_starts(edges, side, step, from, to);
        found.retain(|start| within.is_none_or(|windows| windows.hold(start.at)));
        found
    };
    rings.into_par_iter().flat_map_iter(of_ring).collect()
}

fn ring_starts(edges: &Edges, side: Side, step: f64, from: usize, to: usize) -> Vec<Start> {
    let mut found = Vec::new();
    // Half a step is owed at first, so that even the smallest ring is measured from somewhere.
    let mut owed = 0.5 * step;
    for index in from..to {
        let edge = &edges.all[index];
        let length = apart(edge.a, edge.b);
        let normal = normal(edge, side, length);
        let mut at = step - owed;
        // A long edge is measured in its middle at least; short ones share their steps.
        if length >= step {
            let count = (length / step).ceil();
            let each = length / count;
            found.extend((0..count as usize).map(|i| on_edge(index, edge, normal, (i as f64 + 0.5) / count, each)));
            owed = 0.5 * step;
        } else {
            while at <= length {
                found.push(on_edge(index, edge, normal, at / length, step));
                at += step;
            }
            owed = step - (at - length);
        }
        let next = if index + 1 == to { from } else { index + 1 };
        on_corner(index, edge, &edges.all[next], side, &mut found);
    }
    found
}

fn on_edge(index: usize, edge: &Edge, normal: Point, share: f64, weight_mm: f64) -> Start {
    let at = Point { x: edge.a.x + share * (edge.b.x - edge.a.x), y: edge.a.y + share * (edge.b.y - edge.a.y) };
    Start { edge: index, at, normal, weight_mm }
}

/// Widest fan of directions left out at a corner that juts in. 15°.
const FAN: f64 = 0.2618;
/// Corners that turn less are chords of a curve, left to the places on the edges. 11°.
const SMOOTH: f64 = 0.2;

fn on_corner(index: usize, edge: &Edge, next: &Edge, side: Side, found: &mut Vec<Start>) {
    let turned = turn(edge, next);
    let juts = match side {
        Side::Opening => -turned,
        Side::Wall => turned,
    };
    if juts < SMOOTH {
        return;
    }
    let length = apart(edge.a, edge.b);
    let first = normal(edge, side, length);
    let count = (juts / FAN).ceil() as usize + 1;
    for i in 0..count {
        let (sin, cos) = (turned * (i as f64 + 0.5) / count as f64).sin_cos();
        let normal = Point { x: cos * first.x - sin * first.y, y: sin * first.x + cos * first.y };
        found.push(Start { edge: index, at: edge.b, normal, weight_mm: 0.0 });
    }
}

/// Unit vector from the edge into the side measured.
pub(super) fn normal(edge: &Edge, side: Side, length: f64) -> Point {
    let sign = match side {
        Side::Opening => 1.0 / length,
        Side::Wall => -1.0 / length,
    };
    Point { x: -(edge.b.y - edge.a.y) * sign, y: (edge.b.x - edge.a.x) * sign }
}
