//! Shops and pieces: saving, reading, undo and redo.

use crate::{Store, StoreError, history};
use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};
use std::fmt;

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub i64);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    )+};
}
id! {
    /// A piece in the store.
    PieceId;
    /// A shop in the store.
    ShopId;
}

/// A piece to be saved for the first time.
#[derive(Debug, Clone, Copy)]
pub struct NewPiece<'a> {
    /// What the list calls it.
    pub name: &'a str,
    /// The piece file.
    pub piece_toml: &'a str,
    /// The drawing's file name.
    pub artwork_name: &'a str,
    /// The drawing. Equal drawings are kept once.
    pub artwork: &'a [u8],
    /// The shop it is made in.
    pub shop: ShopId,
}

/// A piece as it stands, with all that a plan needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredPiece {
    /// Which.
    pub id: PieceId,
    /// What the list calls it.
    pub name: String,
    /// Revision at which it stands, from 1.
    pub revision: u32,
    /// The piece file.
    pub piece_toml: String,
    /// The drawing's file name.
    pub artwork_name: String,
    /// The drawing.
    pub artwork: Vec<u8>,
    /// SHA-256 of the drawing.
    pub artwork_sha256: [u8; 32],
    /// The shop it is made in.
    pub shop: ShopId,
    /// The shop file as it stands.
    pub shop_toml: String,
}

/// A shop as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredShop {
    /// Which.
    pub id: ShopId,
    /// Revision at which it stands, from 1.
    pub revision: u32,
    /// The shop file.
    pub shop_toml: String,
}

/// A row of the list of pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// Which.
    pub id: PieceId,
    /// Its name.
    pub name: String,
    /// The shop it is made in.
    pub shop: ShopId,
    /// It was put away: kept, and out of sight.
    pub away: bool,
}

/// A state in which a piece was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// From 1.
    pub number: u32,
    /// The one that it was made of; the first has none.
    pub parent: Option<u32>,
    /// When, as ISO 8601 in UTC.
    pub saved_utc: String,
}

