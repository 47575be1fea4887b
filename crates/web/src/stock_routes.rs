//! What a shop has left: the page, what is entered on it, and the ledger as a table.

use crate::app::App;
use crate::compose;
use crate::entering::{self, Given};
use crate::error::WebError;
use crate::form::Sent;
use crate::ledger::{self, entries};
use crate::pages;
use crate::routes::{Answer, Id, Shared, frame_of, units_setting, value};
use crate::view::{Frame, StockPage, Typed};
use axum::extract::{Form, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::say;
use piece::Shop;
use plan::drawn::{Draws, draws};
use stock::Entry;
use store::{ShopId, StoredMovement, StoredShop};

/// The page.
pub(crate) async fn stock(State(app): Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.work(move |app| page(app, id.shop()?, None, Typed::default())).await
}

/// Enters what was bought, counted, gauged or renewed.
pub(crate) async fn enter(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let id = id.shop()?;
        let given = given(&sent);
        match entering::enter(app, id, &given) {
            Ok(_) => Ok(Redirect::to(&format!("/shop/{id}/stock")).into_response()),
            Err(WebError::Field { words, .. }) => page(app, id, Some(words), given.typed),
            Err(other) => Err(other),
        }
    })
    .await
}

fn given(sent: &Sent) -> Given {
    let text = |name: &str| value(sent, name).unwrap_or_default().trim().to_owned();
    let typed = Typed { item: text("item"), verb: text("verb"), amount: text("amount"), about: text("about") };
    let revision = value(sent, "revision").and_then(|number| number.parse().ok()).unwrap_or(0);
    Given { key: None, typed, write: (value(sent, "write") == Some("1")).then_some(revision) }
}

/// Takes an entry back, by another entry.
pub(crate) async fn take_back(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let id = id.shop()?;
        entering::take_back(app, id, value(&sent, "key").ok_or(WebError::NotFound)?)?;
        Ok(Redirect::to(&format!("/shop/{id}/stock#ledger")).into_response())
    })
    .await
}

/// The whole ledger as comma-separated values.
pub(crate) async fn ledger_csv(State(app): Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.work(move |app| {
        let mut rows = csv::Writer::from_writer(Vec::new());
        let unwritten = |fault: csv::Error| WebError::Faulty(fault.to_string());
        let head = ["at_utc", "item", "verb", "low", "mid", "high", "unit", "about", "piece", "key", "takes_back"];
        rows.write_record(head).map_err(unwritten)?;
        for one in app.store.movements(id.shop()?)? {
            rows.write_record(record(&one)).map_err(unwritten)?;
        }
        let csv = rows.into_inner().map_err(|fault| WebError::Faulty(fault.to_string()))?;
        let attached = "attachment; filename=\"stock.csv\"";
        Ok(([(CONTENT_TYPE, "text/csv; charset=utf-8"), (CONTENT_DISPOSITION, attached)], csv).into_response())
    })
    .await
}

fn record(one: &StoredMovement) -> [String; 11] {
    let [low, mid, high] = one.amount.map(|amount| amount.to_string());
    let piece = one.piece.as_ref().map(|(_, name)| name.clone()).unwrap_or_default();
    let takes_back = one.takes_back.clone().unwrap_or_default();
    let (verb, unit, about) = (one.verb.clone(), one.unit.clone(), one.about.clone());
    [one.at_utc.clone(), one.item.clone(), verb, low, mid, high, unit, about, piece, one.key.clone(), takes_back]
}

/// A shop with its ledger.
pub(crate) struct Known {
    pub stored: StoredShop,
    pub shop: Shop,
    pub movements: Vec<StoredMovement>,
    pub entries: Vec<Entry>,
}

impl Known {
    pub(crate) fn new(app: &App, id: ShopId) -> Result<Self, WebError> {
        let stored = app.store.shop(id)?;
        let mut shop = piece::read_shop(&stored.shop_toml, "shop.toml").map_err(crate::Unreadable::from)?;
        shop.units = units_setting(app)?.unwrap_or(shop.units);
        let movements = app.store.movements(id)?;
        let entries = entries(&movements);
        Ok(Self { stored, shop, movements, entries })
    }
}

/// Pieces for which it is said how many of them the stock still does.
const PIECES: usize = 5;

/// What one of each of the latest pieces at hand draws; those that cannot be planned are left out.
fn of_pieces(app: &App, id: ShopId, shop: &Shop) -> Result<Vec<(String, Draws)>, WebError> {
    let quick = vec![("quick".to_owned(), "1".to_owned())];
    let at_hand = app.store.pieces()?.into_iter().rev().filter(|piece| piece.shop == id && !piece.away).take(PIECES);
    let of = |piece: store::Listed| {
        let question = app.question(piece.id, &quick).ok()?;
        let plan = app.plan(&question).ok()?;
        Some((piece.name, draws(&plan, shop, None)))
    };
    Ok(at_hand.filter_map(of).collect())
}

fn page(app: &App, id: ShopId, fault: Option<String>, typed: Typed) -> Result<Response, WebError> {
    let known = Known::new(app, id)?;
    let status = if fault.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let address = format!("/shop/{id}");
    let untold = untold(app, &known, id)?;
    let page = StockPage {
        frame: Frame {
            shop: known.shop.name.clone(),
            shop_href: Some(address.clone()),
            units: known.shop.units,
            here: format!("{address}/stock"),
            ..frame_of(app, &say!("What {shop} has left", shop = known.shop.name), None)?
        },
        name: known.shop.name.clone(),
        shop: address,
        revision: known.stored.revision,
        fault,
        typed,
        untold,
        ..compose::stock(&known.shop, &known.entries, &known.movements, &of_pieces(app, id, &known.shop)?)
    };
    Ok((status, Html(pages::stock(&page))).into_response())
}

/// Logs that came since the ledger was begun and drew nothing.
fn untold(app: &App, known: &Known, id: ShopId) -> Result<Option<String>, WebError> {
    let Some(begun) = known.movements.iter().map(|one| one.at_utc.as_str()).min() else { return Ok(None) };
    let mut count = 0_usize;
    for piece in app.store.pieces()?.into_iter().filter(|piece| piece.shop == id) {
        let runs = app.store.runs(piece.id)?;
        count += runs.iter().filter(|run| run.told.is_none() && run.received_utc.as_str() >= begun).count();
    }
    Ok((count > 0).then(|| compose::untold(count)))
}
