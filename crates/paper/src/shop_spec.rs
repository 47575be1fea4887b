//! The shop specification: what the shop has, part by part, and what sizing says to buy.

use crate::job_sheet::nominal::together;
use crate::page::{BODY, Flow, SMALL, area, pairs, paragraphs, section, short, ticks, title};
use crate::stack::stack;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use piece::{Shop, ShopPartKind};
use quantity::show::{Show as _, bore, clock};

/// All that a specification tells.
#[derive(Debug, Clone, Copy)]
pub struct ShopSpec<'a> {
    /// What there is.
    pub shop: &'a Shop,
    /// What it is to do, in a sentence, and what that takes, a line each; empty when nothing was sized.
    pub wanted: &'a [String],
}

/// Writes the specification.
///
/// # Errors
/// [`PaperError`] when the file cannot be written.
pub fn shop_spec(spec: &ShopSpec<'_>, sheet: Sheet, date: Option<Date>) -> Result<Vec<u8>, PaperError> {
    let (shop, (width, _)) = (spec.shop, area(sheet));
    let mut flow = Flow::new(sheet);
    let right: Vec<String> = date.map(|date| date.words(shop.units)).into_iter().collect();
    flow.add(title("Shop specification", &shop.name, &right, width));
    if let [work, lines @ ..] = spec.wanted {
        let (lines, note) = match lines {
            [lines @ .., note] => (lines, note.clone()),
            [] => (lines, String::new()),
        };
        let said = paragraphs([work.clone()], BODY, width);
        let list = ticks(lines.iter().map(|line| squeezed(line)), BODY, width);
        flow.add(section("What the work takes", stack([said, list, paragraphs([note], SMALL, width)], 2.2)));
    }
    let parts: [(&str, &str, Vec<(String, String)>); 6] = [
        ("Air", "Compressors, receiver and the line.", air(shop)),
        ("Nozzles", "Each nozzle with its bore and life.", nozzles(shop)),
        ("Cabinet and dust", "The cabinet, its collector and filters.", dust(shop)),
        ("Resists", "Resists in stock.", resists(shop)),
        ("Abrasives", "Abrasives in stock.", abrasives(shop)),
        ("Rates", "What is charged.", rates(shop)),
    ];
    for (heading, shows, rows) in parts {
        flow.add_rows(&rows, |rows| section(heading, pairs(shows, rows, width)));
    }
    let note = "As the shop file states it; local code and licensed people have the last word.";
    let pages = flow.pages(sheet, note, &short(&shop.name, 44));
    write(
        sheet,
        &pages,
        &About { title: format!("Shop specification: {}", shop.name), author: shop.name.clone(), date },
    )
}

/// A line that was set in columns for a terminal: what, then its columns parted by commas.
fn squeezed(line: &str) -> String {
    let columns: Vec<&str> = line.split("  ").map(str::trim).filter(|column| !column.is_empty()).collect();
    match columns.as_slice() {
        [what, rest @ ..] if !rest.is_empty() => format!("{what}: {}", rest.join(", ")),
        whole => whole.concat(),
    }
}

fn row(what: &str, much: impl std::fmt::Display) -> (String, String) {
    (what.to_owned(), much.to_string())
}

fn air(shop: &Shop) -> Vec<(String, String)> {
    let units = shop.units;
    let mut rows: Vec<(String, String)> = shop
        .compressors
        .iter()
        .map(|it| {
            let told = format!(
                "{} delivered, {} to {}, {} of the time at most, {}",
                it.free_air.show(units),
                together(it.cut_in.show(units)),
                together(it.cut_out.show(units)),
                it.duty.show_digits(units, 2),
                together(it.power.show(units))
            );
            row(&format!("Compressor: {}", it.name), told)
        })
        .collect();
    rows.push(row("Receiver", together(shop.receiver.show(units))));
    rows.extend(shop.parts.iter().map(|part| row(&format!("{}, after {}", part.name, part.after), kind(&part.kind))));
    rows.push(row("Regulator", format!("C {} dm³/(s bar)", shop.regulator.conductance_dm3_s_bar)));
    rows.push(row("Hose", format!("{}, {} long", bore(shop.hose.bore, units), together(shop.hose.length.show(units)))));
    rows
}

const fn kind(kind: &ShopPartKind) -> &'static str {
    match kind {
        ShopPartKind::Aftercooler(..) => "aftercooler",
        ShopPartKind::Receiver(..) => "receiver",
        ShopPartKind::Pipe(..) => "pipe",
        ShopPartKind::Hose(..) => "hose",
        ShopPartKind::Fitting(..) => "fitting",
        ShopPartKind::Dryer(..) => "dryer",
        ShopPartKind::Separator(..) => "separator",
        ShopPartKind::Filter(..) => "filter",
        ShopPartKind::Valve(..) => "valve",
    }
}

fn nozzles(shop: &Shop) -> Vec<(String, String)> {
    let told = |it: &piece::ShopNozzle| {
        format!("bore {}, lasts {}, {} {}", bore(it.bore, shop.units), clock(it.life), it.price, shop.rates.currency)
    };
    shop.nozzles.iter().map(|it| row(&it.name, told(it))).collect()
}

fn dust(shop: &Shop) -> Vec<(String, String)> {
    let (cabinet, units) = (&shop.cabinet, shop.units);
    let not_told = || "not told".to_owned();
    let filters: Vec<&str> = shop.enclosure.filters.iter().map(|filter| filter.name.as_str()).collect();
    vec![
        row("Cabinet", format!("{} inside, {} of openings", cabinet.volume.show(units), cabinet.openings.show(units))),
        row("Collector", cabinet.collector.map_or_else(|| "none".to_owned(), |flow| flow.show(units).to_string())),
        row("Filters", if filters.is_empty() { not_told() } else { filters.join(", then ") }),
        row("Door shut after a blast", shop.enclosure.door_wait.map_or_else(not_told, clock)),
    ]
}

fn resists(shop: &Shop) -> Vec<(String, String)> {
    let told = |it: &piece::StockedResist| {
        format!(
            "{} wide, {} {} a square metre",
            together(it.width.show(shop.units)),
            it.price_per_m2,
            shop.rates.currency
        )
    };
    shop.resists.iter().map(|it| row(&it.resist.name, told(it))).collect()
}

fn abrasives(shop: &Shop) -> Vec<(String, String)> {
    let told = |it: &piece::StockedAbrasive| {
        let turns = it.turns.map_or_else(String::new, |turns| format!(", {turns} turns"));
        format!("{} {} a kilogram{turns}", it.price_per_kg, shop.rates.currency)
    };
    shop.abrasives.iter().map(|it| row(&format!("{} {}", it.abrasive.name, it.grit.name), told(it))).collect()
}

fn rates(shop: &Shop) -> Vec<(String, String)> {
    let (rates, units) = (&shop.rates, shop.units);
    let money = |amount: piece::Money| format!("{} {}", amount, rates.currency);
    vec![
        row("An hour of work", money(rates.labour_per_hour)),
        row("A kilowatt-hour", money(rates.energy_per_kwh)),
        row("Overhead on labour and materials", rates.overhead.show_digits(units, 2)),
        row("Margin, of the price", rates.margin.show_digits(units, 2)),
        row("Tax on the price", format!("{}, {}", rates.tax.show_digits(units, 2), rates.tax_name)),
    ]
}
