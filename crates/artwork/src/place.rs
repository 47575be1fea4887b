//! A drawing with depths put on the blank, at true scale.

use crate::bounds::Bounds;
use crate::depth::{DepthLayer, Resolved};
use crate::grid::Point;
use kurbo::Affine;
use language::say;
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
    #[error("{}", say!("no shape of the drawing has a depth; give at least one layer or colour a depth"))]
    Nothing,
    /// A scale that is no scale.
    #[error(
        "{}",
        say!(
            "scale {scale} is not a size; give a number above 0, such as 1 for true size",
            scale = language::number(scale.to_string())
        )
    )]
    NoScale {
        /// What was given.
        scale: f64,
    },
    /// Larger than the blank.
    #[error(
        "{}",
        say!(
            "the artwork is {artwork_width_mm:.1} x {artwork_height_mm:.1} mm, the blank {blank_width_mm:.1} x \
             {blank_height_mm:.1} mm; the largest scale that fits is {largest_scale:.3}"
        )
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
    #[error("{}", say!("the artwork would reach {beyond_mm:.1} mm beyond the blank's edge; move it, or centre it"))]
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
pub fn place(
    resolved: &Resolved,
    placement: &Placement,
    width: Length,
    height: Length,
) -> Result<Resolved, PlaceError> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::Region;

    /// Two bars, 20 x 10 at (10, 5) and 5 x 5 at (10, 15), on a page of 60 x 40.
    fn drawn() -> Resolved {
        let bar = |x, y, width, height| {
            Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + width, y: y + height } })
        };
        let region = bar(10.0, 5.0, 20.0, 10.0).union(&bar(10.0, 15.0, 5.0, 5.0));
        let layer = DepthLayer { name: "bars".into(), depth: Length::mm(1.0).unwrap(), region };
        Resolved { layers: vec![layer], width_mm: 60.0, height_mm: 40.0, notes: Vec::new() }
    }

    fn placed(size: Sizing, position: Position, mirrored: bool) -> Result<Bounds, PlaceError> {
        let blank = [100.0, 80.0].map(|mm| Length::mm(mm).unwrap());
        let placed = place(&drawn(), &Placement { size, position, mirrored }, blank[0], blank[1])?;
        let area = placed.layers[0].region.area().to_square_mm();
        let scale = placed.width_mm / 60.0;
        assert!((area - 225.0 * scale * scale).abs() < 1e-2, "{area}");
        Ok(placed.bounds().unwrap())
    }

    fn check(found: Bounds, want: [f64; 4]) {
        let found = [found.min.x, found.min.y, found.max.x, found.max.y];
        assert!(found.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-3), "{found:?} is not {want:?}");
    }

    #[test]
    fn artwork_lands_in_the_middle_or_where_its_corner_is_put() {
        check(placed(Sizing::TrueSize, Position::Centred, false).unwrap(), [40.0, 32.5, 60.0, 47.5]);
        let corner = Position::Artwork(Point { x: 3.0, y: 4.0 });
        check(placed(Sizing::TrueSize, corner, false).unwrap(), [3.0, 4.0, 23.0, 19.0]);
        let page = Position::Page(Point { x: 3.0, y: 4.0 });
        check(placed(Sizing::TrueSize, page, false).unwrap(), [13.0, 9.0, 33.0, 24.0]);
    }

    #[test]
    fn a_width_or_height_scales_in_proportion() {
        check(
            placed(Sizing::Width(Length::mm(40.0).unwrap()), Position::Centred, false).unwrap(),
            [30.0, 25.0, 70.0, 55.0],
        );
        check(
            placed(Sizing::Height(Length::mm(30.0).unwrap()), Position::Centred, false).unwrap(),
            [30.0, 25.0, 70.0, 55.0],
        );
        check(placed(Sizing::Scale(0.5), Position::Artwork(Point::default()), false).unwrap(), [0.0, 0.0, 10.0, 7.5]);
    }

    #[test]
    fn mirrored_artwork_takes_the_same_room() {
        check(placed(Sizing::TrueSize, Position::Centred, true).unwrap(), [40.0, 32.5, 60.0, 47.5]);
        // On the page the mirror stands in the page's middle, x = 30.
        check(placed(Sizing::TrueSize, Position::Page(Point::default()), true).unwrap(), [30.0, 5.0, 50.0, 20.0]);
        let blank = Length::mm(100.0).unwrap();
        let mirror = Placement { mirrored: true, ..Placement::default() };
        let region = place(&drawn(), &mirror, blank, blank).unwrap().layers.remove(0).region;
        // The small bar was at the left end and is now at the right.
        assert!(region.contains(Point { x: 58.0, y: 55.0 }) && !region.contains(Point { x: 42.0, y: 55.0 }));
    }

    #[test]
    fn what_does_not_fit_says_what_would() {
        let error = placed(Sizing::Scale(8.0), Position::Centred, false).unwrap_err();
        assert!(
            matches!(error, PlaceError::TooLarge { largest_scale, .. } if (largest_scale - 5.0).abs() < 1e-4),
            "{error}"
        );
        assert!(
            error
                .to_string()
                .contains("160.0 x 120.0 mm, the blank 100.0 x 80.0 mm; the largest scale that fits is 5.000")
        );
        check(placed(Sizing::Scale(5.0), Position::Centred, false).unwrap(), [0.0, 2.5, 100.0, 77.5]);
        let error = placed(Sizing::TrueSize, Position::Artwork(Point { x: 90.0, y: 0.0 }), false).unwrap_err();
        assert!(matches!(error, PlaceError::OffBlank { beyond_mm } if (beyond_mm - 10.0).abs() < 1e-3), "{error}");
        assert!(matches!(placed(Sizing::Scale(0.0), Position::Centred, false), Err(PlaceError::NoScale { .. })));
    }
}
