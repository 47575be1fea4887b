//! A shop's ledger: what it bought, counted and used, as entries that are only added.

use crate::pieces::shop_text;
use crate::{ArchivedMovement, PieceId, ShopId, Store, StoreError};
use rusqlite::{Connection, params};

/// An entry to be kept.
#[derive(Debug, Clone, Copy, Default)]
pub struct NewMovement<'a> {
    /// Made where the entry is made; without one it gets a new one.
    pub key: Option<&'a str>,
    /// What it is of.
    pub item: &'a str,
    /// What happened.
    pub verb: &'a str,
    /// How much: low, middle, high.
    pub amount: [f64; 3],
    /// In what.
    pub unit: &'a str,
    /// What is noted.
    pub about: &'a str,
    /// Key of the run that it comes with.
    pub run: Option<&'a str>,
    /// Key of the entry that this one takes back.
    pub takes_back: Option<&'a str>,
    /// When it happened, as ISO 8601 in UTC; empty is now.
    pub at_utc: &'a str,
}

/// An entry as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredMovement {
    /// In the order in which entries were made.
    pub id: i64,
    /// Made where the entry was made.
    pub key: String,
    /// What it is of.
    pub item: String,
    /// What happened.
    pub verb: String,
    /// How much: low, middle, high.
    pub amount: [f64; 3],
    /// In what.
    pub unit: String,
    /// What was noted.
    pub about: String,
    /// Key of the run that it came with.
    pub run: Option<String>,
    /// The piece that was run, where it is here.
    pub piece: Option<(PieceId, String)>,
    /// Key of the entry that this one takes back.
    pub takes_back: Option<String>,
    /// When it happened, as ISO 8601 in UTC.
    pub at_utc: String,
}

impl Store {
    /// Adds entries to a shop's ledger, all or none; gives how many are new. One whose key is there already adds nothing.
    ///
    /// # Errors
    /// [`StoreError::NoShop`], [`StoreError::Full`], [`StoreError::Database`].
    pub fn record(&self, shop: ShopId, movements: &[NewMovement<'_>]) -> Result<usize, StoreError> {
        self.write(|db| {
            shop_text(db, shop)?;
            let added = movements.iter().map(|movement| insert(db, shop, movement));
            Ok(added.collect::<Result<Vec<bool>, _>>()?.into_iter().filter(|new| *new).count())
        })
    }

    /// A shop's ledger, in the order in which entries were made.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn movements(&self, shop: ShopId) -> Result<Vec<StoredMovement>, StoreError> {
        self.read(|db| {
            let rows =
                "SELECT movement.id, movement.key, item, verb, low, mid, high, unit, about, movement.run, takes_back,
                        at_utc, piece.id, piece.name FROM movement LEFT JOIN run ON run.key = movement.run
                        LEFT JOIN piece ON piece.id = run.piece WHERE movement.shop = ? ORDER BY movement.id";
            let mut rows = db.prepare(rows)?;
            Ok(rows.query_map([shop.0], stored)?.collect::<Result<_, _>>()?)
        })
    }
}

fn stored(row: &rusqlite::Row<'_>) -> rusqlite::Result<StoredMovement> {
    let piece: Option<i64> = row.get(12)?;
    let name: Option<String> = row.get(13)?;
    Ok(StoredMovement {
        id: row.get(0)?,
        key: row.get(1)?,
        item: row.get(2)?,
        verb: row.get(3)?,
        amount: [row.get(4)?, row.get(5)?, row.get(6)?],
        unit: row.get(7)?,
        about: row.get(8)?,
        run: row.get(9)?,
        takes_back: row.get(10)?,
        at_utc: row.get(11)?,
        piece: piece.map(PieceId).zip(name),
    })
}

/// Adds an entry; says whether it is new.
pub(crate) fn insert(db: &Connection, shop: ShopId, new: &NewMovement<'_>) -> Result<bool, StoreError> {
    let row = "INSERT INTO movement (shop, key, item, verb, low, mid, high, unit, about, run, takes_back, at_utc)
               VALUES (?, coalesce(?, lower(hex(randomblob(16)))), ?, ?, ?, ?, ?, ?, ?, ?, ?,
               coalesce(nullif(?, ''), strftime('%Y-%m-%dT%H:%M:%fZ'))) ON CONFLICT (shop, key) DO NOTHING";
    let [low, mid, high] = new.amount;
    let NewMovement { key, item, verb, unit, about, run, takes_back, at_utc, .. } = *new;
    let values = params![shop.0, key, item, verb, low, mid, high, unit, about, run, takes_back, at_utc];
    Ok(db.execute(row, values)? == 1)
}

pub(crate) fn archived(stored: StoredMovement) -> ArchivedMovement {
    let StoredMovement { key, item, verb, amount: [low, mid, high], unit, about, run, takes_back, at_utc, .. } = stored;
    ArchivedMovement { key, item, verb, low, mid, high, unit, about, run, takes_back, at_utc }
}

pub(crate) fn brought(archived: &ArchivedMovement) -> NewMovement<'_> {
    let ArchivedMovement { key, item, verb, low, mid, high, unit, about, run, takes_back, at_utc } = archived;
    NewMovement {
        key: Some(key),
        item,
        verb,
        amount: [*low, *mid, *high],
        unit,
        about,
        run: run.as_deref(),
        takes_back: takes_back.as_deref(),
        at_utc,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Scope;

    fn bought(key: Option<&str>) -> NewMovement<'_> {
        NewMovement { key, item: "tape", verb: "bought", amount: [5.0; 3], unit: "m2", ..NewMovement::default() }
    }

    #[test]
    fn an_entry_with_a_key_is_kept_once_and_nothing_can_be_changed_or_removed() {
        let store = Store::in_memory().unwrap();
        let shop = store.save_shop("shop").unwrap();
        assert_eq!(store.record(shop, &[bought(Some("a")), bought(Some("a")), bought(None), bought(None)]).unwrap(), 3);
        let movements = store.movements(shop).unwrap();
        assert!(movements[1].key != movements[2].key && movements[1].at_utc.starts_with("20"));
        assert!(matches!(store.record(ShopId(9), &[bought(None)]), Err(StoreError::NoShop(_))));
        let db = store.connection().unwrap();
        assert!(db.execute("UPDATE movement SET mid = 0", []).is_err());
        assert!(db.execute("DELETE FROM movement", []).is_err());
    }

    #[test]
    fn the_ledger_goes_with_its_shop_and_two_copies_of_it_become_one() {
        let (store, other) = (Store::in_memory().unwrap(), Store::in_memory().unwrap());
        let shop = store.save_shop("shop").unwrap();
        store.record(shop, &[bought(None), bought(None)]).unwrap();
        let packed = store.archive(Scope::Shop(shop)).unwrap();
        let brought = other.bring_in(&packed).unwrap().shops[0].clone();
        let ledger = |store: &Store, shop: ShopId| -> Vec<ArchivedMovement> {
            store.movements(shop).unwrap().into_iter().map(archived).collect()
        };
        assert_eq!(ledger(&other, brought.id), ledger(&store, shop));
        // The copy goes on, and comes home.
        other.record(brought.id, &[bought(None)]).unwrap();
        store.record(shop, &[bought(None)]).unwrap();
        let home = store.bring_in(&other.archive(Scope::All).unwrap()).unwrap().shops[0].clone();
        assert_eq!((home.id, home.was_here, store.movements(shop).unwrap().len()), (shop, true, 4));
    }
}
