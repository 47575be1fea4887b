//! Many names as one order: the question, and what was made of it.

use super::Frame;

/// The page that asks.
#[derive(Debug, Clone)]
pub(crate) struct OrderPage {
    pub frame: Frame,
    pub name: String,
    /// Address of the piece.
    pub piece: String,
    /// Columns for which the drawing has a place; or why it has none.
    pub columns: Result<Vec<String>, String>,
    pub asked: OrderAsked,
    pub fault: Option<String>,
    /// Orders that were made since the program began: address and words.
    pub made: Vec<(String, String)>,
}

/// What is asked, as typed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OrderAsked {
    pub evening: String,
    pub setup: String,
    pub fit: String,
    pub gap: String,
    pub seconds: String,
}

/// An order under way or done.
#[derive(Debug, Clone)]
pub(crate) struct OrderedPage {
    pub frame: Frame,
    pub name: String,
    pub piece: String,
    /// Its own address.
    pub here: String,
    pub stands: OrderStands,
}

/// How an order stands.
#[derive(Debug, Clone)]
pub(crate) enum OrderStands {
    /// What is done now, and the share of all that is done.
    Underway(String, f64),
    Failed(String),
    Made(OrderMade),
}

/// An order that was made.
#[derive(Debug, Clone)]
pub(crate) struct OrderMade {
    pub sentence: String,
    pub recipe: String,
    pub price: String,
    pub evenings: Vec<EveningRow>,
    /// Line and why.
    pub refused: Vec<(String, String)>,
    pub unused: Option<String>,
    pub watch: Vec<String>,
    pub rows: Vec<OrderRow>,
    /// Address, name and what it is.
    pub files: Vec<(String, String, &'static str)>,
}

/// An evening.
#[derive(Debug, Clone)]
pub(crate) struct EveningRow {
    pub title: String,
    pub said: Vec<String>,
    /// Each stretch of its sheet.
    pub sheets: Vec<SheetSeen>,
}

/// A sheet to look at.
#[derive(Debug, Clone)]
pub(crate) struct SheetSeen {
    pub address: String,
    pub words: String,
    /// Along the roll, in mm.
    pub length_mm: f64,
    /// Across it, in mm.
    pub width_mm: f64,
    /// As far as there is something on it across, in mm.
    pub reach_mm: f64,
}

/// A row that is made.
#[derive(Debug, Clone)]
pub(crate) struct OrderRow {
    pub number: String,
    pub line: String,
    pub name: String,
    pub more: String,
    pub from: String,
    pub blast: String,
    /// What to look at.
    pub watch: Option<&'static str>,
}
