//! What the air line does, as the one who blasts must set and expect it.

use super::nominal::together;
use super::scale::Scale;
use super::used::pairs;
use crate::frame::Frame;
use plan::Plan;
use quantity::show::{Show, air_flow, clock};

/// Settings and what to expect of them.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let (air, units) = (&plan.air, plan.units);
    let longest = air.longest_blast.map_or_else(|| "not limited by air".to_owned(), clock);
    let recovery = if air.longest_blast.is_some() { clock(air.recovery) } else { "none needed".to_owned() };
    let flow = format!("{} of {}", air_flow(air.demand, units).number, air_flow(air.available, units));
    let duty = format!("{} of {}", air.duty.show_digits(units, 2).number, air.duty_limit.show_digits(units, 2));
    // Common practice, no source: drain whenever the work stops anyway.
    let drain = if air.longest_blast.is_some() { "at each rest" } else { "before each stage" };
    let rows = [
        ("Regulator, nozzle open", together(plan.recipe.pressure.show(units))),
        ("Nozzle then sees", air.nozzle_pressure.show(units).to_string()),
        ("Longest blast", longest),
        ("Rest until the receiver is full", recovery),
        ("Air used, of that supplied", flow),
        ("Compressor duty, of its limit", duty),
        ("Drain receiver and separator", drain.to_owned()),
    ];
    pairs("How to set the air and what to expect of it.", &rows, width, scale)
}
