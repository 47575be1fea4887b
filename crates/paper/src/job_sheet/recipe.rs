//! The recipe: a label over each value.

use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::stack::{Align, stack, text};
use crate::words::Words;
use plan::Plan;
use quantity::show::{Show, bore};

/// The parts of the recipe under each other.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
    stack(parts(plan).into_iter().map(|part| entry(part, width, scale)), scale.item_gap()).role(Role::List)
}

/// The parts of the recipe side by side.
pub(super) fn row(plan: &Plan, width: f64, scale: Scale) -> Frame {
    const GUTTER: f64 = 5.0;
    let parts = parts(plan);
    let column = (width + GUTTER) / parts.len() as f64;
    let mut frame = Frame::new(width, 0.0).role(Role::List);
    for (i, part) in parts.into_iter().enumerate() {
        let entry = entry(part, column - GUTTER, scale).at(i as f64 * column, 0.0);
        frame.height = frame.height.max(entry.height);
        frame = frame.with(entry);
    }
    frame
}

fn entry((label, value): (&str, String), width: f64, scale: Scale) -> Frame {
    let label = text(&Words::plainly(label, scale.small()), width, Align::Left).role(Role::Label);
    let value = text(&Words::new(&value, scale.body()), width, Align::Left).role(Role::Body);
    stack([label, value], 0.0).role(Role::ListItem)
}

fn parts(plan: &Plan) -> [(&'static str, String); 5] {
    let (recipe, units) = (&plan.recipe, plan.units);
    let pressure = format!(
        "{} at the regulator, {} at the nozzle",
        recipe.pressure.show(units),
        plan.air.nozzle_pressure.show(units)
    );
    [
        ("Resist", format!("{}, {}", recipe.resist.name, recipe.resist.thickness.value.show(units))),
        ("Abrasive", format!("{}, {}", recipe.abrasive.name, recipe.grit.name)),
        ("Nozzle", format!("{}, bore {}", recipe.nozzle.name, bore(recipe.nozzle.bore, units))),
        ("Pressure", pressure),
        ("Standoff", recipe.standoff.show(units).to_string()),
    ]
}
