//! The addresses of the Safety page, of a piece and of a shop.

use crate::app::App;
use crate::compose;
use crate::error::WebError;
use crate::form::Sent;
use crate::pages;
use crate::routes::{Answer, Id, Shared, units_setting};
use crate::shop_routes::shop_id;
use crate::view::{Frame, SafetyPage, Tab};
use axum::extract::{Path, Query, State};
use axum::response::{Html, IntoResponse as _};
use language::say;
use safety::check::{Subject, all};

/// Every check of a piece in its shop.
pub(crate) async fn of_piece(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| {
        let question = app.question(id.piece()?, &sent)?;
        let plan = app.plan(&question)?;
        let page = SafetyPage {
            frame: app.frame(&question)?,
            name: question.stored.name.clone(),
            back: (question.full_address(""), say!("Back to the plan").to_owned()),
            parts: compose::safety(&plan),
        };
        Ok(Html(pages::safety(&page)).into_response())
    })
    .await
}

/// Every check of a shop alone.
pub(crate) async fn of_shop(State(app): Shared, Path(id): Path<String>) -> Answer {
    app.work(move |app: &App| {
        let stored = app.store.shop(shop_id(&id)?)?;
        let shop = piece::read_shop(&stored.shop_toml, "shop.toml").map_err(crate::Unreadable::from)?;
        let units = units_setting(app)?.unwrap_or(shop.units);
        let checks = all(&Subject { shop: &shop, work: None });
        let address = format!("/shop/{id}");
        let page = SafetyPage {
            frame: frame(app, &shop.name, &address, units)?,
            name: shop.name.clone(),
            back: (address, say!("Back to the shop").to_owned()),
            parts: compose::of_checks(&checks, units),
        };
        Ok(Html(pages::safety(&page)).into_response())
    })
    .await
}

fn frame(app: &App, shop: &str, address: &str, units: quantity::UnitSystem) -> Result<Frame, WebError> {
    let tab = |piece: store::Listed| Tab { href: format!("/piece/{}", piece.id), current: false, name: piece.name };
    Ok(Frame {
        network: app.network,
        title: say!("Safety: {name}", name = shop) + " – Sabulo",
        pieces: app.store.pieces()?.into_iter().map(tab).collect(),
        shop: shop.to_owned(),
        shop_href: Some(address.to_owned()),
        units,
        here: format!("{address}/safety"),
    })
}
