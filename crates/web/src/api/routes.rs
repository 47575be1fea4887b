//! What each address under `/api` answers.

use super::problem::Problem;
use super::stock::StockView;
use super::types::{
    ArtworkView, FileView, FindingsView, LogView, NewPieceBody, PieceRow, PieceView, ShopRow, ShopView,
};
use super::{coupons, entries, orders, shelf};
use super::{describe, text};
use crate::app::App;
use crate::error::WebError;
use crate::files;
use crate::keep_routes::shop_name;
use crate::ledger;
use crate::order_routes::TABLE_MAX;
use crate::pieces_routes::begun;
use crate::planner::Question;
use crate::routes::{Id, Shared};
use crate::run_log::RunLog;
use crate::stock_routes::Known;
use artwork::load::{LoadOptions, load};
use axum::Json;
use axum::Router;
use axum::extract::rejection::JsonRejection;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::header::{CONTENT_TYPE, ETAG, IF_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post, put};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use piece::Shop;
use plan::document::PlanDocument;
use serde_json::Value;
use std::sync::Arc;
use store::{NewPiece, PieceId, ShopId, StoredShop};

pub(super) type Answer = Result<Response, Problem>;
pub(super) type Body<T> = Result<Json<T>, JsonRejection>;

/// A drawing in base 64 is a third longer than its bytes.
const NEW_PIECE_MAX: usize = 45 * 1024 * 1024;
/// A shop's file with all its logs of coupons.
const FILE_MAX: usize = 1024 * 1024;

/// The addresses.
pub(crate) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/openapi.json", get(describe::description))
        .route("/pieces", get(pieces).post(begin).layer(DefaultBodyLimit::max(NEW_PIECE_MAX)))
        .route("/pieces/{id}", get(piece).put(change_piece).layer(DefaultBodyLimit::max(FILE_MAX)))
        .route("/pieces/{id}/artwork", get(artwork))
        .route("/pieces/{id}/plan", get(plan))
        .route("/pieces/{id}/findings", get(findings))
        .route("/pieces/{id}/files", get(files_of))
        .route("/pieces/{id}/logs", get(logs).post(keep_log))
        .route("/pieces/{id}/logs/{log}/coupons", get(coupons::lesson).post(coupons::keep))
        .route("/pieces/{id}/copies", post(shelf::copy))
        .route("/pieces/{id}/away", put(shelf::shelve))
        .route("/pieces/{id}/revisions", get(shelf::revisions))
        .route("/pieces/{id}/undo", post(shelf::undo))
        .route("/pieces/{id}/redo", post(shelf::redo))
        .route("/pieces/{id}/orders", get(orders::orders).post(orders::begin).layer(DefaultBodyLimit::max(TABLE_MAX)))
        .route("/pieces/{id}/orders/{number}", get(orders::order).delete(orders::cancel))
        .route("/shops", get(shops))
        .route("/shops/{id}/stock", get(stock))
        .route("/shops/{id}/stock/entries", get(entries::entries).post(entries::enter))
        .route("/shops/{id}/stock/entries/{key}", get(entries::entry).delete(entries::take_back))
        .route("/shops/{id}", get(shop).put(change_shop).layer(DefaultBodyLimit::max(FILE_MAX)))
        .fallback(async || Problem::from(WebError::NotFound))
        .method_not_allowed_fallback(async || {
            let words = "this address does not take this method; /api/openapi.json lists those it takes";
            Problem::new(StatusCode::METHOD_NOT_ALLOWED, "Not this method", words)
        })
}

/// Does a job beside the server's own threads.
pub(super) async fn work(
    app: Arc<App>,
    job: impl FnOnce(&App) -> Result<Response, Problem> + Send + 'static,
) -> Result<Response, Problem> {
    // A refusal is an answer too: only the queue's own faults come out as errors.
    app.work(move |app| Ok(job(app).unwrap_or_else(IntoResponse::into_response))).await.map_err(Problem::from)
}

async fn pieces(State(app): Shared) -> Answer {
    work(app, |app| {
        let row = |piece: store::Listed| PieceRow { id: piece.id.0, name: piece.name, away: piece.away };
        Ok(Json(app.store.pieces()?.into_iter().map(row).collect::<Vec<_>>()).into_response())
    })
    .await
}

