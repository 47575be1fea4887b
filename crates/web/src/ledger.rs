//! A shop's ledger between the store, which keeps words and numbers, and `stock`, which knows what they mean; and what a
//! log from the cabinet adds to it.

use crate::app::App;
use crate::error::WebError;
use crate::planner::Question;
use crate::run_log::RunLog;
use plan::drawn::{Draws, draws};
use plan::told::{Done, Told, told};
use plan::{Detail, Plan};
use quantity::{Estimate, Length, Quantity, Time};
use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;
use stock::{Entry, Item, Measure, Verb};
use store::{NewMovement, PieceId, StoredMovement};
use tokio::sync::{Semaphore, watch};

/// The entries of a ledger that read; what a later version of this program wrote is left alone.
pub(crate) fn entries(stored: &[StoredMovement]) -> Vec<Entry> {
    let ids: HashMap<&str, i64> = stored.iter().map(|one| (one.key.as_str(), one.id)).collect();
    let entry = |one: &StoredMovement| {
        let entry = Entry {
            id: one.id,
            item: one.item.clone(),
            verb: Verb::of(&one.verb).ok()?,
            amount: one.amount,
            abrasive: one.about.split(' ').next().map(str::to_owned).filter(|id| !id.is_empty()),
            at_utc: one.at_utc.clone(),
            takes_back: one.takes_back.as_ref().and_then(|key| ids.get(key.as_str()).copied()),
        };
        entry.check().ok().map(|()| entry)
    };
    stored.iter().filter_map(entry).collect()
}

/// Logs that are kept, and whose plans are still to be made. The tablet is answered before: it must not wait for a plan
/// to know that its log is kept.
#[derive(Debug)]
pub(crate) struct Telling {
    open: watch::Sender<usize>,
    /// One at a time, beside the questions of people.
    turn: Semaphore,
}

impl Default for Telling {
    fn default() -> Self {
        Self { open: watch::Sender::new(0), turn: Semaphore::new(1) }
    }
}

/// How long a page waits for logs that just came.
const PATIENCE: Duration = Duration::from_secs(10);

/// Tells of a log that was kept, in its turn. What becomes of it changes no answer: the stock's page says which logs
/// drew nothing.
pub(crate) fn tell_later(app: &Arc<App>, piece: PieceId, log: RunLog) {
    app.telling.open.send_modify(|open| *open += 1);
    let app = Arc::clone(app);
    tokio::spawn(async move {
        let turn = app.telling.turn.acquire().await;
        let teller = Arc::clone(&app);
        let _ = tokio::task::spawn_blocking(move || tell(&teller, piece, &log)).await;
        drop(turn);
        app.telling.open.send_modify(|open| *open -= 1);
    });
}

/// Waits until the logs that came are told of, for a while.
pub(crate) async fn all_told(app: &App) {
    let mut open = app.telling.open.subscribe();
    // A page that shows a little less than it could is better than none.
    let _ = tokio::time::timeout(PATIENCE, open.wait_for(|open| *open == 0)).await;
}

/// Keeps what the plan says of a log, and what the run drew; once for a log, however often it comes.
fn tell(app: &App, id: PieceId, log: &RunLog) -> Result<(), WebError> {
    if app.store.is_told(&log.key)? {
        return Ok(());
    }
    let (question, plan) = as_run(app, id, log)?;
    let told = serde_json::to_string(&of_log(&plan, &question, log))?;
    let drawn = draws(&plan, &question.shop, Some(&done(log)));
    let happened = happened(log, &app.store.today()?);
    let rows = rows(&plan, &drawn, log);
    let movements: Vec<NewMovement<'_>> = rows
        .iter()
        .map(|row| NewMovement {
            key: Some(&row.key),
            item: &row.item,
            verb: row.verb.word(),
            amount: row.amount,
            unit: row.unit,
            about: &row.about,
            run: (row.verb != Verb::Began).then_some(&log.key),
            takes_back: None,
            at_utc: happened,
        })
        .collect();
    app.store.tell_run(&log.key, &told, &movements)?;
    Ok(())
}

/// The piece and its plan as they were when the run was made, in the shop as it stands.
pub(crate) fn as_run(app: &App, id: PieceId, log: &RunLog) -> Result<(Question, Arc<Plan>), WebError> {
    let stored = match log.revision {
        Some(revision) => app.store.piece_at(id, revision)?,
        None => app.store.piece(id)?,
    };
    let question = app.planner.question(stored, &Vec::new(), crate::routes::units_setting(app)?, Detail::USUAL)?;
    let plan = app.plan(&question)?;
    Ok((question, plan))
}

/// What a plan says of a log.
pub(crate) fn of_log(plan: &Plan, question: &Question, log: &RunLog) -> Told {
    told(plan, &question.shop, &done(log))
}

