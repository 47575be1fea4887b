//! Logs of work at the cabinet: they come when the tablet has a connection, perhaps twice, and are never changed.

use crate::{NewMovement, PieceId, ShopId, Store, StoreError, movements, pieces};
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
    /// What the plan said of it when it came; `None` for logs that came to an earlier version of this program, or whose
    /// plan could not be made.
    pub told: Option<String>,
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

    /// Whether what the plan said of a log is kept.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn is_told(&self, key: &str) -> Result<bool, StoreError> {
        self.read(|db| {
            let there = "SELECT EXISTS (SELECT 1 FROM told JOIN run ON run.id = told.run WHERE run.key = ?)";
            Ok(db.query_row(there, [key], |row| row.get(0))?)
        })
    }

    /// Keeps what the plan said of a log, and what the run drew from its shop: both or neither, and once for a log. Says
    /// whether it is new; a key that no log has changes nothing.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn tell_run(&self, key: &str, told: &str, draws: &[NewMovement<'_>]) -> Result<bool, StoreError> {
        self.write(|db| {
            let row = "INSERT INTO told (run, text) SELECT id, ? FROM run WHERE key = ? ON CONFLICT (run) DO NOTHING";
            if db.execute(row, params![told, key])? == 0 {
                return Ok(false);
            }
            let shop = "SELECT piece.shop FROM run JOIN piece ON piece.id = run.piece WHERE run.key = ?";
            let shop = ShopId(db.query_row(shop, [key], |row| row.get(0))?);
            draws.iter().try_for_each(|draw| movements::insert(db, shop, draw).map(|_| ()))?;
            Ok(true)
        })
    }

    /// All logs of a piece, the oldest first.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn runs(&self, piece: PieceId) -> Result<Vec<StoredRun>, StoreError> {
        self.read(|db| {
            let rows = "SELECT id, key, received_utc, log, told.text FROM run LEFT JOIN told ON told.run = run.id
                        WHERE piece = ? ORDER BY id";
            let mut rows = db.prepare(rows)?;
            let run = |row: &rusqlite::Row<'_>| {
                let (id, key, received_utc) = (row.get(0)?, row.get(1)?, row.get(2)?);
                Ok(StoredRun { id, key, received_utc, log: row.get(3)?, told: row.get(4)? })
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

    #[test]
    fn what_a_run_drew_is_kept_once_however_often_its_log_comes() {
        let store = Store::in_memory().unwrap();
        let shop = store.save_shop("shop").unwrap();
        let new = NewPiece { name: "Gate", piece_toml: "piece", artwork_name: "g.svg", artwork: b"<", shop };
        let piece = store.save_piece(&new).unwrap();
        let at_utc = "2026-03-01T08:00:00Z";
        let draw = NewMovement {
            item: "tape",
            verb: "drawn",
            amount: [1.0, 2.0, 3.0],
            unit: "m2",
            at_utc,
            ..NewMovement::default()
        };
        assert!(!store.tell_run("a", "{}", &[draw]).unwrap(), "there is no such log");
        store.save_run(piece, "a", "{}").unwrap();
        assert!(!store.is_told("a").unwrap());
        assert!(store.tell_run("a", "{}", &[draw]).unwrap());
        assert!(!store.tell_run("a", "{\"other\":1}", &[draw, draw]).unwrap());
        assert!(store.is_told("a").unwrap());
        let movements = store.movements(shop).unwrap();
        assert_eq!((movements.len(), movements[0].amount), (1, [1.0, 2.0, 3.0]));
        assert_eq!(store.runs(piece).unwrap()[0].told.as_deref(), Some("{}"));
    }
}
