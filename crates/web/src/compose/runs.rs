//! Runs in words: each number beside its plan, and how well the plans did.

use crate::runs_routes::{Compared, Run};
use crate::view::{ComparedRow, Drawn, RunRow};
use language::{number, say, say_count};
use picture::ratios::{Ratio, RatioOptions, ratios};
use picture::svg::{Colours, write};
use plan::State;
use plan::told::{Coverage, Told};
use quantity::show::{Show as _, clock};
use quantity::{Estimate, Length, Quantity as _, Time, UnitSystem};

/// The share of logs that a plan's range is meant to hold.
const MEANT: f64 = 0.9;

/// A run.
pub(crate) fn run_row(run: &Run, units: UnitSystem) -> RunRow {
    let rows = run.told.as_ref().map(|told| rows(told, units)).map_err(Clone::clone);
    let note = (run.afterwards && rows.is_ok()).then(|| {
        say!("Planned afterwards: its log came before plans were kept with logs, so it does not count above.")
            .to_owned()
    });
    RunRow { day: run.day.clone(), piece: (run.piece.1.clone(), format!("/piece/{}", run.piece.0)), rows, note }
}

fn rows(told: &Told, units: UnitSystem) -> Vec<ComparedRow> {
    let blast = told.blast;
    let mut rows = vec![ComparedRow {
        name: say!("nozzle open").to_owned(),
        planned: seconds(&blast),
        logged: clock(Time::clamped(blast.logged)),
        inside: Some(blast.is_inside()),
    }];
    for stage in &told.stages {
        let n = stage.stage;
        rows.push(plain(say!("stage {n}, nozzle open"), stage.blast_s, stage.blasted_s));
        if stage.rest_s > 0.0 || stage.rested_s > 0.0 {
            rows.push(plain(say!("stage {n}, waiting for air"), stage.rest_s, stage.rested_s));
        }
    }
    rows.extend(told.depths.iter().map(|depth| ComparedRow {
        name: say!("depth of {layer}", layer = depth.layer),
        planned: millimetres(&depth.depth_mm, units),
        logged: length(depth.depth_mm.logged).show_digits(units, 3).to_string(),
        inside: Some(depth.depth_mm.is_inside()),
    }));
    let cost = &told.cost;
    let [low, _, high] = cost.planned;
    let money = |amount: &dyn std::fmt::Display| number(amount.to_string());
    rows.push(ComparedRow {
        name: say!("cost of one").to_owned(),
        planned: match low == high {
            true => format!("{}\u{202f}{}", money(&low), cost.currency),
            false => format!("{}–{}\u{202f}{}", money(&low), money(&high), cost.currency),
        },
        logged: format!("{}\u{202f}{}", money(&cost.done), cost.currency),
        inside: Some(low <= cost.done && cost.done <= high),
    });
    rows
}

fn plain(name: String, planned_s: f64, logged_s: f64) -> ComparedRow {
    let shown = |seconds: f64| clock(Time::clamped(seconds));
    ComparedRow { name, planned: shown(planned_s), logged: shown(logged_s), inside: None }
}

fn seconds(compared: &Compared) -> String {
    let time = Time::clamped;
    let (low, mid, high) = (time(compared.low), time(compared.mid), time(compared.high));
    plan::words::time_range(Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid)))
}

fn length(mm: f64) -> Length {
    Length::clamped(mm * 1e-3)
}

fn millimetres(compared: &Compared, units: UnitSystem) -> String {
    let (low, mid, high) = (length(compared.low), length(compared.mid), length(compared.high));
    Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid)).show(units)
}

/// How well the plans did, by the runs whose plans were kept with their logs.
pub(crate) fn sentences(runs: &[Run]) -> Vec<(State, String)> {
    let told: Vec<&Told> = kept(runs).collect();
    let depths = Coverage::over(told.iter().flat_map(|told| &told.depths).map(|depth| &depth.depth_mm));
    let blasts = Coverage::over(told.iter().map(|told| &told.blast));
    let mut said = vec![depth_sentence(depths)];
    if let Some(share) = percent(blasts) {
        let (inside, of) = (blasts.inside, blasts.of);
        said.push((
            State::Holds,
            say!("The nozzle was open for a time inside the planned range in {inside} of {of} runs ({share}\u{202f}%); who works by the timer blasts what was planned."),
        ));
    }
    said
}

