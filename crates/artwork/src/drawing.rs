//! A drawing as every reader gives it: named, coloured shapes at true scale.

use crate::bounds::Bounds;
use crate::note::Note;
use crate::region::Region;
use kurbo::Affine;
use language::say;
use std::fmt;

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
#[error("{}", say!("\"{text}\" is no colour; write it as #rrggbb, for example #1a1a1a"))]
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

/// A drawing at true scale (one SVG pixel is 1/96 in), from any reader.
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
    /// The same drawing `scale` times as large, above zero.
    #[must_use]
    pub fn scaled(mut self, scale: f64) -> Self {
        self.width_mm *= scale;
        self.height_mm *= scale;
        for shape in &mut self.shapes {
            shape.region = shape.region.transform(Affine::scale(scale));
        }
        self
    }

    /// The rectangle around all shapes; `None` when none covers anything.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        self.shapes.iter().filter_map(|shape| shape.region.bounds()).reduce(Bounds::with)
    }
}
