//! What the list of pieces does, for programs: copies, pieces put away and brought back, steps between revisions.

use super::problem::Problem;
use super::routes::{Answer, Body, piece_answer, work};
use crate::app::App;
use crate::pieces_routes::copied;
use crate::routes::{Id, Shared};
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::{IntoResponse as _, Response};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::{PieceId, Revision, ShopId, StoreError};

/// A copy to be made.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CopyBody {
    /// Number of the shop that the copy is made in. Left out: the same.
    pub shop: Option<i64>,
}

/// Where a piece is kept.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct AwayBody {
    /// It is put away: kept, and out of sight.
    pub away: bool,
}

/// A revision of a piece.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct RevisionView {
    /// From 1.
    pub number: u32,
    /// The one that it was made of; the first has none.
    pub parent: Option<u32>,
    /// When it was kept, as ISO 8601 in UTC.
    pub saved_utc: String,
    /// The piece stands at it.
    pub stands: bool,
}

/// An answer of a piece that came to be.
pub(super) fn created(app: &App, id: PieceId) -> Result<Response, Problem> {
    let there = [(LOCATION, format!("/api/pieces/{id}"))];
    Ok((StatusCode::CREATED, there, piece_answer(app, id)?).into_response())
}

/// Copies a piece.
pub(super) async fn copy(State(app): Shared, id: Id, body: Body<CopyBody>) -> Answer {
    work(app, move |app| {
        let Json(CopyBody { shop }) = body?;
        created(app, copied(app, id.piece()?, shop.map(ShopId))?)
    })
    .await
}

/// Puts a piece away, or brings it back.
pub(super) async fn shelve(State(app): Shared, id: Id, body: Body<AwayBody>) -> Answer {
    work(app, move |app| {
        let Json(body) = body?;
        app.store.shelve(id.piece()?, body.away)?;
        Ok(Json(body).into_response())
    })
    .await
}

/// Every revision, the oldest first.
pub(super) async fn revisions(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| {
        let stored = app.store.piece(id.piece()?)?;
        let view = |one: Revision| RevisionView {
            stands: one.number == stored.revision,
            number: one.number,
            parent: one.parent,
            saved_utc: one.saved_utc,
        };
        Ok(Json(app.store.revisions(stored.id)?.into_iter().map(view).collect::<Vec<_>>()).into_response())
    })
    .await
}

/// One revision back.
pub(super) async fn undo(State(app): Shared, id: Id) -> Answer {
    step(app, id, |app, id| app.store.undo(id)).await
}

/// What was undone, again.
pub(super) async fn redo(State(app): Shared, id: Id) -> Answer {
    step(app, id, |app, id| app.store.redo(id)).await
}

async fn step(app: std::sync::Arc<App>, id: Id, go: fn(&App, PieceId) -> Result<u32, StoreError>) -> Answer {
    work(app, move |app| {
        let id = id.piece()?;
        go(app, id)?;
        piece_answer(app, id)
    })
    .await
}
