//! Copies of the whole file, the full disk, and pieces that leave one store for another.

use rusqlite::Connection;
use std::fs;
use std::path::Path;
use store::{Archive, Demo, NewPiece, PieceId, Restored, Scope, Store, StoreError, restore};

fn open(folder: &Path) -> Store {
    Store::open(&folder.join("shop.db")).unwrap()
}

fn with_one_piece(store: &Store, name: &str) -> PieceId {
    let shop = store.save_shop("shop").unwrap();
    let new = NewPiece { name, piece_toml: "text 1", artwork_name: "heron.svg", artwork: b"<svg/>", shop };
    store.save_piece(&new).unwrap()
}

fn names(store: &Store) -> Vec<String> {
    store.pieces().unwrap().into_iter().map(|piece| piece.name).collect()
}

/// Every file in a folder, by name.
fn files(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_copy_made_in_use_holds_all_that_was_saved_and_is_one_file() {
    let folder = tempfile::tempdir().unwrap();
    let store = open(folder.path());
    let id = with_one_piece(&store, "Heron");
    store.update_piece(id, 1, "text 2").unwrap();
    let copies = tempfile::tempdir().unwrap();
    let to = copies.path().join("copy.db");
    store.back_up(&to).unwrap();
    store.update_piece(id, 2, "text 3").unwrap();
    assert_eq!(files(copies.path()), ["copy.db"], "no part and no log is left");
    let copy = Store::open(&to).unwrap();
    assert_eq!(copy.piece(id).unwrap().piece_toml, "text 2");
    assert_eq!(copy.undo(id).unwrap(), 1, "its history came too");
    copy.check().unwrap();
    assert!(matches!(store.back_up(&to), Err(StoreError::Exists { .. })), "nothing is overwritten");
}

#[test]
fn a_copy_is_put_back_in_use_and_what_was_there_is_kept_beside() {
    let folder = tempfile::tempdir().unwrap();
    let store = open(folder.path());
    with_one_piece(&store, "Heron");
    let copy = folder.path().join("copy.db");
    store.back_up(&copy).unwrap();
    with_one_piece(&store, "Gate");
    let kept = store.restore(&copy).unwrap().kept.unwrap();
    assert_eq!(names(&store), ["Heron"]);
    assert_eq!(names(&Store::open(&kept).unwrap()), ["Heron", "Gate"]);
    store.check().unwrap();
    // It lasts, and it goes on from there.
    with_one_piece(&store, "Door");
    drop(store);
    assert_eq!(names(&open(folder.path())), ["Heron", "Door"]);
    // Once more: the name beside is another one.
    assert_ne!(restore(&folder.path().join("shop.db"), &copy).unwrap().kept, Some(kept));
}

#[test]
fn devices_that_come_back_with_a_copy_stay_out() {
    let folder = tempfile::tempdir().unwrap();
    let store = open(folder.path());
    with_one_piece(&store, "Heron");
    let lost = store.admit("lost tablet", "helper", b"token").unwrap();
    let copy = folder.path().join("copy.db");
    store.back_up(&copy).unwrap();
    store.withdraw(lost).unwrap();
    store.restore(&copy).unwrap();
    assert_eq!(store.device(b"token").unwrap(), None);
}

/// Refused, and the store is as it was, with nothing beside it.
fn refused(change: impl FnOnce(&Path)) -> StoreError {
    let folder = tempfile::tempdir().unwrap();
    let store = open(folder.path());
    with_one_piece(&store, "Heron");
    let before = files(folder.path());
    let elsewhere = tempfile::tempdir().unwrap();
    let copy = elsewhere.path().join("copy.db");
    let other = Store::open(&elsewhere.path().join("other.db")).unwrap();
    let demo =
        Demo { name: "Other", piece_toml: "text", shop_toml: "shop", artwork_name: "a.png", artwork: &[7; 20_000] };
    other.seed(&[demo; 200]).unwrap();
    other.back_up(&copy).unwrap();
    change(&copy);
    let fault = store.restore(&copy).unwrap_err();
    assert_eq!(names(&store), ["Heron"]);
    assert_eq!(files(folder.path()), before);
    fault
}

#[test]
fn a_copy_that_is_damaged_or_not_ours_replaces_nothing() {
    let cut = refused(|copy| fs::OpenOptions::new().write(true).open(copy).unwrap().set_len(9000).unwrap());
    assert!(matches!(cut, StoreError::Damaged { .. }), "{cut:?}");
    let torn = refused(|copy| {
        let mut bytes = fs::read(copy).unwrap();
        let end = bytes.len();
        bytes[end - 8192..end - 100].fill(0xa5);
        fs::write(copy, bytes).unwrap();
    });
    assert!(matches!(torn, StoreError::Damaged { .. }), "{torn:?}");
    let changed = refused(|copy| {
        let mut bytes = fs::read(copy).unwrap();
        let inside = bytes.windows(3000).position(|part| part == [7; 3000]).unwrap();
        bytes[inside + 1500] = 8;
        fs::write(copy, bytes).unwrap();
    });
    assert!(changed.to_string().contains("a drawing is not what was kept"), "{changed}");
    let text = refused(|copy| fs::write(copy, "buy resist").unwrap());
    assert!(matches!(text, StoreError::Damaged { .. }), "{text:?}");
    let empty = refused(|copy| fs::write(copy, "").unwrap());
    assert!(matches!(empty, StoreError::Foreign), "{empty:?}");
    let foreign = refused(|copy| {
        fs::remove_file(copy).unwrap();
        Connection::open(copy).unwrap().execute_batch("CREATE TABLE address (name TEXT)").unwrap();
    });
    assert!(matches!(foreign, StoreError::Foreign), "{foreign:?}");
    let newer = refused(|copy| Connection::open(copy).unwrap().pragma_update(None, "user_version", 900).unwrap());
    assert!(matches!(newer, StoreError::Newer { found: 900, .. }), "{newer:?}");
    let orphan = refused(|copy| {
        let db = Connection::open(copy).unwrap();
        db.execute_batch("PRAGMA foreign_keys = OFF; DELETE FROM artwork").unwrap();
    });
    assert!(orphan.to_string().contains("piece"), "{orphan}");
    let missing = refused(|copy| fs::remove_file(copy).unwrap());
    assert!(matches!(missing, StoreError::Open { .. }), "{missing:?}");
}

#[test]
fn a_file_that_no_longer_opens_is_set_aside_whole_when_a_copy_is_put_back() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("shop.db");
    let copy = folder.path().join("copy.db");
    let store = open(folder.path());
    with_one_piece(&store, "Heron");
    store.back_up(&copy).unwrap();
    drop(store);
    fs::write(&data, "not a database any more").unwrap();
    let Restored { kept } = restore(&data, &copy).unwrap();
    assert_eq!(fs::read_to_string(kept.unwrap()).unwrap(), "not a database any more");
    assert_eq!(names(&open(folder.path())), ["Heron"]);
    // Where there is nothing yet, nothing is kept.
    let fresh = folder.path().join("fresh.db");
    assert_eq!(restore(&fresh, &copy).unwrap().kept, None);
    assert_eq!(names(&Store::open(&fresh).unwrap()), ["Heron"]);
}

