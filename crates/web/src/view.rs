//! What a page shows, in words: made of a plan once, so that templates hold neither choices nor arithmetic.

use plan::State;
use plan::words::NoteWords;
use quantity::UnitSystem;
use safety::check::Standing;

/// What stands around every page.
#[derive(Debug, Clone)]
pub(crate) struct Frame {
    /// Title of the window.
    pub title: String,
    /// The pieces in the store.
    pub pieces: Vec<Tab>,
    /// Name of the shop.
    pub shop: String,
    /// Address of its page, when there is one.
    pub shop_href: Option<String>,
    /// Units in which the page is written.
    pub units: UnitSystem,
    /// Where to come back to after the units were changed.
    pub here: String,
}

/// A piece to go to.
#[derive(Debug, Clone)]
pub(crate) struct Tab {
    pub href: String,
    pub name: String,
    pub current: bool,
}

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
    /// What would narrow the uncertain numbers, a sentence each.
    pub narrowing: Vec<String>,
    pub layers: Vec<String>,
    pub lists: Vec<List>,
    pub resists: Vec<ResistRow>,
    pub masking: List,
    pub done: Vec<Done>,
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

/// What a run at the cabinet teaches about the shop.
#[derive(Debug, Clone)]
pub(crate) struct LearnPage {
    pub frame: Frame,
    pub name: String,
    pub day: String,
    /// Where it is sent; the piece it came from.
    pub address: String,
    pub piece: String,
    pub shop: String,
    pub revision: u32,
    /// What the gauge is good for, as written, and what is wrong with it.
    pub gauge: String,
    pub fault: Option<String>,
    pub layers: Vec<LearnRow>,
    /// The plan's sentence now, and with what is learned.
    pub now: String,
    pub then: Option<String>,
}

/// A layer that was gauged.
#[derive(Debug, Clone)]
pub(crate) struct LearnRow {
    pub layer: String,
    pub expected: String,
    pub gauged: String,
    /// The coupon in words, or why there is none.
    pub coupon: Result<String, String>,
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

/// The recipe with its controls.
#[derive(Debug, Clone)]
pub(crate) struct Recipe {
    /// Address of the piece: `/piece/1`.
    pub piece: String,
    pub revision: u32,
    /// Whether the tried recipe differs from the kept one.
    pub changed: bool,
    /// Whether every value reads, so that it can be kept.
    pub reads: bool,
    /// Whether the drawing is centred, whatever the kept file says.
    pub centred: bool,
    pub can_undo: bool,
    pub can_redo: bool,
    /// Why the last attempt to keep it failed.
    pub message: Option<String>,
    pub lines: Vec<Line>,
}

/// A line of the recipe: words, a control, words.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// Name of the field; the control's id is `recipe-` and this.
    pub field: String,
    /// The words before the control.
    pub lead: &'static str,
    /// What the control is for, in full, for those who hear it.
    pub label: String,
    /// The words after it.
    pub tail: &'static str,
    pub control: Control,
    /// What is wrong with the value.
    pub fault: Option<String>,
}

/// How a value is set.
#[derive(Debug, Clone)]
pub(crate) enum Control {
    /// One of a few.
    Choice {
        /// What the plan would choose, when it may.
        open: Option<String>,
        options: Vec<Choice>,
    },
    /// A number with a unit.
    Number {
        value: String,
        /// What the plan chose when nothing is written.
        chosen: String,
        unit: &'static str,
        /// What an arrow key adds.
        step: f64,
        slider: Option<Slider>,
        /// The layer that it is the depth of.
        layer: Option<Layer>,
    },
}

/// A layer beside its depth.
#[derive(Debug, Clone)]
pub(crate) struct Layer {
    pub name: String,
    /// Its depth as a step of the ramp, 0 to 16.
    pub ramp: u32,
}

/// One of a few.
#[derive(Debug, Clone)]
pub(crate) struct Choice {
    pub value: String,
    pub words: String,
    pub selected: bool,
}

/// A slider beside a number, in the number's unit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Slider {
    pub least: f64,
    pub greatest: f64,
    pub at: f64,
}

