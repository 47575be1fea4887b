//! Many names as one order: the page that asks, the order under way with its events, and what was made of it.

use crate::app::App;
use crate::compose;
use crate::error::WebError;
use crate::order_wish::{self, OrderWish};
use crate::orders::{Stands, Underway};
use crate::pages;
use crate::routes::{Answer, Id, Shared};
use crate::view::{Frame, OrderAsked, OrderPage, OrderStands, OrderedPage};
use artwork::batch::columns_of;
use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, Path, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use futures_util::stream::{Stream, unfold};
use language::{Language, say};
use serde::Serialize;
use std::convert::Infallible;
use std::sync::Arc;
use store::PieceId;
use tokio::sync::watch;

/// A table of names: five thousand rows are some hundred kilobytes.
pub(crate) const TABLE_MAX: usize = 4 * 1024 * 1024;
/// Letters of a table's name that are kept.
pub(crate) const NAME_MAX: usize = 80;

/// The page that asks.
pub(crate) async fn ask(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| page(app, id.piece()?, OrderAsked::default(), None)).await
}

fn page(app: &App, id: PieceId, asked: OrderAsked, fault: Option<String>) -> Result<Response, WebError> {
    let question = app.question(id, &Vec::new())?;
    let piece = format!("/piece/{id}");
    let made = app.orders.of(id).into_iter().rev().map(|one| {
        let words = say!("Order {number}: {table}", number = one.number, table = one.wish.name);
        (format!("{piece}/order/{}", one.number), words)
    });
    let made = made.collect();
    let status = if fault.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let page = OrderPage {
        frame: Frame { here: format!("{piece}/order"), ..app.frame(&question)? },
        name: question.stored.name.clone(),
        columns: columns_of(&question.stored.artwork).map_err(|fault| fault.to_string()),
        piece,
        asked,
        fault,
        made,
    };
    Ok((status, Html(pages::order(&page))).into_response())
}

/// Begins an order and leads to it.
pub(crate) async fn begin(State(app): Shared, id: Id, form: Multipart) -> Answer {
    let id = id.piece()?;
    let wish = sent(form).await?;
    let typed = wish.typed.clone();
    match order_wish::begin(&app, id, wish).await {
        Ok((order, _)) => Ok(Redirect::to(&format!("/piece/{id}/order/{}", order.number)).into_response()),
        Err(WebError::Field { words, .. }) => app.work(move |app| page(app, id, typed, Some(words))).await,
        Err(other) => Err(other),
    }
}

/// What a form sent.
async fn sent(mut form: Multipart) -> Result<OrderWish, WebError> {
    let mut wish = OrderWish::default();
    while let Some(field) = form.next_field().await.map_err(unread)? {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "names" {
            wish.name = field.file_name().unwrap_or_default().chars().take(NAME_MAX).collect();
            wish.table = field.bytes().await.map_err(unread)?.to_vec();
            continue;
        }
        let text = field.text().await.map_err(unread)?.trim().to_owned();
        match name.as_str() {
            "evening" => wish.typed.evening = text,
            "setup" => wish.typed.setup = text,
            "fit" => wish.typed.fit = text,
            "gap" => wish.typed.gap = text,
            "seconds" => wish.typed.seconds = text,
            _ => {}
        }
    }
    Ok(wish)
}

fn unread(fault: MultipartError) -> WebError {
    match fault.status() {
        StatusCode::PAYLOAD_TOO_LARGE => WebError::TooLarge,
        _ => WebError::Faulty(fault.body_text()),
    }
}

/// An order of a piece, as an address names it.
pub(crate) fn found(app: &App, id: &str, number: u64) -> Result<Arc<Underway>, WebError> {
    app.orders.find(Id::of(id)?, number).ok_or(WebError::NotFound)
}

/// An order as it stands.
pub(crate) async fn show(State(app): Shared, Path((id, number)): Path<(String, u64)>) -> Answer {
    let order = found(&app, &id, number)?;
    app.work(move |app| {
        let question = app.question(order.piece, &Vec::new())?;
        let piece = format!("/piece/{}", order.piece);
        let here = format!("{piece}/order/{number}");
        let stands = stands(&order.state.borrow().clone(), &here);
        let page = OrderedPage {
            frame: Frame { here: here.clone(), ..app.frame(&question)? },
            name: question.stored.name.clone(),
            piece,
            here,
            stands,
        };
        Ok(Html(pages::ordered(&page)).into_response())
    })
    .await
}

fn stands(state: &Stands, here: &str) -> OrderStands {
    match state {
        Stands::Waiting => OrderStands::Underway(compose::waiting().to_owned(), 0.0),
        Stands::At(step, share) => OrderStands::Underway(compose::step(*step), *share),
        Stands::Failed(why) => OrderStands::Failed(why.clone()),
        Stands::Done(made) => OrderStands::Made(compose::order_made(made, here)),
    }
}

/// Ends an order.
pub(crate) async fn cancel(State(app): Shared, Path((id, number)): Path<(String, u64)>) -> Answer {
    let order = found(&app, &id, number)?;
    order.cancel();
    Ok(Redirect::to(&format!("/piece/{}/order", order.piece)).into_response())
}

/// A file of an order. Sheets are looked at, the rest is taken away.
pub(crate) async fn file(
    State(app): Shared,
    Path((id, number, name)): Path<(String, u64, String)>,
) -> Result<Response, WebError> {
    let order = found(&app, &id, number)?;
    let Stands::Done(made) = order.state.borrow().clone() else { return Err(WebError::NotFound) };
    let file = made.files.iter().find(|file| file.name == name).ok_or(WebError::NotFound)?;
    let disposition = if file.kind == "image/svg+xml" { "inline" } else { "attachment" };
    let disposition = format!("{disposition}; filename=\"{name}\"");
    Ok(([(CONTENT_TYPE, file.kind), (CONTENT_DISPOSITION, disposition.as_str())], file.bytes.clone()).into_response())
}

/// What an event says.
#[derive(Serialize)]
struct Told {
    words: String,
    /// Share of all work that is done.
    share: f64,
    /// There is nothing more to wait for.
    over: bool,
}

/// How an order goes on, as server-sent events, until it is over.
pub(crate) async fn events(
    State(app): Shared,
    Path((id, number)): Path<(String, u64)>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, WebError> {
    let order = found(&app, &id, number)?;
    let (language, here) = (Language::current(), String::new());
    let stream = unfold(Some((order.state.subscribe(), true)), move |watched| {
        let here = here.clone();
        async move {
            let (mut watched, first) = watched?;
            if !first && watched.changed().await.is_err() {
                return None;
            }
            let told = language.scope(|| told(&mut watched, &here));
            let json = serde_json::to_string(&told).unwrap_or_default();
            Some((Ok(Event::default().event("at").data(json)), (!told.over).then_some((watched, false))))
        }
    });
    Ok(Sse::new(stream).keep_alive(KeepAlive::default()))
}

fn told(watched: &mut watch::Receiver<Stands>, here: &str) -> Told {
    match stands(&watched.borrow_and_update().clone(), here) {
        OrderStands::Underway(words, share) => Told { words, share, over: false },
        OrderStands::Failed(words) => Told { words, share: 1.0, over: true },
        OrderStands::Made(made) => Told { words: made.sentence, share: 1.0, over: true },
    }
}
