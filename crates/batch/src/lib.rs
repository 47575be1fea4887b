//! An order of many names as one piece: a recipe for all, evenings that the air allows, a nested sheet for each.
//!
//! 1. [`letter`]: the piece's drawing with each row of a table in it, measured; rows that cannot be made are told.
//! 2. [`items`](mod@items): what each asks of hands and nozzle, from plans of the lightest, the middle and the heaviest.
//! 3. [`evenings`](fn@evenings): in the table's order onto evenings, with rests for air and the compressor's duty kept.
//! 4. [`sheets`](fn@sheets): each evening's stencils nested on the roll.
//!
//! [`order`] does all of it; [`document`] writes it as JSON and CSV. Not handled: names on several kinds of blank,
//! two people at once.

pub mod document;
mod evening;
pub mod items;
mod letter;
mod nested;

pub use evening::{Evening, EveningOptions, Slot, evenings};
pub use items::{Item, Pace};
pub use letter::{Lettered, letter};
pub use nested::{EveningSheet, NestWish, sheets};

use language::say;
use piece::{Piece, Shop};
use plan::Plan;

/// How an order is made.
#[derive(Debug, Clone)]
pub struct OrderOptions {
    /// How long an evening is, and what one of many takes to mask and wash.
    pub evenings: EveningOptions,
    /// How it is nested.
    pub nest: NestWish,
    /// Columns whose text has a width: shrunk to fit.
    pub fits: Vec<artwork::batch::Fit>,
}

/// An order, ready to be made.
#[derive(Debug)]
pub struct Order {
    /// Plan of the heaviest item: the recipe for all.
    pub plan: Plan,
    /// In the table's order.
    pub items: Vec<Item>,
    /// Rows that make no piece.
    pub bad: Vec<artwork::batch::BadRow>,
    /// Columns that the drawing has no place for.
    pub unused: Vec<String>,
    /// In order.
    pub evenings: Vec<Evening>,
    /// One for each evening.
    pub sheets: Vec<EveningSheet>,
    /// What the order costs, at its quantity.
    pub quote: cost::Quote,
}

/// Why no order can be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum OrderError {
    /// Drawing and table.
    #[error("{0}")]
    Batch(#[from] artwork::batch::BatchError),
    /// No row makes a piece.
    #[error("{}", say!("no row of the table makes a piece; the first fault: {first}"))]
    Nothing {
        /// Of the first row.
        first: String,
    },
    /// One of the plans.
    #[error("{}", say!("\"{name}\": {fault}"))]
    Plan {
        /// Which item.
        name: String,
        /// Why.
        fault: plan::Refusal,
    },
    /// A plan that stops is not made three hundred times.
    #[error("{}", say!("the plan of \"{name}\" stops: {finding}; mend the piece first (sabulo plan shows how)"))]
    Stops {
        /// Which item.
        name: String,
        /// The worst finding.
        finding: String,
    },
    /// The air.
    #[error("{}", say!("air: {fault}", fault = _0))]
    Air(#[from] plan::ClassAirError),
    /// The schedule.
    #[error("{}", say!("schedule: {fault}", fault = _0))]
    Queue(#[from] class::queue::QueueError),
    /// An item that no evening holds.
    #[error("{}", say!("\"{name}\" alone takes {needs}, longer than an evening of {evening}; give longer evenings"))]
    Long {
        /// Which item.
        name: String,
        /// What it takes.
        needs: quantity::Time,
        /// What there is.
        evening: quantity::Time,
    },
    /// The nesting.
    #[error("{}", say!("nest: {fault}", fault = _0))]
    Nest(#[from] stencil::nest::NestError),
    /// An item without an outline.
    #[error("{}", say!("\"{name}\": {fault}"))]
    Outline {
        /// Which item.
        name: String,
        /// Why.
        fault: stencil::nest::OutlineError,
    },
    /// A stencil that the roll does not take.
    #[error("{}", say!("\"{name}\" is wider than the roll of {width}; give a smaller drawing or a wider resist"))]
    TooWide {
        /// Which item.
        name: String,
        /// Of the roll.
        width: quantity::Length,
    },
    /// Whoever asked for it changed their mind.
    #[error("{}", say!("the order was cancelled; nothing was made"))]
    Cancelled,
    /// The price.
    #[error(transparent)]
    Quote(#[from] cost::QuoteError),
}

/// What is being done for an order, for those who wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The rows are put into the drawing and measured.
    Lettering,
    /// The lightest, the middle and the heaviest are planned.
    Planning,
    /// They are laid on evenings.
    Evenings,
    /// The stencils of an evening are nested.
    Nesting {
        /// Which, from 0.
        evening: usize,
        /// Of so many.
        of: usize,
    },
}

/// Somebody who waits for an order.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    /// Share of the time for nesting that is spent, asked for each evening with its number and the number of evenings.
    pub spent: &'a (dyn Fn(usize, usize) -> f64 + Sync),
    /// Told each step before it is taken; when it says no, nothing more is done.
    pub goes_on: &'a (dyn Fn(Step) -> bool + Sync),
}

impl Watch<'_> {
    fn step(&self, step: Step) -> Result<(), OrderError> {
        if (self.goes_on)(step) { Ok(()) } else { Err(OrderError::Cancelled) }
    }
}

/// Puts an order together.
///
/// * `template`: the piece's drawing, an SVG with places for the table's columns. * `table`: comma-separated values.
/// * `spent`: share of the time for nesting that is spent; see [`stencil::nest::nest`]. It is asked for each evening
///   with its number and the number of evenings.
///
/// # Errors
/// [`OrderError`]; a fault of one row is told in [`Order::bad`].
pub fn order(
    piece: &Piece,
    template: &[u8],
    table: &[u8],
    shop: &Shop,
    options: &OrderOptions,
    spent: &(dyn Fn(usize, usize) -> f64 + Sync),
) -> Result<Order, OrderError> {
    order_watched(piece, template, table, shop, options, &Watch { spent, goes_on: &|_| true })
}

/// The same for somebody who waits and may change their mind.
///
/// # Errors
/// As [`order`](fn@order), and [`OrderError::Cancelled`].
pub fn order_watched(
    piece: &Piece,
    template: &[u8],
    table: &[u8],
    shop: &Shop,
    options: &OrderOptions,
    watch: &Watch<'_>,
) -> Result<Order, OrderError> {
    watch.step(Step::Lettering)?;
    let lettered = letter(piece, template, table, shop, &options.fits)?;
    watch.step(Step::Planning)?;
    let pace = Pace::of(piece, &lettered.made, shop)?;
    let items = pace.items(&lettered.made);
    watch.step(Step::Evenings)?;
    let evenings = evenings(&pace, &items, shop, &options.evenings)?;
    let sheets = sheets(piece, &pace, &lettered.made, &evenings, shop, &options.nest, watch)?;
    let terms = cost::Terms::of(&shop.rates);
    let quantity = u32::try_from(items.len()).unwrap_or(u32::MAX);
    let work = evening::work_of_one(&pace, &items, options.evenings.setup);
    let quote = cost::quote(&work, &terms, &cost::Ask { quantities: vec![quantity], rush: None })?;
    Ok(Order { plan: pace.into_plan(), items, bad: lettered.bad, unused: lettered.unused, evenings, sheets, quote })
}
