//! Layers under each other in the row of a stage.

use super::{clock_width, first_cells, gauged, name, shown, shows, unit};
use crate::frame::Frame;
use crate::job_sheet::scale::Scale;
use crate::lettering::Style;
use crate::marks::writing_line;
use crate::stack::{Align, line_height, stack, text};
use crate::table::{Cell, Column, table as set_table};
use crate::words::Words;
use crate::wrap::natural_width;
use language::say;
use plan::{Plan, Stage};
use quantity::{Estimate, Length};

/// Width of the stage's number, of what it weeds, and of the depth to write down.
const NUMBER: f64 = 5.0;
const WEED: f64 = 31.0;
const GAUGE: f64 = 21.0;

pub(super) fn table(plan: &Plan, stages: &[Stage], width: f64, scale: Scale) -> Frame {
    let clock = clock_width(scale.body());
    let depth = width - NUMBER - WEED - 3.0 * clock - GAUGE - 6.0 * scale.table().gutter;
    let columns = [
        Column::new("", NUMBER, Align::Left),
        Column::new(say!(in "what is weeded", "Weed"), WEED, Align::Left),
        Column::new(say!(in "head of a column", "Weeding"), clock, Align::Right),
        Column::new(say!(in "head of a column", "Blast"), clock, Align::Right),
        Column::new(say!(in "head of a column", "Rest"), clock, Align::Right),
        Column::new(say!("Depth after"), depth, Align::Left),
        Column::new(say!(in "head of a column", "Gauged"), GAUGE, Align::Left),
    ];
    let rows = stages.iter().map(|stage| row(plan, stage, clock, depth, scale)).collect();
    set_table(shows(), &columns, rows, scale.table())
}

fn row(plan: &Plan, stage: &Stage, clock: f64, depth: f64, scale: Scale) -> Vec<Cell> {
    let mut cells = first_cells(plan, stage, clock, scale.body(), scale);
    let to_gauge = gauged(plan, stage).map(|(layer, _)| layer);
    let (mut entries, mut gauge) = (Vec::new(), Frame::default());
    let mut top = 0.0;
    for &(layer, reached) in &stage.depth {
        let this = to_gauge == Some(layer);
        let style = if this { scale.body().semi_bold() } else { scale.body() };
        let entry = entry(plan, layer, reached, depth, style);
        if this {
            gauge = to_write(plan, top, scale);
        }
        top += entry.height;
        entries.push(entry);
    }
    cells.extend([Cell::Frame(stack(entries, 0.0)), Cell::Frame(gauge)]);
    cells
}

/// A layer's name and the depth it has, on one line or as many as the name needs.
fn entry(plan: &Plan, layer: usize, depth: Estimate<Length>, width: f64, style: Style) -> Frame {
    let range = Words::new(&shown(plan, depth), style);
    let room = width - natural_width(&range) - 2.0;
    let name = text(&Words::plainly(name(plan, layer), style), room.max(8.0), Align::Left);
    let range = text(&range, width, Align::Right);
    Frame::new(width, name.height.max(range.height)).with(name).with(range)
}

/// A line to write a depth on, at `top`, with its unit.
fn to_write(plan: &Plan, top: f64, scale: Scale) -> Frame {
    let body = scale.body();
    let unit = Words::plainly(unit(plan), body.dim());
    let line = writing_line(GAUGE - natural_width(&unit) - 1.0, body.size_pt).at(0.0, top);
    let unit = text(&unit, GAUGE, Align::Right).at(0.0, top);
    Frame::new(GAUGE, top + line_height(body.size_pt)).with(line).with(unit)
}
