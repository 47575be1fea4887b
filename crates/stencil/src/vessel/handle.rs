//! A handle stands where the film would close.

use super::frustum::{Frustum, OnSide};
use super::lay::outline;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use quantity::{Area, Length};
use std::f64::consts::PI;

/// A handle, opposite the middle of the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handle {
    /// Its width where it meets the side.
    pub width: Length,
    /// Free room on each side of it, above and below: fingers and a knife must reach in.
    pub clear: Length,
    /// Where its upper end meets the side, down the slant.
    pub from: Length,
    /// Where its lower end does. A handle that is open below still shades what lies between.
    pub to: Length,
}

impl Handle {
    /// Half of the gap, mm.
    fn half_mm(&self) -> f64 {
        0.5 * self.width.to_mm() + self.clear.to_mm()
    }

    /// The way around from one side of the gap to the other at a distance down the slant, mm:
    /// `2 r (π - asin(g k / r) / k)`, `g` half the gap; all around above and below the handle.
    #[must_use]
    pub fn free_mm(&self, side: &Frustum, down_mm: f64) -> f64 {
        let (r, k, g) = (side.radius_mm(down_mm), side.taper(), self.half_mm());
        if !self.spans(down_mm) {
            return 2.0 * PI * r;
        }
        let taken = if k == 0.0 { g / r } else { (g * k / r).clamp(-1.0, 1.0).asin() / k };
        2.0 * r * (PI - taken).max(0.0)
    }

    fn spans(&self, down_mm: f64) -> bool {
        let clear = self.clear.to_mm();
        self.from.to_mm() - clear <= down_mm && down_mm <= self.to.to_mm() + clear
    }

    /// The sheet with the gap cut out of both of its ends.
    #[must_use]
    pub fn sheet(&self, side: &Frustum, tolerance_mm: f64) -> Region {
        outline(side, tolerance_mm).subtract(&self.gap(side))
    }

    /// How much of artwork on the sheet lies in the gap: 0 when the handle is clear of it.
    #[must_use]
    pub fn covered(&self, side: &Frustum, sheet: &Region) -> Area {
        // What only touches the gap leaves a sliver of rounding.
        sheet.intersect(&self.gap(side)).without_slivers().area()
    }

    /// Two strips along the sheet's ends, reaching a little past them.
    fn gap(&self, side: &Frustum) -> Region {
        let reach = |mm: f64| mm.clamp(0.0, side.slant_mm());
        let from = reach(self.from.to_mm() - self.clear.to_mm());
        let to = reach(self.to.to_mm() + self.clear.to_mm());
        let strips = [-PI, PI].map(|azimuth| {
            let [a, b] = [from, to].map(|down_mm| side.sheet(OnSide { azimuth, down_mm }));
            strip(a, b, self.half_mm())
        });
        Region::from_rings(&strips, FillRule::NonZero)
    }
}

/// A rectangle about a straight line, half its width on each side.
fn strip(a: Point, b: Point, half_mm: f64) -> Ring {
    let length = (b.x - a.x).hypot(b.y - a.y).max(f64::MIN_POSITIVE);
    let (nx, ny) = ((b.y - a.y) / length * half_mm, (a.x - b.x) / length * half_mm);
    let corner = |p: Point, sign: f64| Point { x: p.x + sign * nx, y: p.y + sign * ny };
    Ring(vec![corner(a, 1.0), corner(b, 1.0), corner(b, -1.0), corner(a, -1.0)])
}

/// The rectangle in which artwork keeps clear of the handle wherever it lies, x from the sheet's middle
/// along the side's own circumference at its narrowest within `from_mm..to_mm` down the slant.
#[must_use]
pub fn free_box(side: &Frustum, handle: &Handle, from_mm: f64, to_mm: f64) -> Bounds {
    let steps = (0..=64).map(|i| from_mm + (to_mm - from_mm) * f64::from(i) / 64.0);
    let half = steps.map(|down| 0.5 * handle.free_mm(side, down)).fold(f64::INFINITY, f64::min);
    Bounds { min: Point { x: -half, y: from_mm }, max: Point { x: half, y: to_mm } }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Diameter;

    fn handle() -> Handle {
        let mm = |mm| Length::mm(mm).unwrap();
        Handle { width: mm(16.0), clear: mm(4.0), from: mm(20.0), to: mm(80.0) }
    }

    fn side(lower: f64) -> Frustum {
        let d = |mm| Diameter::mm(mm).unwrap();
        Frustum::new(d(84.0), d(lower), Length::mm(100.0).unwrap()).unwrap()
    }

    #[test]
    fn a_cylinders_gap_is_a_rectangle_at_each_end() {
        let side = side(84.0);
        let whole = outline(&side, 1e-3);
        let lost = whole.area().to_square_mm() - handle().sheet(&side, 1e-3).area().to_square_mm();
        // 12 mm at each end over 68 mm.
        assert!((lost - 2.0 * 12.0 * 68.0).abs() < 0.05, "{lost}");
        assert!((handle().free_mm(&side, 50.0) - (84.0 * PI - 24.0)).abs() < 1e-9);
        assert!((handle().free_mm(&side, 10.0) - 84.0 * PI).abs() < 1e-9);
    }

    #[test]
    fn on_a_cone_the_gaps_edge_keeps_its_distance_from_the_seam() {
        let side = side(60.0);
        let azimuth = 0.5 * handle().free_mm(&side, 60.0) / side.radius_mm(60.0);
        let edge = side.sheet(OnSide { azimuth, down_mm: 60.0 });
        let [a, b] = [0.0, 100.0].map(|down_mm| side.sheet(OnSide { azimuth: PI, down_mm }));
        let across = ((edge.x - a.x) * (b.y - a.y) - (edge.y - a.y) * (b.x - a.x)) / (b.x - a.x).hypot(b.y - a.y);
        assert!((across.abs() - 12.0).abs() < 1e-9, "{across}");
    }

    #[test]
    fn artwork_under_the_handle_is_seen() {
        let side = side(84.0);
        let half = PI * 42.0;
        let bar =
            |from: f64| Region::rectangle(Bounds { min: Point { x: from, y: 40.0 }, max: Point { x: half, y: 50.0 } });
        let covered = handle().covered(&side, &bar(half - 30.0)).to_square_mm();
        assert!((covered - 120.0).abs() < 0.01, "{covered}");
        let free = free_box(&side, &handle(), 30.0, 60.0);
        assert!((free.width_mm() - (84.0 * PI - 24.0)).abs() < 1e-9);
        // Its edges lie on the handle's, to the grid of the set operations.
        let left = handle().covered(&side, &Region::rectangle(free)).to_square_mm();
        assert!(left < 1e-3, "{left}");
    }
}
