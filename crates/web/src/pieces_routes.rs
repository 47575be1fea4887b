//! The list of pieces: to search, to begin a new one with a drawing, to copy, to put away.

use crate::app::App;
use crate::compose;
use crate::draft::draft;
use crate::error::WebError;
use crate::form::Sent;
use crate::pages;
use crate::routes::{Answer, Id, Shared, frame_of, units_setting, value};
use crate::setup::routes::{is_chosen, shop_at_work, shop_name};
use crate::shop_routes::shop_id;
use crate::view::{Frame, PieceCard, PiecesPage};
use artwork::load::{LoadOptions, load};
use axum::extract::{Form, Multipart, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use language::say;
use piece::Piece;
use quantity::UnitSystem;
use store::{Listed, NewPiece, PieceId, ShopId};

/// The list.
pub(crate) async fn list(State(app): Shared, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| page(app, &sent, None)).await
}

fn page(app: &App, sent: &Sent, fault: Option<String>) -> Result<Response, WebError> {
    let searched = value(sent, "q").unwrap_or_default().trim().to_owned();
    let away = value(sent, "away") == Some("1");
    let found = |piece: &Listed| piece.away == away && piece.name.to_lowercase().contains(&searched.to_lowercase());
    let pieces = app.store.pieces()?.into_iter().filter(found);
    let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
    let cards = pieces.map(|piece| card(app, piece, units)).collect::<Result<_, _>>()?;
    let status = if fault.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let shop = shop_name(&app.store.shop(shop_at_work(app)?)?.shop_toml);
    let page = PiecesPage {
        frame: frame(app)?,
        pieces: cards,
        searched,
        away,
        fault,
        shop,
        own_shop: is_chosen(app)?,
        begun: value(sent, "begun").is_some(),
    };
    Ok((status, Html(pages::pieces(&page))).into_response())
}

fn frame(app: &App) -> Result<Frame, WebError> {
    let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
    Ok(Frame { units, here: "/pieces".to_owned(), ..frame_of(app, say!("Pieces"), None)? })
}

fn card(app: &App, piece: Listed, units: UnitSystem) -> Result<PieceCard, WebError> {
    let stored = app.store.piece(piece.id)?;
    let read = piece::read_shop(&stored.shop_toml, "shop.toml")
        .and_then(|shop| piece::read_piece(&stored.piece_toml, "piece.toml", &shop));
    let facts = read
        .as_ref()
        .map_or_else(|_| say!("its file does not read").to_owned(), |read: &Piece| compose::facts(read, units));
    let shops = app.store.shops()?;
    let at_work = shop_at_work(app)?;
    Ok(PieceCard {
        shop: (shops.len() > 1).then(|| shop_name(&stored.shop_toml)),
        into: (piece.shop != at_work).then_some(at_work.0),
        href: format!("/piece/{}", piece.id),
        name: piece.name,
        facts,
        picture: format!("/piece/{}/preview.png?quick=1&small=1", piece.id),
        away: piece.away,
    })
}

/// A new piece of a drawing. The drawing is read before anything is kept.
pub(crate) async fn begin(State(app): Shared, mut form: Multipart) -> Answer {
    let brought = brought(&mut form).await;
    app.work(move |app| match brought.and_then(|(name, bytes)| begun(app, &name, &bytes, shop_at_work(app)?)) {
        Ok(id) => Ok(Redirect::to(&format!("/piece/{id}")).into_response()),
        Err(WebError::Faulty(fault)) => page(app, &Vec::new(), Some(fault)),
        Err(other) => Err(other),
    })
    .await
}

/// The file's name and its bytes.
async fn brought(form: &mut Multipart) -> Result<(String, Vec<u8>), WebError> {
    let unread = |fault: axum::extract::multipart::MultipartError| WebError::Faulty(fault.body_text());
    while let Some(field) = form.next_field().await.map_err(unread)? {
        if field.name() == Some("drawing") {
            let name = field.file_name().unwrap_or_default().to_owned();
            return Ok((name, field.bytes().await.map_err(unread)?.to_vec()));
        }
    }
    Err(WebError::Faulty(say!("no drawing was sent; choose a file and send it again").to_owned()))
}

/// Begins a piece of a drawing alone: each of its layers gets a first depth, the recipe is left to the plan.
///
/// # Errors
/// [`WebError::Faulty`] when the drawing does not read or holds nothing to carve.
pub(crate) fn begun(app: &App, file_name: &str, bytes: &[u8], shop: ShopId) -> Result<PieceId, WebError> {
    // What follows the last bar of either kind: some browsers send a path.
    let file_name = file_name.rsplit(['/', '\\']).next().unwrap_or_default();
    let drawing = load(bytes, &LoadOptions::default())
        .map_err(|fault| WebError::Faulty(say!("\"{file_name}\" does not read: {fault}")))?;
    let stem = file_name.rsplit_once('.').map_or(file_name, |(stem, _)| stem).trim();
    let name = if stem.is_empty() { say!("New piece") } else { stem };
    let artwork_name = if file_name.is_empty() { "drawing.svg" } else { file_name };
    let file = draft(name, artwork_name, &drawing);
    if file.depth.is_empty() {
        return Err(WebError::Faulty(say!(
            "\"{file_name}\" has nothing to carve: it holds no shapes that cover anything"
        )));
    }
    let piece_toml = toml::to_string(&file).map_err(|fault| WebError::Faulty(fault.to_string()))?;
    Ok(app.store.save_piece(&NewPiece { name, piece_toml: &piece_toml, artwork_name, artwork: bytes, shop })?)
}

/// A copy of a piece, to be changed without touching the first; in another shop when one is named.
pub(crate) async fn copy(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let shop = value(&sent, "shop").map(shop_id).transpose()?;
        let copy = copied(app, id.piece()?, shop)?;
        Ok(Redirect::to(&format!("/piece/{copy}")).into_response())
    })
    .await
}

/// Copies a piece, into a shop when another than its own is named.
pub(crate) fn copied(app: &App, id: PieceId, shop: Option<ShopId>) -> Result<PieceId, WebError> {
    let stored = app.store.piece(id)?;
    let shop = shop.filter(|shop| *shop != stored.shop);
    let name = match shop {
        Some(shop) => {
            say!("{name}, in {shop}", name = stored.name, shop = shop_name(&app.store.shop(shop)?.shop_toml))
        }
        None => say!("{name}, copy", name = stored.name),
    };
    let mut table: toml::Table = toml::from_str(&stored.piece_toml).unwrap_or_default();
    table.insert("name".to_owned(), toml::Value::from(name.as_str()));
    let text = toml::to_string(&table).map_err(|fault| WebError::Faulty(fault.to_string()))?;
    Ok(app.store.copy_piece(id, shop, &name, &text)?)
}

/// Puts a piece away, or brings it back.
pub(crate) async fn shelve(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let away = value(&sent, "away") == Some("1");
        app.store.shelve(id.piece()?, away)?;
        Ok(Redirect::to(if away { "/pieces" } else { "/pieces?away=1" }).into_response())
    })
    .await
}
