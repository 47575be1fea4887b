//! What one piece uses up, and how long it takes.

use super::scale::Scale;
use crate::frame::Frame;
use crate::stack::Align;
use crate::table::{Cell, Column, table as set_table};
use crate::words::Words;
use crate::wrap::natural_width;
use language::say;
use plan::Plan;
use quantity::show::clock;

/// Materials, then times, under their heading.
pub(super) fn section(plan: &Plan, width: f64, scale: Scale) -> Frame {
    super::section(say!("Materials and time, one piece"), table(plan, width, scale), scale)
}

fn table(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let materials = plan.consumables.iter().map(|item| plan::words::consumable(item, plan.units));
    let time = &plan.time;
    let times = [
        (say!("Prepare, weed, finish"), clock(time.hands)),
        (say!("Nozzle open"), plan::words::time_range(time.blast)),
        (say!("Wait for air and dust"), clock(time.wait)),
        (say!("In all"), clock(time.total)),
    ];
    let times = times.into_iter().map(|(what, much)| (what.to_owned(), much));
    let rows: Vec<(String, String)> = materials.chain(times).collect();
    let rows: Vec<(&str, String)> = rows.iter().map(|(what, much)| (what.as_str(), much.clone())).collect();
    pairs(say!("What one piece uses up and how long it takes."), &rows, width, scale)
}

/// A table of two columns without heads: what, and how much at the right.
pub(super) fn pairs(shows: &str, rows: &[(&str, String)], width: f64, scale: Scale) -> Frame {
    let spacing = scale.pairs();
    // As wide as the widest number, so that the words have the rest; at most half.
    let widest = rows.iter().map(|(_, much)| natural_width(&Words::new(much, scale.body()))).fold(0.0, f64::max);
    let right = (widest + 0.01).min(width / 2.0);
    let columns = [Column::new("", width - right - spacing.gutter, Align::Left), Column::new("", right, Align::Right)];
    let cells = |(what, much): &(&str, String)| {
        vec![Cell::Words(Words::new(what, scale.body())), Cell::Words(Words::new(much, scale.body()))]
    };
    set_table(shows, &columns, rows.iter().map(cells).collect(), spacing)
}
