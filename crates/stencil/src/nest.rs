//! Pieces laid close together on remnants, sheets and the roll, so that little resist is wasted.
//!
//! [`nest`] takes outlines with quantities and what is in stock. Remnants are used first, the smallest before the
//! larger; then sheets; what is left goes on the roll, of the width that takes the least area. On a sheet it lays
//! as much as finds room; on a roll it looks for the shortest strip, by guided local search over the overlaps
//! ([`strip`], [`separate`]), with an open collision engine below ([`board`]). It can be ended at any time and then
//! gives the best so far. Before a layout is given out, another library finds that no two pieces overlap ([`check`]).
//!
//! x runs along the roll, y across it, from the corner of the roll or sheet; millimetres.
//!
//! Not here: pieces within the holes of others (a hole is filled in), sheets that are not rectangles, and what a
//! piece is (a line of names, a weed box): [`outline`] makes an outline of a drawing.

mod allowance;
mod board;
mod check;
mod cut_sheet;
pub mod drawing;
mod fill;
mod greedy;
mod kind;
pub mod outline;
mod overlap;
mod search;
mod separate;
mod stock;
mod strip;

use allowance::Allowance;
use artwork::grid::Point;
use artwork::region::Ring;
pub use cut_sheet::cut_svg;
use language::say;
pub use outline::OutlineError;
use quantity::Length;
pub use stock::{Sheet, Stock};

/// What is laid, how often, and how it may be turned.
#[derive(Debug, Clone)]
pub struct Piece {
    /// For messages and drawings.
    pub name: String,
    /// One closed line that does not cross itself, in millimetres; either direction.
    pub outline: Ring,
    /// Copies wanted; 0 lays none.
    pub quantity: u32,
    /// Angles that are allowed.
    pub turns: Turns,
}

/// The angles that a piece may be turned to.
#[derive(Debug, Clone, PartialEq)]
pub enum Turns {
    /// As drawn: the grain of the resist runs one way.
    Fixed,
    /// As drawn or upside down: along the grain either way.
    Half,
    /// In quarter turns.
    Quarter,
    /// These, in degrees, counterclockwise when y runs up; none is the same as [`Turns::Fixed`].
    Of(Vec<f64>),
    /// Any angle.
    Any,
}

/// How it is laid.
#[derive(Debug, Clone, Copy)]
pub struct NestOptions {
    /// Least distance between two pieces. 0 lets them share an edge.
    pub gap: Length,
    /// Least distance of a piece from the edges of a sheet or roll.
    pub edge: Length,
    /// Another seed, another layout.
    pub seed: u64,
    /// Searches side by side, 1 to 64. With one, the same seed and number of moves give the same layout.
    pub workers: usize,
}

/// What was laid where.
#[derive(Debug, Clone)]
pub struct Nested {
    /// In the order in which they were laid; none of them empty.
    pub sheets: Vec<NestedSheet>,
    /// Copies that found no room: piece and number.
    pub left_over: Vec<(usize, u32)>,
}

/// A remnant, a sheet or a stretch of roll with pieces on it.
#[derive(Debug, Clone)]
pub struct NestedSheet {
    /// What it was cut from.
    pub from: Taken,
    /// Across, in mm.
    pub width_mm: f64,
    /// Along, in mm: of the sheet; on a roll, what is cut off.
    pub length_mm: f64,
    /// As far as the pieces and the edge beyond them reach along, in mm.
    pub used_mm: f64,
    /// Area of the pieces over the width and the used length, 0 to 1.
    pub density: f64,
    /// One for each copy that lies on it.
    pub placements: Vec<Placement>,
}

/// Which part of the stock, by its place in the caller's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// A remnant.
    Remnant(usize),
    /// One of the sheets of a size.
    Sheet(usize),
    /// A roll of a width.
    Roll(usize),
}

/// Where a copy lies: its outline turned about the origin, then moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// In the caller's list.
    pub piece: usize,
    /// Counterclockwise when y runs up.
    pub turn_degrees: f64,
    /// Along, in mm.
    pub x_mm: f64,
    /// Across, in mm.
    pub y_mm: f64,
}

