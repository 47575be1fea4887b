//! What to tick with a pencil, in the order of the work.

use super::scale::Scale;
use super::stages::gauged;
use crate::frame::{Frame, Role};
use crate::marks::tick_box;
use crate::stack::{Align, stack, text};
use crate::words::Words;
use piece::Side;
use plan::{Act, Plan};
use quantity::show::{Show, clock};
use quantity::{Quantity, Time};

/// Between a box and its words.
const GAP: f64 = 2.6;

/// The boxes with their words.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
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
    stack(tasks(plan).into_iter().map(entry), scale.item_gap() * 0.6).role(Role::List)
}

fn tasks(plan: &Plan) -> Vec<String> {
    let set = plan.recipe.pressure.show(plan.units);
    let before = [
        "Respirator on, its filters as the cautions say".to_owned(),
        "Gloves on and whole; hearing protection on".to_owned(),
        "Collector on, drawing; door shut".to_owned(),
        stencil_side(plan),
        format!("Receiver drained and full; {set} with the nozzle open"),
        format!("A coupon first: {} blasted and gauged", plan.piece.blank.material.name),
    ];
    let gauge = plan.stages.iter().filter_map(|stage| {
        let (layer, depth) = gauged(plan, stage)?;
        let name = &plan.layers.get(layer)?.name;
        Some(format!("After stage {}: gauge {name}, {}", stage.order, depth.show(plan.units)))
    });
    let wait = match clearing(plan) {
        Some(time) => format!("After every blast: {} before the door is opened", clock(time)),
        None => "After every blast: the dust has cleared before the door is opened".to_owned(),
    };
    before.into_iter().chain(gauge).chain([wait]).collect()
}

fn stencil_side(plan: &Plan) -> String {
    match plan.piece.blank.carve_from {
        Side::Front => "Stencil on the front; lettering reads the right way".to_owned(),
        Side::Back => "Stencil on the back, mirrored; reads right from the front".to_owned(),
    }
}

/// The longest wait for the dust.
fn clearing(plan: &Plan) -> Option<Time> {
    let waits = plan.strip.hands.iter().filter(|block| block.act == Act::Clear);
    let seconds = waits.map(|block| block.to.to_seconds() - block.from.to_seconds());
    let longest = seconds.fold(0.0, f64::max);
    (longest > 0.0).then(|| Time::clamped(longest))
}
