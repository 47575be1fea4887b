//! The pages that set a shop up: a first one, a kept one, and its file as text.

use super::basics::{Basics, Faults, lay};
use super::questions::USUAL;
use crate::app::App;
use crate::compose;
use crate::error::{WebError, plain};
use crate::form::Sent;
use crate::pages;
use crate::routes::{Answer, Shared, frame_of, units_setting, value};
use crate::shop_routes::{asked_stations, save, shop_id};
use crate::view::{FilePage, Frame, SetupPage, SetupParts, ShopRow, ShopsPage};
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::{say, say_count};
use plan::line_answer::{Look, ask, what_runs, widest};
use quantity::UnitSystem;
use store::{ShopId, StoreError};

/// The setting that holds the shop in which new pieces are begun.
const SHOP: &str = "shop";

/// The shop in which new pieces are begun: the one that was chosen last, or the first.
pub(crate) fn shop_at_work(app: &App) -> Result<ShopId, WebError> {
    let shops = app.store.shops()?;
    let chosen = app.store.setting(SHOP)?.and_then(|id| id.parse().ok()).map(ShopId);
    chosen.filter(|id| shops.contains(id)).or(shops.first().copied()).ok_or(WebError::NotFound)
}

/// Whether somebody has set up a shop of their own or chosen one.
pub(crate) fn is_chosen(app: &App) -> Result<bool, WebError> {
    Ok(app.store.setting(SHOP)?.is_some())
}

/// All shops of the store.
pub(crate) async fn shops(State(app): Shared) -> Answer {
    app.work(|app| {
        let at_work = shop_at_work(app)?;
        let row = |id: ShopId| {
            let stored = app.store.shop(id)?;
            let name = shop_name(&stored.shop_toml);
            let pieces = app.store.pieces()?.into_iter().filter(|piece| piece.shop == id && !piece.away).count();
            Ok(ShopRow { id: id.0, name, pieces, at_work: id == at_work })
        };
        let rows = app.store.shops()?.into_iter().map(row).collect::<Result<_, WebError>>()?;
        let page = ShopsPage { frame: frame(app, say!("Shops"), "/shops")?, rows };
        Ok(Html(pages::shops(&page)).into_response())
    })
    .await
}

/// A shop's name as its file says it.
pub(crate) fn shop_name(shop_toml: &str) -> String {
    let table: toml::Table = toml::from_str(shop_toml).unwrap_or_default();
    table.get("name").and_then(toml::Value::as_str).unwrap_or(say!("a shop whose file does not read")).to_owned()
}

/// Makes a shop the one in which new pieces are begun.
pub(crate) async fn choose(State(app): Shared, Path(id): Path<String>) -> Answer {
    app.work(move |app| {
        let id = app.store.shop(shop_id(&id)?)?.id;
        app.store.set(SHOP, &id.to_string())?;
        Ok(Redirect::to("/shops").into_response())
    })
    .await
}

/// The questions for a first shop.
pub(crate) async fn start(State(app): Shared, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| Ok(Html(pages::setup(&first(app, &sent)?)).into_response())).await
}

/// What a first shop would do, as it is answered so far.
pub(crate) async fn try_start(State(app): Shared, Form(sent): Form<Sent>) -> Response {
    let work = app.work(move |app| tried(&first(app, &sent)?.parts));
    work.await.unwrap_or_else(|error| plain(&error))
}

/// Keeps a first shop and makes it the one in which new pieces are begun.
pub(crate) async fn keep_start(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let basics = lay(USUAL, &sent);
        if basics.shop.is_err() {
            let page = first(app, &sent)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(pages::setup(&page))).into_response());
        }
        let id = app.store.save_shop(&basics.text)?;
        app.store.set(SHOP, &id.to_string())?;
        Ok(Redirect::to("/pieces?begun=1").into_response())
    })
    .await
}

fn first(app: &App, sent: &Sent) -> Result<SetupPage, WebError> {
    Ok(SetupPage {
        frame: frame(app, say!("Set up a shop"), "/start")?,
        title: say!("Set up your shop").to_owned(),
        lead: say!(
            "Five minutes beside the compressor. Every field holds a usual value: correct what you know, leave what \
             you do not. What the answers come to stands beside them as you type."
        ),
        action: "/start".to_owned(),
        revision: None,
        back: None,
        parts: parts(app, "/start", USUAL, sent)?,
    })
}

/// The same questions about a kept shop.
pub(crate) async fn basics(State(app): Shared, Path(id): Path<String>, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| Ok(Html(pages::setup(&kept(app, &id, &sent)?)).into_response())).await
}

/// What a kept shop would do with other answers.
pub(crate) async fn try_basics(State(app): Shared, Path(id): Path<String>, Form(sent): Form<Sent>) -> Response {
    let work = app.work(move |app| tried(&kept(app, &id, &sent)?.parts));
    work.await.unwrap_or_else(|error| plain(&error))
}

