//! Keeping: the backup of the whole file, and pieces and shops as files to hand on.

use crate::app::App;
use crate::error::WebError;
use crate::pages::{self, KeepPage, Told};
use crate::routes::{Answer, Id, Shared, frame_of, units_setting};
use crate::run_log::RunLog;
use crate::shop_routes::shop_id;
use crate::upload::{self, Upload};
use crate::view::Frame;
use artwork::load::{LoadError, LoadOptions, load};
use axum::body::{Body, Bytes};
use axum::extract::{Multipart, Path, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse as _, Response};
use futures_util::stream::unfold;
use language::{say, say_count};
use piece::Complaints;
use quantity::UnitSystem;
use serde_json::error::Category;
use std::fs::File;
use std::io::Read as _;
use stock::{Entry, EntryFault, Verb};
use store::{Archive, ArchivedPiece, Brought, Scope, ShopId};

/// The page.
pub(crate) async fn keep(State(app): Shared) -> Answer {
    app.work(|app| page(app, StatusCode::OK, None)).await
}

fn page(app: &App, status: StatusCode, told: Option<Told>) -> Result<Response, WebError> {
    let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
    let frame = Frame { units, here: "/keep".to_owned(), ..frame_of(app, say!("Keep and hand on"), None)? };
    let pieces = app.store.pieces()?.into_iter();
    let shops = app.store.shops()?.into_iter().map(|id| Ok((id.0, shop_name(app, id)?)));
    let page = KeepPage {
        frame,
        told,
        pieces: pieces.map(|piece| (piece.id.0, piece.name)).collect(),
        shops: shops.collect::<Result<_, WebError>>()?,
    };
    Ok((status, Html(pages::keep(&page))).into_response())
}

/// What the shop calls itself.
pub(crate) fn shop_name(app: &App, id: ShopId) -> Result<String, WebError> {
    let text = app.store.shop(id)?.shop_toml;
    Ok(piece::read_shop(&text, "shop.toml").map_or_else(|_| say!("Shop {id}"), |shop| shop.name))
}

/// The whole file as it stands, streamed from a copy that is gone afterwards.
pub(crate) async fn backup(State(app): Shared) -> Answer {
    app.work(|app| {
        let folder = upload::folder(app)?;
        let path = folder.path().join("copy.db");
        app.store.back_up(&path)?;
        let name = format!("attachment; filename=\"sabulo-{}.db\"", app.store.today()?);
        let file = File::open(&path).map_err(WebError::Upload)?;
        // The folder is removed when the stream is dropped.
        let stream = unfold(Some((file, folder)), chunk);
        let described = [(CONTENT_TYPE, "application/vnd.sqlite3"), (CACHE_CONTROL, "no-store")];
        Ok((described, [(CONTENT_DISPOSITION, name)], Body::from_stream(stream)).into_response())
    })
    .await
}

type Source = Option<(File, tempfile::TempDir)>;

/// The next part of a file; after a fault the answer ends short, which the browser says.
async fn chunk(source: Source) -> Option<(std::io::Result<Bytes>, Source)> {
    const SIZE: u64 = 256 * 1024;
    let (file, folder) = source?;
    let read = tokio::task::spawn_blocking(move || {
        let mut bytes = Vec::new();
        (&file).take(SIZE).read_to_end(&mut bytes).map(|_| (bytes, file))
    });
    match read.await {
        Ok(Ok((bytes, _))) if bytes.is_empty() => None,
        Ok(Ok((bytes, file))) => Some((Ok(Bytes::from(bytes)), Some((file, folder)))),
        Ok(Err(fault)) => Some((Err(fault), None)),
        Err(_) => Some((Err(std::io::Error::other("the reader failed")), None)),
    }
}

/// Puts a backup in the place of everything.
pub(crate) async fn restore(State(app): Shared, form: Multipart) -> Answer {
    let brought = upload::file(&app, form, "backup").await;
    app.work(move |app| match brought.and_then(|upload| put_back(app, &upload)) {
        Ok(told) => page(app, StatusCode::OK, Some(told)),
        Err(fault) => refused(app, "restore", &fault),
    })
    .await
}

fn put_back(app: &App, upload: &Upload) -> Result<Told, WebError> {
    if !upload.sure {
        return Err(WebError::Faulty(say!("tick that everything here may be replaced, then send it again").to_owned()));
    }
    let restored = app.store.restore(&upload.path)?;
    let kept = restored.kept.map(|path| say!("What was here before stands in {path}.", path = path.display()));
    Ok(Told {
        at: "restore",
        fault: false,
        lines: [say!("The backup is in place.").to_owned()].into_iter().chain(kept).collect(),
    })
}

/// All pieces and shops as one file.
pub(crate) async fn export_all(State(app): Shared) -> Answer {
    app.work(|app| packed(app, Scope::All, "sabulo-everything")).await
}

/// A piece with its drawing, logs and shop.
pub(crate) async fn export_piece(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| {
        let id = id.piece()?;
        packed(app, Scope::Piece(id), &format!("sabulo-piece-{id}"))
    })
    .await
}

/// A shop alone.
pub(crate) async fn export_shop(State(app): Shared, Path(id): Path<String>) -> Answer {
    app.work(move |app| {
        let id = shop_id(&id)?;
        packed(app, Scope::Shop(id), &format!("sabulo-shop-{id}"))
    })
    .await
}

fn packed(app: &App, scope: Scope, name: &str) -> Result<Response, WebError> {
    let bytes = app.store.archive(scope)?.pack().map_err(store::StoreError::from)?;
    let attached = format!("attachment; filename=\"{name}.zip\"");
    let described = [(CONTENT_TYPE, "application/zip"), (CACHE_CONTROL, "no-store")];
    Ok((described, [(CONTENT_DISPOSITION, attached)], bytes).into_response())
}

