//! How wide the openings and the resist walls are, everywhere, and what hangs loose.
//!
//! Width at a place is the diameter of the largest circle there that touches the outline on two
//! opposite sides: twice the distance from the medial ridge to the edge. It is measured on the outline
//! itself, from places along it, not on a raster, so that a hairline of 10 µm is found like any other.
//!
//! * A circle in a corner touches both legs, and runs to nothing at the vertex: that is no thin place.
//!   So a circle counts only when two of the points that it touches are 120° or more apart as seen from
//!   its centre, which in a corner of 60° or more they are not.
//! * In a more acute corner they are. There the circles still run to nothing, but *into a tip*: the way
//!   along the outline from one side to the other has one sharp turn and is otherwise straight. Tips are
//!   listed apart ([`Widths::opening_tips`]): an opening's tip comes out blunt, and is not lost.

use crate::bounds::Bounds;
use crate::edges::{Edge, Edges};
use crate::grid::Point;
use crate::medial::{Ball, Side, Start, along, apart, ball, shrink, turn};
use crate::region::{Polygon, Region, Ring};
use quantity::{Area, Length, Quantity};
use rayon::prelude::*;
use std::collections::HashMap;

/// Below which widths places are listed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WidthLimits {
    /// For openings. The narrowest line that the abrasive or the resist allows.
    pub opening: Length,
    /// For walls of resist. The narrowest that holds under the blast.
    pub wall: Length,
}

/// A place, or a row of places along a line, narrower than a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Middle of the narrowest circle.
    pub at: Point,
    /// Its diameter.
    pub width: Length,
    /// How far along the line it is below the limit; zero for a touch of two corners.
    pub length: Length,
}

/// A part of the resist with openings all around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Island {
    /// Middle of the rectangle around it.
    pub at: Point,
    /// Its area; what is opened inside it taken off.
    pub area: Area,
}

/// What is narrow, and what is loose.
#[derive(Debug, Clone, PartialEq)]
pub struct Widths {
    /// The narrowest opening, tips aside, whether below the limit or not; `None` when nothing is open.
    pub narrowest_opening: Option<Spot>,
    /// The narrowest wall between openings, or between an opening and the blank's edge, tips aside.
    pub narrowest_wall: Option<Spot>,
    /// Openings below the limit, narrowest first.
    pub thin_openings: Vec<Spot>,
    /// Walls below the limit, narrowest first.
    pub thin_walls: Vec<Spot>,
    /// Openings that narrow into a tip; the width is that at the last place measured, the length how
    /// much of it is below the limit. Longest first.
    pub opening_tips: Vec<Spot>,
    /// Walls that narrow into a tip.
    pub wall_tips: Vec<Spot>,
    /// Loose parts of the resist, smallest first.
    pub islands: Vec<Island>,
    /// Number of separate openings.
    pub parts: usize,
}

/// How wide it is at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WidthAt {
    /// The point is in an opening this wide.
    Opening(Length),
    /// The point is on resist this wide.
    Wall(Length),
}

/// Measures openings and walls on a blank.
///
/// Accuracy: 2 µm between straight edges and corners; 0.2 % of the width along curves, whose chords may
/// be so short that rounding turns them. Places nearer together than a third of the limit (0.1 to
/// 1 mm) are not told apart.
/// Checked: a 0.4 mm slot, a 0.3 mm ring and the gap between two corners within 2 µm.
#[must_use]
pub fn widths(region: &Region, blank: Bounds, limits: WidthLimits) -> Widths {
    let measure = |side, limit: Length| {
        let limit_mm = limit.to_mm().max(0.01);
        let edges = Edges::new(region, Some(blank), 0.5 * limit_mm);
        let balls = balls_on(&edges, side, limit_mm);
        let mut thin = spots(&balls, false, limit_mm);
        thin.par_iter_mut().for_each(|spot| slide(&edges, side, spot, step(limit_mm)));
        thin.sort_by(|a, b| a.width.to_mm().total_cmp(&b.width.to_mm()));
        let narrowest = thin.first().map(|spot| Spot { length: millimetres(0.0), ..*spot });
        let narrowest = narrowest.or_else(|| search(region, blank, side, limit_mm));
        (narrowest, thin, spots(&balls, true, limit_mm))
    };
    let ((narrowest_opening, thin_openings, opening_tips), (narrowest_wall, thin_walls, wall_tips)) =
        rayon::join(|| measure(Side::Opening, limits.opening), || measure(Side::Wall, limits.wall));
    Widths {
        narrowest_opening,
        narrowest_wall,
        thin_openings,
        thin_walls,
        opening_tips,
        wall_tips,
        islands: islands(region),
        parts: region.polygons().len(),
    }
}

