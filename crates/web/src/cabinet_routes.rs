//! The page at the cabinet, its worker, and the logs that it sends.

use crate::assets;
use crate::compose;
use crate::error::{WebError, plain};
use crate::pages;
use crate::routes::{Answer, Id, Shared};
use crate::run_log::RunLog;
use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Response};

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

/// Keeps a log. The same log again is answered like the first time.
pub(crate) async fn log(app: Shared, id: Id, body: Result<Json<RunLog>, JsonRejection>) -> Response {
    let work = app.0.work(move |app| {
        let Json(log) = body.map_err(|fault| WebError::Faulty(fault.body_text()))?;
        log.check().map_err(WebError::Faulty)?;
        app.store.save_run(id.piece()?, &log.key, &serde_json::to_string(&log)?)?;
        Ok(StatusCode::NO_CONTENT.into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}
