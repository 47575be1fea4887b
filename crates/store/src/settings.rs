//! Settings of the program: a word for a key, the last one counts.

use crate::{Store, StoreError};
use rusqlite::OptionalExtension;

impl Store {
    /// The value of a key, when one was ever set.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.read(|db| {
            let last = "SELECT value FROM setting WHERE key = ? ORDER BY id DESC LIMIT 1";
            Ok(db.query_row(last, [key], |row| row.get(0)).optional()?)
        })
    }

    /// Sets the value of a key.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn set(&self, key: &str, value: &str) -> Result<(), StoreError> {
        self.write(|db| {
            db.execute("INSERT INTO setting (key, value) VALUES (?, ?)", [key, value])?;
            Ok(())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_value_set_is_the_one_read() {
        let store = Store::in_memory().unwrap();
        assert_eq!(store.setting("units").unwrap(), None);
        store.set("units", "us").unwrap();
        store.set("units", "metric").unwrap();
        assert_eq!(store.setting("units").unwrap().as_deref(), Some("metric"));
    }
}
