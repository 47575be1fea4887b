//! The cabinet card: one page for the wall beside the window, read from two steps away.

use crate::frame::{Frame, Role};
use crate::job_sheet::nominal::together;
use crate::job_sheet::stages::in_rests;
use crate::lettering::Style;
use crate::page::{Flow, GAP, SMALL, TABLE, area, section, short, title};
use crate::stack::{Align, paragraph, stack, text};
use crate::table::{Cell, Column, table};
use crate::words::Words;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use language::say;
use plan::{Plan, Stage};
use quantity::show::{Show as _, bore, clock};
use safety::Caution;
use safety::caution::before_start;

/// Large enough for two steps away.
const LARGE: Style = Style::regular(14.0);
/// Settings.
const HUGE: Style = Style::regular(26.0);

/// Writes the card of a plan.
///
/// # Errors
/// [`PaperError`] when the file cannot be written.
pub fn cabinet_card(plan: &Plan, sheet: Sheet, date: Option<Date>) -> Result<Vec<u8>, PaperError> {
    let title = say!("Cabinet card: {}", plan.piece.name);
    write(sheet, &pages(plan, sheet, date), &About { title, author: plan.shop.clone(), date })
}

pub(crate) fn pages(plan: &Plan, sheet: Sheet, date: Option<Date>) -> Vec<Frame> {
    let (width, height) = area(sheet);
    let right = [Some(plan.shop.clone()), date.map(|date| date.words(plan.units))];
    let right: Vec<String> = right.into_iter().flatten().collect();
    let top = [
        title(say!("Cabinet card"), &short(&plan.piece.name, 60), &right, width),
        settings(plan, width),
        section(say!("Stages"), stages(plan, width)),
        paragraph(&Words::new(&rest(plan), LARGE), width),
    ];
    let used = top.iter().map(|frame| frame.height + GAP).sum::<f64>();
    let mut flow = Flow::new(sheet);
    top.into_iter().for_each(|frame| flow.add(frame));
    // The largest type at which the cautions stay on the page.
    let cautions = before_start(&plan.cautions);
    let sizes = [12.0, 11.0, 10.0, 9.0, 8.5];
    let set = |size: f64| section(say!("Before you begin"), told(&cautions, Style::regular(size), width));
    let fits = sizes.iter().map(|&size| set(size)).find(|frame| used + frame.height <= height);
    flow.add(fits.unwrap_or_else(|| set(8.0)));
    let note = say!("Times are the middle of a model's range: gauge the depth after each stage.");
    flow.pages(sheet, note, &short(&plan.piece.name, 44))
}

/// What is set, large.
fn settings(plan: &Plan, width: f64) -> Frame {
    let recipe = &plan.recipe;
    let parts = [
        (say!("Regulator, nozzle open"), together(recipe.pressure.show(plan.units))),
        (say!(in "a label", "Nozzle"), format!("{}, {}", recipe.nozzle.name, bore(recipe.nozzle.bore, plan.units))),
        (say!(in "a label", "Standoff"), together(recipe.standoff.show(plan.units))),
        (say!(in "a label", "Abrasive"), plan::words::abrasives(recipe)),
    ];
    let column = 0.5 * (width - GAP);
    let entry = |(label, value): &(&str, String)| {
        let fits = crate::wrap::natural_width(&Words::new(value, HUGE.semi_bold())) <= column;
        let style = if fits { HUGE } else { Style::regular(17.0) };
        let label = text(&Words::plainly(label, Style::regular(10.0).dim()), column, Align::Left).role(Role::Label);
        let value = text(&Words::new(value, style.semi_bold()), column, Align::Left).role(Role::Body);
        stack([label, value], 0.3).role(Role::ListItem)
    };
    let rows = parts.chunks(2).map(|pair| {
        let entries = pair.iter().map(entry).collect::<Vec<_>>();
        let height = entries.iter().map(|entry| entry.height).fold(0.0, f64::max);
        let mut row = Frame::new(width, height);
        for (index, entry) in entries.into_iter().enumerate() {
            row = row.with(entry.at(index as f64 * (column + GAP), 0.0));
        }
        row
    });
    stack(rows, 3.0).role(Role::List)
}

fn stages(plan: &Plan, width: f64) -> Frame {
    let (number, time) = (8.0, 30.0);
    let name = width - number - 2.0 * time - 3.0 * TABLE.gutter;
    let columns = [
        Column::new("", number, Align::Left),
        Column::new(say!(in "head of a column", "Weed"), name, Align::Left),
        Column::new(say!(in "head of a column", "Blast"), time, Align::Right),
        Column::new(say!(in "head of a column", "Rest"), time, Align::Right),
    ];
    let row = |stage: &Stage| {
        let rest = if stage.wait.to_seconds() < 0.5 { "–".to_owned() } else { clock(stage.wait) };
        vec![
            Cell::Words(Words::plainly(&stage.order.to_string(), LARGE.semi_bold())),
            Cell::Words(Words::new(&plan::words::stage_work(plan, stage), LARGE)),
            Cell::Words(Words::new(&clock(stage.blast), LARGE.semi_bold())),
            Cell::Frame(stack(
                [Words::new(&rest, LARGE), Words::plainly(&in_rests(plan, stage), SMALL)]
                    .map(|words| text(&words, time, Align::Right)),
                0.0,
            )),
        ]
    };
    let shows = say!("What each stage weeds, how long it blasts and rests.");
    table(shows, &columns, plan.stages.iter().map(row).collect(), TABLE)
}

/// When the nozzle is shut.
fn rest(plan: &Plan) -> String {
    match plan.air.longest_blast {
        Some(longest) => say!(
            "Blast no longer than {} at a time; then shut the nozzle for {}, until the receiver is full.",
            clock(longest),
            clock(plan.air.recovery)
        ),
        None if plan.strip.rests() > 0 => say!(
            "The air lasts. Rest as listed all the same: the compressor may run {} of the time.",
            plan.air.duty_limit.show_digits(plan.units, 2)
        ),
        None => say!("The air lasts: no rest is needed.").to_owned(),
    }
}

pub(crate) fn told(cautions: &[&Caution], style: Style, width: f64) -> Frame {
    let one = |caution: &&Caution| {
        let words = Words::plainly(&caution.hazard, style.semi_bold())
            .and(" ", style)
            .and(&caution.act, style)
            .and(" ", SMALL)
            .and(&caution.source.to_string(), SMALL);
        paragraph(&words, width)
    };
    stack(cautions.iter().map(one), 1.6)
}
