//! Artwork carried over to the sheet.

use super::VesselError;
use super::frustum::{Frustum, OnSide};
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use quantity::Length;
use std::f64::consts::PI;

/// Where artwork comes to lie on a vessel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laying {
    /// The artwork's point that comes to the middle of the sheet.
    pub middle: Point,
    /// How far down the slant from the upper rim it lies.
    pub down: Length,
    /// The height, down the slant, at which the artwork keeps its width. Above and below, lines along the
    /// rim are longer or shorter as the vessel is wider or narrower.
    pub true_at: Length,
}

/// Artwork on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// On the sheet, x from its middle, y down from the upper rim's middle.
    pub sheet: Region,
    /// Width on the vessel over width as drawn, the least and the greatest.
    pub stretch: (f64, f64),
}

/// Artwork whose level lines run along the rim.
///
/// `tolerance_mm`: furthest that an edge of the result may leave the true curve.
///
/// # Errors
/// [`VesselError::PastRim`] when it reaches over a rim, [`VesselError::PastSeam`] when it is wider than
/// the way around.
pub fn along_rim(artwork: &Region, side: &Frustum, laying: &Laying, tolerance_mm: f64) -> Result<Laid, VesselError> {
    let Some(around) = artwork.bounds() else {
        return Ok(Laid { sheet: Region::default(), stretch: (1.0, 1.0) });
    };
    let true_radius = side.radius_mm(laying.true_at.to_mm());
    let place = |p: Point| OnSide {
        azimuth: (p.x - laying.middle.x) / true_radius,
        down_mm: p.y - laying.middle.y + laying.down.to_mm(),
    };
    let (from, to) = (place(around.min), place(around.max));
    if from.down_mm < 0.0 || to.down_mm > side.slant_mm() {
        return Err(VesselError::PastRim { from_mm: from.down_mm, to_mm: to.down_mm, side_mm: side.slant_mm() });
    }
    if from.azimuth < -PI || to.azimuth > PI {
        return Err(VesselError::PastSeam { turns: from.azimuth.abs().max(to.azimuth) / PI });
    }
    let ends = [from, to].map(|end| side.radius_mm(end.down_mm) / true_radius);
    let sheet = mapped(artwork, tolerance_mm, |p| side.sheet(place(p)));
    Ok(Laid { sheet, stretch: (ends[0].min(ends[1]), ends[0].max(ends[1])) })
}

/// The whole sheet's outline.
#[must_use]
pub fn outline(side: &Frustum, tolerance_mm: f64) -> Region {
    // One unit of x is a radian here: the rectangle holds azimuth and slant.
    let corners = [(-PI, 0.0), (PI, 0.0), (PI, side.slant_mm()), (-PI, side.slant_mm())];
    let ring = Ring(corners.map(|(x, y)| Point { x, y }).to_vec());
    let rings = [bent(&ring, tolerance_mm, &|p: Point| side.sheet(OnSide { azimuth: p.x, down_mm: p.y }))];
    Region::from_rings(&rings, FillRule::EvenOdd)
}

/// A region with every edge bent by a map, to a tolerance.
pub(super) fn mapped(region: &Region, tolerance_mm: f64, map: impl Fn(Point) -> Point) -> Region {
    let rings: Vec<Ring> = region.rings().map(|ring| bent(ring, tolerance_mm, &map)).collect();
    Region::from_rings(&rings, FillRule::EvenOdd)
}

/// Pieces that every edge has at least, so that a curve whose middle happens to lie on its chord is seen.
const PIECES: usize = 4;
/// Halvings of such a piece at most: a 60 000th of an edge.
const HALVINGS: u32 = 14;

pub(super) fn bent(ring: &Ring, tolerance_mm: f64, map: &impl Fn(Point) -> Point) -> Ring {
    let mut points = Vec::with_capacity(2 * PIECES * ring.0.len());
    for (a, b) in ring.edges() {
        let on = |t: f64| Point { x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t };
        for piece in 0..PIECES {
            let [from, to] = [piece, piece + 1].map(|i| i as f64 / PIECES as f64);
            push_bent(&mut points, (from, to), tolerance_mm, HALVINGS, &|t| map(on(t)));
        }
    }
    Ring(points)
}

fn push_bent(
    points: &mut Vec<Point>,
    (from, to): (f64, f64),
    tolerance_mm: f64,
    left: u32,
    curve: &impl Fn(f64) -> Point,
) {
    let middle = 0.5 * (from + to);
    let (a, m, b) = (curve(from), curve(middle), curve(to));
    let off = (m.x - 0.5 * (a.x + b.x)).hypot(m.y - 0.5 * (a.y + b.y));
    if off <= tolerance_mm || left == 0 {
        points.push(a);
        return;
    }
    push_bent(points, (from, middle), tolerance_mm, left - 1, curve);
    push_bent(points, (middle, to), tolerance_mm, left - 1, curve);
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::bounds::Bounds;
    use quantity::Diameter;

    fn tumbler() -> Frustum {
        let d = |mm| Diameter::mm(mm).unwrap();
        Frustum::new(d(84.0), d(60.0), Length::mm(120.0).unwrap()).unwrap()
    }

    fn laying(down: f64) -> Laying {
        let mm = |mm| Length::mm(mm).unwrap();
        Laying { middle: Point { x: 50.0, y: 20.0 }, down: mm(down), true_at: mm(down) }
    }

    #[test]
    fn the_outline_has_the_sides_area_and_rectangle() {
        let (sheet, side) = (outline(&tumbler(), 1e-3), tumbler());
        let around = sheet.bounds().unwrap();
        assert!((sheet.area().to_square_mm() / side.area().to_square_mm() - 1.0).abs() < 1e-4);
        let (width, height) = side.sheet_mm();
        assert!((around.width_mm() - width).abs() < 2e-3 && (around.height_mm() - height).abs() < 2e-3);
    }

    #[test]
    fn a_band_once_around_covers_its_own_area_of_the_cone() {
        let side = tumbler();
        let half = PI * side.radius_mm(60.0) * 0.999_999;
        let band = Region::rectangle(Bounds {
            min: Point { x: 50.0 - half, y: 10.0 },
            max: Point { x: 50.0 + half, y: 30.0 },
        });
        let laid = along_rim(&band, &side, &laying(60.0), 1e-3).unwrap();
        let want = 2.0 * PI * side.radius_mm(60.0) * 20.0;
        assert!((laid.sheet.area().to_square_mm() / want - 1.0).abs() < 1e-4);
        let ends = [50.0, 70.0].map(|d| side.radius_mm(d) / side.radius_mm(60.0));
        assert!((laid.stretch.1 - ends[0]).abs() < 1e-12 && (laid.stretch.0 - ends[1]).abs() < 1e-12);
    }

    #[test]
    fn artwork_that_does_not_fit_is_refused_with_its_size() {
        let rectangle = |w: f64, h: f64| {
            Region::rectangle(Bounds {
                min: Point { x: 50.0 - w, y: 20.0 - h },
                max: Point { x: 50.0 + w, y: 20.0 + h },
            })
        };
        let lay = |region: &Region, down| along_rim(region, &tumbler(), &laying(down), 0.01).unwrap_err();
        assert!(matches!(lay(&rectangle(10.0, 12.0), 10.0), VesselError::PastRim { from_mm, .. } if from_mm < -1.9));
        let error = lay(&rectangle(120.0, 5.0), 60.0);
        assert!(matches!(error, VesselError::PastSeam { turns } if turns > 1.0), "{error}");
    }
}