impl Store {
    /// Saves a new shop.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn save_shop(&self, shop_toml: &str) -> Result<ShopId, StoreError> {
        self.write(|db| insert_shop(db, shop_toml))
    }

    /// A shop as it stands.
    ///
    /// # Errors
    /// [`StoreError::NoShop`], [`StoreError::Database`].
    pub fn shop(&self, id: ShopId) -> Result<StoredShop, StoreError> {
        self.read(|db| {
            let document = shop_document(db, id)?;
            let revision = history::standing(db, document)?;
            Ok(StoredShop { id, revision, shop_toml: history::text(db, document, revision)? })
        })
    }

    /// All shops, in the order in which they came.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn shops(&self) -> Result<Vec<ShopId>, StoreError> {
        self.read(|db| {
            let mut rows = db.prepare("SELECT id FROM shop ORDER BY id")?;
            let ids = rows.query_map([], |row| Ok(ShopId(row.get(0)?)))?;
            Ok(ids.collect::<Result<_, _>>()?)
        })
    }

    /// Saves a change of a shop that was read at `expected` as a new revision.
    ///
    /// # Errors
    /// [`StoreError::NoShop`], [`StoreError::Conflict`], [`StoreError::Database`].
    pub fn update_shop(&self, id: ShopId, expected: u32, shop_toml: &str) -> Result<u32, StoreError> {
        self.write(|db| history::save(db, shop_document(db, id)?, expected, shop_toml))
    }

    /// Saves a new piece and its drawing.
    ///
    /// # Errors
    /// [`StoreError::NoShop`], [`StoreError::Database`].
    pub fn save_piece(&self, piece: &NewPiece<'_>) -> Result<PieceId, StoreError> {
        self.write(|db| insert_piece(db, piece))
    }

    /// A piece as it stands.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Database`].
    pub fn piece(&self, id: PieceId) -> Result<StoredPiece, StoreError> {
        self.read(|db| {
            let document = document(db, id)?;
            let revision = history::standing(db, document)?;
            let row = "SELECT piece.name, piece.shop, piece.artwork_name, artwork.sha256, artwork.bytes
                       FROM piece JOIN artwork ON artwork.sha256 = piece.artwork WHERE piece.id = ?";
            let mut piece = db.query_row(row, [id.0], |row| {
                Ok(StoredPiece {
                    id,
                    name: row.get(0)?,
                    revision,
                    piece_toml: String::new(),
                    artwork_name: row.get(2)?,
                    artwork_sha256: row.get(3)?,
                    artwork: row.get(4)?,
                    shop: ShopId(row.get(1)?),
                    shop_toml: String::new(),
                })
            })?;
            piece.piece_toml = history::text(db, document, revision)?;
            piece.shop_toml = shop_text(db, piece.shop)?;
            Ok(piece)
        })
    }

    /// A piece as it stood at one of its revisions, in its shop as that stands now.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::NoRevision`], [`StoreError::Database`].
    pub fn piece_at(&self, id: PieceId, revision: u32) -> Result<StoredPiece, StoreError> {
        let piece = self.piece(id)?;
        let known = self.revisions(id)?.iter().any(|known| known.number == revision);
        if !known {
            return Err(StoreError::NoRevision { piece: id, revision });
        }
        let piece_toml = self.read(|db| history::text(db, document(db, id)?, revision))?;
        Ok(StoredPiece { revision, piece_toml, ..piece })
    }

    /// Every revision of a piece, the oldest first.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Database`].
    pub fn revisions(&self, id: PieceId) -> Result<Vec<Revision>, StoreError> {
        self.read(|db| {
            let rows = "SELECT number, parent, saved_utc FROM revision WHERE document = ? ORDER BY number";
            let mut rows = db.prepare(rows)?;
            let revision = |row: &rusqlite::Row<'_>| {
                Ok(Revision { number: row.get(0)?, parent: row.get(1)?, saved_utc: row.get(2)? })
            };
            Ok(rows.query_map([document(db, id)?], revision)?.collect::<Result<_, _>>()?)
        })
    }

    /// All pieces, in the order in which they came.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn pieces(&self) -> Result<Vec<Listed>, StoreError> {
        self.read(|db| {
            let mut rows = db.prepare(
                "SELECT id, name, shop, coalesce((SELECT away FROM shelved WHERE shelved.piece = piece.id
                 ORDER BY shelved.id DESC LIMIT 1), 0) FROM piece ORDER BY id",
            )?;
            let listed = |row: &rusqlite::Row<'_>| {
                let (id, shop) = (PieceId(row.get(0)?), ShopId(row.get(2)?));
                Ok(Listed { id, name: row.get(1)?, shop, away: row.get(3)? })
            };
            Ok(rows.query_map([], listed)?.collect::<Result<_, _>>()?)
        })
    }

    /// Puts a piece away or brings it back; nothing of it is lost.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Database`].
    pub fn shelve(&self, id: PieceId, away: bool) -> Result<(), StoreError> {
        self.write(|db| {
            document(db, id)?;
            db.execute("INSERT INTO shelved (piece, away) VALUES (?, ?)", params![id.0, away])?;
            Ok(())
        })
    }

    /// Saves a copy of a piece as it stands, under another name in the list and in its file, in the same shop or another.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::NoShop`], [`StoreError::Database`].
    pub fn copy_piece(
        &self,
        id: PieceId,
        shop: Option<ShopId>,
        name: &str,
        piece_toml: &str,
    ) -> Result<PieceId, StoreError> {
        let piece = self.piece(id)?;
        let StoredPiece { artwork_name, artwork, .. } = &piece;
        self.save_piece(&NewPiece { name, piece_toml, artwork_name, artwork, shop: shop.unwrap_or(piece.shop) })
    }

    /// Saves a change of a piece that was read at `expected`; gives the revision at which it now
    /// stands. A text that says the same as before adds no revision.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Conflict`], [`StoreError::Database`].
    pub fn update_piece(&self, id: PieceId, expected: u32, piece_toml: &str) -> Result<u32, StoreError> {
        self.write(|db| history::save(db, document(db, id)?, expected, piece_toml))
    }

    /// Goes one revision back; gives the revision at which the piece now stands.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::NothingToUndo`], [`StoreError::Database`].
    pub fn undo(&self, id: PieceId) -> Result<u32, StoreError> {
        self.step(id, history::before, StoreError::NothingToUndo)
    }

    /// Brings back what was undone last; gives the revision at which the piece now stands.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::NothingToRedo`], [`StoreError::Database`].
    pub fn redo(&self, id: PieceId) -> Result<u32, StoreError> {
        self.step(id, history::after, StoreError::NothingToRedo)
    }

    /// Whether there is a revision to go back to.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Database`].
    pub fn can_undo(&self, id: PieceId) -> Result<bool, StoreError> {
        self.read(|db| Ok(history::before(db, document(db, id)?)?.is_some()))
    }

    /// Whether something was undone that can be brought back.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Database`].
    pub fn can_redo(&self, id: PieceId) -> Result<bool, StoreError> {
        self.read(|db| Ok(history::after(db, document(db, id)?)?.is_some()))
    }

    fn step(
        &self,
        id: PieceId,
        find: impl FnOnce(&Connection, i64) -> Result<Option<u32>, StoreError>,
        none: StoreError,
    ) -> Result<u32, StoreError> {
        self.write(|db| {
            let document = document(db, id)?;
            let number = find(db, document)?.ok_or(none)?;
            history::stand(db, document, number)?;
            Ok(number)
        })
    }
}

