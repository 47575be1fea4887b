//! What one piece uses up, and how long it takes.

use super::scale::Scale;
use crate::frame::Frame;
use crate::stack::Align;
use crate::table::{Cell, Column, table as set_table};
use crate::words::Words;
use plan::Plan;
use quantity::show::clock;

/// Materials, then times.
pub(super) fn table(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let materials = plan.consumables.iter().map(|item| plan::words::consumable(item, plan.units));
    let time = &plan.time;
    let times = [
        ("Hands: preparing, weeding, finishing", clock(time.hands)),
        ("Nozzle open", plan::words::time_range(time.blast)),
        ("Waiting for air and dust", clock(time.wait)),
        ("In all", clock(time.total)),
    ];
    let times = times.into_iter().map(|(what, much)| (what.to_owned(), much));
    let rows: Vec<(String, String)> = materials.chain(times).collect();
    let rows: Vec<(&str, String)> = rows.iter().map(|(what, much)| (what.as_str(), much.clone())).collect();
    pairs("What one piece uses up and how long it takes.", &rows, width, scale)
}

/// A table of two columns without heads: what, and how much at the right.
pub(super) fn pairs(shows: &str, rows: &[(&str, String)], width: f64, scale: Scale) -> Frame {
    let spacing = scale.table();
    let right = width * 0.42;
    let columns = [
        Column { head: "", width: width - right - spacing.gutter, align: Align::Left },
        Column { head: "", width: right, align: Align::Right },
    ];
    let cells = |(what, much): &(&str, String)| {
        vec![Cell::Words(Words::new(what, scale.body())), Cell::Words(Words::new(much, scale.body()))]
    };
    set_table(shows, &columns, rows.iter().map(cells).collect(), spacing)
}
