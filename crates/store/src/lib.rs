//! Pieces and shops in one SQLite file, every change kept.
//!
//! * [`Store`]: opens the file, saves and reads; a saved change is a new revision, undo goes one back.
//! * [`Store::save_run`]: logs of work at the cabinet, never changed.
//! * [`Store::seed`]: puts demonstration pieces into an empty store.
//! * `migrations`: the tables, as numbered steps that are only added to.
//!
//! The store keeps texts and bytes as they came; it does not read a piece or a shop. A text is one
//! *document* with a chain of revisions; where the chain stands is itself a row that is only added,
//! so nothing in the file is ever overwritten.
//!
//! Not here: planning, and any judgement on what is saved.

mod error;
mod history;
mod migrations;
mod pieces;
mod runs;
mod seed;
mod settings;
mod store;

pub use error::StoreError;
pub use pieces::{Listed, NewPiece, PieceId, Revision, ShopId, StoredPiece, StoredShop};
pub use runs::StoredRun;
pub use seed::Demo;
pub use store::Store;