/// Keeps the answers as a new revision of the shop.
pub(crate) async fn keep_basics(State(app): Shared, Path(id): Path<String>, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let stored = app.store.shop(shop_id(&id)?)?;
        let basics = lay(&stored.shop_toml, &sent);
        if basics.shop.is_err() {
            let page = kept(app, &id, &sent)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(pages::setup(&page))).into_response());
        }
        save(app, &stored, &sent, &basics.text)?;
        Ok(Redirect::to(&format!("/shop/{id}")).into_response())
    })
    .await
}

fn kept(app: &App, id: &str, sent: &Sent) -> Result<SetupPage, WebError> {
    let stored = app.store.shop(shop_id(id)?)?;
    let action = format!("/shop/{}/basics", stored.id);
    let name = shop_name(&stored.shop_toml);
    Ok(SetupPage {
        frame: frame(app, &name, &action)?,
        title: say!("{name}: equipment and stock"),
        lead: say!("What the shop owns and stocks. Every piece of this shop is planned with what stands here."),
        revision: Some(stored.revision),
        back: Some(format!("/shop/{}", stored.id)),
        parts: parts(app, &action, &stored.shop_toml, sent)?,
        action,
    })
}

fn tried(parts: &SetupParts) -> Result<Response, WebError> {
    let status = if parts.reads { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, Html(pages::setup_parts(parts))).into_response())
}

fn parts(app: &App, action: &str, kept: &str, sent: &Sent) -> Result<SetupParts, WebError> {
    let mut basics = lay(kept, sent);
    if let (Ok(shop), Some(units)) = (&mut basics.shop, units_setting(app)?) {
        shop.units = units;
    }
    let answer = outcome(&basics, sent);
    let seen = answer.as_ref().map(|(shop, answer, map)| (*shop, answer, map)).map_err(Clone::clone);
    Ok(compose::setup_parts(action, &basics, sent, seen))
}

type Outcome<'a> = (&'a piece::Shop, plan::line_answer::LineAnswer, air::map::RunMap);

fn outcome<'a>(basics: &'a Basics, sent: &Sent) -> Result<Outcome<'a>, String> {
    let unread = |faults: &Faults| {
        let n = faults.len();
        say_count!(n, "One answer does not read. It is marked.", "{n} answers do not read. They are marked.")
    };
    let shop = basics.shop.as_ref().map_err(unread)?;
    let (stations, _) = asked_stations(shop, sent);
    let answer = ask(shop, &stations, &Look::default()).map_err(|fault| fault.to_string())?;
    let map = what_runs(&answer.network, widest(shop)).map_err(|fault| fault.to_string())?;
    Ok((shop, answer, map))
}

fn frame(app: &App, title: &str, here: &str) -> Result<Frame, WebError> {
    let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
    Ok(Frame { units, here: here.to_owned(), ..frame_of(app, title, None)? })
}

/// A shop's file as text.
pub(crate) async fn file(State(app): Shared, Path(id): Path<String>) -> Answer {
    app.work(move |app| {
        let stored = app.store.shop(shop_id(&id)?)?;
        let page = file_page(app, stored.id, stored.revision, stored.shop_toml, Vec::new())?;
        Ok(Html(pages::file(&page)).into_response())
    })
    .await
}

/// Keeps a shop's file as it was typed, or says what is wrong with it and where.
pub(crate) async fn keep_file(State(app): Shared, Path(id): Path<String>, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let stored = app.store.shop(shop_id(&id)?)?;
        let text = value(&sent, "text").unwrap_or_default().replace("\r\n", "\n");
        if let Err(complaints) = piece::read_shop(&text, "shop.toml") {
            let faults = complaints.0.iter().map(ToString::to_string).collect();
            let read = value(&sent, "revision").and_then(|number| number.parse().ok()).unwrap_or(stored.revision);
            let page = file_page(app, stored.id, read, text, faults)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(pages::file(&page))).into_response());
        }
        match save(app, &stored, &sent, &text) {
            Ok(()) => Ok(Redirect::to(&format!("/shop/{id}")).into_response()),
            Err(WebError::Store(StoreError::Conflict { .. })) => {
                let changed = say!(
                    "The shop was changed in another window since you opened it. Your text is still here: compare \
                     it with the newer one, then keep it again."
                )
                .to_owned();
                let page = file_page(app, stored.id, stored.revision, text, vec![changed])?;
                Ok((StatusCode::CONFLICT, Html(pages::file(&page))).into_response())
            }
            Err(other) => Err(other),
        }
    })
    .await
}

fn file_page(app: &App, id: ShopId, revision: u32, text: String, faults: Vec<String>) -> Result<FilePage, WebError> {
    let address = format!("/shop/{id}");
    let name = shop_name(&text);
    let frame = frame(app, &name, &format!("{address}/file"))?;
    Ok(FilePage { frame, name, address, file: "shop.toml", back: say!("The shop"), revision, text, faults })
}
