//! An order in words.

use crate::orders::{CutSheet, Ordered};
use crate::view::{EveningRow, OrderMade, OrderRow, SheetSeen};
use ::batch::Step;
use ::batch::document::{EveningEntry, SlotEntry};
use language::{number, say, say_count};
use quantity::Quantity as _;
use quantity::Time;
use quantity::show::clock;

/// What is said before its turn has come.
pub(crate) fn waiting() -> &'static str {
    say!("Waiting for other work to end")
}

/// What is being done.
pub(crate) fn step(step: Step) -> String {
    match step {
        Step::Lettering => say!("Putting the names into the drawing").to_owned(),
        Step::Planning => say!("Planning the lightest, the middle and the heaviest").to_owned(),
        Step::Evenings => say!("Laying them on evenings").to_owned(),
        Step::Nesting { evening, of } => {
            let n = evening + 1;
            say!("Nesting the sheet of evening {n} of {of}")
        }
    }
}

fn minutes(minutes: f64) -> String {
    clock(Time::clamped(60.0 * minutes))
}

/// What was made.
pub(crate) fn order_made(made: &Ordered, here: &str) -> OrderMade {
    let document = &made.document;
    let evenings = say_count!(document.evenings.len(), "{n} evening", "{n} evenings", n = document.evenings.len());
    let address = |name: &str| format!("{here}/files/{name}");
    let seen = |sheet: &CutSheet, entry: &EveningEntry| SheetSeen {
        address: address(&sheet.name),
        words: say!("Sheet of evening {n}", n = entry.evening),
        length_mm: sheet.length_mm,
        width_mm: sheet.width_mm,
        reach_mm: sheet.reach_mm,
    };
    let evening = |(entry, sheets): (&EveningEntry, &Vec<CutSheet>)| EveningRow {
        title: say!("Evening {n}", n = entry.evening),
        said: evening_said(entry),
        sheets: sheets.iter().map(|sheet| seen(sheet, entry)).collect(),
    };
    let count = |of: fn(&SlotEntry) -> bool| document.slots.iter().filter(|slot| of(slot)).count();
    let (openings, walls) = (count(|slot| slot.narrow_opening), count(|slot| slot.narrow_wall));
    let watch = [
        (openings > 0).then(|| {
            say_count!(
                openings,
                "{n} has a line somewhere narrower than the resist opens.",
                "{n} have a line somewhere narrower than the resist opens.",
                n = openings
            )
        }),
        (walls > 0).then(|| {
            say_count!(
                walls,
                "{n} has a wall somewhere narrower than what stays down.",
                "{n} have a wall somewhere narrower than what stays down.",
                n = walls
            )
        }),
    ];
    OrderMade {
        sentence: say_count!(document.items, "{n} piece on {evenings}", "{n} pieces on {evenings}", n = document.items),
        recipe: document.recipe.clone(),
        price: say!(
            "One for {each}\u{202f}{currency}, all for {all}\u{202f}{currency}, without tax",
            each = number(document.price_each.clone()),
            all = number(document.price.clone()),
            currency = document.currency
        ),
        evenings: document.evenings.iter().zip(&made.sheets).map(evening).collect(),
        refused: document.bad.iter().map(|row| (row.line.to_string(), row.fault.clone())).collect(),
        unused: (!document.unused_columns.is_empty()).then(|| {
            let columns = document.unused_columns.join(", ");
            say!("The drawing has no place for: {columns}.")
        }),
        watch: watch.into_iter().flatten().collect(),
        rows: document.slots.iter().map(row).collect(),
        files: files(made, address),
    }
}

fn evening_said(entry: &EveningEntry) -> Vec<String> {
    let percent = |share: f64| format!("{:.0}\u{202f}%", share * 100.0);
    let (ends, blast, rest) = (minutes(entry.ends_min), minutes(entry.blast_min), minutes(entry.rest_min));
    let (duty, limit, covered) = (percent(entry.duty), percent(entry.duty_limit), percent(entry.density));
    let metres = number(format!("{:.2}\u{202f}m", entry.roll_length_mm * 1e-3));
    vec![
        say_count!(entry.items, "{n} piece, done after {ends}", "{n} pieces, done after {ends}", n = entry.items),
        say!("nozzle open {blast}, resting {rest}"),
        say!("the compressor runs {duty} of the time, its limit is {limit}"),
        say!("{metres} off the roll, {covered} of it covered"),
    ]
}

fn row(slot: &SlotEntry) -> OrderRow {
    OrderRow {
        number: format!("{}.{}", slot.evening, slot.number),
        line: slot.line.to_string(),
        name: slot.name.clone(),
        more: slot.more.clone(),
        from: minutes(slot.from_min),
        blast: clock(Time::clamped(slot.blast_s)),
        watch: match (slot.narrow_opening, slot.narrow_wall) {
            (true, _) => Some(say!("narrow line")),
            (false, true) => Some(say!("narrow wall")),
            (false, false) => None,
        },
    }
}

fn files(made: &Ordered, address: impl Fn(&str) -> String) -> Vec<(String, String, &'static str)> {
    let what = |name: &str| match name {
        "order.zip" => say!("all of it in one"),
        "labels.pdf" => say!("a label for each, with its number on the sheet"),
        "cabinet-card.pdf" => say!("the recipe, for the cabinet"),
        "schedule.csv" => say!("who is when, as a table"),
        "batch.json" => say!("all of it, for programs"),
        _ => say!("a sheet for the cutter"),
    };
    let mut all: Vec<_> =
        made.files.iter().map(|file| (address(&file.name), file.name.clone(), what(&file.name))).collect();
    // What is wanted most comes first.
    let last = all.pop();
    last.into_iter().chain(all).collect()
}
