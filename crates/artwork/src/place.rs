//! A drawing with depths put on the blank, at true scale.

use crate::bounds::Bounds;
use crate::depth::{DepthLayer, Resolved};
use crate::grid::Point;
use kurbo::Affine;
use quantity::Length;

/// How large the artwork shall be. Its width and height are those of what is opened, not of the page.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Sizing {
    /// As drawn: one SVG pixel is 1/96 in.
    #[default]
    TrueSize,
    /// This wide, in proportion.
    Width(Length),
    /// This high, in proportion.
    Height(Length),
    /// This many times as drawn, above zero.
    Scale(f64),
}

/// Where the artwork shall lie.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Position {
    /// In the middle of the blank.
    #[default]
    Centred,
    /// The top left corner of what is opened at this point of the blank.
    Artwork(Point),
    /// The top left corner of the drawing's page at this point of the blank.
    Page(Point),
}

/// How the artwork is put on the blank.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Placement {
    /// How large.
    pub size: Sizing,
    /// Where.
    pub position: Position,
    /// Left for right, as for work carved from the back. Mirrored within its own width (or the
    /// page's, for [`Position::Page`]), so that it takes the same room.
    pub mirrored: bool,
}

/// Why a drawing cannot be put on a blank.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlaceError {
    /// Nothing is opened.
    #[error("no shape of the drawing has a depth; give at least one layer or colour a depth")]
    Nothing,
    /// A scale that is no scale.
    #[error("scale {scale} is not a size; give a number above 0, such as 1 for true size")]
    NoScale {
        /// What was given.
        scale: f64,
    },
    /// Larger than the blank.
    #[error(
        "the artwork is {artwork_width_mm:.1} x {artwork_height_mm:.1} mm, the blank \
         {blank_width_mm:.1} x {blank_height_mm:.1} mm; the largest scale that fits is {largest_scale:.3}"
    )]
    TooLarge {
        /// Width as placed.
        artwork_width_mm: f64,
        /// Height as placed.
        artwork_height_mm: f64,
        /// Width of the blank.
        blank_width_mm: f64,
        /// Height of the blank.
        blank_height_mm: f64,
        /// The largest scale, 1 as drawn, that fits somewhere on the blank.
        largest_scale: f64,
    },
    /// It would fit, but not there.
    #[error("the artwork would reach {beyond_mm:.1} mm beyond the blank's edge; move it, or centre it")]
    OffBlank {
        /// How far beyond.
        beyond_mm: f64,
    },
}

/// Rounding allowed when artwork is exactly as large as the blank.
const SLACK_MM: f64 = 1e-3;

/// Puts a drawing with depths on a blank of this width and height, whose top left corner is the origin.
///
/// # Errors
/// [`PlaceError::TooLarge`] and [`PlaceError::OffBlank`] when it does not lie on the blank;
/// [`PlaceError::Nothing`] when nothing is opened; [`PlaceError::NoScale`] for a scale of zero or below.
pub fn place(resolved: &Resolved, placement: &Placement, width: Length, height: Length) -> Result<Resolved, PlaceError> {
    let drawn = resolved.bounds().ok_or(PlaceError::Nothing)?;
    let scale = scale(placement.size, &drawn)?;
    let blank = Bounds::from_size(width.to_mm(), height.to_mm());
    check_size(&drawn, scale, &blank)?;
    let map = map(resolved, placement, &drawn, scale, &blank);
    let placed = placed(resolved, map, scale);
    check_place(&placed, &blank)?;
    Ok(placed)
}

fn scale(size: Sizing, drawn: &Bounds) -> Result<f64, PlaceError> {
    let scale = match size {
        Sizing::TrueSize => 1.0,
        Sizing::Width(width) => width.to_mm() / drawn.width_mm(),
        Sizing::Height(height) => height.to_mm() / drawn.height_mm(),
        Sizing::Scale(scale) => scale,
    };
    if scale > 0.0 && scale.is_finite() { Ok(scale) } else { Err(PlaceError::NoScale { scale }) }
}

fn check_size(drawn: &Bounds, scale: f64, blank: &Bounds) -> Result<(), PlaceError> {
    let largest = (blank.width_mm() / drawn.width_mm()).min(blank.height_mm() / drawn.height_mm());
    let [width, height] = [drawn.width_mm() * scale, drawn.height_mm() * scale];
    if width <= blank.width_mm() + SLACK_MM && height <= blank.height_mm() + SLACK_MM {
        return Ok(());
    }
    Err(PlaceError::TooLarge {
        artwork_width_mm: width,
        artwork_height_mm: height,
        blank_width_mm: blank.width_mm(),
        blank_height_mm: blank.height_mm(),
        largest_scale: largest,
    })
}

/// From the drawing to the blank.
fn map(resolved: &Resolved, placement: &Placement, drawn: &Bounds, scale: f64, blank: &Bounds) -> Affine {
    let page = Bounds::from_size(resolved.width_mm, resolved.height_mm);
    let (from, to) = match placement.position {
        Position::Centred => (drawn.centre(), blank.centre()),
        Position::Artwork(corner) => (drawn.centre(), middle(corner, drawn, scale)),
        Position::Page(corner) => (page.centre(), middle(corner, &page, scale)),
    };
    let across = if placement.mirrored { -scale } else { scale };
    Affine::translate((to.x, to.y)) * Affine::scale_non_uniform(across, scale) * Affine::translate((-from.x, -from.y))
}

fn middle(corner: Point, frame: &Bounds, scale: f64) -> Point {
    Point { x: corner.x + 0.5 * scale * frame.width_mm(), y: corner.y + 0.5 * scale * frame.height_mm() }
}

fn placed(resolved: &Resolved, map: Affine, scale: f64) -> Resolved {
    let layer = |layer: &DepthLayer| DepthLayer {
        name: layer.name.clone(),
        depth: layer.depth,
        region: layer.region.transform(map),
    };
    Resolved {
        layers: resolved.layers.iter().map(layer).collect(),
        width_mm: resolved.width_mm * scale,
        height_mm: resolved.height_mm * scale,
        notes: resolved.notes.clone(),
    }
}

fn check_place(placed: &Resolved, blank: &Bounds) -> Result<(), PlaceError> {
    let Some(at) = placed.bounds() else { return Err(PlaceError::Nothing) };
    let beyond = [blank.min.x - at.min.x, blank.min.y - at.min.y, at.max.x - blank.max.x, at.max.y - blank.max.y];
    let beyond_mm = beyond.into_iter().fold(0.0, f64::max);
    if beyond_mm <= SLACK_MM { Ok(()) } else { Err(PlaceError::OffBlank { beyond_mm }) }
}
