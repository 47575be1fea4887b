//! What is kept: files, revisions, and what a run teaches.

use super::frame::Frame;

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