/// How wide the opening or wall is that a point lies on; `None` outside the blank.
///
/// The width is that of the circle which touches the edge nearest to the point.
#[must_use]
pub fn width_at(region: &Region, blank: Bounds, point: Point) -> Option<WidthAt> {
    if !blank.holds(&Bounds { min: point, max: point }, 0.0) {
        return None;
    }
    let open = region.contains(point);
    let side = if open { Side::Opening } else { Side::Wall };
    let reach = blank.width_mm().hypot(blank.height_mm());
    let edges = Edges::new(region, Some(blank), reach);
    let considered = edges.all.iter().filter(|edge| edge.ring.is_some() || side == Side::Wall);
    let nearest =
        considered.map(|edge| edge.nearest(point)).min_by(|a, b| apart(*a, point).total_cmp(&apart(*b, point)))?;
    let distance = apart(nearest, point).max(1e-9);
    let normal = Point { x: (point.x - nearest.x) / distance, y: (point.y - nearest.y) / distance };
    let (radius, _) = shrink(&edges, side, nearest, normal, 0.5 * reach);
    let width = millimetres(2.0 * radius.max(distance));
    Some(if open { WidthAt::Opening(width) } else { WidthAt::Wall(width) })
}

/// The circles narrower than the limit, on one side.
pub(crate) fn balls(region: &Region, blank: Bounds, side: Side, limit_mm: f64) -> Vec<Ball> {
    balls_on(&Edges::new(region, Some(blank), 0.5 * limit_mm), side, limit_mm)
}

fn balls_on(edges: &Edges, side: Side, limit_mm: f64) -> Vec<Ball> {
    let starts = starts(edges, side, step(limit_mm));
    let radius_max = 0.5 * limit_mm;
    starts
        .par_iter()
        .filter_map(|start| {
            let found = ball(edges, side, start, radius_max)?;
            across(edges, side, start, &found).or(Some(found))
        })
        .collect()
}

