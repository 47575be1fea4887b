//! A second opinion on a layout, in double precision and by another library than the one that searched.

use super::{Piece, Placement};
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};

/// Area that two neighbours may seem to share: the grid that they are compared on, 0.06 µm, along a metre.
const GRID_AREA_MM2: f64 = 1e-4;

/// Whether no two placed outlines share any area, and all lie in the rectangle from the origin.
pub(super) fn lies_apart(pieces: &[Piece], placements: &[Placement], length_mm: f64, width_mm: f64) -> bool {
    let rings: Vec<Ring> = placements.iter().map(|at| at.outline(&pieces[at.piece])).collect();
    let boxes: Vec<Bounds> = rings.iter().filter_map(|ring| Bounds::around(ring.0.iter().copied())).collect();
    let sheet = Bounds { min: Point { x: 0.0, y: 0.0 }, max: Point { x: length_mm, y: width_mm } };
    let slack = 1e-6 * length_mm.max(width_mm);
    if boxes.len() != rings.len() || !boxes.iter().all(|bounds| sheet.holds(bounds, slack)) {
        return false;
    }
    let regions: Vec<Region> = rings.into_iter().map(|ring| Region::from_rings(&[ring], FillRule::NonZero)).collect();
    (0..regions.len()).all(|a| {
        let near = (a + 1..regions.len()).filter(|&b| boxes[a].touches(&boxes[b]));
        near.into_iter().all(|b| regions[a].intersect(&regions[b]).area().to_square_mm() <= GRID_AREA_MM2)
    })
}
