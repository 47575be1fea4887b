//! Changes that bear on a check: what the shop owns beside what is used, sizes solved for, and what could be bought.
//!
//! Where a change has a size (a pressure, a depth, a width) the least of it that turns the finding is found by
//! bisection; where it is a choice (a nozzle, a resist) all that there are are tried.

use crate::blast::Spreading;
use crate::change::changed;
use crate::edit::wider;
use crate::finding::{Amount, Change, Check, Finding, State};
use crate::gores;
use crate::judge::{self, Case, Judged, judge_at_work};
use crate::remedy::{Node, judged_with};
use crate::safety_checks;
use piece::{Body, StockedAbrasive};
use quantity::show::Show;
use quantity::{Diameter, FreeFlow, GaugePressure, Length, Quantity, UnitSystem, Volume, known};
use reference::tables;
use safety::check::Hazard;
use std::collections::HashSet;
use std::sync::Arc;

/// Halvings of a range: to a thousandth of it.
const HALVINGS: u32 = 10;

/// A lower setting than this carries too little grit. Common practice, no source.
const LEAST_PRESSURE: GaugePressure = known(GaugePressure::psi(15.0));

/// A nozzle is not held further away than this. Common practice, no source.
const FURTHEST: Length = known(Length::mm(250.0));

/// A drawing's new width has to do, too, with this share more or less of it, of what is swept, and of what is narrow:
/// what is then measured anew may differ so much from what was scaled.
const HAIR: f64 = 5e-3;
const SWEPT: f64 = 0.03;
const NARROW: f64 = 0.1;

/// Openings stay this far from the edges of a sheet: more than the widest wall that any resist asks for.
const FROM_EDGE_MM: f64 = 4.0;

/// Bores of nozzles that are sold: by thirty-seconds of an inch, and finer ones. Common practice, no source.
const BORES: [Diameter; 7] = [
    known(Diameter::mm(0.8)),
    known(Diameter::mm(1.2)),
    known(Diameter::inches(1.0 / 16.0)),
    known(Diameter::inches(3.0 / 32.0)),
    known(Diameter::inches(1.0 / 8.0)),
    known(Diameter::inches(5.0 / 32.0)),
    known(Diameter::inches(3.0 / 16.0)),
];

/// Other things of the shop that bear on a check.
pub(crate) fn choices(case: &Case<'_>, check: &Check) -> Vec<Change> {
    match check {
        Check::Opening { layer } => resists(case).chain(abrasives(case)).chain(finishes(case, layer)).collect(),
        Check::Wall | Check::RollWidth | Check::Gores | Check::Safety(Hazard::Lamp) => resists(case).collect(),
        Check::ResistWear => resists(case).chain(abrasives(case)).chain(nozzles(case)).collect(),
        Check::AirHolds | Check::Duty | Check::NozzlePressure | Check::Safety(Hazard::BlastOut) => {
            nozzles(case).collect()
        }
        Check::Silica => abrasives(case).collect(),
        Check::Safety(hazard) if is_of_the_day(*hazard) => nozzles(case).chain(abrasives(case)).collect(),
        Check::NarrowDepth { .. }
        | Check::Thickness
        | Check::Collector
        | Check::CompressorPlate { .. }
        | Check::Handle
        | Check::Safety(_) => Vec::new(),
    }
}

/// Whether it hangs on how long is blasted: quicker work betters it.
const fn is_of_the_day(hazard: Hazard) -> bool {
    matches!(
        hazard,
        Hazard::SilicaExposure
            | Hazard::LeadExposure
            | Hazard::DustExposure
            | Hazard::NoiseDose
            | Hazard::NoiseRecommended
            | Hazard::Hearing
    )
}

fn resists<'a>(case: &'a Case<'_>) -> impl Iterator<Item = Change> + 'a {
    let mut seen = HashSet::from([case.recipe.resist.id.as_str()]);
    let others = case.shop.resists.iter().filter(move |stock| seen.insert(&stock.resist.id));
    others.map(|stock| Change::Resist(stock.resist.id.clone()))
}

/// Each abrasive for all stages; the first stages' own too, where the last have another.
fn abrasives<'a>(case: &'a Case<'_>) -> impl Iterator<Item = Change> + 'a {
    let now = (&case.recipe.abrasive.id, &case.recipe.grit.name);
    let alone = case.recipe.finish.is_none();
    let others = case.shop.abrasives.iter();
    let others = others.filter(move |stock| !alone || (&stock.abrasive.id, &stock.grit.name) != now);
    let accepted = others.filter(|stock| safety::refusal::accept_abrasive(stock.abrasive, stock.free_silica).is_ok());
    accepted.map(|stock| Change::Abrasive(stock.abrasive.id.clone(), stock.grit.name.clone()))
}

