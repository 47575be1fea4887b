//! Demonstration pieces for a store that has none.

use crate::{NewPiece, Store, StoreError};

/// A piece to begin with. The texts are the caller's.
#[derive(Debug, Clone, Copy)]
pub struct Demo<'a> {
    /// What the list calls it.
    pub name: &'a str,
    /// The piece file.
    pub piece_toml: &'a str,
    /// The shop file; pieces with the same text share one shop.
    pub shop_toml: &'a str,
    /// The drawing's file name.
    pub artwork_name: &'a str,
    /// The drawing.
    pub artwork: &'a [u8],
}

impl Store {
    /// Saves the pieces when the store has none; says whether it did. All of them or none.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn seed(&self, demos: &[Demo<'_>]) -> Result<bool, StoreError> {
        self.write(|db| {
            let pieces: i64 = db.query_row("SELECT count(*) FROM piece", [], |row| row.get(0))?;
            if pieces > 0 {
                return Ok(false);
            }
            let mut shops = Vec::new();
            for demo in demos {
                let shop = match shops.iter().find(|(text, _)| *text == demo.shop_toml) {
                    Some((_, shop)) => *shop,
                    None => crate::pieces::insert_shop(db, demo.shop_toml)?,
                };
                shops.push((demo.shop_toml, shop));
                let Demo { name, piece_toml, artwork_name, artwork, .. } = *demo;
                crate::pieces::insert_piece(db, &NewPiece { name, piece_toml, artwork_name, artwork, shop })?;
            }
            Ok(true)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn demo<'a>(name: &'a str, shop_toml: &'a str) -> Demo<'a> {
        Demo { name, piece_toml: name, shop_toml, artwork_name: "a.svg", artwork: b"<svg/>" }
    }

    #[test]
    fn only_an_empty_store_is_seeded_and_equal_shops_are_one() {
        let store = Store::in_memory().unwrap();
        assert!(store.seed(&[demo("one", "shop a"), demo("two", "shop a"), demo("three", "shop b")]).unwrap());
        assert!(!store.seed(&[demo("four", "shop a")]).unwrap());
        let pieces = store.pieces().unwrap();
        assert_eq!(pieces.iter().map(|piece| piece.name.as_str()).collect::<Vec<_>>(), ["one", "two", "three"]);
        let shops: Vec<_> = pieces.iter().map(|piece| store.piece(piece.id).unwrap().shop).collect();
        assert!(shops[0] == shops[1] && shops[1] != shops[2]);
    }
}
