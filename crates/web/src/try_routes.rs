//! A recipe that is tried: planned coarsely at once, and in full when the hand rests.
//!
//! With script one request carries both as server-sent events. When a newer one takes its place the browser closes it,
//! and what was not begun is never begun.

use crate::app::App;
use crate::error::{WebError, plain};
use crate::form::Sent;
use crate::pages;
use crate::routes::{Id, Shared, faulty, value};
use axum::extract::{Form, State};
use axum::http::header::{ACCEPT, CONTENT_LOCATION};
use axum::http::{HeaderMap, StatusCode};
use axum::response::sse::{Event, Sse};
use axum::response::{Html, IntoResponse, Response};
use futures_util::stream::{Stream, unfold};
use language::Language;
use serde::Serialize;
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

/// Without a change for so long, the plan is made in full.
const REST: Duration = Duration::from_millis(350);

/// The parts of the page for a recipe that is tried.
pub(crate) async fn try_recipe(State(app): Shared, id: Id, headers: HeaderMap, Form(sent): Form<Sent>) -> Response {
    let streamed = headers.get(ACCEPT).is_some_and(|kinds| kinds.as_bytes().starts_with(b"text/event-stream"));
    if streamed {
        // The events are made after this function has answered, so they take the language along.
        return Sse::new(stream(app, id, sent, Language::current())).into_response();
    }
    let full = value(&sent, "full").is_some();
    match answer(&app, id, sent, full).await {
        Ok(Tried { status, address, html }) => (status, [(CONTENT_LOCATION, address)], Html(html)).into_response(),
        Err(error) => plain(&error),
    }
}

/// An answer to a try.
struct Tried {
    status: StatusCode,
    /// Where the page shows the same.
    address: String,
    html: String,
}

/// The same, as an event carries it.
#[derive(Serialize)]
struct Told {
    address: Option<String>,
    html: Option<String>,
    /// Why there is no answer.
    fault: Option<String>,
}

async fn answer(app: &Arc<App>, id: Id, mut sent: Sent, full: bool) -> Result<Tried, WebError> {
    if !full {
        sent.push(("quick".to_owned(), "1".to_owned()));
    }
    app.work(move |app| {
        let question = app.question(id.piece()?, &sent)?;
        let (status, html) = match &question.tried.piece {
            Ok(piece) => (StatusCode::OK, pages::parts(&app.parts(&question, piece))),
            Err(_) => (StatusCode::UNPROCESSABLE_ENTITY, pages::faulty(&faulty(&question))),
        };
        Ok(Tried { status, address: question.full_address(""), html })
    })
    .await
}

fn stream(app: Arc<App>, id: Id, sent: Sent, language: Language) -> impl Stream<Item = Result<Event, Infallible>> {
    unfold(Some(false), move |full| {
        let (app, id, sent) = (Arc::clone(&app), id.clone(), sent.clone());
        async move {
            let full = full?;
            if full {
                tokio::time::sleep(REST).await;
            }
            let answered = language.during(answer(&app, id, sent, full)).await;
            // What does not read is not asked again in full.
            let next = (!full && answered.as_ref().is_ok_and(|tried| tried.status == StatusCode::OK)).then_some(true);
            Some((Ok(event(answered, if full { "full" } else { "coarse" })), next))
        }
    })
}

fn event(answered: Result<Tried, WebError>, name: &str) -> Event {
    let told = match answered {
        Ok(Tried { status, address, html }) => {
            Told { address: (status == StatusCode::OK).then_some(address), html: Some(html), fault: None }
        }
        Err(fault) => Told { address: None, html: None, fault: Some(fault.to_string()) },
    };
    let json = serde_json::to_string(&told).unwrap_or_default();
    Event::default().event(name).data(json)
}
