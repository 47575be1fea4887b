//! The page at the cabinet, its worker, and the logs that it sends.

use crate::assets;
use crate::compose;
use crate::error::{WebError, plain};
use crate::pages;
use crate::routes::{Answer, Id, Shared};
use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Response};
use serde::{Deserialize, Serialize};

/// The page.
pub(crate) async fn cabinet(app: Shared, id: Id) -> Answer {
    app.0
        .work(move |app| {
            let question = app.question(id.piece()?, &Vec::new())?;
            let plan = app.plan(&question)?;
            Ok(Html(pages::cabinet(&compose::cabinet(&question, &plan))).into_response())
        })
        .await
}

/// The script that keeps the page when the connection is gone. It may only keep what lies below its own address.
pub(crate) async fn worker() -> Response {
    let script = assets::script("worker.js").unwrap_or_default();
    ([(CONTENT_TYPE, "text/javascript; charset=utf-8"), (CACHE_CONTROL, "no-cache")], script).into_response()
}

/// What was done at the cabinet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RunLog {
    /// Made by the tablet, so that a log sent twice is kept once.
    pub key: String,
    /// ISO 8601, by the tablet's clock.
    pub started_utc: String,
    /// ISO 8601, by the tablet's clock.
    pub ended_utc: String,
    /// In the order of the work.
    pub stages: Vec<StageLog>,
    /// In the order in which they came.
    pub events: Vec<EventLog>,
    /// What was gauged; a layer that was not is left out.
    pub depths: Vec<DepthLog>,
    /// "sound" or "failed"; null when nobody looked.
    pub resist: Option<String>,
}

/// One stage as it was blasted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StageLog {
    pub stage: usize,
    pub blast_s: f64,
    pub rest_s: f64,
}

/// Something that went wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct EventLog {
    pub at_utc: String,
    pub stage: usize,
    pub what: String,
}

/// A depth that was gauged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct DepthLog {
    pub layer: String,
    pub depth_mm: f64,
}

/// Keeps a log. The same log again is answered like the first time.
pub(crate) async fn log(app: Shared, id: Id, body: Result<Json<RunLog>, JsonRejection>) -> Response {
    let work = app.0.work(move |app| {
        let Json(log) = body.map_err(|fault| WebError::Faulty(fault.body_text()))?;
        sound(&log)?;
        app.store.save_run(id.piece()?, &log.key, &serde_json::to_string(&log)?)?;
        Ok(StatusCode::NO_CONTENT.into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// Longest text and list in a log; a tablet of ours stays far below.
const WORD_MAX: usize = 64;
const ROWS_MAX: usize = 500;

fn sound(log: &RunLog) -> Result<(), WebError> {
    let words = [&log.key, &log.started_utc, &log.ended_utc].into_iter().chain(&log.resist);
    let words = words.chain(log.events.iter().flat_map(|event| [&event.at_utc, &event.what]));
    let rows = [log.stages.len(), log.events.len(), log.depths.len()];
    let seconds = log.stages.iter().flat_map(|stage| [stage.blast_s, stage.rest_s]);
    let numbers = seconds.chain(log.depths.iter().map(|depth| depth.depth_mm));
    let fault = |what: &str| Err(WebError::Faulty(format!("the log's {what}; nothing was kept")));
    if log.key.is_empty() || words.into_iter().any(|word| word.len() > WORD_MAX) {
        return fault("key is missing or a word is longer than 64 characters");
    }
    if rows.into_iter().any(|rows| rows > ROWS_MAX) {
        return fault("lists have more than 500 rows");
    }
    match numbers.into_iter().all(|number| (0.0..1e6).contains(&number)) {
        true => Ok(()),
        false => fault("times and depths must be 0 or more"),
    }
}
