//! What a drawing holds that has no outline of its own, and what was done with it.

use super::Rgb;
use super::error::Place;
use crate::dxf::DxfNote;
use std::fmt;

/// One thing that was not drawn as it stands in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// The element's id; empty when it has none.
    pub element: String,
    /// Where it stands in the file, when that is known.
    pub place: Option<Place>,
    /// What was done.
    pub remark: Remark,
}

/// What was done with an element.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Remark {
    /// An image: left out.
    ImageLeftOut,
    /// An element that is not part of static SVG: left out.
    ForeignLeftOut {
        /// The element's name.
        tag: String,
    },
    /// Motion: drawn as at rest.
    DrawnAtRest {
        /// The element's name.
        tag: String,
    },
    /// A gradient: taken as the solid colour of its first stop.
    GradientAsFirstStop {
        /// That colour.
        colour: Rgb,
    },
    /// A pattern of very many tiles, or within a pattern: left out.
    PatternLeftOut,
    /// A mask with greys or translucency: what is lighter than half lets through.
    MaskHalved,
    /// A filter: drawn without.
    FilterIgnored,
    /// Blending: drawn as if painted over.
    BlendIgnored,
    /// Translucent: drawn solid.
    OpacityIgnored {
        /// Opacity, 0 to 1.
        opacity: f32,
    },
    /// Fully transparent: left out.
    TransparentLeftOut,
    /// Text whose font is not bundled: set in another.
    FontReplaced {
        /// What the drawing asks for.
        asked: String,
        /// What it was set in.
        used: String,
    },
    /// Text that no bundled font could be found for: left out.
    TextLeftOut {
        /// What the drawing asks for.
        asked: String,
    },
    /// A character that no bundled font has: drawn as the font's empty box, or left out.
    GlyphMissing {
        /// The character.
        character: char,
    },
    /// Partly or wholly outside the page: kept, though SVG would cut it off.
    OutsidePage,
    /// Of a DXF file.
    Dxf(DxfNote),
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = self.place {
            write!(f, "{place}: ")?;
        }
        match self.element.as_str() {
            "" => write!(f, "{}", self.remark),
            id => write!(f, "\"{id}\": {}", self.remark),
        }
    }
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ImageLeftOut => f.write_str("image left out; trace it into outlines first"),
            Self::ForeignLeftOut { tag } => write!(f, "<{tag}> left out; it is not part of static SVG"),
            Self::DrawnAtRest { tag } => write!(f, "<{tag}> ignored; drawn as at rest"),
            Self::GradientAsFirstStop { colour } => write!(f, "gradient taken as its first colour, {colour}"),
            Self::PatternLeftOut => f.write_str("pattern of too many tiles left out; draw its shapes as outlines"),
            Self::MaskHalved => {
                f.write_str("the mask has greys; what is lighter than half shows; use a clip path or halftone it first")
            }
            Self::FilterIgnored => f.write_str("drawn without its filter"),
            Self::BlendIgnored => f.write_str("drawn without blending"),
            Self::OpacityIgnored { opacity } => write!(f, "opacity {opacity:.2} ignored; drawn solid"),
            Self::TransparentLeftOut => f.write_str("fully transparent, and left out"),
            Self::FontReplaced { asked, used } => write!(f, "font {asked} is not bundled; set in {used}"),
            Self::TextLeftOut { asked } => write!(f, "text left out: no font for {asked}; convert it to outlines"),
            Self::GlyphMissing { character } => {
                write!(f, "no bundled font has '{character}'; convert the text to outlines")
            }
            Self::OutsidePage => f.write_str("reaches outside the page; kept"),
            Self::Dxf(note) => note.fmt(f),
        }
    }
}

impl From<DxfNote> for Note {
    fn from(note: DxfNote) -> Self {
        Self { element: String::new(), place: None, remark: Remark::Dxf(note) }
    }
}

impl fmt::Display for DxfNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LeftOut { kind, count } => {
                write!(f, "{count} {kind} left out; turn them into outlines before saving")
            }
            Self::UnitAssumed { unit_mm } => {
                write!(f, "the file does not say its unit; taken as {unit_mm} mm, check the size")
            }
            Self::LayerOff { layer } => write!(f, "layer \"{layer}\" is off or frozen, and left out"),
            Self::NoBlock { block } => write!(f, "block \"{block}\" is not in the file; its inserts are left out"),
        }
    }
}
