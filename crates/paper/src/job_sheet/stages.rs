//! The stage table: what to weed, how long to blast and rest, how deep it then is.

use super::scale::Scale;
use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::marks::writing_line;
use crate::stack::{Align, line_height, stack, text};
use crate::table::{Cell, Column, table as set_table};
use crate::words::Words;
use plan::{Act, Plan, Stage};
use quantity::show::{Show, clock};
use quantity::{Estimate, Length};

/// More layers than this are set in two columns.
const LAYERS_IN_ONE_COLUMN: usize = 4;
/// Between those columns.
const GUTTER: f64 = 4.0;

/// Widths of the columns, of which the depths take what the rest leaves.
struct Widths {
    weed: f64,
    clock: f64,
    depth: f64,
    gauge: f64,
}

/// A table of some of the plan's stages with a note under it.
pub(super) fn table(plan: &Plan, stages: &[Stage], width: f64, scale: Scale) -> Frame {
    let two = plan.layers.len() > LAYERS_IN_ONE_COLUMN;
    let widths = widths(width, two, scale);
    let column = |head, width, align| Column { head, width, align };
    let columns = [
        column("", 5.0, Align::Left),
        column("Weed", widths.weed, Align::Left),
        column("Weeding", widths.clock, Align::Right),
        column("Blast", widths.clock, Align::Right),
        column("Rest", widths.clock, Align::Right),
        column("Then deep, in wide parts", widths.depth, Align::Left),
        column("Gauged", widths.gauge, Align::Left),
    ];
    let rows = stages.iter().map(|stage| row(plan, stage, &widths, two, scale)).collect();
    let shows = "What each stage weeds, how long it blasts and rests, and how deep the layers then are.";
    let table = set_table(shows, &columns, rows, scale.table());
    let note = "Gauge the layer in bold type, in a wide flat part, and write down what you find.";
    stack([table, text(&Words::plainly(note, scale.small()), width, Align::Left).role(Role::Paragraph)], 1.2)
}

fn widths(width: f64, two: bool, scale: Scale) -> Widths {
    let clock = Style::shape(scale.body(), "00\u{202f}min 00\u{202f}s").width_mm;
    let (weed, gauge) = if two { (23.0, 15.0) } else { (31.0, 21.0) };
    let taken = 5.0 + weed + 3.0 * clock + gauge + 6.0 * scale.table().gutter;
    Widths { weed, clock, depth: width - taken, gauge }
}

fn row(plan: &Plan, stage: &Stage, widths: &Widths, two: bool, scale: Scale) -> Vec<Cell> {
    let body = scale.body();
    let number = Words::plainly(&stage.order.to_string(), body.semi_bold());
    let weed = Words::new(&plan::words::stage_opens(plan, stage), body);
    let time = |time| Cell::Words(Words::new(&dash_if_none(clock(time)), body));
    let gauged = gauged(plan, stage).map(|(layer, _)| layer);
    let entries: Vec<Frame> = stage
        .depth
        .iter()
        .map(|&(layer, depth)| {
            let width = if two { (widths.depth - GUTTER) / 2.0 } else { widths.depth };
            entry(plan, layer, depth, gauged == Some(layer), width, if two { body.condensed() } else { body })
        })
        .collect();
    let place = stage.depth.iter().position(|&(layer, _)| gauged == Some(layer));
    let (depths, tops) = if two { in_two(entries, widths.depth) } else { in_one(entries) };
    let gauge = match place {
        Some(place) => to_write(plan, widths.gauge, tops[place], scale),
        None => Frame::default(),
    };
    let rest = Cell::Frame(rest(plan, stage, widths.clock, scale));
    let (depths, gauge) = (Cell::Frame(depths), Cell::Frame(gauge));
    vec![Cell::Words(number), Cell::Words(weed), time(stage.weed), time(stage.blast), rest, depths, gauge]
}

fn dash_if_none(time: String) -> String {
    if time.starts_with('0') { "–".to_owned() } else { time }
}

