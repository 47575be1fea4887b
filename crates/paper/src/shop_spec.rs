//! The shop specification: what the shop has, part by part, and what sizing says to buy.

use crate::job_sheet::nominal::together;
use crate::page::{BODY, Flow, SMALL, area, pairs, paragraphs, section, short, ticks, title};
use crate::stack::stack;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use language::say;
use piece::{Shop, ShopPartKind};
use quantity::show::{Show as _, bore, clock};

/// What, and how much.
type Rows = Vec<(String, String)>;

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
    flow.add(title(say!("Shop specification"), &shop.name, &right, width));
    if let [work, lines @ ..] = spec.wanted {
        let (lines, note) = match lines {
            [lines @ .., note] => (lines, note.clone()),
            [] => (lines, String::new()),
        };
        let said = paragraphs([work.clone()], BODY, width);
        let list = ticks(lines.iter().map(|line| squeezed(line)), BODY, width);
        flow.add(section(say!("What the work takes"), stack([said, list, paragraphs([note], SMALL, width)], 2.2)));
    }
    let parts: [(&str, &str, Rows); 6] = [
        (say!(in "heading", "Air"), say!("Compressors, receiver and the line."), air(shop)),
        (say!("Nozzles"), say!("Each nozzle with its bore and life."), nozzles(shop)),
        (say!("Cabinet and dust"), say!("The cabinet, its collector and filters."), dust(shop)),
        (say!("Resists"), say!("Resists in stock."), resists(shop)),
        (say!("Abrasives"), say!("Abrasives in stock."), abrasives(shop)),
        (say!("Rates"), say!("What is charged."), rates(shop)),
    ];
    for (heading, shows, rows) in parts {
        flow.add_rows(&rows, |rows| section(heading, pairs(shows, rows, width)));
    }
    let note = say!("As the shop file states it; local code and licensed people have the last word.");
    let pages = flow.pages(sheet, note, &short(&shop.name, 44));
    write(sheet, &pages, &About { title: say!("Shop specification: {}", shop.name), author: shop.name.clone(), date })
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

fn air(shop: &Shop) -> Rows {
    let units = shop.units;
    let mut rows: Vec<(String, String)> = shop
        .compressors
        .iter()
        .map(|it| {
            let told = say!(
                "{} delivered, {} to {}, {} of the time at most, {}",
                it.free_air.show(units),
                together(it.cut_in.show(units)),
                together(it.cut_out.show(units)),
                it.duty.show_digits(units, 2),
                together(it.power.show(units))
            );
            row(&say!("Compressor: {}", it.name), told)
        })
        .collect();
    rows.push(row(say!(in "a part", "Receiver"), together(shop.receiver.show(units))));
    rows.extend(shop.parts.iter().map(|part| row(&say!("{}, after {}", part.name, part.after), kind(&part.kind))));
    rows.push(row(
        say!(in "a part", "Regulator"),
        say!("C {} dm³/(s bar)", language::number(shop.regulator.conductance_dm3_s_bar.to_string())),
    ));
    rows.push(row(
        say!(in "a part", "Hose"),
        say!("{}, {} long", bore(shop.hose.bore, units), together(shop.hose.length.show(units))),
    ));
    rows
}

fn kind(kind: &ShopPartKind) -> &'static str {
    match kind {
        ShopPartKind::Aftercooler(..) => say!(in "a part", "aftercooler"),
        ShopPartKind::Receiver(..) => say!(in "a part", "receiver"),
        ShopPartKind::Pipe(..) => say!(in "a part", "pipe"),
        ShopPartKind::Hose(..) => say!(in "a part", "hose"),
        ShopPartKind::Fitting(..) => say!(in "a part", "fitting"),
        ShopPartKind::Dryer(..) => say!(in "a part", "dryer"),
        ShopPartKind::Separator(..) => say!(in "a part", "separator"),
        ShopPartKind::Filter(..) => say!(in "a part", "filter"),
        ShopPartKind::Valve(..) => say!(in "a part", "valve"),
    }
}

fn nozzles(shop: &Shop) -> Rows {
    let told = |it: &piece::ShopNozzle| {
        say!(
            "bore {}, lasts {}, {} {}",
            bore(it.bore, shop.units),
            clock(it.life),
            language::number(it.price.to_string()),
            shop.rates.currency
        )
    };
    shop.nozzles.iter().map(|it| row(&it.name, told(it))).collect()
}

fn dust(shop: &Shop) -> Rows {
    let (cabinet, units) = (&shop.cabinet, shop.units);
    let not_told = || say!(in "a shop file", "not told").to_owned();
    let filters: Vec<&str> = shop.enclosure.filters.iter().map(|filter| filter.name.shown()).collect();
    vec![
        row(
            say!(in "a part", "Cabinet"),
            say!("{} inside, {} of openings", cabinet.volume.show(units), cabinet.openings.show(units)),
        ),
        row(
            say!(in "a part", "Collector"),
            cabinet
                .collector
                .map_or_else(|| say!(in "a collector", "none").to_owned(), |flow| flow.show(units).to_string()),
        ),
        row(say!(in "a part", "Filters"), if filters.is_empty() { not_told() } else { filters.join(say!(", then ")) }),
        row(say!("Door shut after a blast"), shop.enclosure.door_wait.map_or_else(not_told, clock)),
    ]
}

fn resists(shop: &Shop) -> Rows {
    let told = |it: &piece::StockedResist| {
        say!(
            "{} wide, {} {} a square metre",
            together(it.width.show(shop.units)),
            language::number(it.price_per_m2.to_string()),
            shop.rates.currency
        )
    };
    shop.resists.iter().map(|it| row(it.resist.name.shown(), told(it))).collect()
}

fn abrasives(shop: &Shop) -> Rows {
    let told = |it: &piece::StockedAbrasive| {
        let price = say!("{} {} a kilogram", language::number(it.price_per_kg.to_string()), shop.rates.currency);
        match it.turns {
            Some(turns) => say!("{price}, {} turns", language::number(turns.to_string())),
            None => price,
        }
    };
    shop.abrasives.iter().map(|it| row(&format!("{} {}", it.abrasive.name, it.grit.name), told(it))).collect()
}

fn rates(shop: &Shop) -> Rows {
    let (rates, units) = (&shop.rates, shop.units);
    let money = |amount: piece::Money| format!("{} {}", language::number(amount.to_string()), rates.currency);
    vec![
        row(say!("An hour of work"), money(rates.labour_per_hour)),
        row(say!("A kilowatt-hour"), money(rates.energy_per_kwh)),
        row(say!("Overhead on labour and materials"), rates.overhead.show_digits(units, 2)),
        row(say!("Margin, of the price"), rates.margin.show_digits(units, 2)),
        row(say!("Tax on the price"), format!("{}, {}", rates.tax.show_digits(units, 2), rates.tax_name)),
    ]
}