async fn piece(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| piece_answer(app, id.piece()?)).await
}

/// A piece as it stands, with its revision.
pub(super) fn piece_answer(app: &App, id: PieceId) -> Answer {
    let stored = app.store.piece(id)?;
    let view = PieceView {
        id: id.0,
        revision: stored.revision,
        shop: stored.shop.0,
        artwork: ArtworkView {
            sha256: stored.artwork_sha256.iter().map(|byte| format!("{byte:02x}")).collect(),
            size_bytes: stored.artwork.len(),
            name: stored.artwork_name,
        },
        piece: text::json(&stored.piece_toml)?,
        name: stored.name,
    };
    Ok(([(ETAG, tag(view.revision))], Json(view)).into_response())
}

fn tag(revision: u32) -> String {
    format!("\"{revision}\"")
}

/// The revision that a change was made on: the one of `If-Match` that stands, or the standing one for `*`.
pub(super) fn matched(headers: &HeaderMap, standing: u32) -> Result<u32, Problem> {
    let mut lines = headers.get_all(IF_MATCH).iter().peekable();
    if lines.peek().is_none() {
        return Err(Problem::revision_needed());
    }
    let tags = lines.filter_map(|line| line.to_str().ok()).flat_map(|line| line.split(',')).map(str::trim);
    let stands = tags.into_iter().any(|given| given == "*" || given == tag(standing));
    if stands { Ok(standing) } else { Err(Problem::changed_meanwhile(standing)) }
}

async fn change_piece(State(app): Shared, id: Id, headers: HeaderMap, body: Body<Value>) -> Answer {
    work(app, move |app| {
        let Json(value) = body?;
        let id = id.piece()?;
        let stored = app.store.piece(id)?;
        let expected = matched(&headers, stored.revision)?;
        let shop = read_shop(&stored.shop_toml)?;
        let new = text::text(value, Some(&stored.piece_toml))?;
        let read = piece::read_piece(&new, "piece", &shop).map_err(|complaints| text::complaint(&complaints))?;
        if read.artwork != stored.artwork_name {
            let detail = format!("artwork.file: a piece keeps its drawing, \"{}\"", stored.artwork_name);
            return Err(Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "The values do not read", detail));
        }
        app.store.update_piece(id, expected, &new)?;
        piece_answer(app, id)
    })
    .await
}

fn read_shop(shop_toml: &str) -> Result<Shop, Problem> {
    piece::read_shop(shop_toml, "shop").map_err(|complaints| text::complaint(&complaints))
}

async fn begin(State(app): Shared, body: Body<NewPieceBody>) -> Answer {
    work(app, move |app| {
        let Json(NewPieceBody { shop, artwork_base64, file_name, piece }) = body?;
        let artwork = STANDARD.decode(&artwork_base64).map_err(|fault| unread(format!("artwork_base64: {fault}")))?;
        let shop = shop.map(ShopId).or(app.store.shops()?.first().copied()).ok_or(WebError::NotFound)?;
        let stored = app.store.shop(shop)?;
        let id = match piece {
            Some(piece) => with_file(app, &stored, &artwork, piece)?,
            None => {
                begun(app, file_name.as_deref().unwrap_or_default(), &artwork, shop).map_err(|fault| match fault {
                    WebError::Faulty(words) => unread(words),
                    other => other.into(),
                })?
            }
        };
        shelf::created(app, id)
    })
    .await
}

fn unread(detail: String) -> Problem {
    Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "The drawing does not read", detail)
}

/// Begins a piece whose file was sent with its drawing.
fn with_file(app: &App, shop: &StoredShop, artwork: &[u8], piece: Value) -> Result<PieceId, Problem> {
    load(artwork, &LoadOptions::default()).map_err(|fault| unread(fault.to_string()))?;
    let read = read_shop(&shop.shop_toml)?;
    let piece_toml = text::text(piece, None)?;
    let read = piece::read_piece(&piece_toml, "piece", &read).map_err(|complaints| text::complaint(&complaints))?;
    let (name, artwork_name) = (read.name.as_str(), read.artwork.as_str());
    Ok(app.store.save_piece(&NewPiece { name, piece_toml: &piece_toml, artwork_name, artwork, shop: shop.id })?)
}

