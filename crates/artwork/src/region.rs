//! A set of places on the blank, as polygons with holes.
//!
//! Every region is clean: its polygons do not overlap, no ring crosses itself, outer rings have a
//! positive area and holes a negative one. All coordinates lie on a fixed grid of 2⁻¹⁴ mm (0.06 µm),
//! so that the same region comes out of the same work wherever it lies, and reach no further than
//! [`REACH_MM`] from the origin.

use crate::bounds::Bounds;
use crate::grid::Point;
use i_overlay::core::fill_rule::FillRule as OverlayFill;
use i_overlay::core::overlay::ShapeType;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::overlay::FloatOverlay;
use i_overlay::i_float::adapter::FloatPointAdapter;
use i_overlay::i_float::float::compatible::FloatPointCompatible;
use i_overlay::i_float::float::rect::FloatRect;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use kurbo::{Affine, BezPath, PathEl};
use quantity::{Area, Quantity};

/// Furthest that a coordinate may lie from the origin. What lies further is drawn in to it.
pub const REACH_MM: f64 = 32_000.0;

/// Grid lines in a millimetre. A power of two, so that a coordinate is exact in binary.
const GRID_PER_MM: f64 = 16_384.0;
/// Half of the square that the integer engine is set up for; a power of two as well.
const SPAN_MM: f64 = 32_768.0;
const _: () = assert!(SPAN_MM * GRID_PER_MM <= (1_u64 << 29) as f64, "the engine keeps 29 bits");
const _: () = assert!(REACH_MM < SPAN_MM, "a coordinate would leave the engine's square");

/// A closed line of points; the last joins the first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ring(pub Vec<Point>);

/// One connected piece: an outer ring and what is cut out of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polygon {
    /// Positive area.
    pub outer: Ring,
    /// Negative area each.
    pub holes: Vec<Ring>,
}

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

impl Ring {
    /// Enclosed area in mm² by the shoelace formula; its sign tells the direction.
    #[must_use]
    pub fn signed_area_mm2(&self) -> f64 {
        // Relative to the first point: far from the origin the products would lose the area's digits.
        let Some(&first) = self.0.first() else { return 0.0 };
        let cross = |(a, b): (Point, Point)| (a.x - first.x) * (b.y - first.y) - (b.x - first.x) * (a.y - first.y);
        0.5 * self.edges().map(cross).sum::<f64>()
    }

    /// Length of the closed line.
    #[must_use]
    pub fn perimeter_mm(&self) -> f64 {
        self.edges().map(|(a, b)| (b.x - a.x).hypot(b.y - a.y)).sum()
    }

    /// The edges, the closing one last.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.0.iter().copied().zip(self.0.iter().copied().cycle().skip(1))
    }

    /// Whether a point lies inside (even-odd).
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        let crosses = |&(a, b): &(Point, Point)| {
            (a.y > point.y) != (b.y > point.y) && point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x
        };
        self.edges().filter(crosses).count() % 2 == 1
    }

    fn mapped(&self, map: impl Fn(Point) -> Point) -> Self {
        Self(self.0.iter().map(|&p| map(p)).collect())
    }
}

impl Polygon {
    /// The outer ring, then the holes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Area in mm², holes taken off.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        self.rings().map(Ring::signed_area_mm2).sum()
    }

    /// The rectangle around it; `None` for a polygon of no points.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::around(self.outer.0.iter().copied())
    }
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
    pub(crate) fn without_slivers(mut self) -> Self {
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
        let by_mm = match rounding {
            Rounding::Grow => by_mm + tolerance_mm,
            Rounding::Shrink => by_mm,
        };
        self.outlined(by_mm, tolerance_mm)
    }

    /// Everything in it further than `by_mm` from its edge, to `tolerance_mm` on the side of `rounding`.
    #[must_use]
    pub fn inset(&self, by_mm: f64, tolerance_mm: f64, rounding: Rounding) -> Self {
        // The arc of a corner is cut short, so the rest errs on the large side unless pushed in.
        let by_mm = match rounding {
            Rounding::Grow => by_mm,
            Rounding::Shrink => by_mm + tolerance_mm,
        };
        self.outlined(-by_mm, tolerance_mm)
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

    fn combined(&self, other: &Self, rule: OverlayRule) -> Self {
        overlay(self.rings(), other.rings(), rule, OverlayFill::NonZero)
    }

    fn outlined(&self, by_mm: f64, tolerance_mm: f64) -> Self {
        if self.is_empty() || !by_mm.is_finite() || by_mm == 0.0 {
            return self.clone();
        }
        // The step of an arc whose sagitta is the tolerance: s = r (1 - cos(step / 2)).
        let step = 2.0 * (1.0 - (tolerance_mm / by_mm.abs()).clamp(1e-9, 0.25)).acos();
        let style = OutlineStyle::new(by_mm).line_join(LineJoin::Round(step));
        let shapes: Vec<Vec<Vec<Point>>> =
            self.polygons.iter().map(|p| p.rings().map(|ring| ring.0.clone()).collect()).collect();
        let rings: Vec<Ring> = shapes.outline(&style).into_iter().flatten().map(Ring).collect();
        overlay(rings.iter(), std::iter::empty(), OverlayRule::Subject, OverlayFill::NonZero)
    }
}

