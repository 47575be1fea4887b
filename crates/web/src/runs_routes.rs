//! What was planned beside what was logged: a page for a shop and for a piece, and the same as a table.

use crate::app::App;
use crate::compose;
use crate::error::WebError;
use crate::ledger::{self, as_run, of_log};
use crate::pages;
use crate::routes::{Answer, Id, Shared, frame_of, units_setting};
use crate::run_log::RunLog;
use crate::setup::routes::shop_name;
use crate::view::{Frame, RunsPage};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse as _, Response};
use language::say;
pub(crate) use plan::told::Compared;
use plan::told::Told;
use quantity::UnitSystem;
use store::{PieceId, ShopId, StoredRun};

/// A run with what its plan said.
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub day: String,
    pub piece: (PieceId, String),
    /// Number of its log.
    pub id: i64,
    /// What the plan said of it; or why it says nothing.
    pub told: Result<Told, String>,
    /// The plan was made after the log came.
    pub afterwards: bool,
}

/// The page of a shop.
pub(crate) async fn of_shop(app: Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.0.work(move |app| Whose::shop(app, id.shop()?)?.page(app)).await
}

/// The page of a piece.
pub(crate) async fn of_piece(app: Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.0.work(move |app| Whose::piece(app, id.piece()?)?.page(app)).await
}

/// The runs of a shop as comma-separated values.
pub(crate) async fn shop_csv(app: Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.0.work(move |app| table(&Whose::shop(app, id.shop()?)?.runs)).await
}

/// The runs of a piece as comma-separated values.
pub(crate) async fn piece_csv(app: Shared, id: Id) -> Answer {
    ledger::all_told(&app).await;
    app.0.work(move |app| table(&Whose::piece(app, id.piece()?)?.runs)).await
}

/// Whose runs they are.
struct Whose {
    shop: ShopId,
    shop_name: String,
    /// Of one piece alone.
    piece: Option<(PieceId, String)>,
    runs: Vec<Run>,
}

impl Whose {
    fn shop(app: &App, shop: ShopId) -> Result<Self, WebError> {
        let shop_name = shop_name(&app.store.shop(shop)?.shop_toml);
        let pieces = app.store.pieces()?.into_iter().filter(|piece| piece.shop == shop);
        let pieces: Vec<(PieceId, String)> = pieces.map(|piece| (piece.id, piece.name)).collect();
        Ok(Self { shop, shop_name, piece: None, runs: runs(app, &pieces)? })
    }

    fn piece(app: &App, id: PieceId) -> Result<Self, WebError> {
        let stored = app.store.piece(id)?;
        let piece = (id, stored.name);
        let runs = runs(app, std::slice::from_ref(&piece))?;
        Ok(Self { shop: stored.shop, shop_name: shop_name(&stored.shop_toml), piece: Some(piece), runs })
    }

    fn page(self, app: &App) -> Result<Response, WebError> {
        let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
        let shop = format!("/shop/{}", self.shop);
        let (here, title) = match &self.piece {
            Some((id, name)) => (format!("/piece/{id}/runs"), say!("{name}: planned and logged")),
            None => (format!("{shop}/runs"), say!("{shop}: planned and logged", shop = self.shop_name)),
        };
        let links = match &self.piece {
            Some((id, _)) => vec![
                (format!("/piece/{id}"), say!("The plan").to_owned()),
                (format!("/piece/{id}/history"), say!("Every revision").to_owned()),
                (format!("{shop}/runs"), say!("All runs of {shop}", shop = self.shop_name)),
            ],
            None => vec![
                (shop.clone(), say!("The air line").to_owned()),
                (format!("{shop}/stock"), say!("What is left").to_owned()),
            ],
        };
        let shown = self.piece.as_ref().map(|(id, _)| *id);
        let page = RunsPage {
            table: format!("{here}.csv"),
            frame: Frame { shop: self.shop_name, shop_href: Some(shop), units, here, ..frame_of(app, &title, shown)? },
            title,
            links,
            sentences: compose::sentences(&self.runs),
            drawing: compose::drawing(&self.runs, units),
            runs: self.runs.iter().map(|run| compose::run_row(run, units)).collect(),
        };
        Ok(Html(pages::runs(&page)).into_response())
    }
}

