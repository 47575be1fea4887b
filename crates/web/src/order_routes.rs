//! Many names as one order: the page that asks, the order under way with its events, and what was made of it.

use crate::app::App;
use crate::compose;
use crate::error::WebError;
use crate::orders::{Asked, Stands, Underway};
use crate::pages;
use crate::routes::{Answer, Id, Shared};
use crate::view::{Frame, OrderAsked, OrderPage, OrderStands, OrderedPage};
use ::batch::{EveningOptions, NestWish, OrderOptions};
use artwork::batch::{Fit, columns_of};
use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, Path, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use futures_util::stream::{Stream, unfold};
use language::{Language, say};
use quantity::parse::parse;
use quantity::{Length, Quantity, Time, known};
use serde::Serialize;
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;
use stencil::nest::NestOptions;
use store::PieceId;
use tokio::sync::watch;

/// A table of names: five thousand rows are some hundred kilobytes.
pub(crate) const TABLE_MAX: usize = 4 * 1024 * 1024;
/// Least share of its size that a text may be shrunk to, as on the command line.
const LEAST_SCALE: f64 = 0.6;
/// Distance of pieces from the roll's edges, and resist left around each drawing.
pub(crate) const EDGE: Length = known(Length::mm(3.0));
const BORDER: Length = known(Length::mm(5.0));
/// Longest that better layouts are looked for.
const NESTING_MAX: f64 = 600.0;

impl Default for OrderAsked {
    fn default() -> Self {
        let text = str::to_owned;
        Self { evening: text("3h"), setup: String::new(), fit: String::new(), gap: text("2mm"), seconds: text("10") }
    }
}

/// The page that asks.
pub(crate) async fn ask(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| page(app, id.piece()?, OrderAsked::default(), None)).await
}

fn page(app: &App, id: PieceId, asked: OrderAsked, fault: Option<String>) -> Result<Response, WebError> {
    let question = app.question(id, &Vec::new())?;
    let piece = format!("/piece/{id}");
    let made = app.orders.of(id).into_iter().rev().map(|one| {
        let words = say!("Order {number}: {table}", number = one.number, table = one.table);
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
    let sent = Sent::read(form).await?;
    let asked = match sent.asked() {
        Ok(asked) => asked,
        Err(fault) => return app.work(move |app| page(app, id, sent.typed, Some(fault))).await,
    };
    app.work(move |app| Ok(app.store.piece(id)?)).await?;
    let order = app.orders.begin(id, sent.name);
    let there = format!("/piece/{id}/order/{}", order.number);
    // The work outlives this answer, and goes on in its language.
    tokio::spawn(Language::current().during(order.run(app, asked)));
    Ok(Redirect::to(&there).into_response())
}

/// What a form sent.
#[derive(Default)]
struct Sent {
    typed: OrderAsked,
    table: Vec<u8>,
    /// The table's file name.
    name: String,
}

impl Sent {
    async fn read(mut form: Multipart) -> Result<Self, WebError> {
        let mut sent = Self::default();
        while let Some(field) = form.next_field().await.map_err(unread)? {
            let name = field.name().unwrap_or_default().to_owned();
            if name == "names" {
                sent.name = field.file_name().unwrap_or_default().chars().take(80).collect();
                sent.table = field.bytes().await.map_err(unread)?.to_vec();
                continue;
            }
            let text = field.text().await.map_err(unread)?.trim().to_owned();
            match name.as_str() {
                "evening" => sent.typed.evening = text,
                "setup" => sent.typed.setup = text,
                "fit" => sent.typed.fit = text,
                "gap" => sent.typed.gap = text,
                "seconds" => sent.typed.seconds = text,
                _ => {}
            }
        }
        Ok(sent)
    }

    /// Reads what was typed: what is wrong with it, in words.
    fn asked(&self) -> Result<Asked, String> {
        if self.table.is_empty() {
            return Err(say!("Choose a table of names, a .csv file.").to_owned());
        }
        let typed = &self.typed;
        let length: Time = read(say!("The evening"), &typed.evening)?;
        let setup = match typed.setup.is_empty() {
            true => None,
            false => Some(read(say!("Mask and wash one"), &typed.setup)?),
        };
        let gap = read(say!("Gap"), &typed.gap)?;
        let seconds =
            typed.seconds.replace(',', ".").parse::<f64>().ok().filter(|seconds| (0.0..=NESTING_MAX).contains(seconds));
        let seconds = seconds.ok_or_else(|| say!("Look for layouts: give seconds, 0 to 600.").to_owned())?;
        let workers = std::thread::available_parallelism().map_or(1, Into::into);
        Ok(Asked {
            table: self.table.clone(),
            options: OrderOptions {
                evenings: EveningOptions { length, setup },
                nest: NestWish { border: BORDER, options: NestOptions { gap, edge: EDGE, seed: 1, workers } },
                fits: fits(&typed.fit)?,
            },
            nesting: Duration::from_secs_f64(seconds),
        })
    }
}

fn read<Q: Quantity>(what: &str, text: &str) -> Result<Q, String> {
    parse(text).map_err(|fault| format!("{what}: {fault}"))
}

/// Columns with the width that their text may have: "name=60mm, guest=40mm".
fn fits(text: &str) -> Result<Vec<Fit>, String> {
    let fit = |part: &str| {
        let (column, width) = part
            .split_once('=')
            .ok_or_else(|| say!("Fit: write the column and its width, such as name=60mm.").to_owned())?;
        Ok(Fit { column: column.trim().to_owned(), width: read(say!("Fit"), width.trim())?, least_scale: LEAST_SCALE })
    };
    text.split(',').map(str::trim).filter(|part| !part.is_empty()).map(fit).collect()
}

fn unread(fault: MultipartError) -> WebError {
    match fault.status() {
        StatusCode::PAYLOAD_TOO_LARGE => WebError::TooLarge,
        _ => WebError::Faulty(fault.body_text()),
    }
}

fn found(app: &App, id: &str, number: u64) -> Result<Arc<Underway>, WebError> {
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