/// Why nothing was laid.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NestError {
    /// No copies are wanted.
    #[error("{}", say!("no pieces to nest; give at least one with a quantity above zero"))]
    NoPieces,
    /// Nothing to lay on.
    #[error("{}", say!("nothing to nest on; give the width of a roll, a sheet or a remnant"))]
    NoStock,
    /// An outline that cannot be laid.
    #[error(
        "{}",
        say!(
            "{name}: the outline crosses or touches itself or encloses no area; draw it as one plain closed line"
        )
    )]
    Outline {
        /// The piece.
        name: String,
    },
    /// More than are handled at once.
    #[error("{}", say!("{pieces} pieces; nest at most {most} at once, in several parts"))]
    TooMany {
        /// Copies of all pieces.
        pieces: u64,
        /// How many are handled.
        most: u64,
    },
    /// No worker, or more than are run.
    #[error("{}", say!("{given} workers; give 1 to {most}"))]
    Workers {
        /// As asked for.
        given: usize,
        /// How many are run.
        most: usize,
    },
    /// A sheet or roll with no room on it.
    #[error("{}", say!("{name}: no room is left within its edges; give a smaller edge or a larger sheet"))]
    NoRoom {
        /// The sheet or roll.
        name: String,
    },
}

/// Most copies that are nested at once: each pair has a number of its own.
pub const PIECES_MAX: u64 = 2000;
/// Most searches side by side.
pub const WORKERS_MAX: usize = 64;

/// Lays pieces on the stock.
///
/// * `spent`: told the number of moves tried so far, it says which share of the allowance is spent, 0 to 1; from 1
///   on the search ends within a move (milliseconds) and the best so far is given. A count of moves, a clock or a
///   cancelled job all fit in. It is asked from several threads.
///
/// What finds no room is told in [`Nested::left_over`]; nothing is left out silently.
///
/// # Errors
/// See [`NestError`].
pub fn nest(
    pieces: &[Piece],
    stock: &Stock,
    options: &NestOptions,
    spent: &(dyn Fn(u64) -> f64 + Sync),
) -> Result<Nested, NestError> {
    let wanted: u64 = pieces.iter().map(|piece| u64::from(piece.quantity)).sum();
    match wanted {
        0 => Err(NestError::NoPieces),
        wanted if wanted > PIECES_MAX => Err(NestError::TooMany { pieces: wanted, most: PIECES_MAX }),
        _ if !(1..=WORKERS_MAX).contains(&options.workers) => {
            Err(NestError::Workers { given: options.workers, most: WORKERS_MAX })
        }
        _ => stock::lay_on(pieces, stock, options, &Allowance::new(spent)),
    }
}

impl Nested {
    /// Area of all pieces over the area used of all sheets and rolls, 0 to 1.
    #[must_use]
    pub fn density(&self) -> f64 {
        let used = |sheet: &NestedSheet| sheet.used_mm * sheet.width_mm;
        let (area, of) = self
            .sheets
            .iter()
            .fold((0.0, 0.0), |(area, of), sheet| (area + sheet.density * used(sheet), of + used(sheet)));
        if of > 0.0 { area / of } else { 0.0 }
    }

    /// Length cut off the roll, in mm.
    #[must_use]
    pub fn roll_mm(&self) -> f64 {
        self.sheets.iter().filter(|sheet| matches!(sheet.from, Taken::Roll(_))).map(|sheet| sheet.used_mm).sum()
    }
}

impl NestedSheet {
    /// The rectangle that stays whole beyond the pieces: length and width in mm. `None` on a roll, whose rest is on
    /// the roll still, and when nothing is left.
    #[must_use]
    pub fn remnant_mm(&self) -> Option<(f64, f64)> {
        let left = self.length_mm - self.used_mm;
        (left > 0.0 && !matches!(self.from, Taken::Roll(_))).then_some((left, self.width_mm))
    }
}

impl Placement {
    /// A point of the piece, where it lies.
    #[must_use]
    pub fn moved(&self, point: Point) -> Point {
        let (sin, cos) = self.turn_degrees.to_radians().sin_cos();
        Point { x: point.x * cos - point.y * sin + self.x_mm, y: point.x * sin + point.y * cos + self.y_mm }
    }

    /// The outline of its piece, where it lies.
    #[must_use]
    pub fn outline(&self, piece: &Piece) -> Ring {
        Ring(piece.outline.0.iter().map(|&point| self.moved(point)).collect())
    }
}
