//! An SVG file into named, coloured regions in millimetres.
//!
//! Three steps, each from one type to the next: [`guard`](self) looks at the file's text and XML and
//! refuses what would blow up; `usvg` resolves styles, units, `use`, markers and text; `walk`
//! collects what is painted, and each piece is flattened and cleaned on its own, in parallel.
//!
//! Fills, strokes (dashes, joins, caps), text, clip paths and patterns become outlines exactly as SVG says,
//! masks as far as they are black and white, and gradients in steps of tone. What has no outline (images, filters,
//! translucency) gets a [`crate::note::Note`] that says what was done with it.

mod entities;
mod error;
mod fonts;
mod gradient;
mod guard;
mod mask;
mod outline;
mod pattern;
mod references;
mod walk;
mod write;

pub use error::{Place, ReadError, SizeFault};
pub use fonts::Fonts;
pub use write::write_svg;

pub use crate::drawing::{Drawing, NoColour, Rgb, Shape};

use crate::bounds::Bounds;
use crate::note::{Note, Remark};

/// Millimetres in one SVG pixel: 1/96 inch (CSS Values and Units Level 3, 5.2).
pub const PIXEL_MM: f64 = 25.4 / 96.0;

/// How to read.
#[derive(Debug, Clone)]
pub struct ReadOptions {
    /// Fonts that text may be set in; none of the computer's own are used.
    pub fonts: Fonts,
    /// Greatest distance between a curve and its chords, 0.001 to 0.1 mm. A tenth of the finest
    /// resist line is plenty; finer costs time, coarser shows as facets. A small drawing may be meant to become
    /// large: there it is at most a twenty-thousandth of the page's diagonal.
    pub tolerance_mm: f64,
    /// What is refused.
    pub limits: Limits,
}

impl Default for ReadOptions {
    fn default() -> Self {
        Self { fonts: Fonts::bundled(), tolerance_mm: 0.005, limits: Limits::default() }
    }
}

/// How much of a file is too much. Drawings for one piece stay far below; a file above would take
/// more memory or time than anybody waits for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Bytes of the file.
    pub bytes: usize,
    /// Elements after all `use`, markers and patterns are written out.
    pub instances: u64,
    /// Elements inside elements, `use` followed.
    pub depth: u32,
    /// Points after flattening.
    pub vertices: usize,
    /// Times that outlines cross, estimated.
    pub crossings: u64,
    /// Dashes of one stroke.
    pub dashes: u64,
    /// Greatest width or height of the drawing.
    pub size_mm: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 32 << 20,
            instances: 200_000,
            depth: 100,
            vertices: 2_000_000,
            crossings: 2_000_000,
            dashes: 50_000,
            size_mm: 10_000.0,
        }
    }
}

/// Reads an SVG file (plain, not compressed).
///
/// Accuracy: curves within `tolerance_mm`, less on small pages (chords inside, see [`crate::region::Region::from_path`]); coordinates
/// pass through 32-bit numbers, 0.06 µm at 1 m. Checked: a circle of 50 mm radius is 7853.98 mm².
///
/// # Errors
/// [`ReadError`] when the file is not SVG, draws nothing, or goes beyond `options.limits`.
pub fn read_svg(bytes: &[u8], options: &ReadOptions) -> Result<Drawing, ReadError> {
    let text = guard::text(bytes, &options.limits)?;
    let xml = guard::parse(text)?;
    let mut notes = guard::inspect(&xml, &options.limits)?;
    let tree = walk::resolve(&xml, &options.fonts, &mut notes)?;
    let (width_mm, height_mm) = guard::page(&tree, &options.limits)?;
    let pieces = walk::collect(&tree, &mut notes);
    let fine = ReadOptions { tolerance_mm: chords(options.tolerance_mm, width_mm, height_mm), ..options.clone() };
    let shapes = outline::shapes(pieces, &fine)?;
    if shapes.is_empty() {
        return Err(ReadError::NoShapes { notes });
    }
    let mut drawing = Drawing { width_mm, height_mm, shapes, notes };
    note_outside(&mut drawing);
    Ok(drawing)
}

/// The distance between a curve and its chords on a page of this size: an icon of 6 mm gets half a micrometre, a page
/// of 90 mm and more what was asked for.
fn chords(asked_mm: f64, width_mm: f64, height_mm: f64) -> f64 {
    asked_mm.min(width_mm.hypot(height_mm) * 5e-5)
}

/// SVG would cut off what lies outside the page; we keep it and say so.
fn note_outside(drawing: &mut Drawing) {
    let page = Bounds::from_size(drawing.width_mm, drawing.height_mm);
    let outside = |shape: &&Shape| shape.region.bounds().is_some_and(|bounds| !page.holds(&bounds, 0.01));
    let notes: Vec<Note> = drawing
        .shapes
        .iter()
        .filter(outside)
        .map(|shape| Note { element: shape.id.clone(), place: None, remark: Remark::OutsidePage })
        .collect();
    drawing.notes.extend(notes);
}
