//! What a reader did with what it found: elements that have no outline of their own, gaps closed, fonts replaced.

use crate::dxf::{DxfNote, Repair, RepairKind};
use crate::svg::Place;
use language::say;
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
    /// A gradient: drawn in bands of one colour each.
    GradientInSteps {
        /// How many colours.
        tones: usize,
    },
    /// A gradient that repeats too often, or has its focus outside its circle: left out.
    GradientLeftOut,
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
    /// A gap closed, a double removed, a chain left open.
    Mended(Repair),
    /// A photograph or scan, traced.
    Traced {
        /// The resolution that its size comes from.
        dpi: f64,
        /// Closed outlines.
        outlines: usize,
        /// Nodes on all of them.
        nodes: usize,
        /// What it was turned by, in degrees; zero when it was left as it lay.
        turned_degrees: f64,
        /// Specks and pinholes left out.
        specks: usize,
    },
    /// A photograph that does not say its resolution.
    ResolutionAssumed {
        /// Dots per inch that it was taken for.
        dpi: f64,
    },
}

impl Remark {
    /// Whether what is drawn may not be what was meant; else it only says what was done.
    #[must_use]
    pub const fn doubtful(&self) -> bool {
        let mended =
            matches!(self, Self::Mended(Repair { kind: RepairKind::GapClosed | RepairKind::DoubleRemoved, .. }));
        !mended && !matches!(self, Self::Traced { .. } | Self::OutsidePage)
    }
}

/// A note, or many alike, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The first of them, and how many there are.
    pub words: String,
    /// As [`Remark::doubtful`].
    pub doubtful: bool,
}

/// Notes in words, those in doubt first; of many alike only the first is told, and how many there are.
///
/// Alike are notes of one kind, whatever their elements, places and numbers.
#[must_use]
pub fn told(notes: &[Note]) -> Vec<Told> {
    let mut kinds: Vec<(&Note, usize)> = Vec::new();
    for note in notes {
        match kinds.iter_mut().find(|(first, _)| alike(&first.remark, &note.remark)) {
            Some((_, count)) => *count += 1,
            None => kinds.push((note, 1)),
        }
    }
    kinds.sort_by_key(|(note, _)| !note.remark.doubtful());
    let words = |note: &Note, count: usize| match count {
        1 => note.to_string(),
        _ => say!("{note} (and {} more such)", count - 1),
    };
    let told = |(note, count): (&Note, usize)| Told { words: words(note, count), doubtful: note.remark.doubtful() };
    kinds.into_iter().map(told).collect()
}

fn alike(a: &Remark, b: &Remark) -> bool {
    match (a, b) {
        (Remark::Mended(a), Remark::Mended(b)) => a.kind == b.kind,
        // What a note of these says differs from one to the next.
        (Remark::FontReplaced { .. } | Remark::TextLeftOut { .. } | Remark::Dxf(_), _) => a == b,
        _ => std::mem::discriminant(a) == std::mem::discriminant(b),
    }
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
            Self::ImageLeftOut => f.write_str(say!("image left out; trace it into outlines first")),
            Self::ForeignLeftOut { tag } => f.write_str(&say!("<{tag}> left out; it is not part of static SVG")),
            Self::DrawnAtRest { tag } => f.write_str(&say!("<{tag}> ignored; drawn as at rest")),
            Self::GradientInSteps { tones } => {
                let said =
                    say!("gradient drawn in bands of {tones} tones; give its layer one depth, or each tone its own");
                f.write_str(&said)
            }
            Self::GradientLeftOut => f.write_str(say!(
                "gradient left out: it repeats too often or has its focus outside its circle; fill it with a colour"
            )),
            Self::PatternLeftOut => {
                f.write_str(say!("pattern of too many tiles left out; draw its shapes as outlines"))
            }
            Self::MaskHalved => f.write_str(say!(
                "the mask has greys; what is lighter than half shows; use a clip path or halftone it first"
            )),
            Self::FilterIgnored => f.write_str(say!("drawn without its filter")),
            Self::BlendIgnored => f.write_str(say!("drawn without blending")),
            Self::OpacityIgnored { opacity } => f.write_str(&say!("opacity {opacity:.2} ignored; drawn solid")),
            Self::TransparentLeftOut => f.write_str(say!("fully transparent, and left out")),
            Self::FontReplaced { asked, used } => f.write_str(&say!("font {asked} is not bundled; set in {used}")),
            Self::TextLeftOut { asked } => {
                f.write_str(&say!("text left out: no font for {asked}; convert it to outlines"))
            }
            Self::GlyphMissing { character } => {
                f.write_str(&say!("no bundled font has '{character}'; convert the text to outlines"))
            }
            Self::OutsidePage => f.write_str(say!("reaches outside the page; kept")),
            Self::Dxf(note) => note.fmt(f),
            Self::Mended(repair) => repair.fmt(f),
            Self::Traced { dpi, outlines, nodes, turned_degrees, specks } => f.write_str(&say!(
                "traced at {dpi:.0} dpi: {outlines} outlines with {nodes} nodes, turned by {turned_degrees:.1}°, \
                 {specks} specks left out"
            )),
            Self::ResolutionAssumed { dpi } => f.write_str(&say!(
                "the file does not say its dpi; taken as {dpi:.0}: give its dpi, or the width that it is to have"
            )),
        }
    }
}

impl From<Remark> for Note {
    /// Of the whole file.
    fn from(remark: Remark) -> Self {
        Self { element: String::new(), place: None, remark }
    }
}

impl fmt::Display for Repair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (x, y, gap) = (self.at.x, self.at.y, self.gap.to_mm());
        match self.kind {
            RepairKind::GapClosed => f.write_str(&say!("a gap of {gap:.3} mm closed at {x:.2}, {y:.2} mm")),
            RepairKind::DoubleRemoved => f.write_str(&say!("a line drawn twice left out once at {x:.2}, {y:.2} mm")),
            RepairKind::StaysOpen => f.write_str(&say!(
                "a chain left out whose ends are {gap:.2} mm apart at {x:.2}, {y:.2} mm: join them to open what it \
                 encloses"
            )),
        }
    }
}

impl fmt::Display for DxfNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LeftOut { kind, count } => {
                f.write_str(&say!("{count} {kind} left out; turn them into outlines before saving"))
            }
            Self::UnitAssumed { unit_mm } => f.write_str(&say!(
                "the file does not say its unit; taken as {unit_mm} mm, check the size",
                unit_mm = language::number(unit_mm.to_string())
            )),
            Self::LayerOff { layer } => f.write_str(&say!("layer \"{layer}\" is off or frozen, and left out")),
            Self::NoBlock { block } => {
                f.write_str(&say!("block \"{block}\" is not in the file; its inserts are left out"))
            }
        }
    }
}
