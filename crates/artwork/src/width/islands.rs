//! Parts of the resist with openings all around them.

use super::Island;
use crate::bounds::Bounds;
use crate::region::{Polygon, Region, Ring};
use quantity::{Area, Quantity as _};

/// Every hole of every opening is an island of resist, with what is opened inside it taken off.
pub(super) fn islands(region: &Region) -> Vec<Island> {
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
