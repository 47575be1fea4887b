//! The page at the cabinet and its worker. Its logs go to `/api`.

use crate::assets;
use crate::compose;
use crate::pages;
use crate::pairing::rules::{Who, may};
use crate::routes::{Answer, Id, Shared};
use axum::extract::Extension;
use axum::http::Method;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Response};

/// The page. Somebody at this computer is not a `Who`, and may see all.
pub(crate) async fn cabinet(app: Shared, id: Id, who: Option<Extension<Who>>) -> Answer {
    app.0
        .work(move |app| {
            let id = id.piece()?;
            let question = app.question(id, &Vec::new())?;
            let plan = app.plan(&question)?;
            let back = who.is_none_or(|Extension(who)| may(who, &Method::GET, &format!("/piece/{id}")));
            Ok(Html(pages::cabinet(&compose::cabinet(&question, &plan, back))).into_response())
        })
        .await
}

/// The script that keeps the page when the connection is gone. It may only keep what lies below its own address.
pub(crate) async fn worker() -> Response {
    let script = assets::script("worker.js").unwrap_or_default();
    ([(CONTENT_TYPE, "text/javascript; charset=utf-8"), (CACHE_CONTROL, "no-cache")], script).into_response()
}