/// A finer abrasive from the stage on that opens a layer, where others come before it.
fn finishes(case: &Case<'_>, layer: &str) -> Vec<Change> {
    let at = case.sketch.layers.iter().position(|one| one.name == layer);
    let Some((at, stages)) = at.zip(judge::stages(&case.sketch).ok()) else { return Vec::new() };
    let own = stages.len() - judge::opened_in(at, &stages);
    let now = case.recipe.abrasive_of(stages.len() - own, stages.len()).1.d50.value.mid();
    let first = (&case.recipe.abrasive.id, &case.recipe.grit.name);
    let others = case.shop.abrasives.iter().filter(|stock| (&stock.abrasive.id, &stock.grit.name) != first);
    let finer = others.filter(|stock| stock.grit.d50.value.mid() < now);
    let accepted = finer.filter(|stock| safety::refusal::accept_abrasive(stock.abrasive, stock.free_silica).is_ok());
    let change = |stock: &StockedAbrasive| Change::Finish(stock.abrasive.id.clone(), stock.grit.name.clone(), own);
    if own < stages.len() { accepted.map(change).collect() } else { Vec::new() }
}

fn nozzles<'a>(case: &'a Case<'_>) -> impl Iterator<Item = Change> + 'a {
    let others = case.shop.nozzles.iter().filter(|nozzle| nozzle.name != case.recipe.nozzle.name);
    others.map(|nozzle| Change::Nozzle(nozzle.name.clone()))
}

/// A change with a size: where it stands, how far it may go, and the change at a size.
struct Size<'a> {
    from: f64,
    to: f64,
    change: Box<dyn Fn(f64) -> Change + 'a>,
}

/// Changes that have a size and bear on a check.
fn sizes<'a>(case: &'a Case<'_>, check: &Check) -> Vec<Size<'a>> {
    match check {
        Check::Opening { .. } | Check::Wall => vec![wider_drawing(case)],
        Check::NarrowDepth { layer } => vec![wider_drawing(case), layer_depth(case, layer)],
        Check::ResistWear => vec![lower(case), shallower(case), further(case)],
        Check::Thickness => vec![shallower(case)],
        Check::AirHolds | Check::Duty | Check::NozzlePressure | Check::Safety(Hazard::BlastOut) => vec![lower(case)],
        Check::Handle | Check::RollWidth | Check::Safety(Hazard::EdgeDistance) => vec![narrower(case)],
        _ => Vec::new(),
    }
}

fn lower<'a>(case: &'a Case<'_>) -> Size<'a> {
    let change = |pa| Change::Pressure(tidy(GaugePressure::clamped(pa), case.shop.units));
    Size { from: case.recipe.pressure.to_base(), to: LEAST_PRESSURE.to_base(), change: Box::new(change) }
}

fn further<'a>(case: &'a Case<'_>) -> Size<'a> {
    let change = |m| Change::Standoff(tidy(Length::clamped(m), case.shop.units));
    let to = wider(FURTHEST, case.recipe.standoff);
    Size { from: case.recipe.standoff.to_base(), to: to.to_base(), change: Box::new(change) }
}

fn shallower<'a>(case: &'a Case<'_>) -> Size<'a> {
    let deepest = deepest_mm(case);
    let change = |mm: f64| Change::Depth(tidy(Length::clamped(mm * 1e-3), case.shop.units));
    Size { from: deepest, to: deepest * 0.1, change: Box::new(change) }
}

fn layer_depth<'a>(case: &'a Case<'_>, layer: &str) -> Size<'a> {
    let target = case.sketch.layer(layer).map_or(0.0, |layer| layer.target.to_mm());
    let layer = layer.to_owned();
    let change = move |mm: f64| Change::LayerDepth(layer.clone(), tidy(Length::clamped(mm * 1e-3), case.shop.units));
    Size { from: target, to: target * 0.1, change: Box::new(change) }
}

fn wider_drawing<'a>(case: &'a Case<'_>) -> Size<'a> {
    let most = widest_mm(case);
    let change = move |mm: f64| {
        let tidied = tidy_up(Length::clamped(mm * 1e-3), case.shop.units);
        Change::Width(if tidied.to_mm() > most { Length::clamped(most * 1e-3) } else { tidied })
    };
    Size { from: case.sketch.drawing_width_mm, to: most, change: Box::new(change) }
}

