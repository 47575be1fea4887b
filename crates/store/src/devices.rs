//! Devices that were paired: tablets, other computers. What a device shows to be let in is kept as a hash
//! alone; a pairing ends by a row, so nothing is overwritten.

use crate::{Store, StoreError};
use rusqlite::{OptionalExtension, params};
use sha2::{Digest, Sha256};

/// A device in the store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DeviceId(pub i64);

/// A device that was paired and not withdrawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Which.
    pub id: DeviceId,
    /// What its person called it.
    pub name: String,
    /// What it may do, in the caller's word.
    pub role: String,
    /// When it was paired, as ISO 8601 in UTC.
    pub paired_utc: String,
}

/// Days for which a pairing lasts.
const DAYS: u32 = 90;

const CURRENT: &str = "SELECT id, name, role, paired_utc FROM device
    WHERE id NOT IN (SELECT device FROM withdrawn)
    AND paired_utc > strftime('%Y-%m-%dT%H:%M:%fZ', 'now', ?1)";

impl Store {
    /// Lets a device in that will show `token`.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn admit(&self, name: &str, role: &str, token: &[u8]) -> Result<DeviceId, StoreError> {
        self.write(|db| {
            let row = "INSERT INTO device (name, role, token_sha256) VALUES (?, ?, ?)";
            db.execute(row, params![name, role, hash(token)])?;
            Ok(DeviceId(db.last_insert_rowid()))
        })
    }

    /// The device that shows `token`, when it is one that was let in, not withdrawn, and not longer ago than 90 days.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn device(&self, token: &[u8]) -> Result<Option<Device>, StoreError> {
        self.read(|db| {
            // Whoever times this look-up learns of a hash, from which no token follows.
            let wanted = format!("{CURRENT} AND token_sha256 = ?2");
            Ok(db.query_row(&wanted, params![since(), hash(token)], device).optional()?)
        })
    }

    /// All devices that would be let in now, in the order in which they came.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn devices(&self) -> Result<Vec<Device>, StoreError> {
        self.read(|db| {
            let mut rows = db.prepare(&format!("{CURRENT} ORDER BY id"))?;
            Ok(rows.query_map([since()], device)?.collect::<Result<_, _>>()?)
        })
    }

    /// Ends a pairing. Once more changes nothing.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn withdraw(&self, id: DeviceId) -> Result<(), StoreError> {
        self.write(|db| {
            db.execute("INSERT OR IGNORE INTO withdrawn (device) SELECT id FROM device WHERE id = ?", [id.0])?;
            Ok(())
        })
    }
}

fn since() -> String {
    format!("-{DAYS} days")
}

fn hash(token: &[u8]) -> [u8; 32] {
    Sha256::digest(token).into()
}

fn device(row: &rusqlite::Row<'_>) -> rusqlite::Result<Device> {
    Ok(Device { id: DeviceId(row.get(0)?), name: row.get(1)?, role: row.get(2)?, paired_utc: row.get(3)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_is_known_by_its_token_until_it_is_withdrawn() {
        let store = Store::in_memory().unwrap();
        let id = store.admit("tablet at the cabinet", "helper", b"one").unwrap();
        let other = store.admit("office", "owner", b"two").unwrap();
        assert_eq!(store.device(b"one").unwrap().map(|device| (device.id, device.role)), Some((id, "helper".into())));
        assert_eq!(store.device(b"three").unwrap(), None);
        store.withdraw(id).unwrap();
        store.withdraw(id).unwrap();
        assert_eq!(store.device(b"one").unwrap(), None);
        assert_eq!(store.devices().unwrap().iter().map(|device| device.id).collect::<Vec<_>>(), [other]);
    }

    #[test]
    fn a_pairing_ends_by_itself_after_ninety_days() {
        let store = Store::in_memory().unwrap();
        store.admit("tablet", "helper", b"one").unwrap();
        let age = |days: u32| {
            let set = "UPDATE device SET paired_utc = strftime('%Y-%m-%dT%H:%M:%fZ', 'now', ?)";
            store.write(|db| Ok(db.execute(set, [format!("-{days} days")])?)).unwrap();
        };
        age(89);
        assert!(store.device(b"one").unwrap().is_some());
        age(91);
        assert!(store.device(b"one").unwrap().is_none() && store.devices().unwrap().is_empty());
    }

    #[test]
    fn the_token_itself_is_not_in_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("shop.db");
        let token = b"a token of thirty-two characters";
        Store::open(&path).unwrap().admit("tablet", "helper", token).unwrap();
        let bytes = std::fs::read(&path).unwrap();
        assert!(bytes.windows(6).any(|part| part == b"tablet"), "the name is there");
        assert!(!bytes.windows(token.len()).any(|part| part == token));
    }
}
