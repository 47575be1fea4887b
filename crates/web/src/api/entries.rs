//! Entries of a shop's ledger, for programs: read, added once under their key, taken back by others.

use super::problem::Problem;
use super::routes::{Answer, Body, matched, work};
use crate::entering::{self, Given};
use crate::error::WebError;
use crate::ledger;
use crate::routes::{Id, Shared};
use crate::view::Typed;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::LOCATION;
use axum::http::{HeaderMap, StatusCode};
use axum::response::IntoResponse as _;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::{ShopId, StoredMovement};

/// An entry to be added.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewEntryBody {
    /// Made by who sends it: the same entry sent twice counts once. Letters, digits, and any of "-._".
    #[schemars(regex(pattern = "^[0-9A-Za-z._-]{1,64}$"))]
    pub key: String,
    /// What it is of, by its name in the stock: "abrasive white_alumina F150", "resist rubber_thin", "tape",
    /// "nozzle long 1/8".
    pub item: String,
    /// What happened: "bought", "counted" (so much is there), "reorder" (buy again at this much); of a nozzle "gauged"
    /// or "renewed".
    #[schemars(extend("enum" = ["bought", "counted", "reorder", "gauged", "renewed"]))]
    pub verb: String,
    /// How much, with its unit: "25kg", "5m2"; of a resist also the length of its roll, "10m"; of a nozzle its bore.
    pub amount: String,
    /// A note.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub about: String,
    /// Of a nozzle: its bore is written into the shop's file too, and plans reckon with it. The change is made on the
    /// shop's revision, which If-Match names.
    #[serde(default)]
    pub plan_with_it: bool,
}

/// An entry as it is kept.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct EntryView {
    /// Its key, made where the entry was made.
    pub key: String,
    /// What it is of.
    pub item: String,
    /// "bought", "counted", "reorder", "gauged" or "renewed" by hand; "drawn" and "open" by runs; "began" with a nozzle's
    /// ledger; "taken back".
    pub verb: String,
    /// In what the amounts are: "m2", "kg", "s" open, "m" of bore.
    pub unit: String,
    /// How much, at the least; all three are the same where it is known.
    pub amount_low: f64,
    /// At the middle.
    pub amount_mid: f64,
    /// At the most.
    pub amount_high: f64,
    /// What was noted.
    pub about: String,
    /// When it happened, as ISO 8601 in UTC.
    pub at_utc: String,
    /// Key of the log that it came with.
    pub log: Option<String>,
    /// Number of the piece that was run, where it is here.
    pub piece: Option<i64>,
    /// Key of the entry that this one takes back.
    pub takes_back: Option<String>,
    /// Another entry takes this one back: it counts no more.
    pub is_taken_back: bool,
}

impl EntryView {
    fn of(entry: StoredMovement, is_taken_back: bool) -> Self {
        let [amount_low, amount_mid, amount_high] = entry.amount;
        let StoredMovement { key, item, verb, unit, about, at_utc, run, takes_back, .. } = entry;
        let piece = entry.piece.map(|(id, _)| id.0);
        Self {
            key,
            item,
            verb,
            unit,
            amount_low,
            amount_mid,
            amount_high,
            about,
            at_utc,
            log: run,
            piece,
            takes_back,
            is_taken_back,
        }
    }

    fn all(movements: Vec<StoredMovement>) -> Vec<Self> {
        let taken: Vec<String> = movements.iter().filter_map(|one| one.takes_back.clone()).collect();
        let view = |one: StoredMovement| {
            let is_taken_back = taken.contains(&one.key);
            Self::of(one, is_taken_back)
        };
        movements.into_iter().map(view).collect()
    }
}

/// The whole ledger, the oldest entry first.
pub(super) async fn entries(State(app): Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    work(app, move |app| {
        let id = app.store.shop(id.shop()?)?.id;
        Ok(Json(EntryView::all(app.store.movements(id)?)).into_response())
    })
    .await
}

/// Adds an entry.
pub(super) async fn enter(State(app): Shared, id: Id, headers: HeaderMap, body: Body<NewEntryBody>) -> Answer {
    work(app, move |app| {
        let Json(body) = body?;
        let id = id.shop()?;
        let is_key = |letter: char| letter.is_ascii_alphanumeric() || "-._".contains(letter);
        if !(1..=64).contains(&body.key.len()) || !body.key.chars().all(is_key) {
            let words = "key: 1 to 64 letters, digits, and any of \"-._\"";
            return Err(WebError::field("key", words.to_owned()).into());
        }
        let there = format!("/api/shops/{id}/stock/entries/{}", body.key);
        // An entry that was kept before is answered as it was: the shop's revision moved on with it.
        let before = app.store.movements(id)?.iter().any(|one| one.key == body.key);
        let write = match body.plan_with_it && !before {
            true => Some(matched(&headers, app.store.shop(id)?.revision)?),
            false => None,
        };
        let typed = Typed { item: body.item, verb: body.verb, amount: body.amount, about: body.about };
        let new = entering::enter(app, id, &Given { key: Some(body.key.clone()), typed, write })?;
        let status = if new { StatusCode::CREATED } else { StatusCode::OK };
        Ok((status, [(LOCATION, there)], Json(view(app, id, &body.key)?)).into_response())
    })
    .await
}

/// An entry.
pub(super) async fn entry(State(app): Shared, Path((id, key)): Path<(String, String)>) -> Answer {
    work(app, move |app| Ok(Json(view(app, shop(&id)?, &key)?).into_response())).await
}

fn view(app: &crate::app::App, id: ShopId, key: &str) -> Result<EntryView, Problem> {
    app.store.shop(id)?;
    let all = EntryView::all(app.store.movements(id)?);
    Ok(all.into_iter().find(|one| one.key == key).ok_or(WebError::NotFound)?)
}

fn shop(id: &str) -> Result<ShopId, Problem> {
    Ok(crate::shop_routes::shop_id(id)?)
}

/// Takes an entry back, by another one, which it answers.
pub(super) async fn take_back(State(app): Shared, Path((id, key)): Path<(String, String)>) -> Answer {
    work(app, move |app| {
        let (back, _) = entering::take_back(app, shop(&id)?, &key)?;
        Ok(Json(EntryView::of(back, false)).into_response())
    })
    .await
}
