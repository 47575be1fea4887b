//! What was planned beside what was logged, run by run.

use super::Frame;
use super::shop::Drawn;
use plan::State;

/// The page, of a shop or of a piece.
#[derive(Debug, Clone)]
pub(crate) struct RunsPage {
    pub frame: Frame,
    pub title: String,
    /// Where else to go: address and words.
    pub links: Vec<(String, String)>,
    /// Address of the same as a table.
    pub table: String,
    /// How well the plans did, a sentence each.
    pub sentences: Vec<(State, String)>,
    /// Logged over planned, as SVG; `None` when there is nothing to draw.
    pub drawing: Option<Drawn>,
    /// The latest first.
    pub runs: Vec<RunRow>,
}

/// A run.
#[derive(Debug, Clone)]
pub(crate) struct RunRow {
    pub day: String,
    /// Name and address of the piece.
    pub piece: (String, String),
    /// Rows of what was planned and logged; or why there are none.
    pub rows: Result<Vec<ComparedRow>, String>,
    /// What must be known of it.
    pub note: Option<String>,
}

/// A number, planned and logged.
#[derive(Debug, Clone)]
pub(crate) struct ComparedRow {
    pub name: String,
    pub planned: String,
    pub logged: String,
    /// Whether it is inside its interval, where it has one.
    pub inside: Option<bool>,
}
