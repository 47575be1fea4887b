//! Pieces and shops in one SQLite file, every change kept.
//!
//! * [`Store`]: opens the file, saves and reads; a saved change is a new revision, undo goes one back.
//! * [`Store::save_run`]: logs of work at the cabinet, never changed.
//! * [`Store::record`], [`Store::movements`]: a shop's ledger of what it bought, counted and used; [`Store::tell_run`]: what
//!   a run drew from it.
//! * [`Store::back_up`], [`Store::restore`], [`restore`]: the whole file, copied and put back.
//! * [`Store::archive`], [`Store::bring_in`]: pieces and shops as an [`Archive`], one readable file.
//! * [`Store::admit`], [`Store::device`]: the devices that were paired, known by a hash.
//! * [`Store::seed`]: puts demonstration pieces into an empty store.
//! * `migrations`: the tables, as numbered steps that are only added to.
//!
//! The store keeps texts and bytes as they came; it does not read a piece or a shop. A text is one
//! *document* with a chain of revisions; where the chain stands is itself a row that is only added,
//! so nothing in the file is ever overwritten.
//!
//! Not here: planning, and any judgement on what is saved.

mod archive;
mod backup;
mod devices;
mod error;
mod exchange;
mod history;
mod migrations;
mod movements;
mod pieces;
mod runs;
mod seed;
mod settings;
mod store;

pub use archive::{Archive, ArchivedMovement, ArchivedPiece, ArchivedRun, ArchivedShop, ExchangeError};
pub use backup::{Restored, restore};
pub use devices::{Device, DeviceId};
pub use error::StoreError;
pub use exchange::{Brought, BroughtPiece, BroughtShop, Scope};
pub use movements::{NewMovement, StoredMovement};
pub use pieces::{Listed, NewPiece, PieceId, Revision, ShopId, StoredPiece, StoredShop};
pub use runs::StoredRun;
pub use seed::Demo;
pub use store::Store;
