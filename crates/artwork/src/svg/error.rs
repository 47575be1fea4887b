//! Why a file is refused: where, what, and the mend.

use crate::note::Note;
use language::say;
use std::fmt;

/// A place in the file's text; both count from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line.
    pub line: u32,
    /// Column in that line, in characters.
    pub column: u32,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&say!("line {}, column {}", self.line, self.column))
    }
}

/// What is wrong with a width, height or viewBox.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SizeFault {
    /// Not a number, or not four of them for a viewBox.
    NotNumbers,
    /// Zero or below, or too small to be a drawing.
    TooSmall,
    /// Beyond any blank, or not finite.
    TooLarge,
}

impl fmt::Display for SizeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotNumbers => say!("is not made of numbers"),
            Self::TooSmall => say!("leaves no page"),
            Self::TooLarge => say!("is beyond any drawing"),
        })
    }
}

/// Why a file could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// The file is too long.
    #[error("{}", say!("the file has {bytes} bytes, the limit is {limit}; remove embedded pictures and hidden layers"))]
    TooLong {
        /// Its length.
        bytes: usize,
        /// The longest allowed.
        limit: usize,
    },
    /// A gzip file.
    #[error("{}", say!("the file is compressed; save it as plain SVG"))]
    Compressed,
    /// Not UTF-8.
    #[error("{}", say!("byte {byte} is not UTF-8 text; save the file as plain SVG in UTF-8"))]
    NotText {
        /// Offset of the first bad byte.
        byte: usize,
    },
    /// Malformed XML.
    #[error("{}", say!("{place}: {fault}; mend the XML there, or save the drawing again as plain SVG", fault = crate::parsers::xml(fault)))]
    Xml {
        /// Where.
        place: Place,
        /// What is wrong.
        fault: usvg::roxmltree::Error,
    },
    /// XML, but no SVG.
    #[error("{}", say!("{place}: the file begins with <{root}>, not <svg>; save the drawing as SVG"))]
    NotSvg {
        /// Where.
        place: Place,
        /// The first element.
        root: String,
    },
    /// Entities that stand for themselves, or for too much text.
    #[error(
        "{}",
        say!(
            "{place}: entity \"{name}\" stands for more than {limit} bytes of text, or for itself; write its text out \
             where it is used"
        )
    )]
    Entity {
        /// Where it is declared.
        place: Place,
        /// Its name.
        name: String,
        /// Most bytes that all entities may stand for.
        limit: usize,
    },
    /// An element that is part of itself.
    #[error("{}", say!("{place}: {element} refers to itself; break the circle of references"))]
    Circle {
        /// Where.
        place: Place,
        /// The element.
        element: String,
    },
    /// Nested too deep.
    #[error("{}", say!("{place}: {element} lies more than {limit} elements deep; ungroup"))]
    TooDeep {
        /// Where.
        place: Place,
        /// The element.
        element: String,
        /// The deepest allowed.
        limit: u32,
    },
    /// `use`, markers and patterns that multiply.
    #[error("{}", say!("{place}: written out, {element} makes {count} elements, the limit is {limit}; remove copies"))]
    TooManyInstances {
        /// Where.
        place: Place,
        /// The element that does it.
        element: String,
        /// How many (at most 2⁶⁴ - 1 is told).
        count: u64,
        /// The most allowed.
        limit: u64,
    },
    /// Too many style rules for so many elements.
    #[error(
        "{}",
        say!(
            "{place}: {rules} style rules on {elements} elements are too many; save the drawing with plain attributes"
        )
    )]
    TooManyStyles {
        /// Where the style sheet is.
        place: Place,
        /// Rules in the file.
        rules: u64,
        /// Elements that each is tried on.
        elements: u64,
    },
    /// A width, height or viewBox that makes no page.
    #[error(
        "{}",
        say!(
            "{place}: {attribute}=\"{text}\" {fault}; give the drawing's size, for example width=\"200mm\" \
             viewBox=\"0 0 200 150\""
        )
    )]
    Size {
        /// Where.
        place: Place,
        /// `width`, `height` or `viewBox`.
        attribute: &'static str,
        /// What was written.
        text: String,
        /// What is wrong with it.
        fault: SizeFault,
    },
    /// The page as resolved is no page.
    #[error(
        "{}",
        say!(
            "the page comes out {width_mm:.1} by {height_mm:.1} mm, allowed is 0.1 to {limit_mm} mm; mend width, \
             height and viewBox of <svg>"
        )
    )]
    Page {
        /// Width found.
        width_mm: f64,
        /// Height found.
        height_mm: f64,
        /// The largest allowed.
        limit_mm: f64,
    },
    /// A shape far away from the page.
    #[error(
        "{}",
        say!(
            "{element} reaches {reach_mm:.0} mm from the page's corner, the limit is {limit_mm} mm; mend its \
             coordinates or transform"
        )
    )]
    FarAway {
        /// The element.
        element: String,
        /// How far.
        reach_mm: f64,
        /// The furthest allowed.
        limit_mm: f64,
    },
    /// Too many points.
    #[error("{}", say!("with {element} the drawing has more than {limit} points; simplify its outlines"))]
    TooManyVertices {
        /// The element that reached the limit.
        element: String,
        /// The most allowed.
        limit: usize,
    },
    /// Outlines that cross too often.
    #[error(
        "{}",
        say!(
            "outlines of {element} cross each other about {count} times, the limit is {limit}; simplify them"
        )
    )]
    TooManyCrossings {
        /// The element.
        element: String,
        /// Estimated from a sample of edge pairs.
        count: u64,
        /// The most allowed.
        limit: u64,
    },
    /// A stroke cut into too many dashes.
    #[error(
        "{}",
        say!(
            "the stroke of {element} falls into about {count} dashes, the limit is {limit}; lengthen the dashes"
        )
    )]
    TooManyDashes {
        /// The element.
        element: String,
        /// Estimated.
        count: u64,
        /// The most allowed.
        limit: u64,
    },
    /// Nothing that covers any area.
    #[error("{}", no_shapes(notes))]
    NoShapes {
        /// What was left out, which may be why.
        notes: Vec<Note>,
    },
    /// Refused by the SVG resolver.
    #[error("{}", say!("the drawing could not be resolved: {fault}; save it again as plain SVG", fault = crate::parsers::svg(fault)))]
    Unresolved {
        /// What it said.
        fault: usvg::Error,
    },
}

fn no_shapes(notes: &[Note]) -> String {
    match notes.first() {
        Some(note) => {
            say!("the drawing has no filled or stroked shape ({note}); draw outlines with a fill or a stroke")
        }
        None => say!("the drawing has no filled or stroked shape; draw outlines with a fill or a stroke").to_owned(),
    }
}
