//! What a run at the cabinet teaches: its gauged depths become coupons of the shop.

use crate::app::App;
use crate::error::WebError;
use crate::form::Sent;
use crate::pages;
use crate::planner::Question;
use crate::routes::{Answer, Id, Shared, value};
use crate::run_log::{DepthLog, RunLog};
use crate::view::{LearnPage, LearnRow};
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::say;
use piece::{CALIPER, Coupon, ResistAfter, Shop};
use plan::logged::{self, Gauged, LoggedError};
use plan::{Detail, Plan, words};
use quantity::show::{Show as _, clock};
use quantity::{Length, Quantity as _, Time};
use std::sync::Arc;
use store::{PieceId, ShopId, StoredPiece};

/// What a run teaches.
pub(crate) async fn learn(State(app): Shared, Path((id, run)): Path<(String, i64)>) -> Answer {
    app.work(move |app| Lesson::new(app, Id::of(&id)?, run, None)?.page(app, None, StatusCode::OK)).await
}

/// Adds its coupons to the shop.
pub(crate) async fn keep(State(app): Shared, Path((id, run)): Path<(String, i64)>, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let id = Id::of(&id)?;
        let read = value(&sent, "revision").and_then(|number| number.parse().ok()).unwrap_or(0);
        let kept = Lesson::new(app, id, run, value(&sent, "gauge")).and_then(|lesson| lesson.keep(app, read));
        match kept {
            Ok(_) => Ok(Redirect::to(&format!("/piece/{id}")).into_response()),
            Err(WebError::Field { words, .. }) => {
                Lesson::new(app, id, run, None)?.page(app, Some(words), StatusCode::UNPROCESSABLE_ENTITY)
            }
            Err(other) => Err(other),
        }
    })
    .await
}

/// A run with the plan that was run.
pub(crate) struct Lesson {
    question: Question,
    plan: Arc<Plan>,
    log: RunLog,
    run: i64,
    pub shop_revision: u32,
    /// What the depth gauge is good for, as it was given.
    pub gauge: String,
    /// Each gauged depth with the coupon that it makes, or why it makes none.
    pub coupons: Vec<(DepthLog, Result<Coupon, LoggedError>)>,
    /// The shop's file with the coupons, when there are any.
    taught: Option<String>,
}

impl Lesson {
    /// What a run teaches, with a gauge that is good for so much; without it, a caliper.
    ///
    /// # Errors
    /// No such run, a plan that cannot be made any more, a gauge that does not read.
    pub(crate) fn new(app: &App, id: PieceId, run: i64, gauge: Option<&str>) -> Result<Self, WebError> {
        let stored = app.store.runs(id)?.into_iter().find(|known| known.id == run).ok_or(WebError::NotFound)?;
        let log: RunLog = serde_json::from_str(&stored.log)?;
        let piece = match log.revision {
            Some(revision) => app.store.piece_at(id, revision)?,
            None => app.store.piece(id)?,
        };
        let question = asked(app, piece)?;
        let plan = app.plan(&question)?;
        let gauge = gauge.map_or_else(|| language::number(quantity::schema::written(CALIPER)), str::to_owned);
        let good_for: Length = quantity::parse::parse(&gauge)
            .map_err(|fault| WebError::field("gauge", say!("what the gauge is good for: {fault}")))?;
        if good_for.to_base() <= 0.0 {
            let words = say!("what the gauge is good for must be above zero");
            return Err(WebError::field("gauge", words.to_owned()));
        }
        let told = |depth: &DepthLog| (depth.clone(), coupon(&plan, &question.shop, &log, depth, good_for));
        let coupons: Vec<_> = log.depths.iter().map(told).collect();
        let taught = taught(&question.stored.shop_toml, &coupons);
        let shop_revision = app.store.shop(question.stored.shop)?.revision;
        Ok(Self { question, plan, log, run, shop_revision, gauge, coupons, taught })
    }

    /// Adds its coupons to the shop's file, which was read at `revision`.
    ///
    /// # Errors
    /// [`WebError::Field`] when there is nothing to add, a conflict of revisions.
    pub(crate) fn keep(&self, app: &App, revision: u32) -> Result<ShopId, WebError> {
        let shop = self.question.stored.shop;
        let Some(text) = &self.taught else {
            let words = say!("None of these depths can be a coupon; nothing was kept.");
            return Err(WebError::field("depths", words.to_owned()));
        };
        app.store.update_shop(shop, revision, text)?;
        Ok(shop)
    }