/// Brings exported pieces and shops in, as new ones.
pub(crate) async fn import(State(app): Shared, form: Multipart) -> Answer {
    let brought = upload::file(&app, form, "exported").await;
    app.work(move |app| match brought.and_then(|upload| bring_in(app, &upload)) {
        Ok(told) => page(app, StatusCode::OK, Some(told)),
        Err(fault) => refused(app, "import", &fault),
    })
    .await
}

fn bring_in(app: &App, upload: &Upload) -> Result<Told, WebError> {
    let bytes = std::fs::read(&upload.path).map_err(WebError::Upload)?;
    let archive = Archive::unpack(&bytes).map_err(store::StoreError::from)?;
    look_at(&archive)?;
    let brought = app.store.bring_in(&archive)?;
    Ok(Told { at: "import", fault: false, lines: said(&brought) })
}

fn refused(app: &App, at: &'static str, fault: &WebError) -> Result<Response, WebError> {
    page(app, fault.status(), Some(Told { at, fault: true, lines: vec![fault.to_string()] }))
}

/// What was brought in, a line each.
#[must_use]
pub fn said(brought: &Brought) -> Vec<String> {
    let shop = |shop: &store::BroughtShop| match shop.was_here {
        true => say!("Shop {id} was here already, word for word.", id = shop.id),
        false => say!("Shop {id} is new.", id = shop.id),
    };
    brought.shops.iter().map(shop).chain(brought.pieces.iter().map(brought_piece)).collect()
}

fn brought_piece(piece: &store::BroughtPiece) -> String {
    let store::BroughtPiece { name, id, .. } = piece;
    let now = match piece.logs {
        0 => say!("“{name}” is now piece {id}"),
        logs => say_count!(
            logs,
            "“{name}” is now piece {id}, with {logs} log",
            "“{name}” is now piece {id}, with {logs} logs"
        ),
    };
    match piece.same_name {
        Some(other) => say!("{now}; piece {other} of that name is untouched."),
        None => format!("{now}."),
    }
}

/// Why what an archive holds cannot be brought in.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ArchiveFault {
    /// A piece or a shop does not read.
    #[error("{}", say!("nothing was brought in: {0}", _0))]
    File(#[from] Complaints),
    /// A drawing does not read.
    #[error("{}", say!("nothing was brought in: the drawing of \"{piece}\" does not read: {fault}"))]
    Drawing {
        /// Name of the piece.
        piece: String,
        /// Why.
        fault: Box<LoadError>,
    },
    /// An entry of a shop's ledger does not read.
    #[error("{}", say!("nothing was brought in: entry {key} of shop {shop}'s stock does not read: {fault}"))]
    Stock {
        /// Number of the shop, from 1.
        shop: usize,
        /// The entry's key.
        key: String,
        /// Why.
        fault: EntryFault,
    },
    /// A log does not read.
    #[error("{}", say!("nothing was brought in: log {key} of \"{piece}\" does not read: {fault}"))]
    Log {
        /// Name of the piece.
        piece: String,
        /// The log's key.
        key: String,
        /// Why.
        fault: String,
    },
}

/// Reads all that an archive holds, before any of it is kept.
///
/// # Errors
/// The first thing that does not read.
pub fn look_at(archive: &Archive) -> Result<(), ArchiveFault> {
    let shop = |(i, shop): (usize, &store::ArchivedShop)| {
        piece::read_shop(&shop.shop_toml, &format!("shop {}: shop.toml", i + 1))
    };
    let shops = archive.shops.iter().enumerate().map(shop).collect::<Result<Vec<_>, _>>()?;
    archive.shops.iter().enumerate().try_for_each(|(i, shop)| look_at_stock(i + 1, shop))?;
    archive.pieces.iter().try_for_each(|piece| look_at_piece(piece, &shops[piece.shop]))
}

fn look_at_stock(number: usize, shop: &store::ArchivedShop) -> Result<(), ArchiveFault> {
    shop.movements.iter().try_for_each(|one| {
        let entry = |verb| Entry {
            id: 0,
            item: one.item.clone(),
            verb,
            amount: [one.low, one.mid, one.high],
            abrasive: None,
            at_utc: String::new(),
            takes_back: None,
        };
        let read = Verb::of(&one.verb).and_then(|verb| entry(verb).check());
        read.map_err(|fault| ArchiveFault::Stock { shop: number, key: one.key.clone(), fault })
    })
}

/// What is wrong with JSON, with its place; what a value should have been is said in the parser's own words.
fn json(fault: &serde_json::Error) -> String {
    let (line, column) = (fault.line(), fault.column());
    match fault.classify() {
        Category::Eof => say!("line {line}, column {column}: it ends too early"),
        Category::Syntax => say!("line {line}, column {column}: this is no JSON"),
        Category::Io | Category::Data => say!("in the parser’s own words: {message}", message = fault.to_string()),
    }
}

fn look_at_piece(archived: &ArchivedPiece, shop: &piece::Shop) -> Result<(), ArchiveFault> {
    let name = || archived.name.clone();
    piece::read_piece(&archived.piece_toml, &format!("{}: piece.toml", archived.name), shop)?;
    load(&archived.artwork, &LoadOptions::default())
        .map_err(|fault| ArchiveFault::Drawing { piece: name(), fault: Box::new(fault) })?;
    archived.runs.iter().try_for_each(|run| {
        let read = serde_json::from_str::<RunLog>(&run.log).map_err(|fault| json(&fault));
        let read = read.and_then(|log| log.check());
        read.map_err(|fault| ArchiveFault::Log { piece: name(), key: run.key.clone(), fault })
    })
}
