//! An SVG file into named, coloured regions in millimetres.
//!
//! Three steps, each from one type to the next: [`guard`](self) looks at the file's text and XML and
//! refuses what would blow up; `usvg` resolves styles, units, `use`, markers and text; `walk`
//! collects what is painted, and each piece is flattened and cleaned on its own, in parallel.
//!
//! Fills, strokes (dashes, joins, caps), text and clip paths become outlines exactly as SVG says.
//! What has no outline (images, patterns, masks, filters, gradients, translucency) gets a [`Note`]
//! that says what was done with it.

mod entities;
mod error;
mod fonts;
mod guard;
mod note;
mod outline;
mod references;
mod walk;

pub use error::{Place, ReadError, SizeFault};
pub use fonts::Fonts;
pub use note::{Note, Remark};

use crate::bounds::Bounds;
use crate::region::Region;
use std::fmt;

/// Millimetres in one SVG pixel: 1/96 inch (CSS Values and Units Level 3, 5.2).
pub const PIXEL_MM: f64 = 25.4 / 96.0;

/// How to read.
#[derive(Debug, Clone)]
pub struct ReadOptions {
    /// Fonts that text may be set in; none of the computer's own are used.
    pub fonts: Fonts,
    /// Greatest distance between a curve and its chords, 0.001 to 0.1 mm. A tenth of the finest
    /// resist line is plenty; finer costs time, coarser shows as facets.
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

/// A colour, as painted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Rgb {
    /// Red, 0 to 255.
    pub r: u8,
    /// Green.
    pub g: u8,
    /// Blue.
    pub b: u8,
}

impl fmt::Display for Rgb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.r, self.g, self.b)
    }
}

/// Not a colour of the form `#rrggbb` or `#rgb`.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{text}\" is no colour; write it as #rrggbb, for example #1a1a1a")]
pub struct NoColour {
    /// What was written.
    pub text: String,
}

impl std::str::FromStr for Rgb {
    type Err = NoColour;

    fn from_str(text: &str) -> Result<Self, NoColour> {
        let refused = || NoColour { text: text.to_owned() };
        let digits = text.trim().strip_prefix('#').ok_or_else(refused)?;
        let nibbles: Vec<u8> =
            digits.chars().map(|c| c.to_digit(16).map(|d| d as u8)).collect::<Option<_>>().ok_or_else(refused)?;
        match nibbles[..] {
            [r, g, b] => Ok(Self { r: r * 17, g: g * 17, b: b * 17 }),
            [r1, r0, g1, g0, b1, b0] => Ok(Self { r: r1 * 16 + r0, g: g1 * 16 + g0, b: b1 * 16 + b0 }),
            _ => Err(refused()),
        }
    }
}

/// One painted thing: a fill or a stroke.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The element's id; empty when it has none.
    pub id: String,
    /// Ids of the groups around it that have one, the outermost first. Layer names that a drawing
    /// program keeps in attributes of its own are not SVG and not seen: only ids are.
    pub groups: Vec<String>,
    /// Its colour.
    pub paint: Rgb,
    /// What it covers, clipped.
    pub region: Region,
}

/// A drawing at true scale: one SVG pixel is 1/96 in.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width of the page.
    pub width_mm: f64,
    /// Height of the page.
    pub height_mm: f64,
    /// In paint order: a later one covers what it overlaps.
    pub shapes: Vec<Shape>,
    /// What could not be drawn as it stands, and what was done instead.
    pub notes: Vec<Note>,
}

impl Drawing {
    /// The rectangle around all shapes; `None` when none covers anything.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        self.shapes.iter().filter_map(|shape| shape.region.bounds()).reduce(Bounds::with)
    }
}

/// Reads an SVG file (plain, not compressed).
///
/// Accuracy: curves within `tolerance_mm` (chords inside, see [`Region::from_path`]); coordinates
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
    let shapes = outline::shapes(pieces, options)?;
    if shapes.is_empty() {
        return Err(ReadError::NoShapes { notes });
    }
    let mut drawing = Drawing { width_mm, height_mm, shapes, notes };
    note_outside(&mut drawing);
    Ok(drawing)
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
