//! What the air line does, as the one who blasts must set and expect it.

use super::scale::Scale;
use super::used::pairs;
use crate::frame::Frame;
use plan::Plan;
use quantity::show::{Show, air_flow, clock};

/// Settings and what to expect of them.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let (air, units) = (&plan.air, plan.units);
    let longest = air.longest_blast.map_or_else(|| "as long as you like".to_owned(), clock);
    let recovery = if air.longest_blast.is_some() { clock(air.recovery) } else { "none needed".to_owned() };
    let flow = format!("{} of {}", air_flow(air.demand, units), air_flow(air.available, units));
    let duty = format!("{} of {} allowed", air.duty.show_digits(units, 2), air.duty_limit.show_digits(units, 2));
    let rows = [
        ("Set the regulator, nozzle open, to", plan.recipe.pressure.show(units).to_string()),
        ("The nozzle then sees", air.nozzle_pressure.show(units).to_string()),
        ("Longest blast from a full receiver", longest),
        ("Then rest until it is full again", recovery),
        ("Air taken, of what is delivered", flow),
        ("Compressor runs", duty),
        ("Drain receiver and separator", "before the first blast, at every rest".to_owned()),
    ];
    pairs("How to set the air and what to expect of it.", &rows, width, scale)
}
