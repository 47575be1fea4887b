//! The file and its connection.

use crate::{StoreError, migrations};
use rusqlite::{Connection, Transaction, TransactionBehavior};
use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

/// Pieces, shops and settings in one SQLite file. Calls take turns; each is one transaction.
#[derive(Debug)]
pub struct Store {
    db: Mutex<Connection>,
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
        Self::with(opened.map_err(|fault| StoreError::Open { path: path.to_owned(), fault })?)
    }

    /// A store that ends with the program, for tests and trials.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn in_memory() -> Result<Self, StoreError> {
        Self::with(Connection::open_in_memory()?)
    }

    fn with(mut db: Connection) -> Result<Self, StoreError> {
        db.pragma_update(None, "synchronous", "FULL")?;
        db.pragma_update(None, "foreign_keys", true)?;
        migrations::migrate(&mut db)?;
        Ok(Self { db: Mutex::new(db) })
    }

    /// Reads in one snapshot.
    pub(crate) fn read<T>(&self, job: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let mut db = self.db.lock().map_err(|_| StoreError::Poisoned)?;
        job(&db.transaction()?)
    }

    /// Writes all or nothing.
    pub(crate) fn write<T>(
        &self,
        job: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let mut db = self.db.lock().map_err(|_| StoreError::Poisoned)?;
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = job(&change)?;
        change.commit()?;
        Ok(done)
    }
}
