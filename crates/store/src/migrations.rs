//! The tables, as numbered steps. A step that was published is never changed, only followed.

use crate::StoreError;
use rusqlite::Connection;

/// "Sabu" in ASCII: marks the file as ours in its header.
const APPLICATION_ID: i32 = 0x5361_6275;

/// Step `n` makes layout `n + 1` of layout `n`.
pub(crate) const STEPS: &[&str] = &[
    // 1: documents with revisions, shops, pieces, artwork, settings.
    "
    CREATE TABLE document (
        id INTEGER PRIMARY KEY
    ) STRICT;
    CREATE TABLE revision (
        document INTEGER NOT NULL REFERENCES document (id),
        number INTEGER NOT NULL CHECK (number >= 1),
        parent INTEGER,
        text TEXT NOT NULL,
        saved_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ')),
        PRIMARY KEY (document, number),
        FOREIGN KEY (document, parent) REFERENCES revision (document, number),
        CHECK (parent < number)
    ) STRICT;
    -- Where a document stands: the last row. Saving, undo and redo each add one.
    CREATE TABLE step (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        document INTEGER NOT NULL,
        number INTEGER NOT NULL,
        taken_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ')),
        FOREIGN KEY (document, number) REFERENCES revision (document, number)
    ) STRICT;
    CREATE INDEX step_of_document ON step (document, id);
    CREATE TABLE artwork (
        sha256 BLOB PRIMARY KEY CHECK (length(sha256) = 32),
        bytes BLOB NOT NULL
    ) STRICT;
    CREATE TABLE shop (
        id INTEGER PRIMARY KEY,
        document INTEGER NOT NULL UNIQUE REFERENCES document (id)
    ) STRICT;
    CREATE TABLE piece (
        id INTEGER PRIMARY KEY,
        document INTEGER NOT NULL UNIQUE REFERENCES document (id),
        name TEXT NOT NULL,
        shop INTEGER NOT NULL REFERENCES shop (id),
        artwork_name TEXT NOT NULL,
        artwork BLOB NOT NULL REFERENCES artwork (sha256)
    ) STRICT;
    -- The last row of a key counts.
    CREATE TABLE setting (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL,
        value TEXT NOT NULL,
        saved_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ'))
    ) STRICT;
    CREATE INDEX setting_of_key ON setting (key, id);
    CREATE TRIGGER revision_stays BEFORE UPDATE ON revision
        BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;
    CREATE TRIGGER revision_is_kept BEFORE DELETE ON revision
        BEGIN SELECT RAISE(ABORT, 'a revision is never removed'); END;
    ",
    // 2: what was done at the cabinet, and pieces put away.
    "
    CREATE TABLE run (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        piece INTEGER NOT NULL REFERENCES piece (id),
        -- Made where the run was made, so that a log that is sent twice is kept once.
        key TEXT NOT NULL UNIQUE,
        log TEXT NOT NULL,
        received_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ'))
    ) STRICT;
    CREATE INDEX run_of_piece ON run (piece, id);
    -- The last row of a piece counts.
    CREATE TABLE shelved (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        piece INTEGER NOT NULL REFERENCES piece (id),
        away INTEGER NOT NULL CHECK (away IN (0, 1)),
        set_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ'))
    ) STRICT;
    CREATE INDEX shelved_of_piece ON shelved (piece, id);
    CREATE TRIGGER run_stays BEFORE UPDATE ON run
        BEGIN SELECT RAISE(ABORT, 'a log is never changed'); END;
    CREATE TRIGGER run_is_kept BEFORE DELETE ON run
        BEGIN SELECT RAISE(ABORT, 'a log is never removed'); END;
    ",
    // 3: devices that were paired. What a device shows is kept as a hash alone.
    "
    CREATE TABLE device (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        name TEXT NOT NULL,
        role TEXT NOT NULL,
        token_sha256 BLOB NOT NULL UNIQUE CHECK (length(token_sha256) = 32),
        paired_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ'))
    ) STRICT;
    -- A row for a device that was withdrawn, or whose data came back from a backup.
    CREATE TABLE withdrawn (
        device INTEGER PRIMARY KEY REFERENCES device (id),
        at_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ'))
    ) STRICT;
    ",
    // 4: what a shop has left, as entries that are only added; and what the plan said of a run when its log came.
    "
    CREATE TABLE movement (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        shop INTEGER NOT NULL REFERENCES shop (id),
        -- Made where the entry was made, so that one that comes twice is kept once.
        key TEXT NOT NULL DEFAULT (lower(hex(randomblob(16)))),
        item TEXT NOT NULL,
        verb TEXT NOT NULL,
        low REAL NOT NULL,
        mid REAL NOT NULL,
        high REAL NOT NULL,
        unit TEXT NOT NULL,
        about TEXT NOT NULL,
        -- Key of the run that it came with.
        run TEXT,
        -- Key of the entry that this one takes back.
        takes_back TEXT,
        at_utc TEXT NOT NULL,
        saved_utc TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ')),
        UNIQUE (shop, key)
    ) STRICT;
    CREATE TABLE told (
        run INTEGER PRIMARY KEY REFERENCES run (id),
        text TEXT NOT NULL
    ) STRICT;
    CREATE TRIGGER movement_stays BEFORE UPDATE ON movement
        BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
    CREATE TRIGGER movement_is_kept BEFORE DELETE ON movement
        BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;
    CREATE TRIGGER told_stays BEFORE UPDATE ON told
        BEGIN SELECT RAISE(ABORT, 'what was told is never changed'); END;
    ",
];

/// Brings a database to the latest layout.
pub(crate) fn migrate(db: &mut Connection) -> Result<(), StoreError> {
    migrate_to(db, STEPS.len())
}

