//! The page that sets a shop up, and the one that sizes one.

use super::frame::Frame;
use super::piece::{Finding, Summary};
use super::recipe::Choice;
use super::shop::Drawn;

/// The page that sets a shop up.
#[derive(Debug, Clone)]
pub(crate) struct SetupPage {
    pub frame: Frame,
    pub title: String,
    pub lead: &'static str,
    /// Where the answers go.
    pub action: String,
    /// Of a kept shop.
    pub revision: Option<u32>,
    /// Address of the shop's page, where there is one.
    pub back: Option<String>,
    pub parts: SetupParts,
}

/// What changes on it with an answer.
#[derive(Debug, Clone)]
pub(crate) struct SetupParts {
    pub steps: Vec<SetupStep>,
    pub stock: SetupStock,
    /// What the shop would do.
    pub summary: Summary,
    pub findings: Vec<Finding>,
    /// For each bore and pressure how long a blast holds, as SVG.
    pub map: Option<Drawn>,
    /// Where the answers go.
    pub action: String,
    /// Whether they can be kept: all read, and they say anything new.
    pub keepable: bool,
    /// Whether every answer reads.
    pub reads: bool,
}

/// Questions that belong together.
#[derive(Debug, Clone)]
pub(crate) struct SetupStep {
    pub title: &'static str,
    pub why: &'static str,
    pub fields: Vec<SetupField>,
}

/// A question.
#[derive(Debug, Clone)]
pub(crate) struct SetupField {
    pub key: String,
    pub label: String,
    pub hint: &'static str,
    pub value: String,
    /// What there is to choose from; empty for a value that is typed.
    pub choices: Vec<Choice>,
    pub fault: Option<String>,
}

/// The sizing page.
#[derive(Debug, Clone)]
pub(crate) struct SizingPage {
    pub frame: Frame,
    pub parts: SizingParts,
}

/// What changes on it with a value.
#[derive(Debug, Clone)]
pub(crate) struct SizingParts {
    pub fields: Vec<SetupField>,
    /// What it takes, or why that is not known.
    pub told: Result<plan::size_document::Told, String>,
    /// What a line of these sizes runs, as SVG.
    pub proposed: Option<Drawn>,
    /// The shop at work, and what it runs.
    pub shop: String,
    pub today: Option<Drawn>,
}

/// What is in stock.
#[derive(Debug, Clone)]
pub(crate) struct SetupStock {
    /// A row of fields for each nozzle, and an empty one.
    pub nozzles: Vec<Vec<SetupField>>,
    pub nozzles_fault: Option<String>,
    pub grits: Vec<String>,
    pub abrasives: Vec<AbrasiveRow>,
    pub abrasives_fault: Option<String>,
    pub resists: Vec<StockBox>,
    pub resists_fault: Option<String>,
    /// Prices and widths of what is ticked.
    pub priced: Vec<(String, Vec<SetupField>)>,
}

/// An abrasive with a box for each grit.
#[derive(Debug, Clone)]
pub(crate) struct AbrasiveRow {
    pub name: String,
    pub boxes: Vec<StockBox>,
}

/// Something that may be in stock.
#[derive(Debug, Clone)]
pub(crate) struct StockBox {
    pub value: String,
    pub name: String,
    pub ticked: bool,
}