#[test]
fn a_piece_taken_out_and_brought_in_is_a_new_piece_that_says_the_same() {
    let (from, to) = (Store::in_memory().unwrap(), Store::in_memory().unwrap());
    let heron = with_one_piece(&from, "Heron");
    with_one_piece(&from, "Gate");
    from.update_piece(heron, 1, "text 2").unwrap();
    from.save_run(heron, "k1", "{\"n\":1}").unwrap();
    let archive = from.archive(Scope::Piece(heron)).unwrap();
    let archive = Archive::unpack(&archive.pack().unwrap()).unwrap();
    let brought = to.bring_in(&archive).unwrap();
    let there = to.piece(brought.pieces[0].id).unwrap();
    assert_eq!((there.name.as_str(), there.revision, there.piece_toml.as_str()), ("Heron", 1, "text 2"));
    assert_eq!((there.artwork, there.shop_toml.as_str()), (b"<svg/>".to_vec(), "shop"));
    let (was, is) = (&from.runs(heron).unwrap()[0], &to.runs(there.id).unwrap()[0]);
    assert_eq!((&was.key, &was.log, &was.received_utc), (&is.key, &is.log, &is.received_utc));
    assert_eq!((brought.pieces[0].same_name, brought.pieces[0].logs), (None, 1));
}

#[test]
fn what_is_brought_in_where_it_came_from_overwrites_nothing() {
    let store = Store::in_memory().unwrap();
    let heron = with_one_piece(&store, "Heron");
    store.save_run(heron, "k1", "{\"n\":1}").unwrap();
    store.shelve(heron, true).unwrap();
    let all = store.archive(Scope::All).unwrap();
    let brought = store.bring_in(&all).unwrap();
    assert!(brought.shops[0].was_here && store.shops().unwrap().len() == 1, "the same shop is that shop");
    let copy = &brought.pieces[0];
    assert_eq!((copy.same_name, copy.name.as_str()), (Some(heron), "Heron"));
    assert_ne!(copy.id, heron);
    assert_eq!(store.runs(heron).unwrap().len(), 1);
    assert_eq!(store.runs(copy.id).unwrap()[0].key, format!("k1 of piece {}", copy.id));
    assert!(store.pieces().unwrap().iter().all(|piece| piece.away), "put away here and there");
    let shop = store.archive(Scope::Shop(store.shops().unwrap()[0])).unwrap();
    assert_eq!((shop.shops.len(), shop.pieces.len()), (1, 0));
}
