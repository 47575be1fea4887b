//! The calibration sheet: what to blast, gauge and time so that a plan is surer, with room to write down what came out.

use crate::card::told;
use crate::frame::Frame;
use crate::job_sheet::nominal::together;
use crate::lettering::Style;
use crate::marks::writing_line;
use crate::page::{BODY, Flow, GAP, TABLE, area, pairs, paragraphs, section, short, ticks, title};
use crate::stack::{Align, stack, text};
use crate::table::{Cell, Column, table};
use crate::words::Words;
use crate::wrap::natural_width;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use language::say;
use piece::Coupon;
use plan::words::narrowed_number;
use plan::{Measurement, Narrowing, Plan, Worth, worth_making};
use quantity::show::{Show as _, clock, significant};
use safety::caution::before_start;

/// Writes the sheet of a plan.
///
/// # Errors
/// [`PaperError`] when the file cannot be written.
pub fn calibration_sheet(plan: &Plan, sheet: Sheet, date: Option<Date>) -> Result<Vec<u8>, PaperError> {
    let title = say!("Calibration sheet: {}", plan.piece.name);
    write(sheet, &pages(plan, sheet, date), &About { title, author: plan.shop.clone(), date })
}

pub(crate) fn pages(plan: &Plan, sheet: Sheet, date: Option<Date>) -> Vec<Frame> {
    let (width, _) = area(sheet);
    let right = [Some(plan.shop.clone()), date.map(|date| date.words(plan.units))];
    let right: Vec<String> = right.into_iter().flatten().collect();
    let worth = worth_making(&plan.narrowing);
    let mut flow = Flow::new(sheet);
    flow.add(title(say!("Calibration sheet"), &short(&plan.piece.name, 60), &right, width));
    flow.add(paragraphs([about(&worth).to_owned()], BODY, width));
    let mut letters = 'A'..='Z';
    for one in &worth {
        let (heading, content) = match one.by {
            Measurement::Coupon(coupon) => {
                let letter = letters.next().unwrap_or('Z');
                (say!("Coupon {letter}"), to_blast(plan, coupon, width))
            }
            Measurement::FillReceiver(compressor) => (say!("Compressor: {}", compressor), to_fill(width)),
        };
        flow.add(section(&heading, stack([content, narrows(&one.narrows, width)], 3.0)));
    }
    let is_blasted = worth.iter().any(|one| matches!(one.by, Measurement::Coupon(_)));
    let cautions = before_start(&plan.cautions);
    let rest = |&[of_steps, of_cautions]: &[f64; 2]| {
        let cautions = section(say!("Before you begin"), told(&cautions, Style::regular(of_cautions), width));
        let how = || section(say!("How to blast a coupon"), ticks(steps(), Style::regular(of_steps), width));
        [Some(cautions), is_blasted.then(how)].into_iter().flatten().collect::<Vec<_>>()
    };
    // The largest type at which all stays on the page.
    let sizes = [[9.5, 9.0], [9.5, 8.5], [9.0, 8.0], [8.5, 7.5]];
    let fits = |rest: &Vec<Frame>| rest.iter().map(|frame| frame.height + GAP).sum::<f64>() <= flow.room() + GAP;
    let rest = sizes.iter().map(rest).find(fits).unwrap_or_else(|| rest(&sizes[1]));
    rest.into_iter().for_each(|frame| flow.add(frame));
    let note = say!("Times and depths are those of a model until a coupon says otherwise.");
    flow.pages(sheet, note, &short(&plan.piece.name, 44))
}

