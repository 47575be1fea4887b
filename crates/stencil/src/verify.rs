//! A written file read back and compared with what it should hold. Only then is it handed out.

use crate::layers::StencilLayer;
use crate::svg_out::{OPENINGS, write};
use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::region::Region;
use artwork::svg::{ReadError, ReadOptions, Shape, read_svg};
use language::say;
use quantity::Area;

/// Most that the open area may differ, as a share.
pub const AREA_SHARE_MAX: f64 = 1e-3;
/// Most that an edge of the rectangle around the openings may be off.
pub const BOUNDS_MAX_MM: f64 = 0.01;

/// What a file holds, as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// Area of the openings.
    pub open_area: Area,
    /// The rectangle around them, from the page's top left corner; `None` when there are none.
    pub bounds: Option<Bounds>,
    /// The openings, from the page's top left corner.
    pub openings: Region,
}

/// A file that was read back and found to be what it should.
#[derive(Debug, Clone, PartialEq)]
pub struct Verified {
    svg: String,
    /// Area of the openings, as read back.
    pub open_area: Area,
    /// Area that is open in the file or in the layer, but not in both, as a share of the open area.
    pub differing_share: f64,
    /// Furthest that an edge of the rectangle around the openings is off.
    pub bounds_off_mm: f64,
}

impl Verified {
    /// The file's text.
    #[must_use]
    pub fn svg(&self) -> &str {
        &self.svg
    }
}

/// How a file differs from the layer that it should hold.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Mismatch {
    /// It cannot be read.
    #[error("{}", say!("the written file cannot be read back: {0}", _0))]
    Unreadable(#[from] ReadError),
    /// It is not text.
    #[error("{}", say!("the file is not UTF-8 text; write it again"))]
    NotText,
    /// Another area.
    #[error("{}", say!("the file opens {found_mm2:.3} mm², the layer {wanted_mm2:.3} mm²; write it again"))]
    Area {
        /// In the file.
        found_mm2: f64,
        /// In the layer.
        wanted_mm2: f64,
    },
    /// Another size or place.
    #[error("{}", say!("the file's openings are off by {off_mm:.3} mm; write it again"))]
    Bounds {
        /// The furthest that an edge of the rectangle around them is off.
        off_mm: f64,
    },
    /// The same area and size, but another shape: turned or mirrored, perhaps.
    #[error("{}", say!("{share:.4} of the file's openings lie elsewhere than the layer's; write it again"))]
    Elsewhere {
        /// Open in one and not in the other, as a share of the open area.
        share: f64,
    },
}

/// Reads a layer file as any reader of SVG would: size, units and fill rule as the file says.
///
/// # Errors
/// [`ReadError`] when it is no SVG or draws nothing.
pub fn read_back(bytes: &[u8]) -> Result<Checked, ReadError> {
    let drawing = read_svg(bytes, &ReadOptions::default())?;
    let open = drawing.shapes.iter().filter(|shape| is_opening(shape));
    let openings = Region::union_of(open.map(|shape| &shape.region));
    Ok(Checked { open_area: openings.area(), bounds: openings.bounds(), openings })
}

/// Compares a file with the layer that it should hold: area within 0.1 %, the rectangle around it within
/// 0.01 mm, and what is open in only one of the two within 0.1 % of the area.
///
/// # Errors
/// [`Mismatch`] when the file differs by more, or cannot be read.
pub fn verify(layer: &StencilLayer, bytes: &[u8]) -> Result<Verified, Mismatch> {
    let svg = std::str::from_utf8(bytes).map_err(|_| Mismatch::NotText)?.to_owned();
    let found = read_back(bytes)?;
    let [found_mm2, wanted_mm2] = [found.open_area, layer.openings.area()].map(Area::to_square_mm);
    if (found_mm2 - wanted_mm2).abs() > AREA_SHARE_MAX * wanted_mm2 {
        return Err(Mismatch::Area { found_mm2, wanted_mm2 });
    }
    let page = layer.weed_box.min;
    let openings = found.openings.transform(Affine::translate((page.x, page.y)));
    let off_mm = off(openings.bounds(), layer.openings.bounds());
    if off_mm > BOUNDS_MAX_MM {
        return Err(Mismatch::Bounds { off_mm });
    }
    let apart = |a: &Region, b: &Region| a.subtract(b).area().to_square_mm();
    let share = (apart(&openings, &layer.openings) + apart(&layer.openings, &openings)) / wanted_mm2;
    if share > AREA_SHARE_MAX {
        return Err(Mismatch::Elsewhere { share });
    }
    Ok(Verified { svg, open_area: found.open_area, differing_share: share, bounds_off_mm: off_mm })
}

/// Writes a layer, reads it back and compares.
///
/// # Errors
/// [`Mismatch`] when what was written is not what was meant: a defect of the writer or the reader.
pub fn verified(layer: &StencilLayer) -> Result<Verified, Mismatch> {
    verify(layer, write(layer).as_bytes())
}

fn is_opening(shape: &Shape) -> bool {
    shape.id == OPENINGS || shape.groups.iter().any(|group| group == OPENINGS)
}

fn off(found: Option<Bounds>, wanted: Option<Bounds>) -> f64 {
    let (Some(a), Some(b)) = (found, wanted) else {
        return if found == wanted { 0.0 } else { f64::INFINITY };
    };
    let edges = [a.min.x - b.min.x, a.min.y - b.min.y, a.max.x - b.max.x, a.max.y - b.max.y];
    edges.into_iter().fold(0.0, |most, edge| most.max(edge.abs()))
}
