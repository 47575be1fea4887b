//! The plan page: the parts that change with the recipe.

use super::frame::Frame;
use super::picture::Picture;
use super::recipe::Recipe;
use super::safety::StepCautions;
use super::stock::StockLeft;
use plan::State;
use plan::words::NoteWords;

/// The plan page.
#[derive(Debug, Clone)]
pub(crate) struct PiecePage {
    pub frame: Frame,
    pub name: String,
    /// Blank, size, side and number, in one line.
    pub facts: String,
    pub parts: Parts,
}

/// The parts of the plan page that change with the recipe. Each has an id of its own in the page.
#[derive(Debug, Clone)]
pub(crate) struct Parts {
    pub summary: Summary,
    pub recipe: Recipe,
    /// `None` when there is no plan: the summary then says why.
    pub plan: Option<Planned>,
}

/// What there is when there is a plan.
#[derive(Debug, Clone)]
pub(crate) struct Planned {
    pub picture: Picture,
    pub findings: Vec<Finding>,
    /// About the artwork: doubts first.
    pub notes: Vec<NoteWords>,
    pub strip: Strip,
    pub cautions: Vec<StepCautions>,
    /// Address of all checks of safety.
    pub safety: String,
    pub stages: Vec<Stage>,
    /// Address of the page at the cabinet, where what is kept is run.
    pub cabinet: String,
    /// Addresses of the recipes to choose between, and of the price.
    pub recipes: String,
    pub price: String,
    /// Address of the order of many names.
    pub order: String,
    /// What would narrow the uncertain numbers, a sentence each.
    pub narrowing: Vec<String>,
    pub layers: Vec<String>,
    pub lists: Vec<List>,
    pub resists: Vec<ResistRow>,
    pub masking: List,
    /// What is left of all that it uses, where that is known, and where all of it stands.
    pub stock: Vec<StockLeft>,
    pub stock_page: String,
    pub done: Vec<Done>,
    /// Address of what was planned beside what was logged.
    pub runs: String,
    pub files: Vec<File>,
    /// Address of all of them in one.
    pub packed: String,
}

/// A run at the cabinet.
#[derive(Debug, Clone)]
pub(crate) struct Done {
    pub day: String,
    pub said: String,
    /// Address of what it teaches, when a depth was gauged.
    pub learn: Option<String>,
}

/// A resist of the shop, and why it is used or not.
#[derive(Debug, Clone)]
pub(crate) struct ResistRow {
    pub name: String,
    pub state: State,
    pub why: String,
}

/// The plan in one sentence.
#[derive(Debug, Clone)]
pub(crate) struct Summary {
    /// The worst of what was found.
    pub state: State,
    pub sentence: String,
    /// What the tried recipe changes against the kept one.
    pub against: Option<String>,
}

/// Something that was checked.
#[derive(Debug, Clone)]
pub(crate) struct Finding {
    pub id: String,
    /// Its number in the drawing, when it has a place there.
    pub number: Option<usize>,
    pub state: State,
    pub title: String,
    pub why: String,
    pub source: String,
    pub remedies: Vec<Remedy>,
}

/// A change that turns a finding.
#[derive(Debug, Clone)]
pub(crate) struct Remedy {
    pub words: String,
    pub gives: State,
    /// What the form sends to have it applied; `None` when the change is not one of the recipe.
    pub apply: Option<String>,
}

/// The run strip.
#[derive(Debug, Clone)]
pub(crate) struct Strip {
    /// The drawing, as SVG.
    pub drawing: String,
    /// Where a pointer asks what the lanes hold.
    pub read: String,
    /// Ends of the time axis, as shares of the drawing's width.
    pub axis: (f64, f64),
}

/// A stage of the work.
#[derive(Debug, Clone)]
pub(crate) struct Stage {
    pub order: usize,
    /// Address of a picture of what is open in it.
    pub thumbnail: String,
    pub opens: String,
    pub weed: String,
    pub blast: String,
    pub wait: String,
    /// Depth of each layer at its end; empty while it is covered.
    pub depths: Vec<String>,
}

/// A short table of names and amounts.
#[derive(Debug, Clone)]
pub(crate) struct List {
    pub id: &'static str,
    pub title: String,
    pub rows: Vec<Row>,
    /// The last row, when it is a sum.
    pub total: Option<Row>,
    pub note: Option<String>,
}

/// A row of it.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub name: String,
    pub amount: String,
    pub price: Option<String>,
}

/// A file to take away.
#[derive(Debug, Clone)]
pub(crate) struct File {
    pub href: String,
    pub name: String,
    pub what: String,
}