    /// The piece's plan in one sentence: as it is now, and with what was learned.
    pub(crate) fn sentences(&self, app: &App) -> Result<(String, Option<String>), WebError> {
        let stored = app.store.piece(self.question.stored.id)?;
        Ok((words::sentence(&*app.plan(&asked(app, stored)?)?), self.then(app)?))
    }

    fn page(&self, app: &App, fault: Option<String>, status: StatusCode) -> Result<Response, WebError> {
        let id = self.question.stored.id;
        let (now, then) = self.sentences(app)?;
        let page = LearnPage {
            frame: app.frame(&self.question)?,
            name: self.plan.piece.name.clone(),
            day: self.log.started_utc.get(..10).unwrap_or_default().to_owned(),
            address: format!("/piece/{id}/learn/{}", self.run),
            piece: format!("/piece/{id}"),
            shop: self.question.shop.name.clone(),
            revision: self.shop_revision,
            gauge: self.gauge.clone(),
            fault,
            layers: self.coupons.iter().map(|(depth, coupon)| self.row(depth, coupon)).collect(),
            now,
            then,
        };
        Ok((status, Html(pages::learn(&page))).into_response())
    }

    fn row(&self, depth: &DepthLog, coupon: &Result<Coupon, LoggedError>) -> LearnRow {
        let units = self.plan.units;
        let layer = self.plan.layers.iter().find(|layer| layer.name == depth.layer);
        let gauged = Length::mm(depth.depth_mm).map(|depth| depth.show_digits(units, 3).to_string());
        LearnRow {
            layer: depth.layer.clone(),
            expected: layer.map(|layer| layer.reach.wide.show(units)).unwrap_or_default(),
            gauged: gauged.unwrap_or_default(),
            coupon: coupon.as_ref().map(|coupon| in_words(coupon, units)).map_err(ToString::to_string),
        }
    }

    /// The piece's plan as it would be with what was learned.
    fn then(&self, app: &App) -> Result<Option<String>, WebError> {
        let Some(text) = &self.taught else { return Ok(None) };
        let stored = StoredPiece { shop_toml: text.clone(), ..app.store.piece(self.question.stored.id)? };
        Ok(Some(words::sentence(&*app.plan(&asked(app, stored)?)?)))
    }
}

/// A piece as it is kept, to be planned in full.
fn asked(app: &App, stored: StoredPiece) -> Result<Question, WebError> {
    let units = crate::routes::units_setting(app)?;
    Ok(app.planner.question(stored, &Vec::new(), units, Detail::USUAL)?)
}

fn coupon(plan: &Plan, shop: &Shop, log: &RunLog, depth: &DepthLog, gauge: Length) -> Result<Coupon, LoggedError> {
    let layer = plan.layers.iter().position(|layer| layer.name == depth.layer).ok_or(LoggedError::OtherPlan)?;
    let same = log.stages.iter().map(|stage| stage.stage).eq(plan.stages.iter().map(|stage| stage.order));
    if !same {
        return Err(LoggedError::OtherPlan);
    }
    let gauged = Gauged {
        layer,
        blasted: log.stages.iter().map(|stage| Time::clamped(stage.blast_s)).collect(),
        depth: Length::mm(depth.depth_mm).map_err(plan::Refusal::from)?,
        gauge,
        resist: log.resist.as_deref().and_then(|state| state.parse::<ResistAfter>().ok()),
    };
    logged::coupon(plan, shop, &gauged)
}

/// The shop's file with the coupons at its end; `None` when there is none to add.
fn taught(shop_toml: &str, coupons: &[(DepthLog, Result<Coupon, LoggedError>)]) -> Option<String> {
    let rows: Vec<toml::Value> = coupons
        .iter()
        .filter_map(|(_, coupon)| coupon.as_ref().ok())
        .filter_map(|coupon| toml::Value::try_from(logged::row(coupon)).ok())
        .collect();
    if rows.is_empty() {
        return None;
    }
    let mut table: toml::Table = toml::from_str(shop_toml).ok()?;
    table.entry("coupon").or_insert_with(|| toml::Value::Array(Vec::new())).as_array_mut()?.extend(rows);
    toml::to_string(&table).ok()
}

fn in_words(coupon: &Coupon, units: quantity::UnitSystem) -> String {
    say!(
        "{material}: {abrasive} {grit}, {nozzle} at {pressure}; as deep as a wide square blasted for {time}",
        material = coupon.material.name,
        abrasive = coupon.abrasive.name,
        grit = coupon.grit.name,
        nozzle = coupon.nozzle,
        pressure = coupon.pressure.show(units),
        time = clock(coupon.time)
    )
}
