//! A document: a text with all its revisions, and where it stands among them.

use crate::StoreError;
use rusqlite::{Connection, OptionalExtension, params};

/// Makes a document of its first text.
pub(crate) fn begin(db: &Connection, text: &str) -> Result<i64, StoreError> {
    db.execute("INSERT INTO document DEFAULT VALUES", [])?;
    let document = db.last_insert_rowid();
    add(db, document, 1, None, text)?;
    Ok(document)
}

/// The revision at which a document stands.
pub(crate) fn standing(db: &Connection, document: i64) -> Result<u32, StoreError> {
    let last = "SELECT number FROM step WHERE document = ? ORDER BY id DESC LIMIT 1";
    Ok(db.query_row(last, [document], |row| row.get(0))?)
}

/// The text of a revision.
pub(crate) fn text(db: &Connection, document: i64, number: u32) -> Result<String, StoreError> {
    let row = "SELECT text FROM revision WHERE document = ? AND number = ?";
    Ok(db.query_row(row, params![document, number], |row| row.get(0))?)
}

/// Adds a revision after `expected`, where the document must stand. The same text adds none.
pub(crate) fn save(db: &Connection, document: i64, expected: u32, new: &str) -> Result<u32, StoreError> {
    let found = standing(db, document)?;
    if found != expected {
        return Err(StoreError::Conflict { expected, found });
    }
    if text(db, document, found)? == new {
        return Ok(found);
    }
    let last: u32 = db.query_row("SELECT max(number) FROM revision WHERE document = ?", [document], |r| r.get(0))?;
    add(db, document, last + 1, Some(found), new)?;
    Ok(last + 1)
}

/// The revision before the standing one.
pub(crate) fn before(db: &Connection, document: i64) -> Result<Option<u32>, StoreError> {
    let parent = "SELECT parent FROM revision WHERE document = ? AND number = ?";
    Ok(db.query_row(parent, params![document, standing(db, document)?], |row| row.get(0))?)
}

/// The revision that was last made of the standing one.
pub(crate) fn after(db: &Connection, document: i64) -> Result<Option<u32>, StoreError> {
    let child = "SELECT number FROM revision WHERE document = ? AND parent = ? ORDER BY number DESC LIMIT 1";
    Ok(db.query_row(child, params![document, standing(db, document)?], |row| row.get(0)).optional()?)
}

/// Lets the document stand at `number`.
pub(crate) fn stand(db: &Connection, document: i64, number: u32) -> Result<(), StoreError> {
    db.execute("INSERT INTO step (document, number) VALUES (?, ?)", params![document, number])?;
    Ok(())
}

fn add(db: &Connection, document: i64, number: u32, parent: Option<u32>, text: &str) -> Result<(), StoreError> {
    let row = "INSERT INTO revision (document, number, parent, text) VALUES (?, ?, ?, ?)";
    db.execute(row, params![document, number, parent, text])?;
    stand(db, document, number)
}