/// A log as the plan reads it.
fn done(log: &RunLog) -> Done {
    let stage =
        |stage: &crate::run_log::StageLog| (stage.stage, Time::clamped(stage.blast_s), Time::clamped(stage.rest_s));
    let depth = |gauged: &crate::run_log::DepthLog| Some((gauged.layer.clone(), Length::mm(gauged.depth_mm).ok()?));
    Done { stages: log.stages.iter().map(stage).collect(), depths: log.depths.iter().filter_map(depth).collect() }
}

/// When the run ended by the tablet's clock, unless that is no time or one to come; then it is now.
fn happened<'a>(log: &'a RunLog, today: &str) -> &'a str {
    let text = log.ended_utc.as_str();
    let shape = "dddd-dd-ddTdd:dd:dd";
    let fits = |(c, like): (char, char)| if like == 'd' { c.is_ascii_digit() } else { c == like };
    let is_time = text.len() >= shape.len() && text.chars().zip(shape.chars()).all(fits) && text.ends_with('Z');
    if is_time && text.get(..10).is_some_and(|day| day <= today) { text } else { "" }
}

/// An entry that a run makes.
struct Row {
    key: String,
    item: String,
    verb: Verb,
    amount: [f64; 3],
    unit: &'static str,
    about: String,
}

fn rows(plan: &Plan, drawn: &Draws, log: &RunLog) -> Vec<Row> {
    let recipe = &plan.recipe;
    let row = |item: &Item, verb: Verb, amount: [f64; 3], about: String| Row {
        key: format!("{} {}", log.key, item.key()),
        item: item.key(),
        verb,
        amount,
        unit: verb.unit(item.measure()),
        about,
    };
    let mut rows: Vec<Row> =
        drawn.areas.iter().map(|(item, area)| row(item, Verb::Drawn, ends(*area), String::new())).collect();
    rows.extend(drawn.masses.iter().map(|(item, mass)| row(item, Verb::Drawn, ends(*mass), String::new())));
    let nozzle = Item::Nozzle(recipe.nozzle.name.clone());
    let bore = recipe.nozzle.bore.to_base();
    let began = row(&nozzle, Verb::Began, [bore; 3], String::new());
    rows.push(Row { key: began_key(&recipe.nozzle.name), ..began });
    for (at, ((abrasive, grit), open)) in recipe.abrasives().zip(done(log).blasted_with(plan)).enumerate() {
        // The abrasive comes first: the wear goes by it.
        let through = format!("{} {} {:.2}bar", abrasive.id, grit.name, recipe.pressure.to_bar());
        let open = row(&nozzle, Verb::Open, [open.to_seconds(); 3], through);
        // A run has one entry for each thing; a second abrasive's wear has a key of its own.
        let key = if at == 0 { open.key } else { format!("{} {}", open.key, at + 1) };
        rows.push(Row { key, ..open });
    }
    rows
}

/// Key of the entry that a nozzle's ledger is begun by: there is one.
pub(crate) fn began_key(nozzle: &str) -> String {
    format!("began {nozzle}")
}

fn ends<Q: Quantity>(range: Estimate<Q>) -> [f64; 3] {
    [range.low(), range.mid(), range.high()].map(Quantity::to_base)
}

/// The things of a shop that are used up, in the order of its file; then those that its ledger alone still knows.
pub(crate) fn items(shop: &piece::Shop, entries: &[Entry]) -> Vec<Item> {
    let mut items: Vec<Item> = shop.resists.iter().map(|stock| Item::Resist(stock.resist.id.clone())).collect();
    if shop.resists.iter().any(|stock| stock.resist.kind != reference::ResistKind::PhotoFilm) {
        items.push(Item::Tape);
    }
    items.extend(
        shop.abrasives
            .iter()
            .map(|stock| Item::Abrasive { kind: stock.abrasive.id.clone(), grit: stock.grit.name.clone() }),
    );
    let known = entries.iter().filter_map(|entry| Item::of_key(&entry.item));
    let known = known.filter(|item| item.measure() != Measure::Wear);
    for item in known {
        if !items.contains(&item) {
            items.push(item);
        }
    }
    let mut seen = std::collections::HashSet::new();
    items.retain(|item| seen.insert(item.clone()));
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(ended_utc: &str) -> RunLog {
        RunLog {
            key: "a1".to_owned(),
            revision: None,
            started_utc: String::new(),
            ended_utc: ended_utc.to_owned(),
            stages: Vec::new(),
            events: Vec::new(),
            depths: Vec::new(),
            resist: None,
        }
    }

    #[test]
    fn a_run_happened_when_the_tablet_says_unless_its_clock_is_wrong() {
        for (ended, expected) in [
            ("2026-03-01T10:00:00.000Z", "2026-03-01T10:00:00.000Z"),
            ("2026-03-01T10:00:00Z", "2026-03-01T10:00:00Z"),
            ("2036-03-01T10:00:00.000Z", ""),
            ("1.3.2026", ""),
            ("2026-03-01T10:00:00+01:00", ""),
            ("", ""),
        ] {
            assert_eq!(happened(&log(ended), "2026-03-02"), expected, "{ended}");
        }
    }
}
