//! The stage table: what to weed, how long to blast and rest, how deep it then is.
//!
//! Few layers are listed under each other in the row of a stage; more stand as columns.

mod listed;
mod matrix;

use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::lettering::Style;
use crate::stack::{Align, stack, text};
use crate::table::Cell;
use crate::words::Words;
use language::{say, say_count};
use plan::{Act, Plan, Stage};
use quantity::show::{Rung, Show, clock, significant};
use quantity::{Estimate, Length, Quantity};

/// More layers than this stand as columns, if there is width for them.
const LISTED_MAX: usize = 4;

/// A table of some of the plan's stages with a note under it.
pub(super) fn table(plan: &Plan, stages: &[Stage], width: f64, scale: Scale) -> Frame {
    let columns = (plan.layers.len() > LISTED_MAX).then(|| matrix::table(plan, stages, width, scale)).flatten();
    let table = columns.unwrap_or_else(|| listed::table(plan, stages, width, scale));
    let note = say!(
        "Depths are those of wide parts. Gauge the layer in bold type in a wide flat part and write down what you find."
    );
    stack([table, text(&Words::plainly(note, scale.small()), width, Align::Left).role(Role::Paragraph)], 1.2)
}

/// The table in words, for those who listen.
fn shows() -> &'static str {
    say!("What each stage weeds, how long it blasts and rests, and how deep the layers then are.")
}

/// The layer to gauge after a stage: the deepest of those with a flat bottom, else the deepest.
pub(super) fn gauged(plan: &Plan, stage: &Stage) -> Option<(usize, Estimate<Length>)> {
    let flat = |layer: usize| plan.layers.get(layer).is_some_and(|layer| layer.reach.has_flat);
    let key = |&(layer, depth): &(usize, Estimate<Length>)| (flat(layer), depth.mid().to_mm());
    let deeper = |a: &&(usize, Estimate<Length>), b: &&(usize, Estimate<Length>)| {
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    };
    // `max_by` gives the last of equals; the first listed is wanted.
    stage.depth.iter().rev().max_by(deeper).copied()
}

/// A depth as a range, in the one unit of all depths on the sheet.
pub(super) fn shown(plan: &Plan, depth: Estimate<Length>) -> String {
    format!("{}\u{202f}{}", range(plan, depth), unit(plan))
}

/// The same without its unit.
fn range(plan: &Plan, depth: Estimate<Length>) -> String {
    let factor = rung(plan).factor;
    let number = |depth: Length| significant(depth.to_base() / factor, 2);
    let (low, high) = (number(depth.low()), number(depth.high()));
    if low == high { low } else { format!("{low}–{high}") }
}

/// The unit of all depths on the sheet.
fn unit(plan: &Plan) -> &'static str {
    rung(plan).unit
}

/// That which suits half of the deepest target: most depths are less than it.
fn rung(plan: &Plan) -> Rung {
    let deepest = plan.layers.iter().map(|layer| layer.target.to_base()).fold(0.0, f64::max);
    Length::rung(deepest / 2.0, plan.units)
}

/// The name of a layer; nothing for one that is not there.
fn name(plan: &Plan, layer: usize) -> &str {
    plan.layers.get(layer).map_or("", |layer| layer.name.as_str())
}

/// The first cells of a stage's row: its number, what it weeds, how long it weeds, blasts and rests.
fn first_cells(plan: &Plan, stage: &Stage, clock_width: f64, times: Style, scale: Scale) -> Vec<Cell> {
    let number = Words::plainly(&stage.order.to_string(), times.semi_bold());
    let weed = Words::new(&plan::words::stage_work(plan, stage), times);
    let time = |time| Cell::Words(Words::new(&dash_if_none(clock(time)), times));
    let rest = Cell::Frame(rest(plan, stage, clock_width, times, scale));
    vec![Cell::Words(number), Cell::Words(weed), time(stage.weed), time(stage.blast), rest]
}

fn dash_if_none(time: String) -> String {
    if time.starts_with('0') { "–".to_owned() } else { time }
}

/// How long the stage rests, and in how many rests when there are several.
fn rest(plan: &Plan, stage: &Stage, width: f64, times: Style, scale: Scale) -> Frame {
    let time = text(&Words::new(&dash_if_none(clock(stage.wait)), times), width, Align::Right);
    stack([time, text(&Words::plainly(&in_rests(plan, stage), scale.small()), width, Align::Right)], 0.0)
}

/// In how many rests a stage rests; nothing for one or none.
pub(crate) fn in_rests(plan: &Plan, stage: &Stage) -> String {
    let of_stage = |block: &&plan::HandBlock| block.stage == stage.order && block.act == Act::Rest;
    match plan.strip.hands.iter().filter(of_stage).count() {
        0 | 1 => String::new(),
        rests => say_count!(rests, "in {rests} rest", "in {rests} rests"),
    }
}

/// Width of the longest time of a stage.
fn clock_width(times: Style) -> f64 {
    times.shape("00\u{202f}min 00\u{202f}s").width_mm
}
