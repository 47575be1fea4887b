//! The list of pieces.

use super::frame::Frame;

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
