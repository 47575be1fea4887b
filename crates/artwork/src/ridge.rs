//! The middle lines of narrow openings and narrow resist, as points with a width and a length.
//!
//! Where [`crate::width`] names the worst places, this keeps them all: a carver's depth depends on the
//! width of every stretch of every line.

use crate::bounds::Bounds;
use crate::grid::Point;
use crate::medial;
use crate::region::Region;
use crate::width::balls;
use crate::windows::Windows;
use quantity::{Length, Quantity as _};

/// Which side of the outline is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// What is open.
    Openings,
    /// The resist between openings, and between an opening and the blank's edge.
    Walls,
}

/// A place on a middle line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RidgePoint {
    /// Middle of the circle that touches both sides.
    pub at: Point,
    /// Its diameter.
    pub width: Length,
    /// Length of the middle line that this point stands for; zero for a touch of two corners.
    pub length: Length,
    /// Whether the sides meet in one sharp corner nearby: a line that ends in a point.
    pub tip: bool,
}

/// Every stretch narrower than `limit`.
///
/// Accuracy: widths as [`crate::width::widths`]; lengths within the step between places measured, a
/// third of the limit (0.1 to 1 mm), on each stretch.
#[must_use]
pub fn ridge(region: &Region, blank: Bounds, of: Of, limit: Length) -> Vec<RidgePoint> {
    ridge_within(region, blank, of, limit, None)
}

/// As [`ridge`], seen from places within windows only, if any are given.
pub(crate) fn ridge_within(
    region: &Region,
    blank: Bounds,
    of: Of,
    limit: Length,
    within: Option<&Windows>,
) -> Vec<RidgePoint> {
    let side = match of {
        Of::Openings => medial::Side::Opening,
        Of::Walls => medial::Side::Wall,
    };
    let point = |ball: medial::Ball| RidgePoint {
        at: ball.centre,
        width: Length::clamped(2e-3 * ball.radius),
        // The ridge is seen from both sides of it.
        length: Length::clamped(0.5e-3 * ball.weight_mm),
        tip: ball.tip,
    };
    balls(region, blank, side, limit.to_mm().max(0.01), within).into_iter().map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bounds(x: f64, y: f64, width: f64, height: f64) -> Bounds {
        Bounds { min: Point { x, y }, max: Point { x: x + width, y: y + height } }
    }

    #[test]
    fn a_slot_is_as_long_and_as_wide_as_it_is() {
        let slot = Region::rectangle(bounds(10.0, 10.0, 30.0, 0.8));
        let points = ridge(&slot, bounds(0.0, 0.0, 60.0, 60.0), Of::Openings, Length::mm(2.0).unwrap());
        let long: f64 = points.iter().map(|point| point.length.to_mm()).sum();
        assert!((long - 30.0).abs() < 1.5, "{long} mm long");
        assert!(points.iter().filter(|point| !point.tip).all(|point| (point.width.to_mm() - 0.8).abs() < 1e-3));
    }

    #[test]
    fn a_wall_between_two_slots_is_found_from_the_other_side() {
        let two =
            Region::rectangle(bounds(10.0, 10.0, 30.0, 5.0)).union(&Region::rectangle(bounds(10.0, 15.6, 30.0, 5.0)));
        let points = ridge(&two, bounds(0.0, 0.0, 60.0, 60.0), Of::Walls, Length::mm(2.0).unwrap());
        assert!(!points.is_empty());
        assert!(points.iter().all(|point| (point.width.to_mm() - 0.6).abs() < 1e-3));
    }
}