/// All runs of some pieces, the latest first.
fn runs(app: &App, pieces: &[(PieceId, String)]) -> Result<Vec<Run>, WebError> {
    let mut all = Vec::new();
    for piece in pieces {
        let stored = app.store.runs(piece.0)?;
        all.extend(stored.iter().map(|stored| run(app, piece, stored)));
    }
    all.sort_by(|a, b| (&b.day, b.id).cmp(&(&a.day, a.id)));
    Ok(all)
}

fn run(app: &App, piece: &(PieceId, String), stored: &StoredRun) -> Run {
    let read = serde_json::from_str::<RunLog>(&stored.log).map_err(|fault| fault.to_string());
    let day = read.as_ref().map(|log| log.started_utc.get(..10).unwrap_or_default().to_owned());
    let kept = stored.told.as_deref().and_then(|told| serde_json::from_str(told).ok());
    let afterwards = kept.is_none();
    let told = kept.map_or_else(|| read.clone().and_then(|log| made_now(app, piece.0, &log)), Ok);
    Run { day: day.unwrap_or_default(), piece: piece.clone(), id: stored.id, told, afterwards }
}

fn made_now(app: &App, id: PieceId, log: &RunLog) -> Result<Told, String> {
    let (question, plan) = as_run(app, id, log).map_err(|fault| fault.to_string())?;
    Ok(of_log(&plan, &question, log))
}

const HEAD: [&str; 12] = [
    "run",
    "day",
    "piece",
    "what",
    "of",
    "planned_low",
    "planned_mid",
    "planned_high",
    "logged",
    "unit",
    "inside",
    "planned",
];

fn table(runs: &[Run]) -> Result<Response, WebError> {
    let unwritten = |fault: csv::Error| WebError::Faulty(fault.to_string());
    let mut rows = csv::Writer::from_writer(Vec::new());
    rows.write_record(HEAD).map_err(unwritten)?;
    for run in runs {
        for line in lines(run) {
            rows.write_record(line).map_err(unwritten)?;
        }
    }
    let csv = rows.into_inner().map_err(|fault| WebError::Faulty(fault.to_string()))?;
    let attached = "attachment; filename=\"planned-and-logged.csv\"";
    Ok(([(CONTENT_TYPE, "text/csv; charset=utf-8"), (CONTENT_DISPOSITION, attached)], csv).into_response())
}

fn lines(run: &Run) -> Vec<[String; 12]> {
    let Ok(told) = &run.told else { return Vec::new() };
    let when = if run.afterwards { "afterwards" } else { "before" };
    let line = |what: &str, of: String, planned: [String; 3], logged: String, unit: &str, inside: String| {
        let [low, mid, high] = planned;
        let (run_id, day, piece) = (run.id.to_string(), run.day.clone(), run.piece.1.clone());
        [run_id, day, piece, what.to_owned(), of, low, mid, high, logged, unit.to_owned(), inside, when.to_owned()]
    };
    let compared = |what: &str, of: String, one: &Compared, unit: &str| {
        let planned = [one.low, one.mid, one.high].map(|end| end.to_string());
        line(what, of, planned, one.logged.to_string(), unit, one.is_inside().to_string())
    };
    let stage = |what: &str, n: usize, planned: f64, logged: f64| {
        let planned = [String::new(), planned.to_string(), String::new()];
        line(what, n.to_string(), planned, logged.to_string(), "s", String::new())
    };
    let mut all = vec![compared("blast", String::new(), &told.blast, "s")];
    for one in &told.stages {
        all.push(stage("stage blast", one.stage, one.blast_s, one.blasted_s));
        all.push(stage("stage rest", one.stage, one.rest_s, one.rested_s));
    }
    all.extend(told.depths.iter().map(|depth| compared("depth", depth.layer.clone(), &depth.depth_mm, "mm")));
    let cost = &told.cost;
    let inside = cost.planned[0] <= cost.done && cost.done <= cost.planned[2];
    let planned = cost.planned.map(|amount| amount.to_string());
    all.push(line("cost", String::new(), planned, cost.done.to_string(), &cost.currency, inside.to_string()));
    all
}
