//! What stands around every page.

use quantity::UnitSystem;

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
    /// Whether it goes to another device, which may not let devices in.
    pub network: bool,
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
