//! Pieces as the collision engine takes them: single precision, about their own middle, grown by half of the gap.

use super::{NestError, Piece, Turns};
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring, Rounding};
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::primitives::{Point as EnginePoint, SPolygon};
use jagua_rs::geometry::shape_modification::{ShapeModifyMode, simplify_shape};
use std::f32::consts::TAU;

/// Circles laid into a piece: until they cover the share of its area on the right, up to the number on the left.
/// More circles tell an overlap more finely and cost more at every comparison.
const CIRCLES: [(usize, f32); 3] = [(64, 0.0), (16, 0.8), (8, 0.9)];
/// Share of its area that an outline may grow by when points are left out of it.
const SIMPLER: f32 = 0.001;
/// A corner's point is moved outwards no further than this many times the margin.
const MITRE_MOST: f64 = 8.0;

/// One kind of piece; its copies share it.
pub(super) struct Kind {
    /// The piece in the caller's list.
    pub(super) piece: usize,
    /// About the origin, counterclockwise, grown; with its circles.
    pub(super) shape: SPolygon,
    /// What was at the origin of `shape`, in the piece's own millimetres.
    pub(super) centre: Point,
    /// Of the outline as given, in mm².
    pub(super) area: f64,
    /// Fourth root of the convex hull's area: half of what scales an overlap to a length.
    pub(super) scale: f32,
    /// The shorter side of its box, in mm.
    pub(super) least_side: f32,
    pub(super) turning: Turning,
}

/// How a kind may be turned.
pub(super) enum Turning {
    /// To any angle.
    Free,
    /// To these angles, in radians, each with the reach that it gives.
    Of(Vec<(f32, Reach)>),
}

/// How far a turned piece reaches from its origin, each way; mm, none negative.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    pub(super) left: f32,
    pub(super) right: f32,
    pub(super) down: f32,
    pub(super) up: f32,
}

/// How an outline is grown, in mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Growth {
    /// Half of the gap.
    pub(super) gap: f64,
    /// Keeps single precision from letting two pieces touch.
    pub(super) margin: f64,
}

impl Kind {
    /// # Errors
    /// [`NestError::Outline`] for an outline that crosses itself or encloses nothing.
    pub(super) fn new(index: usize, piece: &Piece, growth: Growth) -> Result<Self, NestError> {
        let refused = || NestError::Outline { name: piece.name.clone() };
        let grown = grown(&piece.outline, growth).ok_or_else(refused)?;
        let centre = middle(&grown).ok_or_else(refused)?;
        let points = grown.0.iter().map(|p| EnginePoint((p.x - centre.x) as f32, (p.y - centre.y) as f32));
        let exact = SPolygon::new(points.collect()).map_err(|_| refused())?;
        let mut shape = simplify_shape(&exact, ShapeModifyMode::Inflate, SIMPLER);
        let circles = SPSurrogateConfig { n_pole_limits: CIRCLES, ff_pole_area_ratio: 0.5, n_ff_piers: 0 };
        shape.generate_surrogate(circles).map_err(|_| refused())?;
        let turning = turning(&piece.turns, &shape);
        let hull = shape.surrogate().convex_hull_area;
        let least_side = shape.bbox().width().min(shape.bbox().height());
        let area = piece.outline.signed_area_mm2().abs();
        Ok(Self { piece: index, shape, centre, area, scale: hull.sqrt().sqrt(), least_side, turning })
    }

    /// How far it reaches when turned.
    pub(super) fn reach(&self, turn: f32) -> Reach {
        match &self.turning {
            Turning::Free => reach(&self.shape, turn),
            Turning::Of(turns) => turns
                .iter()
                .find(|(angle, _)| *angle == turn)
                .map_or_else(|| reach(&self.shape, turn), |(_, reach)| *reach),
        }
    }

    /// Some angle that it may be turned to.
    pub(super) fn any_turn(&self, draw: f32) -> f32 {
        match &self.turning {
            Turning::Free => draw * TAU,
            Turning::Of(turns) => turns[((draw * turns.len() as f32) as usize).min(turns.len() - 1)].0,
        }
    }

    /// Whether it fits into a strip of this width, however long, at some angle that is allowed.
    pub(super) fn fits_across(&self, width: f32) -> bool {
        self.some_turns().any(|turn| {
            let reach = self.reach(turn);
            reach.up + reach.down <= width
        })
    }

    /// The least length that it takes in a strip of this width; `None` when it does not fit across.
    pub(super) fn shortest_within(&self, width: f32) -> Option<f32> {
        let reaches = self.some_turns().map(|turn| self.reach(turn));
        let across = reaches.filter(|reach| reach.up + reach.down <= width);
        // Between the angles that are tried of any angle it may be shorter still, by far less than this.
        let slack = if matches!(self.turning, Turning::Free) { 0.97 } else { 1.0 };
        across.map(|reach| slack * (reach.left + reach.right)).reduce(f32::min)
    }

    /// Whether it fits into a rectangle at some angle that is allowed.
    pub(super) fn fits(&self, length: f32, width: f32) -> bool {
        self.some_turns().any(|turn| {
            let reach = self.reach(turn);
            reach.up + reach.down <= width && reach.left + reach.right <= length
        })
    }

    /// All angles, or many of them.
    pub(super) fn some_turns(&self) -> impl Iterator<Item = f32> + '_ {
        /// Steps of a turn that are tried for a piece that may be turned to any angle.
        const STEPS: usize = 180;
        let (turns, steps): (&[_], _) = match &self.turning {
            Turning::Free => (&[], STEPS),
            Turning::Of(turns) => (turns, 0),
        };
        turns.iter().map(|(angle, _)| *angle).chain((0..steps).map(|i| TAU * i as f32 / STEPS as f32))
    }
}