/// Brings a database to the layout after `steps` steps; each step is all or nothing.
fn migrate_to(db: &mut Connection, steps: usize) -> Result<(), StoreError> {
    let at = layout(db)?;
    for (done, step) in STEPS.iter().enumerate().take(steps).skip(at as usize) {
        let change = db.transaction()?;
        change.execute_batch(step)?;
        change.pragma_update(None, "application_id", APPLICATION_ID)?;
        change.pragma_update(None, "user_version", done as u32 + 1)?;
        change.commit()?;
    }
    Ok(())
}

/// The layout that a database has: 0 for a new one.
pub(crate) fn layout(db: &Connection) -> Result<u32, StoreError> {
    let number = |pragma: &str| db.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0));
    let tables: i64 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    let known = STEPS.len() as u32;
    if tables == 0 {
        return Ok(0);
    }
    if number("application_id")? != i64::from(APPLICATION_ID) {
        return Err(StoreError::Foreign);
    }
    let found = u32::try_from(number("user_version")?).unwrap_or(u32::MAX);
    if found > known { Err(StoreError::Newer { found, known }) } else { Ok(found) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{PieceId, ShopId, Store};

    /// Rows that each layout adds, from layout 1 on: a piece `7` of shop `3` whose document stands at revision 2 with
    /// the text `second`; a log of it; a device; an entry in the shop's ledger.
    const FILLED: &[&str] = &["
        INSERT INTO document (id) VALUES (1), (2);
        INSERT INTO revision (document, number, parent, text) VALUES (1, 1, NULL, 'shop'), (2, 1, NULL, 'first'), (2, 2, 1, 'second');
        INSERT INTO step (document, number) VALUES (1, 1), (2, 1), (2, 2);
        INSERT INTO artwork (sha256, bytes) VALUES (zeroblob(32), x'3c');
        INSERT INTO shop (id, document) VALUES (3, 1);
        INSERT INTO piece (id, document, name, shop, artwork_name, artwork) VALUES (7, 2, 'Gate', 3, 'gate.svg', zeroblob(32));
        INSERT INTO setting (key, value) VALUES ('units', 'us');
    ", "
        INSERT INTO run (piece, key, log) VALUES (7, 'k1', '{}');
        INSERT INTO shelved (piece, away) VALUES (7, 0);
    ", "
        INSERT INTO device (name, role, token_sha256) VALUES ('tablet', 'helper', zeroblob(32));
    ", "
        INSERT INTO movement (shop, item, verb, low, mid, high, unit, about, at_utc)
            VALUES (3, 'tape', 'bought', 2, 2, 2, 'm2', '', '2026-03-01T08:00:00Z');
        INSERT INTO told (run, text) VALUES (1, '{}');
    "];

    #[test]
    fn a_file_of_every_earlier_layout_opens_with_all_that_it_held() {
        assert_eq!(FILLED.len(), STEPS.len(), "each layout needs its rows");
        let folder = tempfile::tempdir().unwrap();
        for index in 0..FILLED.len() {
            let path = folder.path().join(format!("layout-{}.db", index + 1));
            let mut db = Connection::open(&path).unwrap();
            migrate_to(&mut db, index + 1).unwrap();
            db.execute_batch(&FILLED[..=index].concat()).unwrap();
            drop(db);
            let store = Store::open(&path).unwrap();
            let piece = store.piece(PieceId(7)).unwrap();
            assert_eq!((piece.revision, piece.piece_toml.as_str(), piece.shop_toml.as_str()), (2, "second", "shop"));
            assert_eq!((piece.artwork_name.as_str(), piece.artwork.as_slice()), ("gate.svg", &b"<"[..]));
            assert_eq!(store.setting("units").unwrap().as_deref(), Some("us"));
            assert!(store.can_undo(PieceId(7)).unwrap());
            assert_eq!(store.runs(PieceId(7)).unwrap().len(), index.min(1));
            assert_eq!(store.devices().unwrap().len(), usize::from(index >= 2));
            assert_eq!(store.movements(ShopId(3)).unwrap().len(), usize::from(index >= 3));
            let told = store.runs(PieceId(7)).unwrap().into_iter().any(|run| run.told.is_some());
            assert_eq!(told, index >= 3);
        }
    }

    #[test]
    fn a_step_that_fails_leaves_the_layout_as_it_was() {
        let mut db = Connection::open_in_memory().unwrap();
        db.execute_batch("CREATE TABLE setting (id INTEGER)").unwrap();
        db.pragma_update(None, "application_id", APPLICATION_ID).unwrap();
        assert!(migrate(&mut db).is_err(), "the table is there already");
        let tables: i64 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0)).unwrap();
        assert_eq!((tables, layout(&db).unwrap()), (1, 0));
    }

    #[test]
    fn a_file_of_a_later_layout_or_of_something_else_is_refused() {
        let mut db = Connection::open_in_memory().unwrap();
        migrate(&mut db).unwrap();
        db.pragma_update(None, "user_version", 900).unwrap();
        assert!(matches!(migrate(&mut db), Err(StoreError::Newer { found: 900, .. })));
        let mut other = Connection::open_in_memory().unwrap();
        other.execute_batch("CREATE TABLE address (name TEXT)").unwrap();
        assert!(matches!(migrate(&mut other), Err(StoreError::Foreign)));
    }

    #[test]
    fn a_revision_can_be_neither_changed_nor_removed() {
        let mut db = Connection::open_in_memory().unwrap();
        migrate(&mut db).unwrap();
        db.execute_batch(FILLED[0]).unwrap();
        assert!(db.execute("UPDATE revision SET text = ''", []).is_err());
        assert!(db.execute("DELETE FROM revision", []).is_err());
    }
}