/// The piece, seen.
#[derive(Debug, Clone)]
pub(crate) struct Picture {
    /// Address of the picture as carved.
    pub carved: String,
    /// Pixels of it.
    pub pixels: (u32, u32),
    /// Address of the artwork as drawn.
    pub drawn: String,
    pub alt: String,
    pub solid: Solid,
    pub cut: CutForm,
    /// The drawing's frame on the blank; `None` when the picture is not flat.
    pub placing: Option<PlacingFrame>,
    /// `None` when the picture is not flat.
    pub probe: Option<Probe>,
    pub key: Vec<KeyStep>,
}

/// The piece in three dimensions.
#[derive(Debug, Clone)]
pub(crate) struct Solid {
    /// Address of the solid, and of the depths that light it.
    pub address: String,
    pub depths: String,
    /// `glass`, `mirror` or `stone`.
    pub look: &'static str,
    /// `front` or `back`, from which it is carved.
    pub side: &'static str,
}

/// Where the piece is cut through.
#[derive(Debug, Clone)]
pub(crate) struct CutForm {
    /// Address of the section's drawing, and of its values.
    pub drawing: String,
    pub values: String,
    /// What the address says already, for a form that is sent.
    pub kept: Vec<(String, String)>,
    /// `mm` or `in`, and how many millimetres it has.
    pub unit: &'static str,
    pub unit_mm: f64,
    /// Two ends, right and down from the blank's top left corner.
    pub ends: [String; 4],
    /// The blank in that unit, for the fields' limits.
    pub blank: (String, String),
}

/// The page at the cabinet.
#[derive(Debug, Clone)]
pub(crate) struct CabinetPage {
    pub name: String,
    /// Address of the plan.
    pub back: String,
    pub settings: Vec<Setting>,
    /// What stops the plan: nothing is begun before it is mended.
    pub stops: Vec<String>,
    pub cautions: Vec<Caution>,
    pub stages: Vec<CabinetStage>,
    pub layers: Vec<CabinetLayer>,
    /// Unit of the depths, and its millimetres.
    pub unit: (&'static str, f64),
    /// What the timer follows, as JSON.
    pub run: String,
}

/// Something that is set before a blast.
#[derive(Debug, Clone)]
pub(crate) struct Setting {
    pub name: &'static str,
    pub value: String,
}

/// One screen of the cabinet.
#[derive(Debug, Clone)]
pub(crate) struct CabinetStage {
    pub order: usize,
    pub opens: String,
    /// Address of the picture of what is open.
    pub picture: String,
    pub blast: String,
    /// Layers with their depths after it.
    pub gauge: Vec<(String, String)>,
}

/// A layer to be gauged.
#[derive(Debug, Clone)]
pub(crate) struct CabinetLayer {
    pub name: String,
    pub target: String,
}

/// The list of pieces.
#[derive(Debug, Clone)]
pub(crate) struct PiecesPage {
    pub frame: Frame,
    pub pieces: Vec<PieceCard>,
    /// What was searched for.
    pub searched: String,
    /// Whether those put away are shown.
    pub away: bool,
    /// Why the last drawing was not taken.
    pub fault: Option<String>,
    /// The shop in which a new piece is begun.
    pub shop: String,
    /// Whether somebody set it up or chose it.
    pub own_shop: bool,
    /// Whether it was set up a moment ago.
    pub begun: bool,
}

/// A piece in the list.
#[derive(Debug, Clone)]
pub(crate) struct PieceCard {
    pub href: String,
    pub name: String,
    pub facts: String,
    pub picture: String,
    pub away: bool,
    /// The shop it is made in, where there are several.
    pub shop: Option<String>,
    /// The shop at work, when it is another: the piece can be copied into it.
    pub into: Option<i64>,
}

/// Where the drawing's page lies on the blank, in millimetres.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlacingFrame {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    /// Millimetres of the unit in which its fields are written.
    pub unit_mm: f64,
}

