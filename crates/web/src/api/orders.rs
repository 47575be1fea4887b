//! Orders of many names, for programs: begun once under their key, followed, cancelled, their files fetched.

use super::routes::{Answer, Body, work};
use super::types::FileView;
use crate::compose;
use crate::error::WebError;
use crate::order_routes::{NAME_MAX, found};
use crate::order_wish::{self, OrderWish};
use crate::orders::{Ordered, Stands, Underway};
use crate::routes::{Id, Shared};
use crate::view::OrderAsked;
use ::batch::document::OrderDocument;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::IntoResponse as _;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// An order to be begun.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewOrderBody {
    /// Made by who sends it: the same order sent twice is begun once, as long as it is kept.
    #[schemars(length(min = 1, max = 64))]
    pub key: String,
    /// What the table is called in lists, such as "guests.csv".
    #[serde(default)]
    #[schemars(length(max = 80))]
    pub table: String,
    /// The table itself, as comma-separated values (RFC 4180); its first row names the columns.
    pub names: String,
    /// How long an evening is, such as "3h", which it also is when it is left out.
    pub evening: Option<String>,
    /// How long it takes to mask and wash one of many, such as "2min"; left out: the shop's time for one.
    pub setup: Option<String>,
    /// Texts that shrink to a width.
    #[serde(default)]
    pub fit: Vec<FitBody>,
    /// Least distance of two on the sheet; left out: "2mm".
    pub gap: Option<String>,
    /// How long better layouts are looked for, all evenings together; left out: 10.
    #[schemars(range(min = 0.0, max = 600.0))]
    pub layouts_s: Option<f64>,
}

/// A column whose text shrinks to a width.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct FitBody {
    /// Its name, without comma and equals sign.
    #[schemars(regex(pattern = "^[^,=]+$"))]
    pub column: String,
    /// Such as "60mm".
    pub width: String,
}

/// An order as it stands. The latest six of the program's run are kept, in memory.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct OrderView {
    /// Its number.
    pub number: u64,
    /// The key under which it was begun; null for one that a form began.
    pub key: Option<String>,
    /// What its table is called.
    pub table: String,
    /// "waiting", "under_way", "made", "failed" or "cancelled"; the last three are final.
    #[schemars(extend("enum" = ["waiting", "under_way", "made", "failed", "cancelled"]))]
    pub state: &'static str,
    /// What is done now; why it failed; what was made.
    pub words: String,
    /// Share of all work that is done.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub share: f64,
    /// Where it stands.
    pub href: String,
    /// Where its page stands.
    pub page: String,
    /// Where it tells of its progress, as server-sent events, until it is over.
    pub events: String,
    /// What was made, row by row; null before that.
    #[schemars(with = "Option<OrderDocument>")]
    pub order: Option<Value>,
    /// What was made, to be fetched; none before that.
    pub files: Vec<FileView>,
}

impl OrderView {
    fn new(order: &Underway) -> Self {
        let page = format!("/piece/{}/order/{}", order.piece, order.number);
        let (state, words, share, made) = match order.state.borrow().clone() {
            Stands::Waiting => ("waiting", compose::waiting().to_owned(), 0.0, None),
            Stands::At(step, share) => ("under_way", compose::step(step), share.clamp(0.0, 1.0), None),
            Stands::Failed(why) if order.is_cancelled() => ("cancelled", why, 1.0, None),
            Stands::Failed(why) => ("failed", why, 1.0, None),
            Stands::Done(made) => ("made", compose::order_made(&made, &page).sentence, 1.0, Some(made)),
        };
        Self {
            number: order.number,
            key: order.wish.key.clone(),
            table: order.wish.name.clone(),
            state,
            words,
            share,
            href: format!("/api/pieces/{}/orders/{}", order.piece, order.number),
            events: format!("{page}/events"),
            order: made.as_ref().and_then(|made| serde_json::to_value(&made.document).ok()),
            files: made.as_deref().map_or_else(Vec::new, |made| files(made, &page)),
            page,
        }
    }
}

fn files(made: &Ordered, page: &str) -> Vec<FileView> {
    let view = |(href, name, what): (String, String, &'static str)| FileView { name, what: what.to_owned(), href };
    compose::order_made(made, page).files.into_iter().map(view).collect()
}

/// Orders of a piece, the oldest first.
pub(super) async fn orders(State(app): Shared, id: Id) -> Answer {
    work(app, move |app| {
        let id = app.store.piece(id.piece()?)?.id;
        let views: Vec<_> = app.orders.of(id).iter().map(|order| OrderView::new(order)).collect();
        Ok(Json(views).into_response())
    })
    .await
}

/// Begins an order.
pub(super) async fn begin(State(app): Shared, id: Id, body: Body<NewOrderBody>) -> Answer {
    let Json(body) = body?;
    let (order, new) = order_wish::begin(&app, id.piece()?, wish(body)?).await?;
    let view = OrderView::new(&order);
    let status = if new { StatusCode::ACCEPTED } else { StatusCode::OK };
    Ok((status, [(LOCATION, view.href.clone())], Json(view)).into_response())
}

fn wish(body: NewOrderBody) -> Result<OrderWish, WebError> {
    if !(1..=64).contains(&body.key.chars().count()) {
        return Err(WebError::field("key", "key: 1 to 64 letters".to_owned()));
    }
    let mut fits = Vec::new();
    for FitBody { column, width } in body.fit {
        if column.trim().is_empty() || column.contains([',', '=']) {
            let words = format!("fit: a column has a name without comma and equals sign, not \"{column}\"");
            return Err(WebError::field("fit", words));
        }
        // A width in German has a comma; in the list of all a comma parts one from the next.
        fits.push(match width.trim() {
            "" => column,
            width => format!("{column}={}", width.replace(',', ".")),
        });
    }
    let usual = OrderAsked::default();
    Ok(OrderWish {
        key: Some(body.key),
        name: body.table.chars().take(NAME_MAX).collect(),
        table: body.names.into_bytes(),
        typed: OrderAsked {
            evening: body.evening.unwrap_or(usual.evening),
            setup: body.setup.unwrap_or(usual.setup),
            fit: fits.join(", "),
            gap: body.gap.unwrap_or(usual.gap),
            seconds: body.layouts_s.map_or(usual.seconds, |seconds| seconds.to_string()),
        },
    })
}

/// An order.
pub(super) async fn order(State(app): Shared, Path((id, number)): Path<(String, String)>) -> Answer {
    let order = found(&app, &id, counted(&number)?)?;
    Ok(Json(OrderView::new(&order)).into_response())
}

fn counted(number: &str) -> Result<u64, WebError> {
    number.parse().map_err(|_| WebError::NotFound)
}

/// Ends an order; one that is over stays as it is.
pub(super) async fn cancel(State(app): Shared, Path((id, number)): Path<(String, String)>) -> Answer {
    let order = found(&app, &id, counted(&number)?)?;
    order.cancel();
    Ok(Json(OrderView::new(&order)).into_response())
}
