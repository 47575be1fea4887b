//! A layer wider than the cutter, in strips that overlap.

use crate::layers::{Mark, StencilLayer};
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use language::say;
use quantity::Length;

/// How a layer is parted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tiling {
    /// What the cutter reaches across.
    pub width: Length,
    /// What two neighbours share, so that a small misfit leaves no gap.
    pub overlap: Length,
    /// From the middle of an overlap mark to its ends.
    pub mark: Length,
}

/// Why a layer cannot be parted.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TileError {
    /// The cutter is no wider than the overlap.
    #[error(
        "{}",
        say!(
            "a cutter {width_mm:.1} mm wide cannot make strips that overlap by {overlap_mm:.1} mm; make the overlap \
             smaller"
        )
    )]
    Narrow {
        /// What the cutter reaches.
        width_mm: f64,
        /// The overlap.
        overlap_mm: f64,
    },
    /// An overlap in which the marks do not fit.
    #[error(
        "{}",
        say!(
            "an overlap of {overlap_mm:.1} mm does not hold marks {mark_mm:.1} mm across; widen it or shrink them"
        )
    )]
    NoRoomForMarks {
        /// The overlap.
        overlap_mm: f64,
        /// Across a mark.
        mark_mm: f64,
    },
}

/// Strips from left to right, each a layer of its own no wider than the cutter, in the piece's millimetres.
///
/// Each pair of neighbours has two marks in the middle of its overlap, near the top and the bottom edge, at the
/// same place in both: laid mark on mark they are in register. A mark that would lie on an opening stays: look
/// at the strip before it is cut. All strips but the last are equally wide.
///
/// # Errors
/// [`TileError`] when cutter, overlap and marks do not fit each other.
pub fn tiles(layer: &StencilLayer, tiling: &Tiling) -> Result<Vec<StencilLayer>, TileError> {
    let [width_mm, overlap_mm, reach_mm] = [tiling.width, tiling.overlap, tiling.mark].map(Length::to_mm);
    let page = layer.weed_box;
    if page.width_mm() <= width_mm {
        return Ok(vec![layer.clone()]);
    }
    if width_mm <= 2.0 * overlap_mm {
        return Err(TileError::Narrow { width_mm, overlap_mm });
    }
    if overlap_mm < 2.0 * reach_mm {
        return Err(TileError::NoRoomForMarks { overlap_mm, mark_mm: 2.0 * reach_mm });
    }
    let step = width_mm - overlap_mm;
    let count = ((page.width_mm() - overlap_mm) / step - 1e-9).ceil() as usize;
    let seam = |i: usize| page.min.x + i as f64 * step + 0.5 * overlap_mm;
    let strip = |i: usize| {
        let left = page.min.x + i as f64 * step;
        let bounds = Bounds {
            min: Point { x: left, ..page.min },
            max: Point { x: (left + width_mm).min(page.max.x), ..page.max },
        };
        let seams = [i, i + 1].into_iter().filter(|&s| s > 0 && s < count);
        let own = layer.marks.iter().copied().filter(|mark| bounds.holds(&around(mark), 0.0));
        StencilLayer {
            name: format!("{} ({}/{count})", layer.name, i + 1),
            openings: layer.openings.intersect(&Region::rectangle(bounds)),
            marks: own.chain(seams.flat_map(|s| seam_marks(seam(s), page, reach_mm))).collect(),
            cuts: layer.cuts.iter().flat_map(|ring| clipped(ring, bounds)).collect(),
            weed_box: bounds,
            ..layer.clone()
        }
    };
    Ok((0..count).map(strip).collect())
}

/// A closed line's part on a strip, closed along the strip's edge.
fn clipped(ring: &Ring, bounds: Bounds) -> Vec<Ring> {
    let inside = Region::from_rings(std::slice::from_ref(ring), FillRule::NonZero);
    inside.intersect(&Region::rectangle(bounds)).rings().cloned().collect()
}

fn around(mark: &Mark) -> Bounds {
    Bounds { min: mark.centre, max: mark.centre }.grown(mark.reach_mm)
}

fn seam_marks(x: f64, page: Bounds, reach_mm: f64) -> [Mark; 2] {
    [page.min.y + 1.5 * reach_mm, page.max.y - 1.5 * reach_mm].map(|y| Mark { centre: Point { x, y }, reach_mm })
}
