//! Islands tied, opened, or enlarged.

use super::{Change, ChangeKind, IslandRemedy, Job};
use crate::bounds::Bounds;
use crate::edges::Edge;
use crate::grid::Point;
use crate::near::Near;
use crate::region::{FillRule, Polygon, Region, Ring, Rounding};

/// Places around an island from which a bridge is tried.
const PLACES: usize = 48;

/// A bridge is this many times as wide as the limit for necks: at the limit itself rounding would decide.
const HOLDS: f64 = 1.02;

pub(super) fn changes(job: &Job<'_>) -> Vec<Change> {
    let (open, limits, remedy) = (job.open, job.limits, job.remedies.islands);
    if remedy == IslandRemedy::Leave {
        return Vec::new();
    }
    let near = Near::new(open);
    let looked_at = |hole: &Ring| {
        let around = Bounds::around(hole.0.iter().copied());
        job.within.is_none_or(|windows| around.is_some_and(|around| windows.meet(&around)))
    };
    let mut made = Vec::new();
    for polygon in open.polygons() {
        for (index, hole) in polygon.holes.iter().enumerate().filter(|(_, hole)| looked_at(hole)) {
            let island = island(hole, &near);
            if island.area().to_square_mm() >= (1.0 - 1e-3) * limits.holding.to_square_mm() {
                continue;
            }
            match remedy {
                IslandRemedy::Leave => {}
                IslandRemedy::Drop => made.extend(dropped(&island)),
                IslandRemedy::Enlarge => {
                    let grown = enlarged(&island, limits.holding.to_square_mm());
                    let covered = grown.intersect(open);
                    made.extend(covering(ChangeKind::IslandEnlarged, &island, covered, grown));
                }
                IslandRemedy::Bridge { width, count } => {
                    let width_mm = width.to_mm().max(HOLDS * limits.neck.to_mm());
                    for strip in bridges(polygon, index, width_mm, count) {
                        let covered = strip.intersect(&alone(polygon));
                        let ground = strip.subtract(&beside(&strip, polygon, &near));
                        made.extend(covering(ChangeKind::Bridged, &strip, covered, ground));
                    }
                }
            }
        }
    }
    made
}

/// The resist within a hole: what is opened in it taken off.
fn island(hole: &Ring, near: &Near<'_>) -> Region {
    let whole = Region::from_rings(std::slice::from_ref(hole), FillRule::NonZero);
    let Some(around) = whole.bounds() else { return whole };
    let inside = near.touching(&around).filter(|other| other.bounds().is_some_and(|at| around.holds(&at, 0.0)));
    let inside: Vec<Polygon> = inside.cloned().collect();
    if inside.is_empty() { whole } else { whole.subtract(&Region::of_polygons(inside)) }
}

/// Other openings that a strip reaches, past the one that it bridges.
fn beside(strip: &Region, polygon: &Polygon, near: &Near<'_>) -> Region {
    let Some(around) = strip.bounds() else { return Region::default() };
    Region::of_polygons(near.touching(&around).filter(|other| *other != polygon).cloned().collect())
}

fn dropped(island: &Region) -> Option<Change> {
    let around = island.bounds()?;
    let (opened, ground, covered) = (island.clone(), island.clone(), Region::default());
    Some(Change {
        kind: ChangeKind::IslandDropped,
        at: around.centre(),
        opened,
        covered,
        view: around.grown(4.0),
        ground,
    })
}

fn covering(kind: ChangeKind, place: &Region, covered: Region, ground: Region) -> Option<Change> {
    let around = place.bounds()?;
    let opened = Region::default();
    Some(Change { kind, at: around.centre(), opened, covered, view: around.grown(4.0), ground })
}

fn alone(polygon: &Polygon) -> Region {
    Region::of_polygons(vec![polygon.clone()])
}

