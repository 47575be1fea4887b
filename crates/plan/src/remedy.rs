//! Changes that turn a finding: each is tried on the whole case and judged again, none is canned.
//!
//! Where a change has a size (a pressure, a depth, a width) the least of it that turns the finding is
//! found by bisection; where it is a choice (a nozzle, a resist) all that the shop owns are tried.

use crate::blast::Spreading;
use crate::finding::{Change, Check, Finding, Remedy, State};
use crate::gores;
use crate::judge::{AtWork, Case, Judged, judge, judge_at_work};
use crate::safety_checks;
use piece::Body;
use quantity::show::Show;
use quantity::{FreeFlow, GaugePressure, Length, Quantity, UnitSystem, known};
use rayon::prelude::*;
use reference::tables;
use safety::check::Mend;
use std::collections::HashSet;
use std::sync::Arc;

/// Remedies shown for a finding.
const MOST: usize = 3;

/// Halvings of a range: to a thousandth of it.
const HALVINGS: u32 = 10;

/// A lower setting than this carries too little grit. Common practice, no source.
const LEAST_PRESSURE: GaugePressure = known(GaugePressure::psi(15.0));

/// Fills in the remedies of every finding that does not hold.
pub(crate) fn fill(case: &Case<'_>, judged: &mut Judged) {
    let before = Before {
        at_work: Arc::clone(&judged.at_work),
        judged: judged.clone(),
        stops: judged
            .findings
            .iter()
            .filter(|finding| finding.state == State::Stop)
            .map(|finding| finding.check.clone())
            .collect(),
        total_s: judged.total.to_seconds(),
    };
    judged.findings.par_iter_mut().filter(|finding| finding.state != State::Holds).for_each(|finding| {
        finding.remedies = remedies(case, finding, &before);
    });
}

struct Before {
    at_work: Arc<AtWork>,
    judged: Judged,
    stops: HashSet<Check>,
    total_s: f64,
}

/// The case with a change made, judged. A change that leaves the nozzle's work alone is judged with the
/// work as it was.
fn tried(case: &Case<'_>, change: &Change, before: &Before, spreading: Spreading) -> Option<Judged> {
    let changed = changed(case, change)?;
    match change {
        Change::Pressure(_) | Change::Nozzle(_) | Change::Abrasive(..) | Change::Safety(Mend::CutOut(_)) => {
            judge(&changed, spreading).ok()
        }
        _ => judge_at_work(&changed, Arc::clone(&before.at_work)).ok(),
    }
}

fn remedies(case: &Case<'_>, finding: &Finding, before: &Before) -> Vec<Remedy> {
    let changes = choices(case, &finding.check).into_iter().chain(measures(case, finding, before));
    let mut remedies: Vec<Remedy> = changes.filter_map(|change| attempt(case, change, finding, before)).collect();
    // What holds and harms nothing first, then what costs the least time.
    let rank = |remedy: &Remedy| (remedy.harms.is_some(), remedy.gives, remedy.time_s.abs());
    remedies.sort_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal));
    remedies.truncate(MOST);
    remedies
}

/// A remedy, if the change betters the finding.
fn attempt(case: &Case<'_>, change: Change, finding: &Finding, before: &Before) -> Option<Remedy> {
    let judged = tried(case, &change, before, Spreading::Whole)?;
    let after = judged.findings.iter().filter(|after| after.check == finding.check).max_by_key(|after| after.state);
    // A check of safety that is no longer made has nothing left to check.
    let (state, value) = match (after, &finding.check) {
        (Some(after), _) => (after.state, after.value),
        (None, Check::Safety(_)) => (State::Holds, finding.value),
        (None, _) => return None,
    };
    let new_stop = |other: &&Finding| other.state == State::Stop && !before.stops.contains(&other.check);
    let harms = judged.findings.iter().find(new_stop).map(|other| other.check.clone());
    (state < finding.state).then(|| Remedy {
        change,
        gives: state,
        value,
        time_s: judged.total.to_seconds() - before.total_s,
        harms,
    })
}