fn turning(turns: &Turns, shape: &SPolygon) -> Turning {
    let of = |degrees: &[f64]| {
        let angle = |degrees: &f64| degrees.to_radians() as f32;
        Turning::Of(degrees.iter().map(angle).map(|angle| (angle, reach(shape, angle))).collect())
    };
    match turns {
        Turns::Any => Turning::Free,
        Turns::Fixed => of(&[0.0]),
        Turns::Half => of(&[0.0, 180.0]),
        Turns::Quarter => of(&[0.0, 90.0, 180.0, 270.0]),
        Turns::Of(angles) if angles.is_empty() => of(&[0.0]),
        Turns::Of(angles) => of(angles),
    }
}

fn reach(shape: &SPolygon, turn: f32) -> Reach {
    let (sin, cos) = turn.sin_cos();
    let mut reach = Reach { left: 0.0, right: 0.0, down: 0.0, up: 0.0 };
    for &corner in &shape.surrogate().convex_hull_indices {
        let EnginePoint(px, py) = shape.vertex(corner);
        let (x, y) = (px * cos - py * sin, px * sin + py * cos);
        reach.left = reach.left.max(-x);
        reach.right = reach.right.max(x);
        reach.down = reach.down.max(-y);
        reach.up = reach.up.max(y);
    }
    reach
}

fn middle(ring: &Ring) -> Option<Point> {
    artwork::bounds::Bounds::around(ring.0.iter().copied()).map(|bounds| bounds.centre())
}

/// The outline with the gap's half around it; holes that the gap closes are gone.
fn grown(outline: &Ring, growth: Growth) -> Option<Ring> {
    let ring = tidy(outline)?;
    if growth.gap <= 0.0 {
        return Some(pushed_out(&ring, growth.margin));
    }
    let region = Region::from_rings(&[ring], FillRule::NonZero);
    let tolerance = (0.04 * growth.gap).max(growth.margin);
    let outset = region.outset(growth.gap + growth.margin, tolerance, Rounding::Grow);
    outset.polygons().iter().map(|polygon| &polygon.outer).max_by(|a, b| larger(a, b)).and_then(tidy)
}

fn larger(a: &Ring, b: &Ring) -> std::cmp::Ordering {
    a.signed_area_mm2().abs().total_cmp(&b.signed_area_mm2().abs())
}

/// Without points that repeat the one before or lie on a straight line; counterclockwise. `None` when nothing is left.
fn tidy(ring: &Ring) -> Option<Ring> {
    let mut points: Vec<Point> = Vec::with_capacity(ring.0.len());
    for &point in &ring.0 {
        if !(point.x.is_finite() && point.y.is_finite()) {
            return None;
        }
        if points.last() != Some(&point) {
            points.push(point);
        }
    }
    while points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    if points.len() < 3 {
        return None;
    }
    let ring = Ring(points);
    let area = ring.signed_area_mm2();
    let turned = match area {
        area if area > 0.0 => ring,
        area if area < 0.0 => Ring(ring.0.into_iter().rev().collect()),
        _ => return None,
    };
    let straight = turned.0.len();
    let kept: Vec<Point> = (0..straight).filter(|&i| !on_a_line(&turned, i)).map(|i| turned.0[i]).collect();
    (kept.len() >= 3).then_some(Ring(kept))
}

fn on_a_line(ring: &Ring, i: usize) -> bool {
    let (before, at, after) = neighbours(ring, i);
    let (ax, ay, bx, by) = (at.x - before.x, at.y - before.y, after.x - at.x, after.y - at.y);
    (ax * by - ay * bx).abs() <= 1e-12 * ax.hypot(ay) * bx.hypot(by) && ax * bx + ay * by > 0.0
}

fn neighbours(ring: &Ring, i: usize) -> (Point, Point, Point) {
    let n = ring.0.len();
    (ring.0[(i + n - 1) % n], ring.0[i], ring.0[(i + 1) % n])
}

/// Every edge moved outwards; corners stay corners, so that no points are added.
fn pushed_out(ring: &Ring, by: f64) -> Ring {
    let moved = |i: usize| {
        let (before, at, after) = neighbours(ring, i);
        let (ax, ay) = outwards(before, at);
        let (bx, by_) = outwards(at, after);
        let length = (1.0 + ax * bx + ay * by_).max(2.0 / (MITRE_MOST * MITRE_MOST));
        Point { x: at.x + by * (ax + bx) / length, y: at.y + by * (ay + by_) / length }
    };
    Ring((0..ring.0.len()).map(moved).collect())
}

/// Unit vector to the right of an edge: outwards, when the ring runs counterclockwise.
fn outwards(from: Point, to: Point) -> (f64, f64) {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = dx.hypot(dy);
    (dy / length, -dx / length)
}

/// A point well within an outline: the middle of a large circle in it; the middle of its box when there is none.
pub(super) fn label_point(ring: &Ring) -> Point {
    let points = |ring: Ring| ring.0.iter().map(|p| EnginePoint(p.x as f32, p.y as f32)).collect();
    let shape = tidy(ring).and_then(|ring| SPolygon::new(points(ring)).ok());
    let of = |shape: SPolygon| Point { x: f64::from(shape.poi().center.0), y: f64::from(shape.poi().center.1) };
    shape.map(of).or_else(|| middle(ring)).unwrap_or_default()
}