async fn artwork(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| {
        let stored = app.store.piece(id.piece()?)?;
        // What it is stands in its name; a browser must not guess and run it.
        Ok(([(CONTENT_TYPE, "application/octet-stream")], stored.artwork).into_response())
    })
    .await
}

fn planned(app: &App, id: &Id) -> Result<(Question, PlanDocument), Problem> {
    let question = app.question(id.piece()?, &Vec::new())?;
    let document = PlanDocument::new(&*app.plan(&question)?, Vec::new());
    Ok((question, document))
}

async fn plan(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| Ok(Json(planned(app, &id)?.1).into_response())).await
}

async fn findings(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| {
        let (question, document) = planned(app, &id)?;
        let revision = question.stored.revision;
        let view = FindingsView { revision, summary: document.summary, findings: document.findings };
        Ok(Json(view).into_response())
    })
    .await
}

async fn files_of(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| {
        let question = app.question(id.piece()?, &Vec::new())?;
        let plan = app.plan(&question)?;
        let view = |(name, what): (String, String)| {
            let href = format!("/piece/{}/files/{name}", question.stored.id);
            FileView { name, what, href }
        };
        Ok(Json(files::names(&plan).into_iter().map(view).collect::<Vec<_>>()).into_response())
    })
    .await
}

async fn logs(State(app): Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    work(app, move |app| {
        let id = id.piece()?;
        app.store.piece(id)?;
        let view = |run: store::StoredRun| {
            let log = serde_json::from_str(&run.log).map_err(WebError::from)?;
            let told = run.told.as_deref().map(serde_json::from_str).transpose().map_err(WebError::from)?;
            Ok(LogView { id: run.id, received_utc: run.received_utc, log, told })
        };
        let views = app.store.runs(id)?.into_iter().map(view).collect::<Result<Vec<_>, Problem>>()?;
        Ok(Json(views).into_response())
    })
    .await
}

/// Keeps a log. The same log again is answered without keeping it twice.
async fn keep_log(State(app): Shared, id: Id, body: Body<RunLog>) -> Answer {
    let Json(log) = body?;
    log.check().map_err(WebError::Faulty)?;
    let piece = id.piece()?;
    let (teller, told) = (Arc::clone(&app), log.clone());
    let kept = app.work(move |app| {
        let text = serde_json::to_string(&log)?;
        Ok((app.store.save_run(piece, &log.key, &text)?, log))
    });
    let (new, log) = kept.await?;
    ledger::tell_later(&teller, piece, told);
    Ok((if new { StatusCode::CREATED } else { StatusCode::OK }, Json(log)).into_response())
}

async fn shops(State(app): Shared) -> Answer {
    work(app, |app| {
        let row = |id: ShopId| Ok(ShopRow { id: id.0, name: shop_name(app, id)? });
        let rows = app.store.shops()?.into_iter().map(row).collect::<Result<Vec<_>, Problem>>()?;
        Ok(Json(rows).into_response())
    })
    .await
}

async fn shop(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| shop_answer(app, id.shop()?)).await
}

/// A shop as it stands, with its revision.
pub(super) fn shop_answer(app: &App, id: ShopId) -> Answer {
    let stored = app.store.shop(id)?;
    let view = ShopView { id: id.0, revision: stored.revision, shop: text::json(&stored.shop_toml)? };
    Ok(([(ETAG, tag(view.revision))], Json(view)).into_response())
}

async fn stock(State(app): Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    work(app, move |app| Ok(Json(StockView::new(&Known::new(app, id.shop()?)?)).into_response())).await
}

async fn change_shop(State(app): Shared, id: Id, headers: HeaderMap, body: Body<Value>) -> Answer {
    work(app, move |app| {
        let Json(value) = body?;
        let id = id.shop()?;
        let stored = app.store.shop(id)?;
        let expected = matched(&headers, stored.revision)?;
        let new = text::text(value, Some(&stored.shop_toml))?;
        read_shop(&new)?;
        app.store.update_shop(id, expected, &new)?;
        shop_answer(app, id)
    })
    .await
}