/// How long the stage rests, and in how many rests when there are several.
fn rest(plan: &Plan, stage: &Stage, width: f64, scale: Scale) -> Frame {
    let of_stage = |block: &&plan::HandBlock| block.stage == stage.order && block.act == Act::Rest;
    let rests = plan.strip.hands.iter().filter(of_stage).count();
    let time = text(&Words::new(&dash_if_none(clock(stage.wait)), scale.body()), width, Align::Right);
    let times = if rests > 1 { format!("{rests} times") } else { String::new() };
    stack([time, text(&Words::plainly(&times, scale.small()), width, Align::Right)], 0.0)
}

/// The layer to gauge after a stage: the deepest of those with a flat bottom, else the deepest.
pub(super) fn gauged(plan: &Plan, stage: &Stage) -> Option<(usize, Estimate<Length>)> {
    let flat = |layer: usize| plan.layers.get(layer).is_some_and(|layer| layer.reach.has_flat);
    let deeper = |a: &&(usize, Estimate<Length>), b: &&(usize, Estimate<Length>)| {
        let key = |entry: &(usize, Estimate<Length>)| (flat(entry.0), entry.1.mid().to_mm());
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    };
    // `max_by` gives the last of equals; the first listed is wanted.
    stage.depth.iter().rev().max_by(deeper).copied()
}

/// A layer's name and the depth it has, on one line or as many as the name needs.
fn entry(plan: &Plan, layer: usize, depth: Estimate<Length>, gauged: bool, width: f64, style: Style) -> Frame {
    let style = if gauged { style.semi_bold() } else { style };
    let name = plan.layers.get(layer).map_or("", |layer| layer.name.as_str());
    let range = Words::new(&depth.show(plan.units), style);
    let range_width = text(&range, width, Align::Left).items.iter().map(line_width).fold(0.0, f64::max);
    let name = text(&Words::plainly(name, style), (width - range_width - 2.0).max(8.0), Align::Left);
    let range = text(&range, width, Align::Right);
    let height = name.height.max(range.height);
    Frame::new(width, height).with(name).with(range)
}

fn line_width(item: &Item) -> f64 {
    if let Item::Line(_, _, line) = item { line.width_mm } else { 0.0 }
}

/// Entries under each other, with the top of each.
fn in_one(entries: Vec<Frame>) -> (Frame, Vec<f64>) {
    let tops = tops(&entries);
    (stack(entries, 0.0), tops)
}

fn tops(entries: &[Frame]) -> Vec<f64> {
    let mut top = 0.0;
    let mut next = |entry: &Frame| {
        let this = top;
        top += entry.height;
        this
    };
    entries.iter().map(&mut next).collect()
}

/// Entries in two columns, the first the longer, with the top of each.
fn in_two(mut entries: Vec<Frame>, width: f64) -> (Frame, Vec<f64>) {
    let right = entries.split_off(entries.len().div_ceil(2));
    let tops = [tops(&entries), tops(&right)].concat();
    let (left, right) = (stack(entries, 0.0), stack(right, 0.0));
    let (x, height) = ((width + GUTTER) / 2.0, left.height.max(right.height));
    (Frame::new(width, height).with(left).with(right.at(x, 0.0)), tops)
}

/// A line to write a depth on, at `top`, with its unit.
fn to_write(plan: &Plan, width: f64, top: f64, scale: Scale) -> Frame {
    let body = scale.body();
    let unit = text(&Words::plainly(unit_of_depth(plan), body.dim()), width, Align::Right);
    let unit_width = unit.items.iter().map(line_width).fold(0.0, f64::max);
    let line = writing_line(width - unit_width - 1.0, body.size_pt);
    Frame::new(width, top + line_height(body.size_pt)).with(line.at(0.0, top)).with(unit.at(0.0, top))
}

/// The unit in which the plan's depths are shown.
fn unit_of_depth(plan: &Plan) -> &'static str {
    let deepest = plan.layers.iter().map(|layer| layer.target);
    let deepest = deepest.fold(None, |most: Option<Length>, depth| Some(most.map_or(depth, |m| if depth > m { depth } else { m })));
    deepest.map_or("", |depth| depth.show(plan.units).unit)
}
