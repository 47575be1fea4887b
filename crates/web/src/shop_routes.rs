//! The shop's addresses: the line shown, tried, kept, lengthened and shortened.

use crate::app::App;
use crate::compose;
use crate::error::{WebError, plain};
use crate::form::Sent;
use crate::pages;
use crate::routes::{Answer, Shared, frame_of, units_setting, value};
use crate::shop_form::{TriedShop, try_shop, with_part, without_part};
use crate::stock_routes::Known;
use crate::view::{Frame, ShopPage, ShopParts, WhatIf};
use air::map::RunMap;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_LOCATION;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::say;
use piece::{Shop, ShopStation};
use plan::line_answer::{LineAnswer, Look, ask, what_runs, widest};
use plan::network::stations;
use quantity::{GaugePressure, Quantity, Time, known};
use std::sync::Arc;
use store::{ShopId, StoreError, StoredShop};

/// The shop page, of what is kept or of what the address tries.
pub(crate) async fn shop(State(app): Shared, Path(id): Path<String>, Query(sent): Query<Sent>) -> Answer {
    page(app, id, sent, StatusCode::OK).await
}

/// The parts of the page for a line that is tried.
pub(crate) async fn try_line(State(app): Shared, Path(id): Path<String>, Form(sent): Form<Sent>) -> Response {
    let work = app.work(move |app| {
        let asked = Asked::new(app, &id, &sent)?;
        let parts = asked.parts();
        let status = if asked.tried.shop.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        Ok((status, [(CONTENT_LOCATION, asked.address_with())], Html(pages::shop_parts(&parts))).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// Keeps a tried line as a new revision.
pub(crate) async fn keep(State(app): Shared, Path(id): Path<String>, Form(sent): Form<Sent>) -> Answer {
    let (asked_id, given) = (id.clone(), sent.clone());
    let kept = app.work(move |app| {
        let asked = Asked::new(app, &asked_id, &sent)?;
        if asked.tried.shop.is_err() {
            return Ok(false);
        }
        save(app, &asked.stored, &sent, &asked.tried.text)?;
        Ok(true)
    });
    match kept.await? {
        true => Ok(Redirect::to(&format!("/shop/{id}")).into_response()),
        false => page(app, id, given, StatusCode::UNPROCESSABLE_ENTITY).await,
    }
}

/// Adds a part after another.
pub(crate) async fn add(State(app): Shared, Path(id): Path<String>, Form(sent): Form<Sent>) -> Answer {
    change(app, id, sent, |kept, sent| {
        with_part(kept, value(sent, "kind").unwrap_or_default(), value(sent, "after").unwrap_or_default())
    })
    .await
}

/// Takes one of the further parts away.
pub(crate) async fn remove(
    State(app): Shared,
    Path((id, part)): Path<(String, usize)>,
    Form(sent): Form<Sent>,
) -> Answer {
    change(app, id, sent, move |kept, _| without_part(kept, part)).await
}

async fn change(
    app: Arc<App>,
    id: String,
    sent: Sent,
    make: impl FnOnce(&str, &Sent) -> String + Send + 'static,
) -> Answer {
    let there = format!("/shop/{id}");
    app.work(move |app| {
        let stored = app.store.shop(shop_id(&id)?)?;
        let text = make(&stored.shop_toml, &sent);
        piece::read_shop(&text, "shop.toml").map_err(|complaints| WebError::Faulty(complaints.to_string()))?;
        save(app, &stored, &sent, &text)
    })
    .await?;
    Ok(Redirect::to(&there).into_response())
}

pub(crate) fn save(app: &App, stored: &StoredShop, sent: &Sent, text: &str) -> Result<(), WebError> {
    let read: Option<u32> = value(sent, "revision").and_then(|number| number.parse().ok());
    match app.store.update_shop(stored.id, read.unwrap_or(0), text) {
        Ok(_) => Ok(()),
        Err(fault @ StoreError::Conflict { .. }) => Err(fault.into()),
        Err(other) => Err(other.into()),
    }
}

pub(crate) fn shop_id(id: &str) -> Result<ShopId, WebError> {
    id.parse().map(ShopId).map_err(|_| WebError::NotFound)
}

async fn page(app: Arc<App>, id: String, sent: Sent, status: StatusCode) -> Answer {
    app.work(move |app| {
        let asked = Asked::new(app, &id, &sent)?;
        let known = Known::new(app, asked.stored.id)?;
        let page = ShopPage {
            due: compose::due(&known.shop, &known.entries, &known.movements),
            frame: asked.frame(app)?,
            name: asked.tried.file.name.clone(),
            facts: say!("Every value is written with its unit: \"460 l/min\" and \"16 cfm\" both do.").to_owned(),
            parts: asked.parts(),
        };
        Ok((status, Html(pages::shop(&page))).into_response())
    })
    .await
}

/// A shop with what was sent over it, and what is asked of its line.
struct Asked {
    stored: StoredShop,
    tried: TriedShop,
    stations: Vec<ShopStation>,
    what_if: WhatIf,
    sent: Sent,
}

impl Asked {
    fn new(app: &App, id: &str, sent: &Sent) -> Result<Self, WebError> {
        let stored = app.store.shop(shop_id(id)?)?;
        let mut tried = try_shop(&stored.shop_toml, sent).map_err(crate::Unreadable::from)?;
        if let (Ok(shop), Some(units)) = (&mut tried.shop, units_setting(app)?) {
            shop.units = units;
        }
        let kept = piece::read_shop(&stored.shop_toml, "shop.toml").map_err(crate::Unreadable::from)?;
        let (stations, what_if) = asked_stations(tried.shop.as_ref().unwrap_or(&kept), sent);
        Ok(Self { stored, tried, stations, what_if, sent: sent.clone() })
    }

    fn address(&self) -> String {
        format!("/shop/{}", self.stored.id)
    }

    /// The address with what is tried and asked.
    fn address_with(&self) -> String {
        let asked = self.sent.iter().filter(|(name, _)| name.starts_with("asked."));
        let query: Sent = self.tried.changes.iter().chain(asked).cloned().collect();
        format!("{}?{}", self.address(), serde_urlencoded::to_string(query).unwrap_or_default())
    }

    fn parts(&self) -> ShopParts {
        let answer = self.answer();
        let seen = answer.as_ref().map(|(shop, answer, map)| (*shop, answer, map)).map_err(Clone::clone);
        compose::shop_parts(&self.address(), self.stored.revision, &self.tried, &self.what_if, seen)
    }

    fn answer(&self) -> Result<(&Shop, LineAnswer, RunMap), String> {
        let Ok(shop) = &self.tried.shop else {
            return Err(say!("A value does not read. Mend it where it is marked; nothing was changed.").to_owned());
        };
        if !self.what_if.faults.is_empty() {
            return Err(say!("What is asked does not read. Mend it where it is marked.").to_owned());
        }
        let answer = ask(shop, &self.stations, &Look::default()).map_err(|fault| fault.to_string())?;
        let map = what_runs(&answer.network, widest(shop)).map_err(|fault| fault.to_string())?;
        Ok((shop, answer, map))
    }

    fn frame(&self, app: &App) -> Result<Frame, WebError> {
        Ok(Frame {
            shop: self.tried.file.name.clone(),
            shop_href: Some(self.address()),
            units: units_setting(app)?.unwrap_or(self.tried.file.units),
            here: self.address_with(),
            ..frame_of(app, &self.tried.file.name, None)?
        })
    }
}

/// What is asked of a shop without stations, where nothing else was sent.
const USUAL_SET: GaugePressure = known(GaugePressure::bar(2.5));
const USUAL_ON: Time = known(Time::seconds(120.0));
const USUAL_OFF: Time = known(Time::seconds(60.0));

pub(crate) fn asked_stations(shop: &Shop, sent: &Sent) -> (Vec<ShopStation>, WhatIf) {
    let named = value(sent, "asked.nozzle").and_then(|name| shop.nozzle(name));
    // The middle one of a row of nozzles is the one for most work.
    let nozzle = named.unwrap_or(&shop.nozzles[shop.nozzles.len() / 2]);
    let mut faults = Vec::new();
    let set = parsed(sent, "asked.pressure", USUAL_SET, &mut faults);
    let on = parsed(sent, "asked.on", USUAL_ON, &mut faults);
    let off = parsed(sent, "asked.off", USUAL_OFF, &mut faults);
    let mut stations = stations(shop, nozzle, set);
    if shop.stations.is_empty() {
        stations.iter_mut().for_each(|station| (station.on, station.off) = (on, off));
    }
    let what_if = compose::what_if(shop, &stations[0]);
    (stations, WhatIf { faults, ..what_if })
}

fn parsed<Q: Quantity>(sent: &Sent, name: &str, usual: Q, faults: &mut Vec<String>) -> Q {
    match value(sent, name).map(quantity::parse::parse::<Q>) {
        None => usual,
        Some(Ok(given)) => given,
        Some(Err(fault)) => {
            faults.push(fault.to_string());
            usual
        }
    }
}