/// The chords of a path after `transform`, one ring for each closed or open subpath.
pub(crate) fn flattened(path: &BezPath, transform: Affine, tolerance_mm: f64) -> Vec<Ring> {
    let mut rings: Vec<Ring> = Vec::new();
    kurbo::flatten(transform * path, tolerance_mm, |element| match element {
        PathEl::MoveTo(p) => rings.push(Ring(vec![Point { x: p.x, y: p.y }])),
        PathEl::LineTo(p) => {
            if let Some(ring) = rings.last_mut() {
                ring.0.push(Point { x: p.x, y: p.y });
            }
        }
        _ => {}
    });
    rings.retain(|ring| ring.0.len() > 2);
    rings
}

/// Length of a curve's control polygon, which is no shorter than the curve.
pub(crate) fn control_length(curve: &kurbo::PathSeg) -> f64 {
    let cubic = curve.to_cubic();
    cubic.p0.distance(cubic.p1) + cubic.p1.distance(cubic.p2) + cubic.p2.distance(cubic.p3)
}

/// Edge pairs looked at to estimate how often outlines cross.
const PAIRS: u64 = 1 << 16;

/// How often edges cross, from a fixed sample of pairs: for `n` edges, right to about `n² / 2¹⁷` crossings.
pub(crate) fn crossings(edges: &[(Point, Point)]) -> u64 {
    let n = edges.len() as u64;
    if n < 2_000 {
        return 0;
    }
    // A linear congruential generator (Knuth's MMIX constants) spreads the pairs; always the same.
    let mut state = 1_u64;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        edges[((state >> 33) % n) as usize]
    };
    let hits = (0..PAIRS).filter(|_| cross(draw(), draw())).count() as u64;
    (hits as f64 / PAIRS as f64 * 0.5 * (n as f64).powi(2)) as u64
}

fn cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let touches = |(a, b), (c, d)| match (Bounds::around([a, b]), Bounds::around([c, d])) {
        (Some(one), Some(two)) => one.touches(&two),
        _ => false,
    };
    let side = |a: Point, b: Point, p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    touches((a, b), (c, d)) && side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

impl FloatPointCompatible for Point {
    type Scalar = f64;

    fn from_xy(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    fn x(&self) -> f64 {
        self.x
    }

    fn y(&self) -> f64 {
        self.y
    }
}

fn overlay<'a>(
    subject: impl Iterator<Item = &'a Ring>,
    clip: impl Iterator<Item = &'a Ring>,
    rule: OverlayRule,
    fill: OverlayFill,
) -> Region {
    let subject = subject.map(|ring| (ring, ShapeType::Subject));
    let clip = clip.map(|ring| (ring, ShapeType::Clip));
    let mut engine = FloatOverlay::with_adapter(adapter(), 64);
    for (ring, kind) in subject.chain(clip).filter(|(ring, _)| ring.0.iter().all(Point::is_finite)) {
        let reached = ring.mapped(|p| Point { x: p.x.clamp(-REACH_MM, REACH_MM), y: p.y.clamp(-REACH_MM, REACH_MM) });
        engine = engine.unsafe_add_contour(&reached.0, kind);
    }
    Region { polygons: engine.overlay(rule, fill).into_iter().filter_map(polygon).collect() }
}

fn polygon(shape: Vec<Vec<Point>>) -> Option<Polygon> {
    let mut rings = shape.into_iter().map(Ring);
    Some(Polygon { outer: rings.next()?, holes: rings.collect() })
}