/// The case with one change made; `None` when the change cannot be made.
fn changed<'a>(case: &Case<'a>, change: &Change) -> Option<Case<'a>> {
    let mut case = case.clone();
    match change {
        Change::Pressure(pressure) => case.recipe.pressure = *pressure,
        Change::Nozzle(name) => case.recipe.nozzle = case.shop.nozzle(name)?.clone(),
        Change::Resist(id) => {
            case.recipe.resist = case.shop.resists.iter().find(|stock| stock.resist.id == *id)?.resist;
        }
        Change::Abrasive(id, grit) => {
            let mut stock = case.shop.abrasives.iter();
            let stock = stock.find(|stock| stock.abrasive.id == *id && stock.grit.name == *grit)?;
            (case.recipe.abrasive, case.recipe.grit) = (stock.abrasive, stock.grit);
        }
        Change::Depth(depth) => case.sketch.to_mut().limit_depth(*depth),
        Change::LayerDepth(name, depth) => case.sketch.to_mut().set_depth(name, *depth)?,
        Change::Width(width) => case.sketch.to_mut().set_width(*width)?,
        Change::BlankThickness(thickness) => case.piece.to_mut().blank.thickness = *thickness,
        Change::Collector(flow) => case.shop.to_mut().cabinet.collector = Some(*flow),
        Change::Safety(mend) => mend.make(case.shop.to_mut(), Some(case.piece.to_mut())),
        Change::Gores(count) => case.piece.to_mut().blank.gores = Some(*count),
    }
    Some(case)
}

/// Other things of the shop that bear on a check.
fn choices(case: &Case<'_>, check: &Check) -> Vec<Change> {
    match check {
        Check::Opening { .. } => resists(case).chain(abrasives(case)).collect(),
        Check::Wall | Check::ResistWear | Check::RollWidth | Check::Gores => resists(case).collect(),
        Check::AirHolds | Check::Duty | Check::NozzlePressure => nozzles(case).collect(),
        Check::Silica => abrasives(case).collect(),
        Check::NarrowDepth { .. }
        | Check::Thickness
        | Check::Collector
        | Check::CompressorPlate { .. }
        | Check::Handle
        | Check::Safety(_) => Vec::new(),
    }
}

fn resists<'a>(case: &'a Case<'_>) -> impl Iterator<Item = Change> + 'a {
    let others = case.shop.resists.iter().filter(|stock| stock.resist.id != case.recipe.resist.id);
    others.map(|stock| Change::Resist(stock.resist.id.clone()))
}

fn abrasives<'a>(case: &'a Case<'_>) -> impl Iterator<Item = Change> + 'a {
    let now = (&case.recipe.abrasive.id, &case.recipe.grit.name);
    let others = case.shop.abrasives.iter().filter(move |stock| (&stock.abrasive.id, &stock.grit.name) != now);
    let accepted = others.filter(|stock| safety::refusal::accept_abrasive(stock.abrasive, stock.free_silica).is_ok());
    accepted.map(|stock| Change::Abrasive(stock.abrasive.id.clone(), stock.grit.name.clone()))
}

fn nozzles<'a>(case: &'a Case<'_>) -> impl Iterator<Item = Change> + 'a {
    let others = case.shop.nozzles.iter().filter(|nozzle| nozzle.name != case.recipe.nozzle.name);
    others.map(|nozzle| Change::Nozzle(nozzle.name.clone()))
}

/// Changes that have a size, at the least size that turns the finding.
fn measures(case: &Case<'_>, finding: &Finding, before: &Before) -> Vec<Change> {
    if let Check::Safety(hazard) = finding.check {
        return safety_checks::changes(case, &before.judged, hazard);
    }
    let least = |from: f64, to: f64, change: &dyn Fn(f64) -> Change| least(case, finding, before, (from, to), change);
    let set = case.recipe.pressure.to_base();
    let lower = || {
        least(set, LEAST_PRESSURE.to_base(), &|pa| Change::Pressure(tidy(GaugePressure::clamped(pa), case.shop.units)))
    };
    let wider = || {
        let (now, most) = (case.sketch.drawing_width_mm, widest_mm(case));
        least(now, most, &|mm| Change::Width(tidy_up(Length::clamped(mm * 1e-3), case.shop.units)))
    };
    let narrower = || {
        let now = case.sketch.drawing_width_mm;
        least(now, now * 0.1, &|mm| Change::Width(tidy(Length::clamped(mm * 1e-3), case.shop.units)))
    };
    let deepest = case.sketch.layers.iter().map(|layer| layer.target.to_mm()).fold(0.0, f64::max);
    let shallower =
        || least(deepest, deepest * 0.1, &|mm| Change::Depth(tidy(Length::clamped(mm * 1e-3), case.shop.units)));
    let found = match &finding.check {
        Check::Opening { .. } | Check::Wall => vec![wider()],
        Check::NarrowDepth { layer } => {
            let target = case.sketch.layer(layer).map_or(0.0, |layer| layer.target.to_mm());
            let change = |mm: f64| Change::LayerDepth(layer.clone(), tidy(Length::clamped(mm * 1e-3), case.shop.units));
            vec![wider(), least(target, target * 0.1, &change)]
        }
        Check::ResistWear => vec![lower(), shallower()],
        Check::Thickness => vec![shallower(), thicker(case, deepest)],
        Check::AirHolds | Check::Duty | Check::NozzlePressure => vec![lower()],
        Check::Collector => vec![collector(finding)],
        Check::Handle => vec![narrower()],
        Check::Gores => vec![gores::more(case)],
        Check::Silica | Check::RollWidth | Check::CompressorPlate { .. } | Check::Safety(_) => Vec::new(),
    };
    found.into_iter().flatten().collect()
}

