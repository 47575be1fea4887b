//! A set of places on the blank, as polygons with holes.
//!
//! Every region is clean: its polygons do not overlap, no ring crosses itself, outer rings have a
//! positive area and holes a negative one. Coordinates reach no further than [`REACH_MM`] from the origin.
//!
//! `combine` does the set operations on a grid as fine as the regions' reach allows: a nanometre for a piece
//! of half a metre, 0.06 µm at the furthest. `offset` draws a region in or out. `flatten` turns curves into chords.

mod combine;
mod flatten;
mod offset;
mod outline;
mod pocket;
mod ring;
mod sweep;

pub use combine::REACH_MM;
pub(crate) use flatten::{control_length, crossings, flattened};
pub use ring::{Polygon, Ring};

use crate::bounds::Bounds;
use crate::grid::Point;
use crate::near::Filed;
use combine::overlay;
use i_overlay::core::fill_rule::FillRule as OverlayFill;
use i_overlay::core::overlay_rule::OverlayRule;
use kurbo::{Affine, BezPath, PathEl};
use quantity::{Area, Quantity};

/// A set of polygons that do not overlap, in millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    polygons: Vec<Polygon>,
}

/// Which places a self-crossing outline encloses (SVG 1.1, 11.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FillRule {
    /// Wherever the outline winds around, in either direction.
    NonZero,
    /// Wherever a way out crosses the outline an odd number of times.
    EvenOdd,
}

/// Which side a result that can only be approximated errs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// Holds all of the true result, and up to the tolerance more.
    Grow,
    /// Lies within the true result, short of it by up to the tolerance.
    Shrink,
}

impl Region {
    /// From rings that may cross, overlap and turn either way.
    ///
    /// Rings with a coordinate that is not finite are left out.
    #[must_use]
    pub fn from_rings(rings: &[Ring], rule: FillRule) -> Self {
        let fill = match rule {
            FillRule::NonZero => OverlayFill::NonZero,
            FillRule::EvenOdd => OverlayFill::EvenOdd,
        };
        overlay(rings.iter(), std::iter::empty(), OverlayRule::Subject, fill)
    }

    /// From a path of lines and curves, flattened *after* `transform`, which leads to millimetres.
    ///
    /// `tolerance_mm`: greatest distance between a curve and its chords. Chords lie inside a convex
    /// outline and so shrink it (and grow a hole): a circle of radius `r` loses up to the share
    /// `4/3 tolerance / r` of its area.
    #[must_use]
    pub fn from_path(path: &BezPath, transform: Affine, rule: FillRule, tolerance_mm: f64) -> Self {
        Self::from_rings(&flattened(path, transform, tolerance_mm), rule)
    }

    /// An upright rectangle.
    #[must_use]
    pub fn rectangle(bounds: Bounds) -> Self {
        let (a, c) = (bounds.min, bounds.max);
        let ring = Ring(vec![a, Point { x: c.x, y: a.y }, c, Point { x: a.x, y: c.y }]);
        Self::from_rings(&[ring], FillRule::NonZero)
    }

    /// From polygons of a clean region, some or all of them.
    pub(crate) fn of_polygons(polygons: Vec<Polygon>) -> Self {
        Self { polygons }
    }

    /// Without rings of less than a micrometre in width, which rounding leaves where two regions meet.
    #[must_use]
    pub fn without_slivers(mut self) -> Self {
        let broad = |ring: &Ring| 2.0 * ring.signed_area_mm2().abs() > 1e-3 * ring.perimeter_mm();
        self.polygons.retain(|polygon| broad(&polygon.outer));
        self.polygons.iter_mut().for_each(|polygon| polygon.holes.retain(broad));
        self
    }

    /// The separate pieces.
    #[must_use]
    pub fn polygons(&self) -> &[Polygon] {
        &self.polygons
    }

