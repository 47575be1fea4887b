//! Regions drawn in or out, by one pass of the engine.
//!
//! Every edge is moved along its normal. At a corner that opens the moved ends are joined by chords of an arc; at one
//! that closes they are cut off where they meet, or, when an edge is too short for that, led through the corner itself.
//! Between an outline and the line so made lie quadrilaterals, one to an edge, and sectors, one to an open corner, all
//! wound the same way; so what winds at least once around a place says that the place is in the region or in one of
//! them, and one union by positive winding is the whole work. Drawn in, all of them wind the other way.
//!
//! A pocket that a disc of that radius, laid on both of its lips, would not touch inside is left out: what is left of it
//! ends in the disc's middle (see `pocket`). How the engine sweeps over the rest is chosen by how much lies abreast (see
//! `sweep`).
//!
//! Cutting off takes nothing away: it needs both edges to be at least `2 d tan(θ/2)` long, for a distance `d` and a
//! turn `θ`. Then neither end of an edge is cut past the other, and what is cut off one edge's strip, lying on the far
//! side of the corner's bisector, is nearer to the other edge, within its length, and so in the strip of whatever edge
//! is nearest.

use super::outline::{Outline, nearest};
use super::sweep::Sweep;
use super::{Polygon, Region, Ring, Rounding, pocket};
use crate::bounds::Bounds;
use crate::grid::Point;
use crate::groups::Groups;
use crate::near::Filed;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{ContourDirection, IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use rayon::prelude::*;

/// Lines of the grid in a millimetre: finer than any tolerance, and coarse enough that no crumbs stay between the
/// chords of round corners.
const LINES_PER_MM: f64 = 16_384.0;
/// Furthest line from the origin that the engine is given.
const FURTHEST: f64 = (1_u64 << 29) as f64;
/// Crumbs that stay all the same, in mm².
const CRUMB_MM2: f64 = 1e-6;
/// Share of the tolerance that a corner with a single point may be off by; arcs have the rest.
const BLUNT_SHARE: f64 = 0.1;
/// Longest step of an arc: a sagitta of a quarter of the radius.
const SAGITTA_MAX: f64 = 0.25;

/// A region drawn out by `by_mm`, or in when that is negative.
///
/// `by_mm` is finite and not 0. `tolerance_mm`: of round corners, on the side of `rounding`.
pub(super) fn drawn(region: &Region, by_mm: f64, tolerance_mm: f64, rounding: Rounding) -> Region {
    let far = region.rings().flat_map(|ring| &ring.0).map(|p| p.x.abs().max(p.y.abs())).fold(0.0, f64::max);
    let pen = Pen::new(by_mm, tolerance_mm, rounding, far);
    let groups = if by_mm > 0.0 { meeting(region, pen.reach_mm()) } else { alone(region) };
    let made: Vec<Vec<Polygon>> =
        groups.par_iter().map_init(|| pen.engine(), |engine, group| pen.draw(engine, group)).collect();
    Region { polygons: made.into_iter().flatten().collect() }
}

/// Drawn in, no polygon meets another.
fn alone(region: &Region) -> Vec<Vec<&Polygon>> {
    region.polygons.iter().map(|polygon| vec![polygon]).collect()
}

/// Polygons in groups that cannot meet when each is drawn out this far.
fn meeting(region: &Region, reach_mm: f64) -> Vec<Vec<&Polygon>> {
    let polygons = &region.polygons;
    if polygons.len() < 2 {
        return alone(region);
    }
    let filed = Filed::new(region);
    let mut groups = Groups::new(polygons.len());
    for (index, polygon) in polygons.iter().enumerate() {
        let Some(around) = polygon.bounds() else { continue };
        filed.touching_any(&[around.grown(2.0 * reach_mm)]).for_each(|other| groups.join(index, other));
    }
    let mut gathered: Vec<Vec<&Polygon>> = vec![Vec::new(); polygons.len()];
    polygons.iter().enumerate().for_each(|(index, polygon)| gathered[groups.root(index)].push(polygon));
    gathered.retain(|group| !group.is_empty());
    gathered
}

/// How outlines are moved, in lines of the grid.
#[derive(Debug, Clone, Copy)]
struct Pen {
    lines_per_mm: f64,
    /// Outwards when positive.
    by: f64,
    /// Cosine and sine of an arc's step.
    step: (f64, f64),
    /// Cosine of the turn up to which a corner has one point.
    blunt: f64,
    /// Whether that point lies where the moved edges meet, past the arc; else on it.
    past: bool,
}

impl Pen {
    fn new(by_mm: f64, tolerance_mm: f64, rounding: Rounding, far_mm: f64) -> Self {
        // Drawn out, what grows may lie past the true edge; drawn in, what shrinks.
        let past = (rounding == Rounding::Grow) == (by_mm > 0.0);
        let sagitta_mm = if past { (1.0 - BLUNT_SHARE) * tolerance_mm } else { tolerance_mm };
        let distance_mm = by_mm.abs() + if past { sagitta_mm } else { 0.0 };
        // Corners reach further than edges: the mitre of a blunt one, at most by half.
        let room_mm = far_mm + 1.5 * distance_mm;
        let lines_per_mm = LINES_PER_MM.min((FURTHEST / room_mm).log2().floor().exp2());
        // The sagitta of a chord of angle s is r (1 - cos(s / 2)).
        let half = 1.0 - (sagitta_mm / distance_mm).clamp(1e-9, SAGITTA_MAX);
        let cosine = 2.0 * half * half - 1.0;
        // The mitre of a turn t reaches r (1 / cos(t / 2) - 1) past the arc, and a chord to the arc's middle about as
        // much below it.
        let half_blunt = 1.0 / (1.0 + (BLUNT_SHARE * tolerance_mm / distance_mm).clamp(0.0, SAGITTA_MAX));
        Self {
            lines_per_mm,
            by: by_mm.signum() * distance_mm * lines_per_mm,
            step: (cosine, (1.0 - cosine * cosine).max(0.0).sqrt()),
            blunt: 2.0 * half_blunt * half_blunt - 1.0,
            past,
        }
    }

    /// Furthest that anything is moved.
    fn reach_mm(&self) -> f64 {
        1.5 * self.by.abs() / self.lines_per_mm
    }

    fn engine(&self) -> Overlay<i32> {
        let options = IntOverlayOptions {
            output_direction: ContourDirection::CounterClockwise,
            min_output_area: (CRUMB_MM2 * self.lines_per_mm.powi(2)) as u64,
            ..IntOverlayOptions::default()
        };
        Overlay::new_custom(0, options, Default::default())
    }

    fn draw(&self, engine: &mut Overlay<i32>, polygons: &[&Polygon]) -> Vec<Polygon> {
        engine.clear();
        let (mut outline, mut line, mut sweep) = (Outline::default(), Vec::new(), Sweep::default());
        let rings = polygons.iter().filter(|polygon| !self.fills(&polygon.outer)).flat_map(|polygon| polygon.rings());
        for ring in rings.filter(|ring| !self.fills(ring)) {
            outline.read(ring, self.lines_per_mm);
            pocket::left_out(&mut outline, self.by);
            line.clear();
            (0..outline.corners.len()).for_each(|corner| self.turn(&outline, corner, &mut line));
            sweep.add(&line);
            engine.add_contour(&line, ShapeType::Subject);
        }
        engine.solver = sweep.solver();
        let shapes = engine.overlay(OverlayRule::Subject, FillRule::Positive);
        let back =
            |p: IntPoint<i32>| Point { x: f64::from(p.x) / self.lines_per_mm, y: f64::from(p.y) / self.lines_per_mm };
        let ring = |contour: Vec<IntPoint<i32>>| Ring(contour.into_iter().map(back).collect());
        let polygon = |shape: Vec<Vec<IntPoint<i32>>>| {
            let mut rings = shape.into_iter().map(ring);
            Some(Polygon { outer: rings.next()?, holes: rings.collect() })
        };
        shapes.into_iter().filter_map(polygon).collect()
    }

    /// Whether nothing is left of a hole that is drawn in on, or of an outer ring that is drawn in: across it no place is
    /// further than half its width from an edge on the one side or the other.
    fn fills(&self, ring: &Ring) -> bool {
        let is_moved_in = (ring.signed_area_mm2() > 0.0) == (self.by < 0.0);
        let narrow =
            |around: Bounds| around.width_mm().min(around.height_mm()) <= 2.0 * self.by.abs() / self.lines_per_mm;
        is_moved_in && Bounds::around(ring.0.iter().copied()).is_some_and(narrow)
    }

    /// The moved line about one corner.
    fn turn(&self, outline: &Outline, corner: usize, line: &mut Vec<IntPoint<i32>>) {
        let ((x, y), (before, after)) = (outline.corners[corner], outline.sides_at(corner));
        let joint = outline.joints[corner];
        let mut push = |dx: f64, dy: f64| line.push(IntPoint::new(nearest(x + dx), nearest(y + dy)));
        let middle = (before.x + after.x, before.y + after.y);
        let cosine = before.x * after.x + before.y * after.y;
        let (from, to) = outline.arc(corner);
        let closes = joint.is_free() && outline.closes(corner, self.by);
        if joint.left_out {
        } else if !joint.is_free() && self.by.signum() * (from.0 * to.1 - from.1 * to.0) < 0.0 {
            // What the next edge or pocket covers begins before the last has ended: back to the corner between them.
            if joint.from.is_none() {
                push(self.by * from.0, self.by * from.1);
            }
            push(0.0, 0.0);
            push(self.by * to.0, self.by * to.1);
        } else if closes && !outline.fits(corner, self.by) {
            push(self.by * before.x, self.by * before.y);
            push(0.0, 0.0);
            push(self.by * after.x, self.by * after.y);
        } else if closes || (self.past && cosine >= self.blunt && joint.is_free()) {
            // The meeting point of moved edges is the normals' sum over 1 + cos t.
            let reach = self.by / (1.0 + cosine);
            push(reach * middle.0, reach * middle.1);
        } else if cosine >= self.blunt && joint.is_free() {
            let reach = self.by / (2.0 + 2.0 * cosine).sqrt();
            push(reach * middle.0, reach * middle.1);
        } else {
            // The arc of the lip before ends where this one begins.
            if joint.from.is_none() {
                push(self.by * from.0, self.by * from.1);
            }
            self.arc(from, to, push);
        }
    }

    /// Points of an arc after its first, which stands already.
    fn arc(&self, from: (f64, f64), to: (f64, f64), mut push: impl FnMut(f64, f64)) {
        let way = self.by.signum();
        let (cosine, sine) = (self.step.0, way * self.step.1);
        let mut at = from;
        loop {
            at = (cosine * at.0 - sine * at.1, sine * at.0 + cosine * at.1);
            if way * (at.0 * to.1 - at.1 * to.0) <= 1e-9 {
                break;
            }
            push(self.by * at.0, self.by * at.1);
        }
        push(self.by * to.0, self.by * to.1);
    }
}
