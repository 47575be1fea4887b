//! Pieces and shops taken out as an [`Archive`], and brought in from one. What is brought in never overwrites:
//! it has new numbers, and a shop that is there already word for word is that shop.

use crate::movements;
use crate::pieces::{insert_piece, insert_shop, shop_text};
use crate::{Archive, ArchivedPiece, ArchivedRun, ArchivedShop, NewPiece, PieceId, ShopId, Store, StoreError};
use rusqlite::{Connection, OptionalExtension, params};

/// What is taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// A piece with its drawing, its logs and the shop that it is made in.
    Piece(PieceId),
    /// A shop alone, with its ledger.
    Shop(ShopId),
    /// All pieces, those put away too, and all shops.
    All,
}

/// What was brought in.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Brought {
    /// In the archive's order.
    pub shops: Vec<BroughtShop>,
    /// In the archive's order.
    pub pieces: Vec<BroughtPiece>,
}

/// A shop that was brought in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BroughtShop {
    /// Its number here.
    pub id: ShopId,
    /// The same shop was here already, so none was added.
    pub was_here: bool,
}

/// A piece that was brought in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BroughtPiece {
    /// Its number here, a new one.
    pub id: PieceId,
    /// Its name.
    pub name: String,
    /// The latest piece of that name that was here before.
    pub same_name: Option<PieceId>,
    /// How many logs came with it.
    pub logs: usize,
}

impl Store {
    /// Pieces and shops as they stand. Earlier revisions stay behind; a backup has them.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::NoShop`], [`StoreError::Database`].
    pub fn archive(&self, scope: Scope) -> Result<Archive, StoreError> {
        let (pieces, shops) = match scope {
            Scope::Piece(id) => (vec![id], vec![self.piece(id)?.shop]),
            Scope::Shop(id) => (Vec::new(), vec![id]),
            Scope::All => (self.pieces()?.into_iter().map(|piece| piece.id).collect(), self.shops()?),
        };
        let away: Vec<PieceId> = self.pieces()?.into_iter().filter(|piece| piece.away).map(|piece| piece.id).collect();
        // A piece goes to others too, and their stock is another.
        let with_stock = !matches!(scope, Scope::Piece(_));
        let shop = |id: &ShopId| {
            let movements = if with_stock { self.movements(*id)? } else { Vec::new() };
            let movements = movements.into_iter().map(movements::archived).collect();
            Ok(ArchivedShop { shop_toml: self.shop(*id)?.shop_toml, movements })
        };
        let piece = |id: &PieceId| self.archived(*id, &shops, away.contains(id));
        Ok(Archive {
            shops: shops.iter().map(shop).collect::<Result<_, StoreError>>()?,
            pieces: pieces.iter().map(piece).collect::<Result<_, StoreError>>()?,
        })
    }

    fn archived(&self, id: PieceId, shops: &[ShopId], away: bool) -> Result<ArchivedPiece, StoreError> {
        let piece = self.piece(id)?;
        let runs = self.runs(id)?.into_iter();
        let run = |run: crate::StoredRun| ArchivedRun {
            key: run.key,
            received_utc: run.received_utc,
            log: run.log,
            told: run.told,
        };
        let shop = shops.iter().position(|shop| *shop == piece.shop).ok_or(StoreError::NoShop(piece.shop))?;
        Ok(ArchivedPiece {
            name: piece.name,
            away,
            shop,
            piece_toml: piece.piece_toml,
            artwork_name: piece.artwork_name,
            artwork: piece.artwork,
            runs: runs.map(run).collect(),
        })
    }

    /// Brings all of an archive in, or nothing.
    ///
    /// # Errors
    /// [`StoreError::Full`], [`StoreError::Database`].
    pub fn bring_in(&self, archive: &Archive) -> Result<Brought, StoreError> {
        self.write(|db| {
            let shops: Vec<BroughtShop> =
                archive.shops.iter().map(|shop| bring_shop(db, shop)).collect::<Result<_, _>>()?;
            let pieces = archive.pieces.iter().map(|piece| bring_piece(db, piece, shops[piece.shop].id));
            let pieces = pieces.collect::<Result<_, _>>()?;
            Ok(Brought { shops, pieces })
        })
    }
}

/// The ledgers of a shop that was here already become one: an entry that both have is there once.
fn bring_shop(db: &Connection, shop: &ArchivedShop) -> Result<BroughtShop, StoreError> {
    let brought = find_or_add(db, &shop.shop_toml)?;
    for movement in &shop.movements {
        movements::insert(db, brought.id, &movements::brought(movement))?;
    }
    Ok(brought)
}

fn find_or_add(db: &Connection, shop_toml: &str) -> Result<BroughtShop, StoreError> {
    let mut rows = db.prepare("SELECT id FROM shop ORDER BY id")?;
    let ids: Vec<i64> = rows.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
    for id in ids.into_iter().map(ShopId) {
        if shop_text(db, id)? == shop_toml {
            return Ok(BroughtShop { id, was_here: true });
        }
    }
    Ok(BroughtShop { id: insert_shop(db, shop_toml)?, was_here: false })
}

fn bring_piece(db: &Connection, piece: &ArchivedPiece, shop: ShopId) -> Result<BroughtPiece, StoreError> {
    let ArchivedPiece { name, piece_toml, artwork_name, artwork, runs, away, .. } = piece;
    let same = "SELECT id FROM piece WHERE name = ? ORDER BY id DESC LIMIT 1";
    let same_name = db.query_row(same, [name], |row| row.get(0)).optional()?.map(PieceId);
    let id = insert_piece(db, &NewPiece { name, piece_toml, artwork_name, artwork, shop })?;
    if *away {
        db.execute("INSERT INTO shelved (piece, away) VALUES (?, 1)", [id.0])?;
    }
    for run in runs {
        // The key is another piece's when the piece was here before: the copy's log is a log of its own.
        let row = "INSERT INTO run (piece, key, received_utc, log) VALUES (?1, CASE WHEN EXISTS
                   (SELECT 1 FROM run WHERE key = ?2) THEN ?2 || ' of piece ' || ?1 ELSE ?2 END, ?3, ?4)";
        db.execute(row, params![id.0, run.key, run.received_utc, run.log])?;
        if let Some(told) = &run.told {
            db.execute("INSERT INTO told (run, text) VALUES (last_insert_rowid(), ?)", [told])?;
        }
    }
    Ok(BroughtPiece { id, name: name.clone(), same_name, logs: runs.len() })
}