fn kept(runs: &[Run]) -> impl Iterator<Item = &Told> {
    runs.iter().filter(|run| !run.afterwards).filter_map(|run| run.told.as_ref().ok())
}

fn percent(coverage: Coverage) -> Option<String> {
    coverage.share().map(|share| format!("{:.0}", share * 100.0))
}

fn depth_sentence(depths: Coverage) -> (State, String) {
    let (Some(share), Some((low, high))) = (percent(depths), depths.in_line_with()) else {
        return (
            State::Holds,
            say!("No depth was gauged yet: gauge one at the end of a run, and it is judged here.").to_owned(),
        );
    };
    let inside = depths.inside;
    let head = say_count!(
        depths.of,
        "Inside its planned range: {inside} of {n} gauged depth ({share}\u{202f}%).",
        "Inside their planned ranges: {inside} of {n} gauged depths ({share}\u{202f}%).",
        n = depths.of
    );
    let ends = format!("{:.0}–{:.0}", low * 100.0, high * 100.0);
    let (state, tail) = match () {
        () if high < MEANT => (
            State::Watch,
            say!(
                "So many misses are in line with {ends}\u{202f}% at best: the plans are surer than they may be. Let a run teach the shop, or blast a coupon."
            ),
        ),
        () if low > MEANT => (
            State::Holds,
            say!(
                "That is in line with {ends}\u{202f}%: the plans are more careful than they need be, and coupons would narrow them."
            ),
        ),
        () => (
            State::Holds,
            say!(
                "That is in line with {ends}\u{202f}%, and nine in ten are meant: as far as this shows, the ranges hold what they say."
            ),
        ),
    };
    (state, format!("{head} {tail}"))
}

/// Runs that the drawing has room for.
const DRAWN: usize = 12;

/// Logged over planned, for the latest runs that were planned before.
pub(crate) fn drawing(runs: &[Run], units: UnitSystem) -> Option<Drawn> {
    let told = runs.iter().filter(|run| !run.afterwards).filter_map(|run| Some((run, run.told.as_ref().ok()?)));
    let rows: Vec<Ratio> = told.take(DRAWN).flat_map(|(run, told)| of_run(run, told, units)).collect();
    let draw = |options: &RatioOptions| write(&ratios(&rows, options), Colours::Properties);
    (!rows.is_empty()).then(|| Drawn { wide: draw(&RatioOptions::default()), phone: draw(&RatioOptions::phone()) })
}

fn of_run(run: &Run, told: &Told, units: UnitSystem) -> Vec<Ratio> {
    let (day, piece) = (run.day.get(5..).unwrap_or_default(), &run.piece.1);
    let blast = ratio(
        say!("{day} {piece}: nozzle open"),
        &told.blast,
        seconds(&told.blast),
        clock(Time::clamped(told.blast.logged)),
    );
    let depths = told.depths.iter().filter_map(|depth| {
        let (layer, planned) = (&depth.layer, millimetres(&depth.depth_mm, units));
        let logged = length(depth.depth_mm.logged).show_digits(units, 3).to_string();
        ratio(say!("{day} {piece}: depth of {layer}"), &depth.depth_mm, planned, logged)
    });
    blast.into_iter().chain(depths).collect()
}

fn ratio(name: String, compared: &Compared, planned: String, logged: String) -> Option<Ratio> {
    let told = say!("{name}: planned {planned}, logged {logged}");
    Some(Ratio {
        name,
        low: compared.low / compared.mid,
        high: compared.high / compared.mid,
        logged: compared.ratio()?,
        inside: compared.is_inside(),
        told,
    })
}