fn narrower<'a>(case: &'a Case<'_>) -> Size<'a> {
    let now = case.sketch.drawing_width_mm;
    let change = |mm: f64| Change::Width(tidy(Length::clamped(mm * 1e-3), case.shop.units));
    Size { from: now, to: now * 0.1, change: Box::new(change) }
}

fn deepest_mm(case: &Case<'_>) -> f64 {
    case.sketch.layers.iter().map(|layer| layer.target.to_mm()).fold(0.0, f64::max)
}

/// Changes that have a size, at the least size that betters a finding.
pub(crate) fn measures(node: &Node<'_>, finding: &Finding) -> Vec<Change> {
    let case = &node.case;
    let mut found: Vec<Change> =
        sizes(case, &finding.check).into_iter().filter_map(|size| least(node, finding, &size)).collect();
    match &finding.check {
        Check::Thickness => found.extend(thicker(case, deepest_mm(case))),
        Check::Collector => found.extend(collector(finding)),
        Check::Gores => found.extend(gores::more(case)),
        Check::CompressorPlate { compressor } => found.extend(delivered(finding, compressor)),
        Check::Safety(hazard) => found.extend(safety_checks::changes(case, &node.judged, *hazard)),
        _ => {}
    }
    if let Check::Safety(Hazard::Sinking) = finding.check {
        found.extend(stiffer(node, finding));
    }
    found
}

/// Changes that have a size, as far as they go: the first of two that together do what neither does alone.
pub(crate) fn extremes(case: &Case<'_>, check: &Check) -> Vec<Change> {
    let half = |size: Size<'_>| match (size.change)(size.to) {
        // A tenth of the depth is no carving any more.
        Change::Depth(_) | Change::LayerDepth(..) => (size.change)(0.5 * size.from),
        Change::Width(_) if size.to < size.from => (size.change)(0.5 * size.from),
        change => change,
    };
    sizes(case, check).into_iter().map(half).collect()
}

/// The smallest drawing at which every width of the artwork holds, where that is wider than it is.
pub(crate) fn smallest_drawing(node: &Node<'_>) -> Option<Change> {
    let size = wider_drawing(&node.case);
    let hold =
        |judged: &Judged| judged.findings.iter().filter(|one| is_of_widths(&one.check)).map(|one| one.state).max();
    let worst = |change: &Change| {
        let judged = judged_nearby(node, change, Spreading::Middle)?;
        judged.iter().map(hold).collect::<Option<Vec<State>>>()?.into_iter().max()
    };
    let state = |mm: f64| worst(&(size.change)(mm));
    bisected(&size, &state, State::Watch).filter(|change| worst(change) == Some(State::Holds))
}

/// The judgements of a change as it may come out: of a new width somewhat less and somewhat more.
pub(crate) fn judged_nearby(node: &Node<'_>, change: &Change, spreading: Spreading) -> Option<Vec<Judged>> {
    let Change::Width(width) = change else { return judged_with(node, change, spreading).map(|judged| vec![judged]) };
    let near = |side: f64| {
        let width = Length::clamped(width.to_base() * (1.0 + side * HAIR));
        let mut case = changed(&node.case, &Change::Width(width))?;
        case.sketch.to_mut().stretch(1.0 + side * SWEPT, 1.0 + NARROW);
        judge_at_work(&case, Arc::clone(&node.judged.at_work)).ok()
    };
    [-1.0, 1.0].into_iter().map(near).collect()
}

/// Openings, walls and what narrow parts reach.
pub(crate) const fn is_of_widths(check: &Check) -> bool {
    matches!(check, Check::Opening { .. } | Check::Wall | Check::NarrowDepth { .. })
}

/// The change nearest to where it stands that betters the finding as far as the furthest does.
fn least(node: &Node<'_>, finding: &Finding, size: &Size<'_>) -> Option<Change> {
    // What does not depend on the spread is looked for at the middle.
    let spreading = match finding.check {
        Check::ResistWear | Check::Thickness => node.spreading,
        _ => Spreading::Middle,
    };
    let one = |judged: &Judged| match state_of(judged, &finding.check) {
        None if matches!(finding.check, Check::Safety(_)) => Some(State::Holds),
        state => state,
    };
    let state = |value: f64| {
        let judged = judged_nearby(node, &(size.change)(value), spreading)?;
        judged.iter().map(one).collect::<Option<Vec<State>>>()?.into_iter().max()
    };
    bisected(size, &state, finding.state)
}

