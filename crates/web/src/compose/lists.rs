//! Stages, consumables, time, cost and files in words.

use crate::files;
use crate::planner::Question;
use crate::run_log::{DepthLog, RunLog};
use crate::view::{Done, File, List, ResistRow, Row, Stage};
use language::{say, say_count};
use piece::Money;
use plan::{Plan, words};
use quantity::show::{Show as _, clock};
use quantity::{Estimate, Length, Quantity as _, Time};
use store::StoredRun;

pub(super) fn stages(question: &Question, plan: &Plan) -> Vec<Stage> {
    let depth = |stage: &plan::Stage, layer: usize| {
        let reached = stage.depth.iter().find(|(open, _)| *open == layer);
        reached.map(|(_, depth)| depth.show(plan.units)).unwrap_or_default()
    };
    let stage = |stage: &plan::Stage| Stage {
        order: stage.order,
        thumbnail: question.address(&format!("/stages/{}", stage.order)),
        opens: words::stage_work(plan, stage),
        weed: clock(stage.weed),
        blast: clock(stage.blast),
        wait: if stage.wait.to_seconds() < 0.5 { "–".to_owned() } else { clock(stage.wait) },
        depths: (0..plan.layers.len()).map(|layer| depth(stage, layer)).collect(),
    };
    plan.stages.iter().map(stage).collect()
}

pub(super) fn consumables(plan: &Plan) -> List {
    let rows = plan.consumables.iter().map(|item| {
        let (name, amount) = words::consumable(item, plan.units);
        Row { name, amount, price: Some(price(plan, item.price)) }
    });
    List {
        id: "consumables",
        title: say!("Uses up, for one piece").to_owned(),
        rows: rows.collect(),
        total: None,
        note: None,
    }
}

pub(super) fn resists(plan: &Plan) -> Vec<ResistRow> {
    let row = |option: &plan::ResistOption| ResistRow {
        name: option.resist.name.to_string(),
        state: option.state,
        why: words::resist_option(option, plan.units),
    };
    plan.resists.iter().map(row).collect()
}

pub(super) fn masking(plan: &Plan) -> List {
    let covers = plan.masking.covers.iter().filter(|cover| cover.area().to_square_mm() > 0.0);
    let rows = covers.map(|cover| Row {
        name: format!("{}: {}", words::cover_part(cover), words::cover_with(cover)),
        amount: cover.area().show(plan.units).to_string(),
        price: None,
    });
    let tape = plan.masking.tape.show(plan.units).to_string();
    List {
        id: "masking",
        title: say!("Cover before blasting").to_owned(),
        rows: rows.collect(),
        total: Some(Row { name: say!("tape, laps included").to_owned(), amount: tape, price: None }),
        note: Some(say!(
            "The jet reaches {reach} past the stencil: there it wants a resist, beyond it rebound only.",
            reach = plan.masking.reach.show(plan.units)
        )),
    }
}

pub(super) fn time(plan: &Plan) -> List {
    let row = |name: &str, amount: String| Row { name: name.to_owned(), amount, price: None };
    let time = &plan.time;
    List {
        id: "time",
        title: say!("Time, for one piece").to_owned(),
        rows: vec![
            row(say!("hands: prepare, weed, finish"), clock(time.hands)),
            row(say!("nozzle open"), range(time.blast)),
            row(say!("waiting for air and dust"), clock(time.wait)),
        ],
        total: Some(row(say!("in all"), clock(time.total))),
        note: None,
    }
}

fn range(time: Estimate<Time>) -> String {
    words::time_range(time)
}

pub(super) fn cost(plan: &Plan) -> List {
    let cost = &plan.cost;
    let row = |name: String, money: Money| Row { name, amount: price(plan, money), price: None };
    let (low, high) = (cost.each.low(), cost.each.high());
    let rows = cost.lines.iter().map(|line| row(words::cost_kind(line.what).to_owned(), line.amount));
    let whole = match plan.piece.quantity {
        1 => say!("price with margin").to_owned(),
        n => say!("price of {n} with margin"),
    };
    let spread = (low != high).then(|| {
        let high = price(plan, high);
        say!("One piece costs {low}–{high}, as the blasting time is uncertain.", low = money(low))
    });
    List {
        id: "cost",
        title: say!("Cost").to_owned(),
        rows: rows.chain([row(say!("one piece, before margin").to_owned(), cost.each.mid())]).collect(),
        total: Some(row(whole, cost.price)),
        note: spread,
    }
}

/// What was done at the cabinet, the latest first.
pub(super) fn runs(question: &Question, plan: &Plan, runs: &[StoredRun]) -> Vec<Done> {
    let row = |run: &StoredRun| {
        let log: RunLog = serde_json::from_str(&run.log).ok()?;
        let depth = |gauged: &DepthLog| {
            let depth = Length::mm(gauged.depth_mm).ok()?;
            Some(format!("{} {}", gauged.layer, depth.show_digits(plan.units, 3)))
        };
        let blast: f64 = log.stages.iter().map(|stage| stage.blast_s).sum();
        let gauged = log.depths.iter().filter_map(depth);
        let nozzle = say!("nozzle open {time}", time = clock(Time::clamped(blast)));
        let resist = log.resist.as_ref().map(|state| match state.as_str() {
            "sound" => say!("resist held").to_owned(),
            "failed" => say!("resist failed").to_owned(),
            other => say!("resist {state}", state = other),
        });
        let trouble = (!log.events.is_empty()).then(|| {
            let n = log.events.len();
            say_count!(n, "{n} time something was wrong", "{n} times something was wrong")
        });
        let said: Vec<String> = gauged.chain([nozzle]).chain(resist).chain(trouble).collect();
        let day = log.started_utc.get(..10).unwrap_or_default().to_owned();
        let learn = format!("/piece/{}/learn/{}", question.stored.id, run.id);
        Some(Done { day, said: said.join(" · "), learn: (!log.depths.is_empty()).then_some(learn) })
    };
    runs.iter().rev().filter_map(row).collect()
}

/// An amount with the decimal mark of who reads it.
pub(super) fn money(money: Money) -> String {
    language::number(money.to_string())
}

fn price(plan: &Plan, money: Money) -> String {
    format!("{}\u{202f}{}", self::money(money), plan.cost.currency)
}

pub(super) fn files(question: &Question, plan: &Plan) -> Vec<File> {
    let file =
        |(name, what): (String, String)| File { href: question.full_address(&format!("/files/{name}")), name, what };
    files::names(plan).into_iter().map(file).collect()
}