/// Grown evenly until its area is enough. Grown by `d`, a shape has at least `A + P d` for a convex one of
/// outline `P`, so the first guess is near and each further step a little more.
fn enlarged(island: &Region, enough_mm2: f64) -> Region {
    let (area, outline) = (island.area().to_square_mm(), island.perimeter_mm());
    // A + P d + π d² = enough.
    let root = (outline * outline + 4.0 * std::f64::consts::PI * (enough_mm2 - area)).max(0.0).sqrt();
    let mut by = (root - outline) / (2.0 * std::f64::consts::PI);
    let mut grown = island.outset(by, 0.005, Rounding::Grow);
    for _ in 0..40 {
        if grown.area().to_square_mm() >= enough_mm2 {
            break;
        }
        by *= 1.05;
        grown = island.outset(by, 0.005, Rounding::Grow);
    }
    grown
}

/// Strips from an island to the resist around it, the shortest ways first, no two in directions less than
/// half of an even spread apart.
fn bridges(polygon: &Polygon, hole: usize, width_mm: f64, count: u8) -> Vec<Region> {
    let ring = &polygon.holes[hole];
    let Some(centre) = Bounds::around(ring.0.iter().copied()).map(|around| around.centre()) else { return Vec::new() };
    let mut ways: Vec<(f64, Point, Point)> =
        places(ring).into_iter().filter_map(|from| way(polygon, hole, from)).collect();
    ways.sort_by(|a, b| a.0.total_cmp(&b.0));
    let spread = std::f64::consts::PI / f64::from(count.clamp(1, 4));
    let mut taken: Vec<f64> = Vec::new();
    let mut strips = Vec::new();
    for (_, from, to) in ways {
        let lead = (from.y - centre.y).atan2(from.x - centre.x);
        let apart = |other: &f64| {
            let turn = (lead - other).rem_euclid(std::f64::consts::TAU);
            turn.min(std::f64::consts::TAU - turn) >= spread
        };
        if strips.len() < usize::from(count.clamp(1, 4)) && taken.iter().all(apart) {
            taken.push(lead);
            strips.push(strip(from, to, width_mm));
        }
    }
    strips
}

/// Places along a ring, evenly spread, and its corners when they are few.
fn places(ring: &Ring) -> Vec<Point> {
    let step = (ring.perimeter_mm() / PLACES as f64).max(1e-3);
    let mut found: Vec<Point> = if ring.0.len() <= PLACES { ring.0.clone() } else { Vec::new() };
    let mut owed = 0.0;
    for (a, b) in ring.edges() {
        let length = (b.x - a.x).hypot(b.y - a.y);
        let mut at = owed;
        while at < length {
            let share = at / length;
            found.push(Point { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) });
            at += step;
        }
        owed = at - length;
    }
    found
}

/// The shortest way from a place on an island to another ring of the opening around it.
fn way(polygon: &Polygon, hole: usize, from: Point) -> Option<(f64, Point, Point)> {
    let others = std::iter::once(&polygon.outer)
        .chain(polygon.holes.iter().enumerate().filter(|(i, _)| *i != hole).map(|(_, ring)| ring));
    let nearest = others.flat_map(Ring::edges).map(|(a, b)| {
        let q = Edge { a, b, ring: None }.nearest(from);
        ((q.x - from.x).hypot(q.y - from.y), q)
    });
    let (length, to) = nearest.min_by(|a, b| a.0.total_cmp(&b.0))?;
    (length > 0.0).then_some((length, from, to))
}

/// A straight strip that reaches a little into the resist on either side.
fn strip(from: Point, to: Point, width: f64) -> Region {
    let length = (to.x - from.x).hypot(to.y - from.y).max(1e-9);
    let (ux, uy) = ((to.x - from.x) / length, (to.y - from.y) / length);
    // As far in as the strip is wide: the resist's edge may curve away from it.
    let (half, beyond) = (0.5 * width, width);
    let corner = |at: Point, along: f64, aside: f64| Point {
        x: at.x + ux * along - uy * aside,
        y: at.y + uy * along + ux * aside,
    };
    let corners = [
        corner(from, -beyond, -half),
        corner(to, beyond, -half),
        corner(to, beyond, half),
        corner(from, -beyond, half),
    ];
    Region::from_rings(&[Ring(corners.to_vec())], FillRule::NonZero)
}
