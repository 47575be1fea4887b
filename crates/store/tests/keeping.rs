//! What the store promises, on real files.

use proptest::prelude::*;
use std::fs;
use std::path::Path;
use store::{NewPiece, PieceId, ShopId, Store, StoreError};

fn with_one_piece(store: &Store) -> PieceId {
    let shop = store.save_shop("shop").unwrap();
    store
        .save_piece(&NewPiece {
            name: "Heron",
            piece_toml: "text 1",
            artwork_name: "heron.svg",
            artwork: b"<svg/>",
            shop,
        })
        .unwrap()
}

fn open(folder: &Path) -> Store {
    Store::open(&folder.join("shop.db")).unwrap()
}

#[test]
fn what_was_saved_is_there_when_the_file_is_opened_again() {
    let folder = tempfile::tempdir().unwrap();
    let id = with_one_piece(&open(folder.path()));
    let piece = open(folder.path()).piece(id).unwrap();
    assert_eq!((piece.name.as_str(), piece.revision, piece.piece_toml.as_str()), ("Heron", 1, "text 1"));
    assert_eq!((piece.artwork_name.as_str(), piece.artwork.as_slice()), ("heron.svg", &b"<svg/>"[..]));
    assert_eq!(piece.shop_toml, "shop");
    // sha256 of "<svg/>", by coreutils sha256sum.
    assert_eq!(piece.artwork_sha256[..4], [0xd4, 0xdc, 0x56, 0x66]);
}

#[test]
fn a_change_on_top_of_an_old_revision_is_a_conflict_and_changes_nothing() {
    let store = Store::in_memory().unwrap();
    let id = with_one_piece(&store);
    assert_eq!(store.update_piece(id, 1, "text 2").unwrap(), 2);
    let late = store.update_piece(id, 1, "text of somebody else");
    assert!(matches!(late, Err(StoreError::Conflict { expected: 1, found: 2 })));
    assert_eq!(store.piece(id).unwrap().piece_toml, "text 2");
}

#[test]
fn the_same_text_again_adds_no_revision() {
    let store = Store::in_memory().unwrap();
    let id = with_one_piece(&store);
    assert_eq!(store.update_piece(id, 1, "text 1").unwrap(), 1);
    assert!(!store.can_undo(id).unwrap());
}

#[test]
fn undo_goes_back_redo_comes_again_and_a_new_change_takes_redos_place() {
    let store = Store::in_memory().unwrap();
    let id = with_one_piece(&store);
    store.update_piece(id, 1, "text 2").unwrap();
    store.update_piece(id, 2, "text 3").unwrap();
    assert_eq!((store.undo(id).unwrap(), store.undo(id).unwrap()), (2, 1));
    assert!(matches!(store.undo(id), Err(StoreError::NothingToUndo)));
    assert_eq!(store.redo(id).unwrap(), 2);
    // Another way on from revision 2: number 3 stays in the history, redo leads to 4.
    assert_eq!(store.update_piece(id, 2, "text 4").unwrap(), 4);
    assert!(matches!(store.redo(id), Err(StoreError::NothingToRedo)));
    assert_eq!(store.undo(id).unwrap(), 2);
    assert_eq!(store.redo(id).unwrap(), 4);
    assert_eq!(store.piece(id).unwrap().piece_toml, "text 4");
}

#[test]
fn a_shop_changes_for_all_its_pieces_at_once() {
    let store = Store::in_memory().unwrap();
    let id = with_one_piece(&store);
    let shop = store.piece(id).unwrap().shop;
    store.update_shop(shop, 1, "shop with a new hose").unwrap();
    assert_eq!(store.piece(id).unwrap().shop_toml, "shop with a new hose");
    assert!(matches!(store.update_shop(shop, 1, "x"), Err(StoreError::Conflict { .. })));
}

#[test]
fn what_is_not_there_is_said_so() {
    let store = Store::in_memory().unwrap();
    assert!(matches!(store.piece(PieceId(5)), Err(StoreError::NoPiece(PieceId(5)))));
    assert!(matches!(store.undo(PieceId(5)), Err(StoreError::NoPiece(_))));
    let lost = NewPiece { name: "", piece_toml: "", artwork_name: "", artwork: b"", shop: ShopId(9) };
    assert!(matches!(store.save_piece(&lost), Err(StoreError::NoShop(ShopId(9)))));
    assert!(store.pieces().unwrap().is_empty());
}

#[test]
fn a_folder_that_is_not_there_is_a_clear_error() {
    let fault = Store::open(Path::new("/no/such/folder/shop.db")).unwrap_err();
    assert!(fault.to_string().contains("/no/such/folder/shop.db: cannot be opened"), "{fault}");
}

#[test]
fn two_programs_on_one_file_see_each_others_saves() {
    let folder = tempfile::tempdir().unwrap();
    let (one, other) = (open(folder.path()), open(folder.path()));
    let id = with_one_piece(&one);
    other.update_piece(id, 1, "text 2").unwrap();
    assert!(matches!(one.update_piece(id, 1, "text 3"), Err(StoreError::Conflict { found: 2, .. })));
}

/// The file and its log as a power cut would leave them: the log ends after `kept` bytes.
fn cut_off(folder: &Path, kept: u64) -> (tempfile::TempDir, Store) {
    let after = tempfile::tempdir().unwrap();
    fs::copy(folder.join("shop.db"), after.path().join("shop.db")).unwrap();
    let log = after.path().join("shop.db-wal");
    fs::copy(folder.join("shop.db-wal"), &log).unwrap();
    let file = fs::OpenOptions::new().write(true).open(&log).unwrap();
    file.set_len(kept.min(file.metadata().unwrap().len())).unwrap();
    let store = open(after.path());
    (after, store)
}

/// A file whose nine revisions stand in the log alone, its store still open.
fn busy_store() -> (tempfile::TempDir, Store, PieceId) {
    let folder = tempfile::tempdir().unwrap();
    let store = open(folder.path());
    let id = with_one_piece(&store);
    for number in 1..9 {
        store.update_piece(id, number, &format!("text {}", number + 1)).unwrap();
    }
    (folder, store, id)
}

#[test]
fn what_was_saved_survives_an_end_without_closing() {
    let (folder, store, id) = busy_store();
    let (_after, reopened) = cut_off(folder.path(), u64::MAX);
    assert_eq!(reopened.piece(id).unwrap(), store.piece(id).unwrap());
    assert_eq!(reopened.undo(id).unwrap(), 8);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn a_log_cut_anywhere_opens_at_a_revision_that_was_saved(share in 0.0..1.0f64) {
        let (folder, _store, id) = busy_store();
        let whole = fs::metadata(folder.path().join("shop.db-wal")).unwrap().len();
        let (_after, reopened) = cut_off(folder.path(), (share * whole as f64) as u64);
        match reopened.piece(id) {
            Ok(piece) => prop_assert_eq!(piece.piece_toml, format!("text {}", piece.revision)),
            // Cut before the piece itself was saved: then there is nothing at all.
            Err(StoreError::NoPiece(_)) => prop_assert!(reopened.pieces().unwrap().is_empty()),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        }
    }
}