/// How a pointer on the picture asks what lies under it.
#[derive(Debug, Clone)]
pub(crate) struct Probe {
    /// Where it asks.
    pub address: String,
    /// The blank's place of the picture's top left corner, in millimetres.
    pub origin_mm: (f64, f64),
    /// What the picture spans, in millimetres.
    pub span_mm: (f64, f64),
    /// Size of the blank, in millimetres.
    pub blank_mm: (f64, f64),
}

/// A depth in the key.
#[derive(Debug, Clone)]
pub(crate) struct KeyStep {
    /// Step of the ramp, 0 to 16.
    pub ramp: u32,
    pub name: String,
    /// Depth wanted.
    pub depth: String,
    /// Depth reached, as a range.
    pub reached: String,
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

/// What can hurt.
#[derive(Debug, Clone)]
pub(crate) struct Caution {
    pub hazard: String,
    pub harm: String,
    pub act: String,
    pub source: String,
}

/// Cautions of one step of the work.
#[derive(Debug, Clone)]
pub(crate) struct StepCautions {
    pub step: &'static str,
    pub cautions: Vec<Caution>,
}

/// The Safety page.
#[derive(Debug, Clone)]
pub(crate) struct SafetyPage {
    pub frame: Frame,
    pub name: String,
    /// Address and words of the way back.
    pub back: (String, String),
    pub parts: SafetyParts,
}

/// What was checked.
#[derive(Debug, Clone)]
pub(crate) struct SafetyParts {
    /// How many of each standing.
    pub sentence: String,
    pub note: &'static str,
    pub groups: Vec<SafetyGroup>,
    pub cautions: Vec<StepCautions>,
}

/// Checks under one heading, worst first.
#[derive(Debug, Clone)]
pub(crate) struct SafetyGroup {
    pub title: &'static str,
    pub checks: Vec<CheckView>,
}

/// One check.
#[derive(Debug, Clone)]
pub(crate) struct CheckView {
    pub id: &'static str,
    pub standing: Standing,
    pub title: String,
    pub why: String,
    pub source: String,
    pub mends: Vec<String>,
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

/// The shop page.
#[derive(Debug, Clone)]
pub(crate) struct ShopPage {
    pub frame: Frame,
    pub name: String,
    pub facts: String,
    pub parts: ShopParts,
}

/// The parts of the shop page that change with a value.
#[derive(Debug, Clone)]
pub(crate) struct ShopParts {
    pub summary: Summary,
    pub findings: Vec<Finding>,
    pub line: LineView,
    /// `None` when the line cannot be asked: the summary then says why.
    pub pictures: Option<ShopPictures>,
}

/// The line with its controls.
#[derive(Debug, Clone)]
pub(crate) struct LineView {
    /// Address of the shop: `/shop/1`.
    pub address: String,
    pub revision: u32,
    /// Whether a tried value differs from the kept one.
    pub changed: bool,
    /// Whether every value reads, so that it can be kept.
    pub reads: bool,
    pub asked: WhatIf,
    pub cards: Vec<Card>,
}

/// What a shop without stations of its own is asked with.
#[derive(Debug, Clone)]
pub(crate) struct WhatIf {
    /// Whether it is asked so.
    pub shown: bool,
    pub nozzles: Vec<Choice>,
    pub pressure: String,
    pub on: String,
    pub off: String,
    /// What of it does not read.
    pub faults: Vec<String>,
}

/// A part of the line.
#[derive(Debug, Clone)]
pub(crate) struct Card {
    pub name: String,
    pub word: &'static str,
    pub fields: Vec<CardField>,
    /// Pressure it takes.
    pub takes: Option<String>,
    /// Pressure behind it.
    pub behind: Option<String>,
    /// Place among the further parts, which can be taken away.
    pub further: Option<usize>,
}

/// A value of a part.
#[derive(Debug, Clone)]
pub(crate) struct CardField {
    pub key: String,
    pub label: &'static str,
    pub value: String,
    pub fault: Option<String>,
    /// What there is to choose from; empty for a value that is typed.
    pub choices: Vec<Choice>,
}

/// Drawings as SVG, coloured by the page.
#[derive(Debug, Clone)]
pub(crate) struct ShopPictures {
    pub ladder: String,
    pub course: String,
    pub map: String,
}

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
    pub map: Option<String>,
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
    pub proposed: Option<String>,
    /// The shop at work, and what it runs.
    pub shop: String,
    pub today: Option<String>,
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

/// A shop's or a piece's file as text.
#[derive(Debug, Clone)]
pub(crate) struct FilePage {
    pub frame: Frame,
    pub name: String,
    /// Address of what the file is of, and what its link says.
    pub address: String,
    pub back: &'static str,
    /// What the file is called.
    pub file: &'static str,
    pub revision: u32,
    pub text: String,
    pub faults: Vec<String>,
}

/// Every revision of a piece.
#[derive(Debug, Clone)]
pub(crate) struct HistoryPage {
    pub frame: Frame,
    pub name: String,
    pub address: String,
    /// Where it stands.
    pub revision: u32,
    pub rows: Vec<HistoryRow>,
}

/// One of them.
#[derive(Debug, Clone)]
pub(crate) struct HistoryRow {
    pub number: u32,
    pub saved: String,
    /// Key by key.
    pub changed: Vec<String>,
    pub stands: bool,
}

/// The list of shops.
#[derive(Debug, Clone)]
pub(crate) struct ShopsPage {
    pub frame: Frame,
    pub rows: Vec<ShopRow>,
}

/// A shop in the list.
#[derive(Debug, Clone)]
pub(crate) struct ShopRow {
    pub id: i64,
    pub name: String,
    pub pieces: usize,
    /// New pieces are begun in it.
    pub at_work: bool,
}

/// The recipes that are worth choosing between.
#[derive(Debug, Clone)]
pub(crate) struct RecipesPage {
    pub frame: Frame,
    pub name: String,
    /// Address of the plan.
    pub piece: String,
    pub found: FoundRecipes,
}

/// What a search found.
#[derive(Debug, Clone)]
pub(crate) struct FoundRecipes {
    pub summary: String,
    pub few: Vec<FoundRecipe>,
    /// The recipe that the plan uses.
    pub own: Option<String>,
    /// What stops them, when none holds.
    pub stopped_by: Option<String>,
    pub unlocks: Vec<String>,
    /// By what those are ranked.
    pub ranked: String,
}

/// A recipe with the plan page that tries it.
#[derive(Debug, Clone)]
pub(crate) struct FoundRecipe {
    pub words: String,
    pub address: String,
}

/// The price page.
#[derive(Debug, Clone)]
pub(crate) struct PricePage {
    pub frame: Frame,
    pub name: String,
    /// Addresses of the plan, the quote as a sheet and as a table.
    pub piece: String,
    pub sheet: String,
    pub table: String,
    /// As typed.
    pub quantities: String,
    pub rush: String,
    pub offer: Result<PriceTold, String>,
}

/// What is asked, and what it costs.
#[derive(Debug, Clone)]
pub(crate) struct PriceTold {
    pub currency: String,
    pub tax_name: String,
    pub offers: Vec<Offer>,
    /// The quantity that the lines are of.
    pub of: u32,
    pub lines: Vec<(String, String)>,
    pub each: String,
    /// What spoils pieces, and how often.
    pub causes: Vec<String>,
}

/// What is asked at a quantity.
#[derive(Debug, Clone)]
pub(crate) struct Offer {
    pub quantity: String,
    pub each: String,
    pub net: String,
    pub tax: String,
    pub gross: String,
    pub cost: String,
    pub left: String,
}

/// A class in the shop at work.
#[derive(Debug, Clone)]
pub(crate) struct ClassPage {
    pub frame: Frame,
    pub shop: String,
    pub text: String,
    pub told: Result<ClassTold, Vec<String>>,
}

/// A class that was run.
#[derive(Debug, Clone)]
pub(crate) struct ClassTold {
    pub holds: bool,
    pub lines: Vec<String>,
    /// The rotation, as SVG.
    pub chart: String,
}
