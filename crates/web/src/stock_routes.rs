//! What a shop has left: the page, what is entered on it, and the ledger as a table.

use crate::app::App;
use crate::compose;
use crate::error::WebError;
use crate::form::Sent;
use crate::ledger::{self, began_key, entries};
use crate::pages;
use crate::routes::{Answer, Id, Shared, frame_of, units_setting, value};
use crate::shop_routes::save;
use crate::view::{Frame, StockPage, Typed};
use axum::extract::{Form, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::say;
use piece::Shop;
use plan::drawn::{Draws, draws};
use quantity::parse::parse;
use quantity::{Area, Diameter, Length, Mass, Quantity as _};
use stock::{Entry, Item, Measure, Verb};
use store::{NewMovement, ShopId, StoredMovement, StoredShop};

/// The page.
pub(crate) async fn stock(State(app): Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.work(move |app| page(app, id.shop()?, None, Typed::default())).await
}

/// Enters what was bought, counted, gauged or renewed.
pub(crate) async fn enter(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let id = id.shop()?;
        let typed = typed(&sent);
        let known = Known::new(app, id)?;
        match Entered::read(&known.shop, &typed) {
            Ok(entered) => {
                known.keep(app, &entered, &typed, &sent)?;
                Ok(Redirect::to(&format!("/shop/{id}/stock")).into_response())
            }
            Err(fault) => page(app, id, Some(fault), typed),
        }
    })
    .await
}

/// Takes an entry back, by another entry.
pub(crate) async fn take_back(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let id = id.shop()?;
        let key = value(&sent, "key").ok_or(WebError::NotFound)?;
        let of = app.store.movements(id)?.into_iter().find(|one| one.key == key).ok_or(WebError::NotFound)?;
        // The same entry is taken back once, however often it is asked for.
        let own = format!("back {key}");
        let back = NewMovement {
            key: Some(&own),
            item: &of.item,
            verb: Verb::TakenBack.word(),
            unit: &of.unit,
            takes_back: Some(key),
            ..NewMovement::default()
        };
        app.store.record(id, &[back])?;
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

fn typed(sent: &Sent) -> Typed {
    let text = |name: &str| value(sent, name).unwrap_or_default().trim().to_owned();
    Typed { item: text("item"), verb: text("verb"), amount: text("amount"), about: text("about") }
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

    /// Adds an entry; a gauged bore goes into the shop's file where that was asked for.
    fn keep(&self, app: &App, entered: &Entered, typed: &Typed, sent: &Sent) -> Result<(), WebError> {
        let about: String = typed.about.chars().take(ABOUT_MAX).collect();
        let new = NewMovement {
            item: &typed.item,
            verb: entered.verb.word(),
            amount: [entered.amount; 3],
            unit: entered.verb.unit(entered.item.measure()),
            about: &about,
            ..NewMovement::default()
        };
        if let (Item::Nozzle(name), Some("1")) = (&entered.item, value(sent, "write")) {
            let text = with_bore(&self.stored.shop_toml, name, Diameter::clamped(entered.amount));
            piece::read_shop(&text, "shop.toml").map_err(|faults| WebError::Faulty(faults.to_string()))?;
            save(app, &self.stored, sent, &text)?;
        }
        let nozzle = self.shop.nozzles.iter().find(|nozzle| Item::Nozzle(nozzle.name.clone()) == entered.item);
        let key = nozzle.map(|nozzle| began_key(&nozzle.name));
        let began = nozzle.map(|nozzle| NewMovement {
            key: key.as_deref(),
            verb: Verb::Began.word(),
            amount: [nozzle.bore.to_base(); 3],
            about: "",
            ..new
        });
        app.store.record(self.stored.id, &began.into_iter().chain([new]).collect::<Vec<_>>())?;
        Ok(())
    }
}

/// Letters of a note that are kept.
const ABOUT_MAX: usize = 200;

/// The shop's file with another bore of a nozzle.
fn with_bore(shop_toml: &str, name: &str, bore: Diameter) -> String {
    let mut table: toml::Table = toml::from_str(shop_toml).unwrap_or_default();
    let nozzles = table.get_mut("nozzle").and_then(toml::Value::as_array_mut).into_iter().flatten();
    let named = |nozzle: &&mut toml::Value| nozzle.get("name").and_then(toml::Value::as_str) == Some(name);
    if let Some(nozzle) = nozzles.into_iter().find(named).and_then(toml::Value::as_table_mut) {
        nozzle.insert("bore".to_owned(), toml::Value::from(quantity::schema::written(bore)));
    }
    toml::to_string(&table).unwrap_or_default()
}

/// What somebody entered.
struct Entered {
    item: Item,
    verb: Verb,
    /// In the item's own unit.
    amount: f64,
}

impl Entered {
    /// Reads an entry: what is wrong with it, in words.
    fn read(shop: &Shop, typed: &Typed) -> Result<Self, String> {
        let item = Item::of_key(&typed.item).ok_or_else(|| say!("Choose what it is of.").to_owned())?;
        let verb = Verb::of(&typed.verb).map_err(|fault| fault.to_string())?;
        let amount = match item.measure() {
            Measure::Mass => parse::<Mass>(&typed.amount).map(Mass::to_base).map_err(|fault| fault.to_string())?,
            Measure::Area => area(shop, &item, &typed.amount)?,
            Measure::Wear => {
                parse::<Diameter>(&typed.amount).map(Diameter::to_base).map_err(|fault| fault.to_string())?
            }
        };
        let by_hand = !matches!(verb, Verb::Drawn | Verb::Open | Verb::Began | Verb::TakenBack);
        let fits = Entry {
            id: 0,
            item: typed.item.clone(),
            verb,
            amount: [amount; 3],
            abrasive: None,
            at_utc: String::new(),
            takes_back: None,
        };
        fits.check().map_err(|fault| fault.to_string())?;
        if by_hand { Ok(Self { item, verb, amount }) } else { Err(say!("A run is entered by its log.").to_owned()) }
    }
}

/// An area as such, or as a length of the roll.
fn area(shop: &Shop, item: &Item, text: &str) -> Result<f64, String> {
    let fault = match parse::<Area>(text) {
        Ok(area) => return Ok(area.to_base()),
        Err(fault) => fault,
    };
    let Ok(length) = parse::<Length>(text) else { return Err(fault.to_string()) };
    let roll = |stock: &&piece::StockedResist| *item == Item::Resist(stock.resist.id.clone());
    match shop.resists.iter().find(roll) {
        Some(roll) => Ok(length.to_base() * roll.width.to_base()),
        None => Err(say!("Give an area, such as \"5m2\": the width of this roll is not known.").to_owned()),
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