    /// The separate pieces, each as a region of its own.
    pub fn parts(&self) -> impl Iterator<Item = Self> + '_ {
        self.polygons.iter().map(|polygon| Self { polygons: vec![polygon.clone()] })
    }

    /// Every ring, outer and hole.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        self.polygons.iter().flat_map(Polygon::rings)
    }

    /// Number of points on all rings.
    #[must_use]
    pub fn vertex_count(&self) -> usize {
        self.rings().map(|ring| ring.0.len()).sum()
    }

    /// Whether there is nothing in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.polygons.is_empty()
    }

    /// Area, holes taken off.
    #[must_use]
    pub fn area(&self) -> Area {
        let square_mm: f64 = self.polygons.iter().map(Polygon::area_mm2).sum();
        Area::clamped(square_mm.max(0.0) * 1e-6)
    }

    /// Length of all edges, of holes too, in millimetres. (A drawing's edges may be longer than any
    /// one [`quantity::Length`].)
    #[must_use]
    pub fn perimeter_mm(&self) -> f64 {
        self.rings().map(Ring::perimeter_mm).sum()
    }

    /// The rectangle around everything; `None` when empty.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        self.polygons.iter().filter_map(Polygon::bounds).reduce(Bounds::with)
    }

    /// Whether a point lies inside.
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        self.rings().filter(|ring| ring.contains(point)).count() % 2 == 1
    }

    /// What is in either.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        self.combined(other, OverlayRule::Union)
    }

    /// What is in any of them. Much faster than one union after another.
    #[must_use]
    pub fn union_of<'a>(regions: impl IntoIterator<Item = &'a Self>) -> Self {
        let rings = regions.into_iter().flat_map(Self::rings);
        overlay(rings, std::iter::empty(), OverlayRule::Subject, OverlayFill::NonZero)
    }

    /// What is in both.
    #[must_use]
    pub fn intersect(&self, other: &Self) -> Self {
        self.combined(other, OverlayRule::Intersect)
    }

    /// What is in this one and not in the other.
    #[must_use]
    pub fn subtract(&self, other: &Self) -> Self {
        self.combined(other, OverlayRule::Difference)
    }

    /// Everything within `by_mm` of it, with round corners kept to `tolerance_mm` on the side of `rounding`.
    #[must_use]
    pub fn outset(&self, by_mm: f64, tolerance_mm: f64, rounding: Rounding) -> Self {
        self.drawn(by_mm, tolerance_mm, rounding)
    }

    /// Everything in it further than `by_mm` from its edge, to `tolerance_mm` on the side of `rounding`.
    #[must_use]
    pub fn inset(&self, by_mm: f64, tolerance_mm: f64, rounding: Rounding) -> Self {
        self.drawn(-by_mm, tolerance_mm, rounding)
    }

    /// Moved, turned, scaled or sheared. Coordinates are rounded to the grid and drawn in to
    /// [`REACH_MM`]; a map that is not finite gives an empty region.
    #[must_use]
    pub fn transform(&self, map: Affine) -> Self {
        let moved = |p: Point| {
            let q = map * kurbo::Point::new(p.x, p.y);
            Point { x: q.x, y: q.y }
        };
        let rings: Vec<Ring> = self.rings().map(|ring| ring.mapped(moved)).collect();
        overlay(rings.iter(), std::iter::empty(), OverlayRule::Subject, OverlayFill::NonZero)
    }

    /// Left for right about the upright line at `x_mm`. Twice about a line on the grid is the same again.
    #[must_use]
    pub fn mirrored(&self, x_mm: f64) -> Self {
        let flip = |ring: &Ring| {
            let mut ring = ring.mapped(|p| Point { x: 2.0 * x_mm - p.x, y: p.y });
            ring.0.reverse();
            ring
        };
        let polygon = |p: &Polygon| Polygon { outer: flip(&p.outer), holes: p.holes.iter().map(flip).collect() };
        Self { polygons: self.polygons.iter().map(polygon).collect() }
    }

    /// The outline as a path: every ring closed; non-zero and even-odd fill give the same.
    #[must_use]
    pub fn to_path(&self) -> BezPath {
        let mut path = BezPath::new();
        for ring in self.rings().filter(|ring| !ring.0.is_empty()) {
            let mut points = ring.0.iter().map(|p| kurbo::Point::new(p.x, p.y));
            path.extend(points.next().map(PathEl::MoveTo));
            path.extend(points.map(PathEl::LineTo));
            path.close_path();
        }
        path
    }

    /// Only polygons that may meet are worked on: a small change to a large drawing costs little.
    fn combined(&self, other: &Self, rule: OverlayRule) -> Self {
        let ([mine, alone], [theirs, their_own]) = (self.parted(other), other.parted(self));
        let met = overlay(rings_of(&mine), rings_of(&theirs), rule, OverlayFill::NonZero);
        let mut polygons = met.polygons;
        if rule != OverlayRule::Intersect {
            polygons.extend(alone.into_iter().cloned());
        }
        if rule == OverlayRule::Union {
            polygons.extend(their_own.into_iter().cloned());
        }
        Self { polygons }
    }

    /// Polygons whose rectangles meet one of another region, and the others.
    fn parted(&self, other: &Self) -> [Vec<&Polygon>; 2] {
        let filed = Filed::new(other);
        let meets = |polygon: &&Polygon| polygon.bounds().is_some_and(|at| filed.any_touches(&at));
        let (met, alone) = self.polygons.iter().partition(meets);
        [met, alone]
    }

    fn drawn(&self, by_mm: f64, tolerance_mm: f64, rounding: Rounding) -> Self {
        if self.is_empty() || !by_mm.is_finite() || by_mm == 0.0 {
            return self.clone();
        }
        offset::drawn(self, by_mm, tolerance_mm, rounding)
    }
}

fn rings_of<'a>(polygons: &'a [&'a Polygon]) -> impl Iterator<Item = &'a Ring> {
    polygons.iter().flat_map(|polygon| polygon.rings())
}

#[cfg(test)]
mod tests;
