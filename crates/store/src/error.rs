//! What can go wrong in the store, as data.

use crate::{PieceId, ShopId};
use std::path::PathBuf;

/// Why the store did not do what was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The file cannot be opened or made.
    #[error("{}: cannot be opened ({fault}); check the folder and that the disk is not full or read-only", .path.display())]
    Open {
        /// The file.
        path: PathBuf,
        /// What the database said.
        fault: rusqlite::Error,
    },
    /// The file holds a database of something else.
    #[error("this file is a database, but not one of pieces and shops; give another path")]
    Foreign,
    /// The file was written by a later version of this program.
    #[error("this file has layout {found}, this program knows up to {known}; use a later version of the program")]
    Newer {
        /// Layout of the file.
        found: u32,
        /// Latest layout known here.
        known: u32,
    },
    /// There is no such piece.
    #[error("there is no piece {0}")]
    NoPiece(PieceId),
    /// There is no such shop.
    #[error("there is no shop {0}")]
    NoShop(ShopId),
    /// The piece never stood at such a revision.
    #[error("piece {piece} has no revision {revision}")]
    NoRevision {
        /// Which piece.
        piece: PieceId,
        /// The revision asked for.
        revision: u32,
    },
    /// Somebody else saved in between.
    #[error("revision {expected} was changed meanwhile: the store holds revision {found}; reload before saving")]
    Conflict {
        /// What the caller had read.
        expected: u32,
        /// What the store holds.
        found: u32,
    },
    /// The first revision has nothing before it.
    #[error("there is no earlier revision to go back to")]
    NothingToUndo,
    /// Nothing was undone since the last save.
    #[error("there is no undone revision to bring back")]
    NothingToRedo,
    /// Another thread panicked while it held the database.
    #[error("the store was left in the middle of a call; start the program again")]
    Poisoned,
    /// The database refused.
    #[error("the database refused: {0}")]
    Database(#[from] rusqlite::Error),
}
