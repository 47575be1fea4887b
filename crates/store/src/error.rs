//! What can go wrong in the store, as data.

use crate::{ExchangeError, PieceId, ShopId};
use language::say;
use std::path::PathBuf;

/// Why the store did not do what was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The file cannot be opened or made.
    #[error(
        "{}",
        say!(
            "{path}: cannot be opened ({fault}); check the folder and that the disk is not full or read-only",
            path = path.display()
        )
    )]
    Open {
        /// The file.
        path: PathBuf,
        /// What the database said.
        fault: rusqlite::Error,
    },
    /// The file holds a database of something else.
    #[error("{}", say!("this file is a database, but not one of pieces and shops; give another path"))]
    Foreign,
    /// The file was written by a later version of this program.
    #[error(
        "{}",
        say!("this file has layout {found}, this program knows up to {known}; use a later version of the program")
    )]
    Newer {
        /// Layout of the file.
        found: u32,
        /// Latest layout known here.
        known: u32,
    },
    /// There is no such piece.
    #[error("{}", say!("there is no piece {0}", _0))]
    NoPiece(PieceId),
    /// There is no such shop.
    #[error("{}", say!("there is no shop {0}", _0))]
    NoShop(ShopId),
    /// The piece never stood at such a revision.
    #[error("{}", say!("piece {piece} has no revision {revision}"))]
    NoRevision {
        /// Which piece.
        piece: PieceId,
        /// The revision asked for.
        revision: u32,
    },
    /// Somebody else saved in between.
    #[error(
        "{}",
        say!("revision {expected} was changed meanwhile: the store holds revision {found}; reload before saving")
    )]
    Conflict {
        /// What the caller had read.
        expected: u32,
        /// What the store holds.
        found: u32,
    },
    /// The first revision has nothing before it.
    #[error("{}", say!("there is no earlier revision to go back to"))]
    NothingToUndo,
    /// Nothing was undone since the last save.
    #[error("{}", say!("there is no undone revision to bring back"))]
    NothingToRedo,
    /// Another thread panicked while it held the database.
    #[error("{}", say!("the store was left in the middle of a call; start the program again"))]
    Poisoned,
    /// The disk has no room for the change.
    #[error(
        "{}",
        say!(
            "the disk is full: nothing of this change was kept, and all that was kept before is untouched; make room, \
             then do it again"
        )
    )]
    Full,
    /// There is something at the path already.
    #[error("{}", say!("{path}: is there already; give another name, nothing is overwritten", path = path.display()))]
    Exists {
        /// The path.
        path: PathBuf,
    },
    /// A file of the store's own could not be read or written.
    #[error(
        "{}",
        say!(
            "{path}: {doing} failed ({fault}); check the folder and that the disk is not full or read-only",
            path = path.display()
        )
    )]
    File {
        /// The file.
        path: PathBuf,
        /// What was tried.
        doing: &'static str,
        /// What the system said.
        fault: std::io::Error,
    },
    /// Another program holds the file.
    #[error("{}", say!("another program holds the file of pieces; end it, then do it again"))]
    Busy,
    /// A copy that does not hold together.
    #[error("{}", say!("{path}: is damaged ({found}); take another copy, nothing was replaced", path = path.display()))]
    Damaged {
        /// The copy.
        path: PathBuf,
        /// What the check found first.
        found: String,
    },
    /// An exported file that does not read.
    #[error(transparent)]
    Exchange(#[from] ExchangeError),
    /// The database refused.
    #[error("{}", say!("the database refused: {0}", _0))]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for StoreError {
    fn from(fault: rusqlite::Error) -> Self {
        match fault.sqlite_error_code() {
            Some(rusqlite::ErrorCode::DiskFull) => Self::Full,
            _ => Self::Database(fault),
        }
    }
}
