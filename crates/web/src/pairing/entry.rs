//! The steps at the network's door, in order: not too often, who it is, whether they may, not too long.

use super::door::Peer;
use super::rules::{Who, may};
use super::{Role, session};
use crate::app::App;
use crate::error::WebError;
use axum::extract::{ConnectInfo, Request};
use axum::http::header::{ACCEPT, CACHE_CONTROL, ORIGIN, RETRY_AFTER};
use axum::http::request::Parts;
use axum::http::{HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Redirect, Response};
use language::say;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How long a request from the network may take, its body on the way too. A plan in a long queue takes seconds.
const LONGEST: Duration = Duration::from_secs(120);

/// Lets a request of another device through, or says why not.
pub(crate) async fn enter(app: &Arc<App>, request: Request, next: Next) -> Response {
    let (mut parts, body) = request.into_parts();
    let mut answer = match let_in(app, &mut parts).await {
        Err(refusal) => refusal,
        Ok(()) => match tokio::time::timeout(LONGEST, next.run(Request::from_parts(parts, body))).await {
            Ok(answer) => answer,
            Err(_) => {
                (StatusCode::REQUEST_TIMEOUT, say!("This took too long and was given up. Try again.\n")).into_response()
            }
        },
    };
    // A tablet goes from hand to hand: nothing stays behind unless its answer says so.
    answer.headers_mut().entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    answer
}

/// Notes in the request who asks: a page shows nobody a link that leads to a refusal.
async fn let_in(app: &Arc<App>, request: &mut Parts) -> Result<(), Response> {
    let who = admitted(app, request).await?;
    request.extensions.insert(who);
    Ok(())
}

async fn admitted(app: &Arc<App>, request: &Parts) -> Result<Who, Response> {
    let (method, path) = (&request.method, request.uri.path());
    let changes = !matches!(*method, Method::GET | Method::HEAD);
    // The guard has looked at the origin that is named; over the network one must be named.
    if changes && !request.headers.contains_key(ORIGIN) {
        let words = say!("A change must say which page it comes from.\n");
        return Err((StatusCode::FORBIDDEN, words).into_response());
    }
    let peer = request.extensions.get::<ConnectInfo<Peer>>().map(|ConnectInfo(peer)| peer.0.ip());
    let Some(peer) = peer else { return Err(WebError::Panicked.into_response()) };
    let limit = if method == Method::POST && path == "/enter" { &app.pairing.tries } else { &app.pairing.asks };
    if let Err(wait) = limit.take(peer, Instant::now()) {
        return Err(too_often(wait));
    }
    match session::who(app, &request.headers).await {
        Ok(who) if may(who, method, path) => Ok(who),
        Ok(who) => Err(turned_away(who, request)),
        Err(fault) => Err(fault.into_response()),
    }
}

fn too_often(wait: Duration) -> Response {
    let seconds = wait.as_secs_f64().ceil().max(1.0);
    let words = say!("This device asks too often. Wait {seconds} s.\n");
    (StatusCode::TOO_MANY_REQUESTS, [(RETRY_AFTER, seconds.to_string())], words).into_response()
}

/// Somebody who opens a page is led to where they may go; anything else is told.
fn turned_away(who: Who, request: &Parts) -> Response {
    let accepts = request.headers.get(ACCEPT).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let opens = request.method == Method::GET && accepts.contains("text/html");
    match who {
        Who::Paired(Role::Helper) if opens && request.uri.path() == "/" => Redirect::to("/cabinet").into_response(),
        Who::Paired(_) => WebError::NotAllowed.into_response(),
        Who::Nobody if opens => Redirect::to("/enter").into_response(),
        Who::Nobody => {
            (StatusCode::UNAUTHORIZED, say!("This device is not paired. Open /enter on it.\n")).into_response()
        }
    }
}