/// The least size whose state is as good as the furthest one's, which is better than `now`.
fn bisected(size: &Size<'_>, state: &dyn Fn(f64) -> Option<State>, now: State) -> Option<Change> {
    let (from, to) = (size.from, size.to);
    if (to - from).abs() <= 1e-6 * from.abs() {
        return None;
    }
    let best = state(to).filter(|best| *best < now)?;
    let (mut not_yet, mut enough) = (from, to);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (not_yet + enough);
        if state(middle).is_some_and(|state| state <= best) { enough = middle } else { not_yet = middle }
    }
    // A tidied value may fall just short of the edge: then the next one towards `to` is taken.
    let beyond = enough + 0.02 * (to - from);
    let found = [enough, beyond, to].into_iter().find(|&value| state(value).is_some_and(|state| state <= best));
    found.map(|value| (size.change)(value))
}

/// How a check stands; the worst where it is made several times.
pub(crate) fn state_of(judged: &Judged, check: &Check) -> Option<State> {
    judged.findings.iter().filter(|one| one.check == *check).map(|one| one.state).max()
}

/// How wide the drawing may become on this blank.
fn widest_mm(case: &Case<'_>) -> f64 {
    let (body, sketch) = (case.piece.blank.body, &case.sketch);
    let room = match body {
        Body::Panel { .. } => body.sheet_width_mm(),
        // Beyond the half that one sees, a vessel's picture is no longer one.
        Body::Tumbler { .. } | Body::Bowl { .. } => 0.5 * body.sheet_width_mm(),
    };
    let within = |room: f64| room - 2.0 * FROM_EDGE_MM;
    let scale = (within(room) / sketch.stencil_width_mm).min(within(body.sheet_height_mm()) / sketch.stencil_height_mm);
    sketch.drawing_width_mm * (scale * (1.0 - HAIR)).max(1.0)
}

/// The thinnest blank in whole millimetres of which the deepest layer is no more than a third.
fn thicker(case: &Case<'_>, deepest_mm: f64) -> Option<Change> {
    let share = tables().limits.carve_depth_watch.value.to_ratio();
    let whole = (deepest_mm / share - 1e-9).ceil();
    (whole > case.piece.blank.thickness.to_mm()).then(|| Change::BlankThickness(Length::clamped(whole * 1e-3)))
}

/// The thinnest blank in whole millimetres, up to three times as thick, that does not sink too far.
fn stiffer(node: &Node<'_>, finding: &Finding) -> Option<Change> {
    let now = node.case.piece.blank.thickness.to_mm();
    let blanks = (now.floor() as u32 + 1..=(3.0 * now) as u32).map(|mm| Length::clamped(f64::from(mm) * 1e-3));
    let holds = |change: &Change| {
        let judged = judged_with(node, change, Spreading::Middle);
        judged.is_some_and(|judged| state_of(&judged, &finding.check).is_none_or(|state| state < finding.state))
    };
    blanks.map(Change::BlankThickness).find(holds)
}

/// A collector of the flow wanted, rounded up to the next tenth of a cubic metre a minute.
fn collector(finding: &Finding) -> Option<Change> {
    let Amount::FreeAir(wanted) = finding.limit else { return None };
    let tenths = (wanted.mid().to_cubic_metres_per_minute() * 10.0).ceil();
    FreeFlow::cubic_metres_per_minute(tenths / 10.0).ok().map(Change::Collector)
}

/// What the plan reckons with in place of the plate's figure.
fn delivered(finding: &Finding, compressor: &str) -> Option<Change> {
    let Amount::FreeAir(likely) = finding.value else { return None };
    Some(Change::Delivered(compressor.to_owned(), likely.mid()))
}