fn about(worth: &[Worth<'_>]) -> &'static str {
    match worth {
        [] => say!("No coupon would narrow a number of this plan to speak of."),
        _ => say!(
            "What this plan is least sure of, and what would narrow it most. Write down what you find and enter it in the \
             shop: the next plan rests on it."
        ),
    }
}

/// What to set, and beside it what to write down.
fn to_blast(plan: &Plan, coupon: &Coupon, width: f64) -> Frame {
    let units = plan.units;
    let column = 0.5 * (width - GAP);
    let row = |what: &str, much: String| (what.to_owned(), much);
    let mut set = vec![
        row(say!("Material"), coupon.material.name.to_string()),
        row(say!(in "a label", "Abrasive"), format!("{} {}", coupon.abrasive.name, coupon.grit.name)),
        row(say!(in "a label", "Nozzle"), coupon.nozzle.clone()),
        row(say!("Regulator, nozzle open"), together(coupon.pressure.show(units))),
        row(say!(in "a label", "Standoff"), together(coupon.standoff.show(units))),
        row(say!("Open square, each side"), together(coupon.opening.show(units))),
        row(say!("Blast for"), clock(coupon.time)),
        row(say!("Depth to be expected, about"), together(coupon.depth.show(units))),
    ];
    let depth = coupon.depth.show(units).unit;
    let mut write = vec![
        (say!("Blasted for").to_owned(), "s"),
        (say!("Depth, first reading").to_owned(), depth),
        (say!("second reading").to_owned(), depth),
        (say!("third reading").to_owned(), depth),
        (say!("Their mean").to_owned(), depth),
    ];
    if let Some((resist, _)) = coupon.resist {
        set.push(row(say!(in "a label", "Resist"), resist.name.to_string()));
        write.push((say!("Thickness that the resist lost").to_owned(), depth));
    }
    write.push((say!("Day, and by whom").to_owned(), ""));
    let set = pairs(say!("How the coupon is blasted."), &set, column);
    let write = to_write(say!("What was found."), &write, column);
    Frame::new(width, set.height.max(write.height)).with(set).with(write.at(column + GAP, 0.0))
}

fn to_fill(width: f64) -> Frame {
    let how = say!(
        "Drain the receiver to nothing, shut every valve behind it, switch on, and time how long it takes to the cut-out. \
         What the compressor delivers is the receiver's volume times the rise, over the air outside, over that time."
    );
    let write = [
        (say!("Gauge at the start").to_owned(), ""),
        (say!("Gauge at the cut-out").to_owned(), ""),
        (say!("From the one to the other").to_owned(), "s"),
        (say!("Day, and by whom").to_owned(), ""),
    ];
    let written = to_write(say!("What was found."), &write, 0.5 * (width - GAP));
    stack([paragraphs([how.to_owned()], BODY, width), written], 2.0)
}

/// What each is, a line to write it on, and its unit.
fn to_write(shows: &str, rows: &[(String, &str)], width: f64) -> Frame {
    let of = |text: &str| natural_width(&Words::plainly(text, BODY));
    let unit = rows.iter().map(|(_, unit)| of(unit)).fold(0.0, f64::max) + 0.01;
    let line = 24.0;
    let what = width - line - unit - 2.0 * TABLE.gutter;
    let columns =
        [Column::new("", what, Align::Left), Column::new("", line, Align::Left), Column::new("", unit, Align::Left)];
    let cells = |(what, unit): &(String, &str)| {
        vec![
            Cell::Words(Words::plainly(what, BODY)),
            Cell::Frame(writing_line(line, BODY.size_pt)),
            Cell::Words(Words::plainly(unit, BODY.dim())),
        ]
    };
    table(shows, &columns, rows.iter().map(cells).collect(), crate::table::Spacing { padding: 1.5, ..TABLE })
}

/// Which numbers a measurement narrows, from which factor to which.
fn narrows(narrowings: &[&Narrowing], width: f64) -> Frame {
    let number = 34.0;
    let what = width - 2.0 * number - 2.0 * TABLE.gutter;
    let columns = [
        Column::new(say!("What it narrows"), what, Align::Left),
        Column::new(say!("known now to a factor of"), number, Align::Right),
        Column::new(say!("to be expected after it"), number, Align::Right),
    ];
    let factor = |factor: f64| Cell::Words(Words::plainly(&significant(factor, 2), BODY));
    // What stays as it is to two figures is not said.
    let moves = |one: &&&Narrowing| significant(one.width, 2) != significant(one.narrows_to, 2);
    let row = |one: &&Narrowing| {
        let what = text(&Words::plainly(&narrowed_number(&one.number), BODY), what, Align::Left);
        vec![Cell::Frame(what), factor(one.width), factor(one.narrows_to)]
    };
    let shows = say!("Which numbers of the plan it narrows, and by how much.");
    table(shows, &columns, narrowings.iter().filter(moves).map(row).collect(), TABLE)
}

/// Common practice, no source.
fn steps() -> [String; 6] {
    [
        say!(
            "Take an offcut of the same make and thickness as the blank; never tempered glass. Lay resist with the square \
             cut out of it, on the side that the piece is carved from."
        ),
        say!("Drain the receiver and let it fill. Set the regulator while the nozzle is open."),
        say!(
            "Hold the nozzle square to the face at the standoff and sweep the whole square evenly, its edges too, for \
             exactly the time given."
        ),
        say!("Keep the door shut, the collector drawing, until the dust has cleared. Then wash and dry the coupon."),
        say!(
            "Gauge the depth at three places in the middle third of the square. Where the resist is asked for, gauge how \
             much thinner it has become beside the square, and whether it held."
        ),
        say!(
            "Enter the mean in the app under the shop's coupons; or fill in the table of coupons that comes with \
             this sheet and give it to \u{201c}sabulo carve calibrate\u{201d}."
        ),
    ]
    .map(str::to_owned)
}
