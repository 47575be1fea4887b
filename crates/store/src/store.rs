//! The file and its connection.

use crate::{StoreError, migrations};
use rusqlite::{Connection, Transaction, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard};
use std::time::Duration;

/// Pieces, shops and settings in one SQLite file. Calls take turns; each is one transaction.
#[derive(Debug)]
pub struct Store {
    db: Mutex<Connection>,
    /// The file; nothing for a store in memory.
    pub(crate) path: Option<PathBuf>,
}

/// How long to wait for another program that holds the file, a backup say.
const BUSY_WAIT: Duration = Duration::from_secs(5);

impl Store {
    /// Opens the file at `path`, makes it when it is not there, and brings its layout up to date.
    ///
    /// The journal is a write-ahead log with `synchronous=FULL`: each call that returns is on the
    /// disk and survives a power cut. (`NORMAL` keeps the file whole as well but may lose the last
    /// calls; a save happens when a person asks for it, so the milliseconds do not matter.)
    ///
    /// # Errors
    /// [`StoreError::Open`], [`StoreError::Foreign`], [`StoreError::Newer`], [`StoreError::Database`].
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let opened = Connection::open(path).and_then(|db| {
            db.busy_timeout(BUSY_WAIT)?;
            db.pragma_update(None, "journal_mode", "WAL")?;
            Ok(db)
        });
        let db = opened.map_err(|fault| StoreError::Open { path: path.to_owned(), fault })?;
        Self::with(db, Some(path.to_owned()))
    }

    /// The folder of the store's file; nothing for a store in memory.
    #[must_use]
    pub fn folder(&self) -> Option<&Path> {
        let folder = self.path.as_deref()?.parent()?;
        Some(if folder.as_os_str().is_empty() { Path::new(".") } else { folder })
    }

    /// Today's date in UTC, as ISO 8601, by the database's clock, which also dates what is saved.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn today(&self) -> Result<String, StoreError> {
        self.read(|db| Ok(db.query_row("SELECT date('now')", [], |row| row.get(0))?))
    }

    /// A store that ends with the program, for tests and trials.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn in_memory() -> Result<Self, StoreError> {
        Self::with(Connection::open_in_memory()?, None)
    }

    fn with(mut db: Connection, path: Option<PathBuf>) -> Result<Self, StoreError> {
        db.pragma_update(None, "synchronous", "FULL")?;
        db.pragma_update(None, "foreign_keys", true)?;
        migrations::migrate(&mut db)?;
        Ok(Self { db: Mutex::new(db), path })
    }

    /// The connection itself, outside of a transaction.
    pub(crate) fn connection(&self) -> Result<MutexGuard<'_, Connection>, StoreError> {
        self.db.lock().map_err(|_| StoreError::Poisoned)
    }

    /// Reads in one snapshot.
    pub(crate) fn read<T>(&self, job: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let mut db = self.connection()?;
        job(&db.transaction()?)
    }

    /// Writes all or nothing.
    pub(crate) fn write<T>(
        &self,
        job: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let mut db = self.connection()?;
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = job(&change)?;
        change.commit()?;
        Ok(done)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Archive, ArchivedPiece, ArchivedShop, NewPiece, Scope};

    #[test]
    fn a_full_disk_is_said_so_and_loses_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("shop.db");
        let store = Store::open(&path).unwrap();
        let shop = store.save_shop("shop").unwrap();
        let artwork = vec![7_u8; 8192];
        let new = NewPiece { name: "Heron", piece_toml: "text", artwork_name: "a.png", artwork: &artwork, shop };
        let id = store.save_piece(&new).unwrap();
        // The file may not grow any more, as on a disk without room.
        let pages: i64 = store.connection().unwrap().pragma_query_value(None, "page_count", |row| row.get(0)).unwrap();
        store.connection().unwrap().pragma_update(None, "max_page_count", pages).unwrap();
        let scan: Vec<u8> = (0..300_000_u32).flat_map(u32::to_le_bytes).collect();
        let full = store.save_piece(&NewPiece { artwork: &scan, ..new });
        assert!(matches!(full, Err(StoreError::Full)), "{full:?}");
        let piece = ArchivedPiece { artwork: scan, ..store.archive(Scope::All).unwrap().pieces[0].clone() };
        let archive = Archive {
            shops: vec![ArchivedShop { shop_toml: "other".into(), movements: Vec::new() }],
            pieces: vec![piece],
        };
        assert!(matches!(store.bring_in(&archive), Err(StoreError::Full)));
        assert!(full.unwrap_err().to_string().contains("make room"));
        // All that was kept is there, reads go on, and with room again so do writes.
        assert_eq!((store.pieces().unwrap().len(), store.shops().unwrap().len()), (1, 1));
        assert_eq!(store.piece(id).unwrap().artwork, artwork);
        store.check().unwrap();
        store.connection().unwrap().pragma_update(None, "max_page_count", 1_000_000).unwrap();
        store.update_piece(id, 1, "text 2").unwrap();
        drop(store);
        assert_eq!(Store::open(&path).unwrap().piece(id).unwrap().piece_toml, "text 2");
    }
}
