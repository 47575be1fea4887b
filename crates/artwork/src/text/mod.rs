//! Lettering: text shaped and set on a line, on an arc or in a block, as outlines in millimetres.
//!
//! Shaping (kerning, ligatures, marks, right-to-left) is harfrust's, the order of mixed directions that of
//! the Unicode bidirectional algorithm; only fonts that are handed in are used. A character that the chosen
//! font lacks is set in the first font that has it, with a note.

mod face;
mod set;

use language::say;
pub use set::{Align, Arc, ArcSide, Block, block, line, on_arc};

use crate::bounds::Bounds;
use crate::grid::Point;
use crate::region::{FillRule, Region};
use kurbo::{Affine, BezPath, Shape as _};
use quantity::Length;

/// How letters look.
#[derive(Debug, Clone, PartialEq)]
pub struct TextStyle {
    /// The font's family, as it names itself.
    pub family: String,
    /// Weight, 100 to 900; the nearest that the family has is taken.
    pub weight: u16,
    /// Size of the em.
    pub size: Length,
    /// Room added after each character, in ems. Ligatures are kept at zero only.
    pub tracking: f64,
}

/// Text as outlines.
#[derive(Debug, Clone, PartialEq)]
pub struct Lettering {
    /// In millimetres, y down, to be filled non-zero. On a line the baseline is y = 0 and begins at x = 0.
    pub path: BezPath,
    /// Sum of all advances of its longest line, in millimetres; what is seen may be a little more or less.
    pub advance_mm: f64,
    /// Glyphs set.
    pub glyphs: usize,
    /// Lines set.
    pub lines: usize,
    /// What could not be set as asked.
    pub notes: Vec<TextNote>,
}

/// What could not be set as asked.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum TextNote {
    /// No font of that family: set in another.
    FamilyReplaced {
        /// What was asked for.
        asked: String,
        /// What it was set in.
        used: String,
    },
    /// A character that the family lacks: set in another.
    CharacterReplaced {
        /// The character.
        character: char,
        /// The family that it was set in.
        used: String,
    },
    /// A character that no font has: left out.
    CharacterLeftOut {
        /// The character.
        character: char,
    },
    /// A word is wider than its block, and juts out.
    WordTooWide {
        /// The word.
        word: String,
    },
}

/// Why text cannot be set.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TextError {
    /// No font at all.
    #[error("{}", say!("there is no font to set text in; give at least one TrueType or OpenType file"))]
    NoFont,
    /// A text that would take minutes.
    #[error("{}", say!("the text has {characters} characters, the limit is {limit}; set it in parts"))]
    TooLong {
        /// Its length.
        characters: usize,
        /// The longest allowed.
        limit: usize,
    },
    /// Longer than its arc goes round.
    #[error(
        "{}",
        say!(
            "the text is {text_mm:.1} mm long, once round the arc is {arc_mm:.1} mm; make it smaller or the radius \
             larger"
        )
    )]
    RoundAndRound {
        /// Length of the text.
        text_mm: f64,
        /// Length of the full circle.
        arc_mm: f64,
    },
}

impl Lettering {
    /// The rectangle around what is seen; `None` when nothing is.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        let around = self.path.bounding_box();
        let some = !self.path.is_empty();
        some.then_some(Bounds { min: Point { x: around.x0, y: around.y0 }, max: Point { x: around.x1, y: around.y1 } })
    }

    /// The letters as a region, moved by a map.
    #[must_use]
    pub fn region(&self, map: Affine, tolerance_mm: f64) -> Region {
        Region::from_path(&self.path, map, FillRule::NonZero, tolerance_mm)
    }

    /// Made smaller, about the origin, until what is seen is no wider than this; never made larger.
    /// Gives the scale.
    #[must_use]
    pub fn fitted(mut self, width: Length) -> (Self, f64) {
        let wide = self.bounds().map_or(0.0, |bounds| bounds.width_mm());
        let scale = if wide > width.to_mm() { width.to_mm() / wide } else { 1.0 };
        if scale < 1.0 {
            self.path.apply_affine(Affine::scale(scale));
            self.advance_mm *= scale;
        }
        (self, scale)
    }
}

impl std::fmt::Display for TextNote {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::FamilyReplaced { asked, used } => f.write_str(&say!("font {asked} is not here; set in {used}")),
            Self::CharacterReplaced { character, used } => f.write_str(&say!("'{character}' is set in {used}")),
            Self::CharacterLeftOut { character } => f.write_str(&say!("no font has '{character}'; left out")),
            Self::WordTooWide { word } => f.write_str(&say!("\"{word}\" is wider than its block, and juts out")),
        }
    }
}

#[cfg(test)]
mod tests;
