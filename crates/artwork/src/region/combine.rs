//! Set operations on rings, by an engine that works on whole numbers.

use super::{Polygon, Region, Ring};
use crate::grid::Point;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::ShapeType;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::overlay::FloatOverlay;
use i_overlay::i_float::adapter::FloatPointAdapter;
use i_overlay::i_float::float::compatible::FloatPointCompatible;
use i_overlay::i_float::float::rect::FloatRect;

/// Furthest that a coordinate may lie from the origin. What lies further is drawn in to it.
pub const REACH_MM: f64 = 32_000.0;

/// Largest half of the square that the engine is set up for.
const SPAN_MAX_MM: f64 = 32_768.0;
/// Smallest: a grid finer than this gives (0.02 nm) is finer than what coordinates carry.
const SPAN_MIN_MM: f64 = 8.0;
/// Grid lines in that half, whatever it is: the engine keeps 29 bits.
const LINES: f64 = (1_u64 << 29) as f64;
const _: () = assert!(REACH_MM < SPAN_MAX_MM, "a coordinate would leave the engine's square");

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

/// Two sets of rings combined. Rings with a coordinate that is not finite are left out.
pub(super) fn overlay<'a>(
    subject: impl Iterator<Item = &'a Ring>,
    clip: impl Iterator<Item = &'a Ring>,
    rule: OverlayRule,
    fill: FillRule,
) -> Region {
    let subject = subject.map(|ring| (ring, ShapeType::Subject));
    let clip = clip.map(|ring| (ring, ShapeType::Clip));
    let finite = |ring: &Ring| ring.0.iter().all(Point::is_finite);
    let rings: Vec<(&Ring, ShapeType)> = subject.chain(clip).filter(|(ring, _)| finite(ring)).collect();
    let far = rings.iter().flat_map(|(ring, _)| &ring.0).map(|p| p.x.abs().max(p.y.abs())).fold(0.0, f64::max);
    let mut engine = FloatOverlay::with_adapter(adapter(far), 64);
    for (ring, kind) in rings {
        if far <= REACH_MM {
            engine = engine.unsafe_add_contour(&ring.0, kind);
        } else {
            let drawn_in = |v: f64| v.clamp(-REACH_MM, REACH_MM);
            engine = engine.unsafe_add_contour(&ring.mapped(|p| Point { x: drawn_in(p.x), y: drawn_in(p.y) }).0, kind);
        }
    }
    Region { polygons: engine.overlay(rule, fill).into_iter().filter_map(polygon).collect() }
}

fn polygon(shape: Vec<Vec<Point>>) -> Option<Polygon> {
    let mut rings = shape.into_iter().map(Ring);
    Some(Polygon { outer: rings.next()?, holes: rings.collect() })
}

/// The finest grid that holds all coordinates. It and the square are powers of two, so that a coordinate on the
/// grid is exact in binary, and stays on the grid of any smaller square.
fn adapter(far_mm: f64) -> FloatPointAdapter<Point, i32> {
    let span = far_mm.max(SPAN_MIN_MM).log2().ceil().exp2();
    // A coordinate on the square's very edge would leave it by rounding.
    let span = if far_mm < span { span } else { 2.0 * span }.min(SPAN_MAX_MM);
    let square = FloatRect { min_x: -span, max_x: span, min_y: -span, max_y: span };
    FloatPointAdapter::try_with_scale_conservative(square, LINES / span)
        .expect("the square and the grid are powers of two that fit one another")
}