/// Things of the tables that the shop does not own and that bear on a check, the smallest first.
pub(crate) fn purchases(node: &Node<'_>, finding: &Finding) -> Vec<Change> {
    let case = &node.case;
    match &finding.check {
        Check::Opening { .. } => new_resists(case).into_iter().chain(new_grits(case)).collect(),
        Check::Wall => new_resists(case),
        Check::ResistWear => new_resists(case).into_iter().chain(new_nozzles(case)).collect(),
        Check::Silica => new_grits(case),
        Check::AirHolds => {
            let machines = [smallest(node, finding, &receivers(case)), smallest(node, finding, &compressors(case))];
            new_nozzles(case).into_iter().chain(machines.into_iter().flatten()).collect()
        }
        Check::Duty => new_nozzles(case).into_iter().chain(smallest(node, finding, &compressors(case))).collect(),
        Check::NozzlePressure => smallest(node, finding, &hoses(case)).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn new_resists(case: &Case<'_>) -> Vec<Change> {
    let owned = |id: &str| case.shop.resists.iter().any(|stock| stock.resist.id == id);
    let others = tables().resists.iter().filter(|resist| !owned(&resist.id));
    others.map(|resist| Change::BuyResist(resist.id.clone())).collect()
}

/// Finer grits of the abrasive in use, and the grit in use of other abrasives.
fn new_grits(case: &Case<'_>) -> Vec<Change> {
    let (abrasive, grit) = (case.recipe.abrasive, case.recipe.grit);
    let owned = |id: &str, name: &str| {
        case.shop.abrasives.iter().any(|stock| stock.abrasive.id == id && stock.grit.name == name)
    };
    let finer = tables().grits.iter().filter(|other| other.d50.value.mid() < grit.d50.value.mid());
    let finer = finer.map(|other| (abrasive, other)).take(6);
    let accepted = tables().abrasives.iter().filter(|other| safety::refusal::accept_abrasive(other, None).is_ok());
    let others = accepted.filter(|other| other.id != abrasive.id).map(|other| (other, grit));
    let wanted = finer.chain(others).filter(|(abrasive, grit)| !owned(&abrasive.id, &grit.name));
    wanted.map(|(abrasive, grit)| Change::BuyAbrasive(abrasive.id.clone(), grit.name.clone())).collect()
}

fn new_nozzles(case: &Case<'_>) -> Vec<Change> {
    let owned = |bore: Diameter| {
        case.shop.nozzles.iter().any(|nozzle| (nozzle.bore.to_base() / bore.to_base() - 1.0).abs() < 0.05)
    };
    BORES.into_iter().filter(|bore| !owned(*bore)).map(Change::BuyNozzle).collect()
}

fn receivers(case: &Case<'_>) -> Vec<Change> {
    let series = &tables().equipment.series.receivers.value;
    series.iter().filter(|size: &&Volume| **size > case.shop.receiver).map(|&size| Change::Receiver(size)).collect()
}

fn compressors(case: &Case<'_>) -> Vec<Change> {
    let Some(first) = case.shop.compressors.first() else { return Vec::new() };
    let series = &tables().equipment.series.free_air.value;
    series.iter().filter(|size| **size > first.free_air).map(|&size| Change::Compressor(size)).collect()
}

fn hoses(case: &Case<'_>) -> Vec<Change> {
    let series = &tables().equipment.series.hoses.value;
    series.iter().filter(|size| **size > case.shop.hose.bore).map(|&size| Change::Hose(size)).collect()
}

/// The first of an ascending series that betters a finding as far as the last does.
fn smallest(node: &Node<'_>, finding: &Finding, series: &[Change]) -> Option<Change> {
    let state = |change: &Change| state_of(&judged_with(node, change, Spreading::Middle)?, &finding.check);
    let best = series.last().and_then(state).filter(|best| *best < finding.state)?;
    let at = series.partition_point(|change| state(change).is_none_or(|state| state > best));
    series.get(at).cloned()
}

/// To two digits in the unit that people set it in, downwards: less pressure, less depth.
pub(crate) fn tidy<Q: Show>(quantity: Q, units: UnitSystem) -> Q {
    rounded(quantity, units, f64::floor)
}

/// To three digits in the unit that people draw in, upwards: wider.
pub(crate) fn tidy_up(length: Length, units: UnitSystem) -> Length {
    let rung = Length::rung(length.to_base(), units);
    let step = if length.to_base() / rung.factor >= 100.0 { 1.0 } else { 0.1 };
    Length::clamped((length.to_base() / rung.factor / step - 1e-9).ceil() * step * rung.factor)
}

fn rounded<Q: Show>(quantity: Q, units: UnitSystem, round: fn(f64) -> f64) -> Q {
    let rung = Q::rung(quantity.to_base(), units);
    let value = (quantity.to_base() - rung.offset) / rung.factor;
    let step = 10f64.powf(value.abs().max(1e-12).log10().floor() - 1.0);
    Q::clamped(round(value / step + 1e-9) * step * rung.factor + rung.offset)
}
