//! The shop's pages: its line, and the list of shops.

use super::frame::Frame;
use super::piece::{Finding, Summary};
use super::recipe::Choice;
use super::stock::StockLeft;

/// The shop page.
#[derive(Debug, Clone)]
pub(crate) struct ShopPage {
    pub frame: Frame,
    pub name: String,
    pub facts: String,
    /// What is to be bought, counted, gauged or changed.
    pub due: Vec<StockLeft>,
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
    pub ladder: Drawn,
    pub course: Drawn,
    pub map: Drawn,
}

/// A drawing as SVG, coloured by the page: as wide as a page, and laid out anew for a phone.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    pub wide: String,
    pub phone: String,
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
