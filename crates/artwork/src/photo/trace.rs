//! Ink into outlines.

use super::TRACE_TOLERANCE;
use super::fit::{Fit, closed};
use super::march::contours;
use crate::grid::Field;
use kurbo::{Affine, BezPath};
use quantity::Length;
use rayon::prelude::*;

/// How outlines are fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TraceOptions {
    /// Greatest distance between the outline and the line that the threshold follows. Finer than a
    /// third of a cell follows the raster's own steps.
    pub tolerance: Length,
    /// Turns sharper than this within three cells are corners, 20 to 90 degrees. Smaller makes corners of
    /// what is noise, larger rounds what is a corner.
    pub corner_degrees: f64,
}

impl Default for TraceOptions {
    fn default() -> Self {
        Self { tolerance: TRACE_TOLERANCE, corner_degrees: 35.0 }
    }
}

/// Outlines as curves.
#[derive(Debug, Clone, PartialEq)]
pub struct Traced {
    /// In millimetres, every outline closed, to be filled even-odd.
    pub path: BezPath,
    /// Lines and curves that it is made of.
    pub nodes: usize,
    /// Separate outlines.
    pub outlines: usize,
}

/// Follows where ink begins, between the cells, and fits lines and curves to it.
///
/// * `ink`: above zero inside, as [`super::ink`] gives it.
#[must_use]
pub fn trace(ink: &Field<f32>, options: &TraceOptions) -> Traced {
    // No finer than three tenths of a cell: the raster does not know better.
    let tolerance = (options.tolerance.to_mm() / ink.grid.cell).max(0.3);
    let fit = Fit { tolerance, corner: options.corner_degrees.to_radians() };
    let lines = contours(ink);
    let fitted: Vec<BezPath> = lines
        .into_par_iter()
        .map(|line| {
            let points: Vec<kurbo::Point> = line.iter().map(|p| kurbo::Point::new(p.x, p.y)).collect();
            closed(&points, &fit)
        })
        .collect();
    let map = Affine::translate((ink.grid.origin.x, ink.grid.origin.y)) * Affine::scale(ink.grid.cell);
    let mut path = BezPath::new();
    fitted.iter().for_each(|outline| path.extend(map * outline));
    Traced { nodes: path.segments().count(), outlines: fitted.len(), path }
}
