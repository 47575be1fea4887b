//! The recipe: a label over each value.

use super::nominal::together;
use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::stack::{Align, beside, stack, text};
use crate::words::Words;
use crate::wrap::natural_width;
use language::say;
use plan::Plan;
use quantity::show::{Show, bore};

/// From here on a label stands beside its value, not over it.
const BESIDE_WIDTH: f64 = 66.0;

/// The parts of the recipe under each other.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let room = width >= BESIDE_WIDTH;
    let parts = parts(plan);
    let widest = parts.iter().map(|(label, _)| natural_width(&Words::plainly(label, scale.body().dim())));
    let column = widest.fold(1.9 * scale.body().size_pt - 2.5, f64::max) + 2.5;
    let entry = |part| if room { entry_beside(part, column, width, scale) } else { entry(part, width, scale) };
    stack(parts.into_iter().map(entry), scale.item_gap() * 0.8).role(Role::List)
}

fn entry_beside((label, value): (&str, String), column: f64, width: f64, scale: Scale) -> Frame {
    let label = text(&Words::plainly(label, scale.body().dim()), column, Align::Left).role(Role::Label);
    let value = text(&Words::new(&value, scale.body()), width - column, Align::Left).role(Role::Body);
    beside(label, value, 0.0).role(Role::ListItem)
}

/// The parts of the recipe side by side.
pub(super) fn row(plan: &Plan, width: f64, scale: Scale) -> Frame {
    const GUTTER: f64 = 5.0;
    // How much the parts say, as shares of the width.
    const SHARES: [f64; 5] = [0.21, 0.18, 0.25, 0.25, 0.11];
    let mut frame = Frame::new(width, 0.0).role(Role::List);
    let mut left = 0.0;
    for (part, share) in parts(plan).into_iter().zip(SHARES) {
        let column = share * (width + GUTTER);
        let entry = entry(part, column - GUTTER, scale).at(left, 0.0);
        left += column;
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
    let pressure = say!(
        "{} at the regulator, {} at the nozzle",
        together(recipe.pressure.show(units)),
        plan.air.nozzle_pressure.show(units)
    );
    [
        (say!(in "a label", "Resist"), recipe.resist.name.to_string()),
        (say!(in "a label", "Abrasive"), plan::words::abrasives(recipe)),
        (say!(in "a label", "Nozzle"), say!("{}, bore {}", recipe.nozzle.name, bore(recipe.nozzle.bore, units))),
        (say!(in "a label", "Pressure"), pressure),
        (say!(in "a short label", "Standoff"), together(recipe.standoff.show(units))),
    ]
}
