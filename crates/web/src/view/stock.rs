//! The page of what a shop has left: stock, nozzles, and the ledger behind both.

use super::Frame;
use plan::State;

/// The whole page.
#[derive(Debug, Clone)]
pub(crate) struct StockPage {
    pub frame: Frame,
    pub name: String,
    /// Address of the shop.
    pub shop: String,
    pub revision: u32,
    /// What is wrong with what was sent.
    pub fault: Option<String>,
    /// What was sent, to be mended.
    pub typed: Typed,
    pub items: Vec<StockItem>,
    pub nozzles: Vec<NozzleRow>,
    pub entries: Vec<EntryRow>,
    /// Entries that are not shown.
    pub older: usize,
    /// Logs that drew nothing.
    pub untold: Option<String>,
}

/// What a form sent.
#[derive(Debug, Clone, Default)]
pub(crate) struct Typed {
    pub item: String,
    pub verb: String,
    pub amount: String,
    pub about: String,
}

/// Something that is used up.
#[derive(Debug, Clone)]
pub(crate) struct StockItem {
    /// Its name in the ledger.
    pub key: String,
    pub name: String,
    /// It was bought or counted.
    pub known: bool,
    pub state: State,
    pub word: &'static str,
    /// What is left, or that nobody knows.
    pub left: String,
    /// What more there is to say, a sentence each.
    pub said: Vec<String>,
}

/// A nozzle.
#[derive(Debug, Clone)]
pub(crate) struct NozzleRow {
    /// Its name in the ledger.
    pub key: String,
    pub name: String,
    pub state: State,
    pub word: &'static str,
    /// Its bore by now.
    pub bore: String,
    pub said: Vec<String>,
    /// Where the number of its life comes from.
    pub source: String,
}

/// An entry of the ledger.
#[derive(Debug, Clone)]
pub(crate) struct EntryRow {
    /// By which it is taken back.
    pub key: String,
    pub day: String,
    pub said: String,
    /// Name and address of the piece whose run it is.
    pub piece: Option<(String, String)>,
    pub about: String,
    /// It was taken back.
    pub gone: bool,
    /// It can be taken back.
    pub back: bool,
}

/// What is left of something that a piece uses.
#[derive(Debug, Clone)]
pub(crate) struct StockLeft {
    pub state: State,
    pub words: String,
}
