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

mod islands;
mod slide;
mod spots;
mod starts;

use crate::bounds::Bounds;
use crate::edges::Edges;
use crate::grid::Point;
use crate::medial::{Ball, Side, Start, along, apart, ball, shrink};
use crate::region::Region;
use crate::windows::Windows;
use islands::islands;
use quantity::{Area, Length, Quantity};
use rayon::prelude::*;
use slide::slide;
use spots::spots;
use starts::{starts, step};

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
    widths_within(region, blank, limits, None)
}

/// As [`widths`], measured from places within windows only, if any are given; islands are all told.
pub(crate) fn widths_within(region: &Region, blank: Bounds, limits: WidthLimits, within: Option<&Windows>) -> Widths {
    let measure = |side, limit: Length| {
        let limit_mm = limit.to_mm().max(0.01);
        let edges = Edges::new(region, Some(blank), 0.5 * limit_mm);
        let balls = balls_on(&edges, side, limit_mm, within);
        let mut thin = spots(&balls, false, limit_mm);
        thin.par_iter_mut().for_each(|spot| slide(&edges, side, spot, step(limit_mm)));
        thin.sort_by(|a, b| a.width.to_mm().total_cmp(&b.width.to_mm()));
        let narrowest = thin.first().map(|spot| Spot { length: millimetres(0.0), ..*spot });
        let narrowest = narrowest.or_else(|| search(region, blank, side, limit_mm, within));
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
pub(crate) fn balls(region: &Region, blank: Bounds, side: Side, limit_mm: f64, within: Option<&Windows>) -> Vec<Ball> {
    balls_on(&Edges::new(region, Some(blank), 0.5 * limit_mm), side, limit_mm, within)
}

fn balls_on(edges: &Edges, side: Side, limit_mm: f64, within: Option<&Windows>) -> Vec<Ball> {
    let starts = starts(edges, side, step(limit_mm), within);
    let radius_max = 0.5 * limit_mm;
    starts
        .par_iter()
        .filter_map(|start| {
            let found = ball(edges, side, start, radius_max)?;
            across(edges, side, start, &found).or(Some(found))
        })
        .collect()
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

fn narrowest(balls: &[Ball]) -> Option<Spot> {
    let least = balls.iter().filter(|ball| !ball.tip).min_by(|a, b| a.radius.total_cmp(&b.radius))?;
    Some(Spot { at: least.centre, width: millimetres(2.0 * least.radius), length: millimetres(0.0) })
}

/// The narrowest of all, however wide: each circle need only be narrower than the narrowest before.
fn search(region: &Region, blank: Bounds, side: Side, limit_mm: f64, within: Option<&Windows>) -> Option<Spot> {
    let widest = blank.width_mm().hypot(blank.height_mm());
    let edges = Edges::new(region, Some(blank), limit_mm.clamp(0.25, 2.0));
    let mut best: Option<Ball> = None;
    for start in starts(&edges, side, limit_mm.clamp(0.3, 1.0), within) {
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
    let starts = starts(&edges, side, step(widest), None);
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

fn millimetres(mm: f64) -> Length {
    Length::clamped(mm * 1e-3)
}
