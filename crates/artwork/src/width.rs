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
use crate::medial::{Ball, Side, Start, along, ball, shrink, turn};
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
/// Accuracy: exact between straight edges and corners but for rounding (1 µm); along curves as good
/// as their chords; places further apart than a third of the limit (0.1 to 1 mm) are not told apart.
/// Checked: a 0.4 mm slot, a 0.3 mm ring and the gap between two corners to 1 µm.
#[must_use]
pub fn widths(region: &Region, blank: Bounds, limits: WidthLimits) -> Widths {
    let measure = |side, limit: Length| {
        let limit_mm = limit.to_mm().max(0.01);
        (limit_mm, balls(region, blank, side, limit_mm))
    };
    let ((opening_mm, openings), (wall_mm, walls)) =
        rayon::join(|| measure(Side::Opening, limits.opening), || measure(Side::Wall, limits.wall));
    Widths {
        narrowest_opening: narrowest(&openings).or_else(|| search(region, blank, Side::Opening, opening_mm)),
        narrowest_wall: narrowest(&walls).or_else(|| search(region, blank, Side::Wall, wall_mm)),
        thin_openings: spots(&openings, false, opening_mm),
        thin_walls: spots(&walls, false, wall_mm),
        opening_tips: spots(&openings, true, opening_mm),
        wall_tips: spots(&walls, true, wall_mm),
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
    let apart = |q: Point| (q.x - point.x).hypot(q.y - point.y);
    let nearest = considered.map(|edge| edge.nearest(point)).min_by(|a, b| apart(*a).total_cmp(&apart(*b)))?;
    let distance = apart(nearest).max(1e-9);
    let normal = Point { x: (point.x - nearest.x) / distance, y: (point.y - nearest.y) / distance };
    let (radius, _) = shrink(&edges, side, nearest, normal, 0.5 * reach);
    let width = millimetres(2.0 * radius.max(distance));
    Some(if open { WidthAt::Opening(width) } else { WidthAt::Wall(width) })
}

/// The circles narrower than the limit, on one side.
pub(crate) fn balls(region: &Region, blank: Bounds, side: Side, limit_mm: f64) -> Vec<Ball> {
    let edges = Edges::new(region, Some(blank), 0.5 * limit_mm);
    let starts = starts(&edges, side, step(limit_mm));
    let radius_max = 0.5 * limit_mm;
    starts
        .par_iter()
        .flat_map_iter(|start| {
            let found = ball(&edges, side, start, radius_max);
            let straight = found.and_then(|found| across(&edges, side, start, &found));
            found.into_iter().chain(straight)
        })
        .collect()
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
        let distance = (q.x - start.at.x).hypot(q.y - start.at.y);
        let ahead = (q.x - start.at.x) * start.normal.x + (q.y - start.at.y) * start.normal.y;
        if ahead > 0.5 * distance && distance < least && distance > 1e-3 && (edge.ring.is_some() || side == Side::Wall) {
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
        let length = (edge.b.x - edge.a.x).hypot(edge.b.y - edge.a.y);
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
    let length = (edge.b.x - edge.a.x).hypot(edge.b.y - edge.a.y);
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

/// Looks for something twice as wide each time, until the blank itself is not wider.
fn search(region: &Region, blank: Bounds, side: Side, limit_mm: f64) -> Option<Spot> {
    let widest = blank.width_mm().hypot(blank.height_mm());
    let mut limit_mm = limit_mm;
    while limit_mm < widest && !region.is_empty() {
        limit_mm *= 2.0;
        if let Some(found) = narrowest(&balls(region, blank, side, limit_mm)) {
            return Some(found);
        }
    }
    None
}

/// Circles that lie close together as one spot each.
fn spots(balls: &[Ball], tips: bool, limit_mm: f64) -> Vec<Spot> {
    let balls: Vec<Ball> = balls.iter().copied().filter(|ball| ball.tip == tips).collect();
    let mut found: Vec<Spot> = clusters(&balls, 1.5 * step(limit_mm) + 0.5 * limit_mm).iter().map(|c| spot(c)).collect();
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::FillRule;
    use std::f64::consts::PI;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring(points.iter().map(|&(x, y)| Point { x, y }).collect())
    }

    fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Region {
        Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + width, y: y + height } })
    }

    fn disc(x: f64, y: f64, radius: f64) -> Region {
        let points = (0..720).map(|i| (f64::from(i) * PI / 360.0).sin_cos());
        let ring = Ring(points.map(|(sin, cos)| Point { x: x + radius * cos, y: y + radius * sin }).collect());
        Region::from_rings(&[ring], FillRule::NonZero)
    }

    fn measured(region: &Region, opening_mm: f64, wall_mm: f64) -> Widths {
        let length = |mm| Length::mm(mm).unwrap();
        let limits = WidthLimits { opening: length(opening_mm), wall: length(wall_mm) };
        widths(region, Bounds::from_size(100.0, 80.0), limits)
    }

    fn close(found: Option<Spot>, width_mm: f64) -> Spot {
        let spot = found.expect("nothing found");
        assert!((spot.width.to_mm() - width_mm).abs() < 2e-3, "{} is not {width_mm}", spot.width.to_mm());
        spot
    }

    #[test]
    fn a_slot_is_as_wide_as_drawn_and_listed_once_with_its_length() {
        let found = measured(&rectangle(20.0, 30.0, 30.0, 0.4), 0.5, 0.5);
        close(found.narrowest_opening, 0.4);
        assert_eq!(found.thin_openings.len(), 1, "{:?}", found.thin_openings);
        assert!((found.thin_openings[0].length.to_mm() - 30.0).abs() < 1.0, "{:?}", found.thin_openings);
        assert!(found.opening_tips.is_empty() && found.thin_walls.is_empty());
    }

    #[test]
    fn a_slot_at_any_angle_is_as_wide_as_drawn() {
        for degrees in [7.0_f64, 30.0, 45.0, 81.0] {
            let turn = crate::Affine::rotate_about(degrees.to_radians(), kurbo::Point::new(50.0, 40.0));
            let found = measured(&rectangle(40.0, 39.0, 20.0, 0.37).transform(turn), 0.5, 0.5);
            close(found.narrowest_opening, 0.37);
        }
    }

    #[test]
    fn a_hairline_that_a_raster_would_lose_is_found() {
        let found = measured(&rectangle(20.0, 30.0, 30.0, 0.01), 0.5, 0.5);
        close(found.narrowest_opening, 0.01);
    }

    #[test]
    fn a_disc_is_as_wide_as_its_diameter() {
        close(measured(&disc(50.0, 40.0, 0.3), 1.0, 0.5).narrowest_opening, 0.6);
        // Above the limit as well: then it is looked for.
        close(measured(&disc(50.0, 40.0, 6.0), 1.0, 0.5).narrowest_opening, 12.0);
    }

    #[test]
    fn a_ring_is_as_wide_as_its_radii_differ_and_holds_an_island() {
        let found = measured(&disc(50.0, 40.0, 10.3).subtract(&disc(50.0, 40.0, 10.0)), 0.5, 0.5);
        close(found.narrowest_opening, 0.3);
        assert_eq!((found.parts, found.islands.len()), (1, 1));
        assert!((found.islands[0].area.to_square_mm() - PI * 100.0).abs() < 0.1);
        let length = found.thin_openings[0].length.to_mm();
        assert!((length / (2.0 * PI * 10.15) - 1.0).abs() < 0.05, "{length}");
    }

    #[test]
    fn a_wall_between_two_openings_is_as_wide_as_the_gap() {
        let both = rectangle(20.0, 20.0, 10.0, 10.0).union(&rectangle(30.25, 22.0, 10.0, 10.0));
        let spot = close(measured(&both, 0.5, 0.5).narrowest_wall, 0.25);
        assert!((spot.at.x - 30.125).abs() < 0.01 && (22.0..=30.0).contains(&spot.at.y), "{spot:?}");
    }

    #[test]
    fn a_wall_between_two_corners_is_measured_corner_to_corner() {
        let both = rectangle(20.0, 20.0, 10.0, 10.0).union(&rectangle(30.3, 30.4, 10.0, 10.0));
        let spot = close(measured(&both, 0.5, 1.0).narrowest_wall, 0.5);
        assert!((spot.at.x - 30.15).abs() < 1e-2 && (spot.at.y - 30.2).abs() < 1e-2, "{spot:?}");
    }

    #[test]
    fn a_wall_between_a_corner_and_an_edge_is_measured_square_to_the_edge() {
        let diamond = ring(&[(30.4, 35.0), (35.0, 30.0), (40.0, 35.0), (35.0, 40.0)]);
        let both = rectangle(20.0, 30.0, 10.0, 10.0).union(&Region::from_rings(&[diamond], FillRule::NonZero));
        close(measured(&both, 0.5, 1.0).narrowest_wall, 0.4);
    }

    #[test]
    fn a_wall_to_the_blanks_edge_counts() {
        let spot = close(measured(&rectangle(0.7, 20.0, 10.0, 10.0), 0.5, 1.0).narrowest_wall, 0.7);
        assert!((spot.at.x - 0.35).abs() < 1e-3, "{spot:?}");
    }

    #[test]
    fn corners_are_not_thin_places() {
        let found = measured(&rectangle(20.0, 20.0, 30.0, 30.0), 2.0, 2.0);
        assert!(found.thin_openings.is_empty() && found.opening_tips.is_empty(), "{found:?}");
        close(found.narrowest_opening, 30.0);
    }

    #[test]
    fn a_wedge_is_a_tip_and_not_a_narrow_line() {
        // 20 mm long, 4 mm wide at the base: 11.4°, narrower than 0.5 mm over the last 2.5 mm.
        let wedge = Region::from_rings(&[ring(&[(20.0, 30.0), (40.0, 32.0), (20.0, 34.0)])], FillRule::NonZero);
        let found = measured(&wedge, 0.5, 0.5);
        assert!(found.thin_openings.is_empty(), "{:?}", found.thin_openings);
        assert_eq!(found.opening_tips.len(), 1);
        let tip = found.opening_tips[0];
        assert!((tip.length.to_mm() - 2.5).abs() < 0.3 && tip.at.x > 37.0, "{tip:?}");
    }

    #[test]
    fn a_neck_between_two_discs_is_found_at_its_place() {
        // Two discs of 5 mm joined by a bar of 0.6 mm.
        let body = disc(30.0, 40.0, 5.0).union(&disc(50.0, 40.0, 5.0)).union(&rectangle(30.0, 39.7, 20.0, 0.6));
        let found = measured(&body, 1.0, 0.5);
        let spot = close(found.narrowest_opening, 0.6);
        assert!((34.0..=46.0).contains(&spot.at.x) && (spot.at.y - 40.0).abs() < 0.01, "{spot:?}");
        assert_eq!(found.thin_openings.len(), 1, "{:?}", found.thin_openings);
    }

    #[test]
    fn an_island_with_an_opening_inside_counts_only_its_own_resist() {
        let target = disc(50.0, 40.0, 20.0)
            .subtract(&disc(50.0, 40.0, 15.0))
            .union(&disc(50.0, 40.0, 10.0).subtract(&disc(50.0, 40.0, 5.0)));
        let areas: Vec<f64> = measured(&target, 0.5, 0.5).islands.iter().map(|i| i.area.to_square_mm()).collect();
        let want = [PI * 25.0, PI * (225.0 - 100.0)];
        assert!(areas.len() == 2 && areas.iter().zip(want).all(|(a, b)| (a / b - 1.0).abs() < 1e-3), "{areas:?}");
    }

    #[test]
    fn nothing_open_has_no_width() {
        let found = measured(&Region::default(), 0.5, 0.5);
        assert_eq!((found.narrowest_opening, found.narrowest_wall, found.parts), (None, None, 0));
    }

    #[test]
    fn the_width_under_a_pointer_is_that_of_its_line_or_wall() {
        let slots = rectangle(20.0, 20.0, 30.0, 2.0).union(&rectangle(20.0, 25.0, 30.0, 2.0));
        let at = |x, y| width_at(&slots, Bounds::from_size(100.0, 80.0), Point { x, y });
        let mm = |width: Option<WidthAt>| match width {
            Some(WidthAt::Opening(w)) => w.to_mm(),
            Some(WidthAt::Wall(w)) => -w.to_mm(),
            None => 0.0,
        };
        assert!((mm(at(35.0, 20.7)) - 2.0).abs() < 1e-3, "{:?}", at(35.0, 20.7));
        assert!((mm(at(35.0, 23.0)) + 3.0).abs() < 1e-3, "{:?}", at(35.0, 23.0));
        assert_eq!(at(-1.0, 5.0), None);
    }
}