/// Moves a spot along the outline to where it is narrowest: the place measured may lie up to a step beside it.
fn slide(edges: &Edges, side: Side, spot: &mut Spot, step: f64) {
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

/// Distance between the places along the outline from which is measured.
fn step(limit_mm: f64) -> f64 {
    (limit_mm / 3.0).clamp(0.1, 1.0)
}

/// From a corner, the circle whose diameter leads straight across: narrower than any that only leans.
fn across(edges: &Edges, side: Side, start: &Start, found: &Ball) -> Option<Ball> {
    if start.weight_mm > 0.0 {
        return None;
    }
    let touched = along(start.at, start.normal, 2.0 * found.radius);
    let (mut near, mut least) = (None, f64::INFINITY);
    edges.near(touched, 2.0 * found.radius, |_, edge| {
        let q = edge.nearest(start.at);
        let distance = apart(q, start.at);
        let ahead = (q.x - start.at.x) * start.normal.x + (q.y - start.at.y) * start.normal.y;
        if ahead > 0.5 * distance && distance < least && distance > 1e-3 && (edge.ring.is_some() || side == Side::Wall)
        {
            (near, least) = (Some(q), distance);
        }
    });
    let q = near?;
    let normal = Point { x: (q.x - start.at.x) / least, y: (q.y - start.at.y) / least };
    ball(edges, side, &Start { normal, ..*start }, found.radius)
}

/// Places along the outline, `step` apart, and on every corner that juts into the side measured.
fn starts(edges: &Edges, side: Side, step: f64) -> Vec<Start> {
    let rings: Vec<(usize, usize)> = edges.ring_starts.windows(2).map(|w| (w[0] as usize, w[1] as usize)).collect();
    rings.into_par_iter().flat_map_iter(|(from, to)| ring_starts(edges, side, step, from, to)).collect()
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
/// Corners that turn less are left to the places on the edges. 4°.
const SMOOTH: f64 = 0.07;

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
fn normal(edge: &Edge, side: Side, length: f64) -> Point {
    let sign = match side {
        Side::Opening => 1.0 / length,
        Side::Wall => -1.0 / length,
    };
    Point { x: -(edge.b.y - edge.a.y) * sign, y: (edge.b.x - edge.a.x) * sign }
}

fn narrowest(balls: &[Ball]) -> Option<Spot> {
    let least = balls.iter().filter(|ball| !ball.tip).min_by(|a, b| a.radius.total_cmp(&b.radius))?;
    Some(Spot { at: least.centre, width: millimetres(2.0 * least.radius), length: millimetres(0.0) })
}

/// The narrowest of all, however wide: each circle need only be narrower than the narrowest before.
fn search(region: &Region, blank: Bounds, side: Side, limit_mm: f64) -> Option<Spot> {
    let widest = blank.width_mm().hypot(blank.height_mm());
    let edges = Edges::new(region, Some(blank), limit_mm.clamp(0.25, 2.0));
    let mut best: Option<Ball> = None;
    for start in starts(&edges, side, limit_mm.clamp(0.3, 1.0)) {
        let radius_max = best.map_or(0.5 * widest, |best| best.radius);
        let found = ball(&edges, side, &start, radius_max).filter(|found| !found.tip);
        let found = found.map(|found| across(&edges, side, &start, &found).unwrap_or(found));
        best = found.filter(|found| found.radius < radius_max).or(best);
    }
    match best {
        Some(best) => narrowest(&[best]),
        None if region.is_empty() => None,
        None => largest(region, blank, side, widest),
    }
}

/// The largest circle from anywhere on the outline: what counts where no circle touches two opposite
/// sides, as in a square, but at one place that no measurement need have hit.
fn largest(region: &Region, blank: Bounds, side: Side, widest: f64) -> Option<Spot> {
    let edges = Edges::new(region, Some(blank), step(widest));
    let radius = |start: &Start| shrink(&edges, side, start.at, start.normal, 0.5 * widest).0;
    let starts = starts(&edges, side, step(widest));
    let measured = starts.par_iter().map(|start| (radius(start), *start));
    let mut best = measured.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let mut by = step(widest);
    // Halving steps along the edge; after 20 they are below the grid of the coordinates.
    for _ in 0..20 {
        let (_, start) = best;
        let way = Point { x: start.normal.y, y: -start.normal.x };
        let moved = [by, -by].map(|by| Start { at: along(start.at, way, by), ..start });
        for start in moved.into_iter().filter(|moved| on_outline(&edges, moved)) {
            let radius = radius(&start);
            best = if radius > best.0 { (radius, start) } else { best };
        }
        by *= 0.5;
    }
    let at = along(best.1.at, best.1.normal, best.0);
    Some(Spot { at, width: millimetres(2.0 * best.0), length: millimetres(0.0) })
}

fn on_outline(edges: &Edges, start: &Start) -> bool {
    let q = edges.all[start.edge].nearest(start.at);
    (q.x - start.at.x).hypot(q.y - start.at.y) < 1e-6
}

/// Circles that lie close together as one spot each.
fn spots(balls: &[Ball], tips: bool, limit_mm: f64) -> Vec<Spot> {
    let balls: Vec<Ball> = balls.iter().copied().filter(|ball| ball.tip == tips).collect();
    let mut found: Vec<Spot> =
        clusters(&balls, 1.5 * step(limit_mm) + 0.5 * limit_mm).iter().map(|c| spot(c)).collect();
    if tips {
        found.sort_by(|a, b| b.length.to_mm().total_cmp(&a.length.to_mm()));
    } else {
        found.sort_by(|a, b| a.width.to_mm().total_cmp(&b.width.to_mm()));
    }
    found
}

fn spot(cluster: &[Ball]) -> Spot {
    let least = cluster.iter().fold(cluster[0], |least, ball| if ball.radius < least.radius { *ball } else { least });
    // The ridge is seen from both sides of it.
    let length = 0.5 * cluster.iter().map(|ball| ball.weight_mm).sum::<f64>();
    Spot { at: least.centre, width: millimetres(2.0 * least.radius), length: millimetres(length) }
}

/// Groups of circles, each linked to the others of its group by steps no longer than `link`.
fn clusters(balls: &[Ball], link: f64) -> Vec<Vec<Ball>> {
    let key = |p: Point| ((p.x / link).floor() as i64, (p.y / link).floor() as i64);
    let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    for (i, ball) in balls.iter().enumerate() {
        cells.entry(key(ball.centre)).or_default().push(i);
    }
    let mut seen = vec![false; balls.len()];
    let mut groups = Vec::new();
    for first in 0..balls.len() {
        if std::mem::replace(&mut seen[first], true) {
            continue;
        }
        let mut group = vec![first];
        let mut next = 0;
        while let Some(&i) = group.get(next) {
            next += 1;
            let (column, row) = key(balls[i].centre);
            for cell in (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (column + dx, row + dy))) {
                for &j in cells.get(&cell).into_iter().flatten() {
                    let (a, b) = (balls[i].centre, balls[j].centre);
                    if !seen[j] && (a.x - b.x).hypot(a.y - b.y) <= link {
                        seen[j] = true;
                        group.push(j);
                    }
                }
            }
        }
        groups.push(group.into_iter().map(|i| balls[i]).collect());
    }
    groups
}

/// Every hole of every opening is an island of resist, with what is opened inside it taken off.
fn islands(region: &Region) -> Vec<Island> {
    let outers: Vec<(&Polygon, Bounds)> = region.polygons().iter().filter_map(|p| Some((p, p.bounds()?))).collect();
    let holes = region.polygons().iter().flat_map(|polygon| &polygon.holes);
    let mut found: Vec<Island> = holes.filter_map(|hole| island(hole, &outers)).collect();
    found.sort_by(|a, b| a.area.to_square_mm().total_cmp(&b.area.to_square_mm()));
    found
}

fn island(hole: &Ring, outers: &[(&Polygon, Bounds)]) -> Option<Island> {
    let bounds = Bounds::around(hole.0.iter().copied())?;
    let starts_in = |ring: &Ring, p: &Polygon| p.outer.0.first().is_some_and(|&point| ring.contains(point));
    let inside: Vec<&Polygon> =
        outers.iter().filter(|(p, at)| bounds.holds(at, 0.0) && starts_in(hole, p)).map(|(p, _)| *p).collect();
    // What lies in a hole of one of these is no part of this island.
    let nested = |p: &Polygon| inside.iter().flat_map(|other| &other.holes).any(|ring| starts_in(ring, p));
    let opened: f64 = inside.iter().filter(|p| !nested(p)).map(|p| p.outer.signed_area_mm2()).sum();
    let area = hole.signed_area_mm2().abs() - opened;
    Some(Island { at: bounds.centre(), area: Area::clamped(area.max(0.0) * 1e-6) })
}

fn millimetres(mm: f64) -> Length {
    Length::clamped(mm * 1e-3)
}
