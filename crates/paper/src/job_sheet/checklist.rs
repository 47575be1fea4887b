//! What to tick with a pencil, in the order of the work.

use super::findings::Said;
use super::nominal::together;
use super::scale::Scale;
use super::stages::{gauged, shown};
use crate::frame::{Frame, Role};
use crate::marks::tick_box;
use crate::stack::{Align, stack, text};
use crate::words::Words;
use language::say;
use piece::Side;
use plan::{Act, Plan};
use quantity::show::{Show, clock};
use quantity::{Quantity, Time};
use safety::caution::CautionKind;

/// Between a box and its words.
const GAP: f64 = 2.6;

/// The boxes with their words.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale, said: Said) -> Frame {
    let entry = |task: String| {
        let tick = tick_box(scale.body().size_pt);
        let left = tick.width + GAP;
        let words = text(&Words::new(&task, scale.body()), width - left, Align::Left);
        let height = tick.height.max(words.height);
        // The box is centred on the first line, whichever of the two is higher.
        let drop = (tick.height - crate::stack::line_height(scale.body().size_pt)) / 2.0;
        Frame::new(width, height + drop)
            .role(Role::ListItem)
            .with(tick.role(Role::Label))
            .with(words.at(left, drop).role(Role::Body))
    };
    stack(tasks(plan, said).into_iter().map(entry), scale.item_gap() * 0.6).role(Role::List)
}

fn tasks(plan: &Plan, said: Said) -> Vec<String> {
    let set = together(plan.recipe.pressure.show(plan.units));
    let before: [String; 7] = [
        say!("Respirator on, filters as the cautions say").to_owned(),
        say!("Gloves whole; hearing protection on").to_owned(),
        match has_collector(plan) {
            true => say!("Collector on, drawing; door shut").to_owned(),
            false => say!("A collector fitted: without one there is no blasting").to_owned(),
        },
        stencil_side(plan),
        covered(plan, said),
        say!("Receiver drained, then full; regulator at {set}"),
        say!("A coupon of the same blank blasted and gauged").to_owned(),
    ];
    let wait = match clearing(plan).filter(|_| has_collector(plan)) {
        Some(time) => say!("After each blast: door shut for {}", clock(time)),
        None => say!("After each blast: door shut until the dust has cleared").to_owned(),
    };
    before.into_iter().chain(gauges(plan)).chain([wait]).collect()
}

/// Whether anything draws the dust off, by the cautions.
fn has_collector(plan: &Plan) -> bool {
    !plan.cautions.iter().any(|caution| caution.kind == CautionKind::NoCollector)
}

/// A task for each stage, or one for all when they are many.
fn gauges(plan: &Plan) -> Vec<String> {
    const EACH: usize = 4;
    if plan.stages.len() > EACH {
        let count = plan.stages.len();
        return vec![say!("After each of the {count} stages: gauged as on page 1")];
    }
    let task = |stage: &plan::Stage| {
        let (layer, depth) = gauged(plan, stage)?;
        let name = &plan.layers.get(layer)?.name;
        Some(say!("After stage {}: gauge {name}, {}", stage.order, shown(plan, depth)))
    };
    plan.stages.iter().filter_map(task).collect()
}

/// The cover in one line; its parts stand in the stencil sheet.
fn covered(plan: &Plan, said: Said) -> String {
    let (reach, tape) = (plan.masking.reach.show(plan.units), plan.masking.tape.show(plan.units));
    if matches!(said, Said::Barely | Said::Least) {
        return say!("Covered (stencil sheet): resist {reach} around, tape {tape}");
    }
    say!("Covered: resist {reach} around the stencil, film beyond, edges taped; {tape} of tape")
}

fn stencil_side(plan: &Plan) -> String {
    match plan.piece.blank.carve_from {
        Side::Front => say!("Stencil on the front, reads right").to_owned(),
        Side::Back => say!("Stencil on the back, mirrored; right from the front").to_owned(),
    }
}

/// The longest wait for the dust.
fn clearing(plan: &Plan) -> Option<Time> {
    let waits = plan.strip.hands.iter().filter(|block| block.act == Act::Clear);
    let seconds = waits.map(|block| block.to.to_seconds() - block.from.to_seconds());
    let longest = seconds.fold(0.0, f64::max);
    (longest > 0.0).then(|| Time::clamped(longest))
}
