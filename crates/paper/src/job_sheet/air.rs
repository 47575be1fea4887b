//! What the air line does, as the one who blasts must set and expect it.

use super::nominal::together;
use super::scale::Scale;
use super::used::pairs;
use crate::frame::Frame;
use language::say;
use plan::Plan;
use quantity::show::{Show, air_flow, clock};

/// Settings and what to expect of them.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let (air, units) = (&plan.air, plan.units);
    let longest = air.longest_blast.map_or_else(|| say!("not limited by air").to_owned(), clock);
    let rests = plan.strip.rests() > 0;
    let recovery = match (air.longest_blast, rests) {
        (Some(_), _) => clock(air.recovery),
        (None, false) => say!("none needed").to_owned(),
        (None, true) => say!("none needed; the rests are for the compressor").to_owned(),
    };
    let flow = say!("{} of {}", air_flow(air.demand, units).number, air_flow(air.available, units));
    let duty = say!("{} of {}", air.duty.show_digits(units, 2).number, air.duty_limit.show_digits(units, 2));
    // Common practice, no source: drain whenever the work stops anyway.
    let drain = if rests { say!("at each rest") } else { say!("before each stage") };
    let rows = [
        (say!("Regulator, nozzle open"), together(plan.recipe.pressure.show(units))),
        (say!("Nozzle then sees"), air.nozzle_pressure.show(units).to_string()),
        (say!("Longest blast"), longest),
        (say!("Rest until the receiver is full"), recovery),
        (say!("Air used, of that supplied"), flow),
        (say!("Compressor duty, of its limit"), duty),
        (say!("Drain receiver and separator"), drain.to_owned()),
    ];
    pairs(say!("How to set the air and what to expect of it."), &rows, width, scale)
}