/// The change nearest to `from`, between it and `to`, that betters the finding as far as `to` does.
fn least(
    case: &Case<'_>,
    finding: &Finding,
    before: &Before,
    (from, to): (f64, f64),
    change: &dyn Fn(f64) -> Change,
) -> Option<Change> {
    // What does not depend on the spread is looked for at the middle.
    let spreading = match finding.check {
        Check::ResistWear | Check::Thickness => Spreading::Whole,
        _ => Spreading::Middle,
    };
    let state = |value: f64| {
        let judged = tried(case, &change(value), before, spreading)?;
        judged.findings.iter().find(|after| after.check == finding.check).map(|after| after.state)
    };
    let best = state(to).filter(|best| *best < finding.state)?;
    let (mut not_yet, mut enough) = (from, to);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (not_yet + enough);
        if state(middle).is_some_and(|state| state <= best) { enough = middle } else { not_yet = middle }
    }
    // A tidied value may fall just short of the edge: then the next one towards `to` is taken.
    let beyond = enough + 0.02 * (to - from);
    [enough, beyond, to].into_iter().find(|&value| state(value).is_some_and(|state| state <= best)).map(change)
}

/// How wide the drawing may become on this blank.
fn widest_mm(case: &Case<'_>) -> f64 {
    let (body, sketch) = (case.piece.blank.body, &case.sketch);
    let room = match body {
        Body::Panel { .. } => body.sheet_width_mm(),
        // Beyond the half that one sees, a vessel's picture is no longer one.
        Body::Tumbler { .. } | Body::Bowl { .. } => 0.5 * body.sheet_width_mm(),
    };
    let scale = (room / sketch.stencil_width_mm).min(body.sheet_height_mm() / sketch.stencil_height_mm);
    sketch.drawing_width_mm * scale.max(1.0)
}

/// The thinnest blank in whole millimetres of which the deepest layer is no more than a third.
fn thicker(case: &Case<'_>, deepest_mm: f64) -> Option<Change> {
    let share = tables().limits.carve_depth_watch.value.to_ratio();
    let whole = (deepest_mm / share - 1e-9).ceil();
    (whole > case.piece.blank.thickness.to_mm()).then(|| Change::BlankThickness(Length::clamped(whole * 1e-3)))
}

/// A collector of the flow wanted, rounded up to the next tenth of a cubic metre a minute.
fn collector(finding: &Finding) -> Option<Change> {
    let crate::finding::Amount::FreeAir(wanted) = finding.limit else { return None };
    let tenths = (wanted.mid().to_cubic_metres_per_minute() * 10.0).ceil();
    FreeFlow::cubic_metres_per_minute(tenths / 10.0).ok().map(Change::Collector)
}

/// To two digits in the unit that people set it in, downwards: less pressure, less depth.
fn tidy<Q: Show>(quantity: Q, units: UnitSystem) -> Q {
    rounded(quantity, units, f64::floor)
}

/// To three digits in the unit that people draw in, upwards: wider.
fn tidy_up(length: Length, units: UnitSystem) -> Length {
    let rung = Length::rung(length.to_base(), units);
    let step = if length.to_base() / rung.factor >= 100.0 { 1.0 } else { 0.1 };
    Length::clamped((length.to_base() / rung.factor / step).ceil() * step * rung.factor)
}

fn rounded<Q: Show>(quantity: Q, units: UnitSystem, round: fn(f64) -> f64) -> Q {
    let rung = Q::rung(quantity.to_base(), units);
    let value = (quantity.to_base() - rung.offset) / rung.factor;
    let step = 10f64.powf(value.abs().max(1e-12).log10().floor() - 1.0);
    Q::clamped(round(value / step + 1e-9) * step * rung.factor + rung.offset)
}
