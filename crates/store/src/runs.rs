//! Logs of work at the cabinet: they come when the tablet has a connection, perhaps twice, and are never changed.

use crate::{PieceId, Store, StoreError, pieces};
use rusqlite::params;

/// A log as it came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredRun {
    /// In the order in which they came.
    pub id: i64,
    /// Made where the run was made.
    pub key: String,
    /// When it came, as ISO 8601 in UTC.
    pub received_utc: String,
    /// What it says.
    pub log: String,
}

impl Store {
    /// Keeps a log; says whether it is new. The same key again changes nothing.
    ///
    /// # Errors
    /// [`StoreError::NoPiece`], [`StoreError::Database`].
    pub fn save_run(&self, piece: PieceId, key: &str, log: &str) -> Result<bool, StoreError> {
        self.write(|db| {
            pieces::known(db, piece)?;
            let row = "INSERT INTO run (piece, key, log) VALUES (?, ?, ?) ON CONFLICT (key) DO NOTHING";
            Ok(db.execute(row, params![piece.0, key, log])? == 1)
        })
    }

    /// All logs of a piece, the oldest first.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn runs(&self, piece: PieceId) -> Result<Vec<StoredRun>, StoreError> {
        self.read(|db| {
            let mut rows = db.prepare("SELECT id, key, received_utc, log FROM run WHERE piece = ? ORDER BY id")?;
            let run = |row: &rusqlite::Row<'_>| {
                Ok(StoredRun { id: row.get(0)?, key: row.get(1)?, received_utc: row.get(2)?, log: row.get(3)? })
            };
            Ok(rows.query_map([piece.0], run)?.collect::<Result<_, _>>()?)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::NewPiece;

    #[test]
    fn a_log_that_comes_twice_is_kept_once() {
        let store = Store::in_memory().unwrap();
        let shop = store.save_shop("shop").unwrap();
        let new = NewPiece { name: "Gate", piece_toml: "piece", artwork_name: "g.svg", artwork: b"<", shop };
        let piece = store.save_piece(&new).unwrap();
        assert!(store.save_run(piece, "a", "{\"n\":1}").unwrap());
        assert!(!store.save_run(piece, "a", "{\"n\":2}").unwrap());
        assert!(store.save_run(piece, "b", "{}").unwrap());
        let runs = store.runs(piece).unwrap();
        assert_eq!((runs.len(), runs[0].log.as_str()), (2, "{\"n\":1}"));
        assert!(matches!(store.save_run(PieceId(99), "c", "{}"), Err(StoreError::NoPiece(_))));
        assert!(store.runs(PieceId(99)).unwrap().is_empty());
    }
}
