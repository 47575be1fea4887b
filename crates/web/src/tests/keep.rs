//! Backup, restore, export and import, as a browser asks for them.

use super::{PORT, answer, bytes, get, page, post, text, well_formed};
use crate::fixture::{ARTWORK, PIECE, SHOP, store};
use crate::{App, router};
use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use store::{Archive, Demo, Store};

/// A server whose pieces are in a file.
fn on_disk() -> (tempfile::TempDir, Router) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&folder.path().join("pieces.db")).unwrap();
    let artwork = ARTWORK.as_bytes();
    let demo = Demo { name: "Fixture", piece_toml: PIECE, shop_toml: SHOP, artwork_name: "fixture.svg", artwork };
    store.seed(&[demo]).unwrap();
    (folder, router(App::new(store), PORT))
}

/// A form with a file, and with a ticked box before it if that is wanted.
fn sent(path: &str, name: &str, file: &[u8], sure: bool) -> Request<Body> {
    const MARK: &str = "a-line-between-parts";
    let mut body = Vec::new();
    if sure {
        let part = format!("--{MARK}\r\ncontent-disposition: form-data; name=\"sure\"\r\n\r\n1\r\n");
        body.extend_from_slice(part.as_bytes());
    }
    let part = format!(
        "--{MARK}\r\ncontent-disposition: form-data; name=\"{name}\"; filename=\"file\"\r\ncontent-type: application/octet-stream\r\n\r\n"
    );
    body.extend_from_slice(part.as_bytes());
    body.extend_from_slice(file);
    body.extend_from_slice(format!("\r\n--{MARK}--\r\n").as_bytes());
    let mut request = post(path, &[]);
    let kind = format!("multipart/form-data; boundary={MARK}").parse().unwrap();
    request.headers_mut().insert(header::CONTENT_TYPE, kind);
    *request.body_mut() = Body::from(body);
    request
}

#[tokio::test]
async fn the_page_offers_everything_and_is_reached_from_every_page() {
    let server = router(App::new(store()), PORT);
    let (status, html) = page(&server, get("/keep")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    for part in ["/keep/backup", "/keep/everything", "/keep/piece/1", "/keep/shop/1", "Test shop", "Fixture"] {
        assert!(html.contains(part), "{part}");
    }
    for caution in ["replaces everything", "first copied beside it", "paired again", "nothing is overwritten"] {
        assert!(html.contains(caution), "{caution}");
    }
    assert!(page(&server, get("/piece/1")).await.1.contains("href=\"/keep\""));
    assert_eq!(page(&server, get("/keep/piece/9")).await.0, StatusCode::NOT_FOUND);
    assert_eq!(page(&server, get("/keep/shop/x")).await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_backup_is_downloaded_and_put_back_over_what_came_after() {
    let (folder, server) = on_disk();
    let response = answer(&server, get("/keep/backup")).await;
    assert_eq!(response.status(), StatusCode::OK);
    let name = response.headers()[header::CONTENT_DISPOSITION].to_str().unwrap().to_owned();
    assert!(name.starts_with("attachment; filename=\"sabulo-2") && name.ends_with(".db\""), "{name}");
    let backup = bytes(response).await;
    assert_eq!(&backup[..16], b"SQLite format 3\0");
    assert_eq!(answer(&server, post("/piece/1/copy", &[])).await.status(), StatusCode::SEE_OTHER);
    // Not without the tick.
    let (status, html) = page(&server, sent("/keep/restore", "backup", &backup, false)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("tick that everything"), "{html}");
    assert!(page(&server, get("/pieces")).await.1.contains("Fixture, copy"));
    let (status, html) = page(&server, sent("/keep/restore", "backup", &backup, true)).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    assert!(html.contains("The backup is in place") && html.contains("pieces.db.before-1"), "{html}");
    assert!(!page(&server, get("/pieces")).await.1.contains("Fixture, copy"));
    let kept = Store::open(&folder.path().join("pieces.db.before-1")).unwrap();
    assert_eq!(kept.pieces().unwrap().len(), 2);
    let left = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name());
    let left: Vec<String> = left.map(|name| name.into_string().unwrap()).filter(|name| name.starts_with('.')).collect();
    assert!(left.is_empty(), "nothing that was sent is left: {left:?}");
}

#[tokio::test]
async fn what_is_no_backup_changes_nothing() {
    let (_folder, server) = on_disk();
    for file in [&b"buy resist"[..], b"SQLite format 3\0 and then nothing", b""] {
        let (status, html) = page(&server, sent("/keep/restore", "backup", file, true)).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        well_formed(&html);
        assert!(html.contains("id=\"restore-said\"") && html.contains("role=\"alert\""));
    }
    let (status, _) = page(&server, sent("/keep/restore", "other", b"x", true)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page(&server, get("/pieces")).await.1.contains("Fixture"));
}

#[tokio::test]
async fn a_piece_goes_out_and_comes_in_as_a_new_one() {
    let server = router(App::new(store()), PORT);
    let response = answer(&server, get("/keep/piece/1")).await;
    assert_eq!(response.headers()[header::CONTENT_TYPE], "application/zip");
    let zip = bytes(response).await;
    let (status, html) = page(&server, sent("/keep/import", "exported", &zip, false)).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    assert!(html.contains("“Fixture” is now piece 2; piece 1 of that name is untouched."), "{html}");
    assert!(html.contains("Shop 1 was here already"));
    assert_eq!(page(&server, get("/piece/2")).await.0, StatusCode::OK);
}

#[tokio::test]
async fn what_does_not_read_is_not_brought_in() {
    let server = router(App::new(store()), PORT);
    let whole = Archive::unpack(&bytes(answer(&server, get("/keep/everything")).await).await).unwrap();
    let refused = async |change: fn(&mut Archive)| {
        let mut archive = whole.clone();
        change(&mut archive);
        let request = sent("/keep/import", "exported", &archive.pack().unwrap(), false);
        let (status, html) = page(&server, request).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        html
    };
    assert!(refused(|all| all.shops[0].shop_toml = "sabulo = 3".into()).await.contains("shop 1: shop.toml"));
    assert!(refused(|all| all.pieces[0].piece_toml = "x = 1".into()).await.contains("Fixture: piece.toml"));
    assert!(refused(|all| all.pieces[0].artwork = b"no drawing".into()).await.contains("the drawing of"));
    let log = |all: &mut Archive| {
        let run =
            store::ArchivedRun { key: "k".into(), received_utc: String::new(), log: "{\"key\":1}".into(), told: None };
        all.pieces[0].runs = vec![run];
    };
    assert!(refused(log).await.contains("log k of"));
    let (status, html) = page(&server, sent("/keep/import", "exported", b"PK no more", false)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("not an exported file"));
    assert_eq!(text(answer(&server, get("/api/pieces")).await).await.matches("\"id\"").count(), 1);
}