pub(crate) fn insert_shop(db: &Connection, shop_toml: &str) -> Result<ShopId, StoreError> {
    let document = history::begin(db, shop_toml)?;
    db.execute("INSERT INTO shop (document) VALUES (?)", [document])?;
    Ok(ShopId(db.last_insert_rowid()))
}

pub(crate) fn insert_piece(db: &Connection, piece: &NewPiece<'_>) -> Result<PieceId, StoreError> {
    shop_document(db, piece.shop)?;
    let sha256: [u8; 32] = Sha256::digest(piece.artwork).into();
    db.execute("INSERT OR IGNORE INTO artwork (sha256, bytes) VALUES (?, ?)", params![sha256, piece.artwork])?;
    let document = history::begin(db, piece.piece_toml)?;
    let row = "INSERT INTO piece (document, name, shop, artwork_name, artwork) VALUES (?, ?, ?, ?, ?)";
    db.execute(row, params![document, piece.name, piece.shop.0, piece.artwork_name, sha256])?;
    Ok(PieceId(db.last_insert_rowid()))
}

/// A shop file as it stands.
pub(crate) fn shop_text(db: &Connection, id: ShopId) -> Result<String, StoreError> {
    let document = shop_document(db, id)?;
    history::text(db, document, history::standing(db, document)?)
}

/// That there is such a piece.
pub(crate) fn known(db: &Connection, id: PieceId) -> Result<(), StoreError> {
    document(db, id).map(|_| ())
}

fn document(db: &Connection, id: PieceId) -> Result<i64, StoreError> {
    let found = db.query_row("SELECT document FROM piece WHERE id = ?", [id.0], |row| row.get(0)).optional()?;
    found.ok_or(StoreError::NoPiece(id))
}

fn shop_document(db: &Connection, id: ShopId) -> Result<i64, StoreError> {
    let found = db.query_row("SELECT document FROM shop WHERE id = ?", [id.0], |row| row.get(0)).optional()?;
    found.ok_or(StoreError::NoShop(id))
}
