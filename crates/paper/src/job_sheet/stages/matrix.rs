//! Layers as columns.

use super::{clock_width, first_cells, gauged, name, range, shows, unit};
use crate::frame::Frame;
use crate::job_sheet::scale::Scale;
use crate::lettering::Style;
use crate::marks::writing_line;
use crate::stack::Align;
use crate::table::{Cell, Column, Spacing, table as set_table};
use crate::words::Words;
use language::say;
use plan::{Plan, Stage};

/// Width of the stage's number.
const NUMBER: f64 = 4.0;
/// Least width of what a stage weeds.
const WEED_MIN: f64 = 15.0;
/// Width of the depth to write down, where there is room for it.
const GAUGE: f64 = 13.0;
/// Between the times and the depths, besides.
const APART: f64 = 1.5;
/// Between columns.
const GUTTER: f64 = 1.6;

/// `None` when the layers do not go side by side.
pub(super) fn table(plan: &Plan, stages: &[Stage], width: f64, scale: Scale) -> Option<Frame> {
    let body = scale.body().condensed();
    let heads = scale.small().condensed();
    let (clock, depths) = (clock_width(body), depth_widths(plan, body, heads));
    let taken = NUMBER + 3.0 * clock + APART + depths.iter().sum::<f64>();
    let left = width - taken - (4 + depths.len()) as f64 * GUTTER;
    let gauge = left - GAUGE - GUTTER >= WEED_MIN;
    let weed = if gauge { left - GAUGE - GUTTER } else { left };
    if weed < WEED_MIN {
        return None;
    }
    let mut columns = vec![
        Column::new("", NUMBER, Align::Left),
        Column::new(say!(in "what is weeded", "Weed"), weed, Align::Left),
        Column::new(say!(in "head of a column", "Weeding"), clock, Align::Right),
        Column::new(say!(in "head of a column", "Blast"), clock, Align::Right),
        Column::new(say!(in "head of a column", "Rest"), clock, Align::Right),
    ];
    columns.extend(depths.iter().enumerate().map(|(layer, depth)| {
        let apart = if layer == 0 { APART } else { 0.0 };
        Column::new(&format!("{} {}", name(plan, layer), unit(plan)), depth + apart, Align::Right)
    }));
    columns.extend(gauge.then(|| Column::new(say!(in "head of a column", "Gauged"), GAUGE, Align::Left)));
    let rows = stages.iter().map(|stage| row(plan, stage, clock, gauge, scale)).collect();
    Some(set_table(shows(), &columns, rows, Spacing { gutter: GUTTER, head: heads, ..scale.table() }))
}

/// For each layer the width of its widest range, or of its name's longest word up to a limit.
fn depth_widths(plan: &Plan, body: Style, heads: Style) -> Vec<f64> {
    const WORD_MAX: f64 = 13.0;
    let of_name = |name: &str| {
        let words = name.split_whitespace().map(|word| heads.shape(word).width_mm);
        words.fold(0.0, f64::max).min(WORD_MAX)
    };
    let mut widths: Vec<f64> = plan.layers.iter().map(|layer| of_name(&layer.name)).collect();
    for stage in &plan.stages {
        let to_gauge = gauged(plan, stage).map(|(layer, _)| layer);
        for &(layer, depth) in &stage.depth {
            let needed = style(body, to_gauge == Some(layer)).shape(&range(plan, depth)).width_mm + 0.1;
            if let Some(width) = widths.get_mut(layer) {
                *width = width.max(needed);
            }
        }
    }
    widths
}

/// Bold for the layer to gauge.
fn style(body: Style, gauged: bool) -> Style {
    if gauged { body.semi_bold() } else { body }
}

fn row(plan: &Plan, stage: &Stage, clock: f64, gauge: bool, scale: Scale) -> Vec<Cell> {
    let body = scale.body().condensed();
    let mut cells = first_cells(plan, stage, clock, body, scale);
    let to_gauge = gauged(plan, stage).map(|(layer, _)| layer);
    cells.extend((0..plan.layers.len()).map(|layer| {
        let style = style(body, to_gauge == Some(layer));
        let depth = stage.depth.iter().find(|(other, _)| *other == layer);
        Cell::Words(depth.map_or_else(Words::default, |&(_, depth)| Words::plainly(&range(plan, depth), style)))
    }));
    if gauge {
        cells.push(Cell::Frame(writing_line(GAUGE, body.size_pt)));
    }
    cells
}