fn adapter() -> FloatPointAdapter<Point, i32> {
    let square = FloatRect { min_x: -SPAN_MM, max_x: SPAN_MM, min_y: -SPAN_MM, max_y: SPAN_MM };
    FloatPointAdapter::try_with_scale_conservative(square, GRID_PER_MM)
        .expect("the square and the grid are constants, and asserted to fit")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring(points.iter().map(|&(x, y)| Point { x, y }).collect())
    }

    fn square(x: f64, y: f64, side: f64) -> Region {
        Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + side, y: y + side } })
    }

    fn mm2(region: &Region) -> f64 {
        region.area().to_square_mm()
    }

    fn close(found: f64, want: f64, by: f64) {
        assert!((found - want).abs() < by, "{found} is not {want}");
    }

    #[test]
    fn squares_combine_as_sets() {
        let (a, b) = (square(0.0, 0.0, 10.0), square(6.0, 6.0, 10.0));
        close(mm2(&a.union(&b)), 184.0, 1e-6);
        close(mm2(&a.intersect(&b)), 16.0, 1e-6);
        close(mm2(&a.subtract(&b)), 84.0, 1e-6);
        close(a.subtract(&square(2.0, 2.0, 3.0)).perimeter_mm(), 40.0 + 12.0, 1e-6);
        assert_eq!(a.union(&square(20.0, 0.0, 5.0)).parts().count(), 2);
        assert!(a.subtract(&a).is_empty());
    }

    #[test]
    fn holes_turn_against_their_outer_ring() {
        let frame = square(0.0, 0.0, 10.0).subtract(&square(2.0, 2.0, 3.0));
        let polygon = &frame.polygons()[0];
        assert!(polygon.outer.signed_area_mm2() > 0.0 && polygon.holes[0].signed_area_mm2() < 0.0);
        assert!(frame.contains(Point { x: 1.0, y: 1.0 }) && !frame.contains(Point { x: 3.0, y: 3.0 }));
    }

    #[test]
    fn an_outset_square_has_round_corners_on_the_side_asked_for() {
        // Steiner: area + perimeter d + pi d².
        let want = 100.0 + 40.0 * 2.0 + PI * 4.0;
        let grown = mm2(&square(0.0, 0.0, 10.0).outset(2.0, 0.01, Rounding::Grow));
        let shrunk = mm2(&square(0.0, 0.0, 10.0).outset(2.0, 0.01, Rounding::Shrink));
        assert!(shrunk <= want && want <= grown, "{shrunk} {want} {grown}");
        close(grown, shrunk, 0.01 * 60.0);
        close(mm2(&square(0.0, 0.0, 10.0).inset(2.0, 0.01, Rounding::Grow)), 36.0, 1e-3);
        assert!(square(0.0, 0.0, 10.0).inset(6.0, 0.01, Rounding::Grow).is_empty());
    }

    #[test]
    fn a_bow_tie_is_two_triangles_by_either_rule() {
        let tie = [ring(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)])];
        for rule in [FillRule::NonZero, FillRule::EvenOdd] {
            close(mm2(&Region::from_rings(&tie, rule)), 50.0, 1e-6);
        }
    }

    #[test]
    fn coordinates_that_are_no_numbers_or_out_of_reach_do_no_harm() {
        let nan = ring(&[(0.0, f64::NAN), (1.0, 0.0), (1.0, 1.0)]);
        assert!(Region::from_rings(&[nan], FillRule::NonZero).is_empty());
        let far = ring(&[(0.0, 0.0), (1e12, 0.0), (1e12, 1.0), (0.0, 1.0)]);
        close(Region::from_rings(&[far], FillRule::NonZero).bounds().unwrap().max.x, REACH_MM, 1e-6);
        assert!(square(0.0, 0.0, 1.0).transform(Affine::scale(f64::INFINITY)).is_empty());
    }

    #[test]
    fn chords_lie_inside_a_circle_by_less_than_the_tolerance() {
        let circle = kurbo::Shape::to_path(&kurbo::Circle::new((50.0, 50.0), 30.0), 1e-6);
        for tolerance in [0.1, 0.01, 0.001] {
            let found = mm2(&Region::from_path(&circle, Affine::IDENTITY, FillRule::NonZero, tolerance));
            let most = PI * 900.0 * (4.0 / 3.0) * tolerance / 30.0;
            assert!(found < PI * 900.0 && PI * 900.0 - found < most, "{found} at {tolerance}");
        }
    }

    /// A ring of up to 9 corners that may cross itself.
    fn tangle() -> impl Strategy<Value = Region> {
        proptest::collection::vec((-50.0..50.0, -50.0..50.0), 3..9)
            .prop_map(|points| Region::from_rings(&[ring(&points)], FillRule::NonZero))
    }

    proptest! {
        #[test]
        fn areas_add_up(a in tangle(), b in tangle()) {
            let (union, both) = (mm2(&a.union(&b)), mm2(&a.intersect(&b)));
            prop_assert!(union <= mm2(&a) + mm2(&b) + 1e-3);
            prop_assert!((union + both - mm2(&a) - mm2(&b)).abs() < 1e-2);
            prop_assert!((mm2(&a.subtract(&b)) + both - mm2(&a)).abs() < 1e-2);
        }

        #[test]
        fn mirrored_twice_is_the_same(region in tangle(), x in -100..100_i32) {
            let x = f64::from(x) / 4.0;
            let once = region.mirrored(x);
            prop_assert_eq!(once.mirrored(x), region.clone());
            prop_assert!((mm2(&once) - mm2(&region)).abs() < 1e-9);
        }

        #[test]
        fn a_turn_keeps_the_area(region in tangle(), turn in 0.0..6.0) {
            let turned = region.transform(Affine::rotate(turn));
            prop_assert!((mm2(&turned) - mm2(&region)).abs() < 0.1);
        }

        #[test]
        fn outset_then_inset_never_loses_ground(region in tangle(), by in 0.1..3.0) {
            let closed = region.outset(by, 0.01, Rounding::Grow).inset(by, 0.01, Rounding::Grow);
            prop_assert!(mm2(&region.subtract(&closed)) < 0.05, "{}", mm2(&region.subtract(&closed)));
        }
    }
}
