//! An order as JSON and CSV: units in the key names.

use crate::Order;
use language::{say, say_count};
use quantity::{Quantity as _, Time};
use schemars::JsonSchema;
use serde::Serialize;

/// What `sabulo batch --json` prints.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OrderDocument {
    /// What this is.
    pub sabulo: &'static str,
    /// Name of the piece.
    pub piece: String,
    /// Items that are made.
    pub items: usize,
    /// The recipe in words.
    pub recipe: String,
    /// Price of one, with the order's break.
    pub price_each: String,
    /// Of all, without tax.
    pub price: String,
    /// ISO 4217.
    pub currency: String,
    /// In order.
    pub evenings: Vec<EveningEntry>,
    /// Each item.
    pub slots: Vec<SlotEntry>,
    /// Rows that make no piece.
    pub bad: Vec<BadEntry>,
    /// Columns that the drawing has no place for.
    pub unused_columns: Vec<String>,
}

/// An evening.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct EveningEntry {
    /// From 1.
    pub evening: usize,
    /// Items.
    pub items: usize,
    /// When the last is done, minutes.
    pub ends_min: f64,
    /// Nozzle open, minutes.
    pub blast_min: f64,
    /// Nozzle shut for air and duty, minutes.
    pub rest_min: f64,
    /// Share of the time that the compressor runs.
    pub duty: f64,
    /// Its limit.
    pub duty_limit: f64,
    /// Width of the roll, mm.
    pub roll_width_mm: f64,
    /// Cut off the roll, mm.
    pub roll_length_mm: f64,
    /// Share of that which is covered.
    pub density: f64,
}

/// An item.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SlotEntry {
    /// Evening, from 1.
    pub evening: usize,
    /// Number on the evening's sheet, from 1.
    pub number: usize,
    /// Line in the table.
    pub line: u64,
    /// What its first column says.
    pub name: String,
    /// And the others.
    pub more: String,
    /// From the evening's beginning, minutes.
    pub from_min: f64,
    /// Until it is done, minutes.
    pub to_min: f64,
    /// Weeding, seconds.
    pub weed_s: f64,
    /// Nozzle open, seconds.
    pub blast_s: f64,
    /// Whether its narrowest opening is below what the resist opens.
    pub narrow_opening: bool,
    /// Whether its narrowest wall is below what stays down.
    pub narrow_wall: bool,
}

/// A row that makes no piece.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BadEntry {
    /// Line in the table.
    pub line: u64,
    /// Why.
    pub fault: String,
}

impl OrderDocument {
    /// All of an order.
    #[must_use]
    pub fn new(order: &Order) -> Self {
        let offer = order.quote.offers.first();
        let money = |of: fn(&cost::Offer) -> piece::Money| {
            offer.map_or_else(String::new, |offer| {
                cost::currency::to_coin(of(offer), &order.quote.currency).0.to_string()
            })
        };
        Self {
            sabulo: "order 1",
            piece: order.plan.piece.name.clone(),
            items: order.items.len(),
            recipe: plan::words::recipe(&order.plan),
            price_each: money(|offer| offer.each),
            price: money(|offer| offer.net),
            currency: order.quote.currency.clone(),
            evenings: evenings(order),
            slots: slots(order),
            bad: order.bad.iter().map(|row| BadEntry { line: row.line, fault: row.fault.to_string() }).collect(),
            unused_columns: order.unused.clone(),
        }
    }

    /// The schedule as comma-separated values.
    ///
    /// # Errors
    /// None in practice: it is written to memory.
    pub fn csv(&self) -> Result<String, csv::Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        self.slots.iter().try_for_each(|slot| writer.serialize(slot))?;
        let bytes = writer.into_inner().map_err(|fault| csv::Error::from(fault.into_error()))?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }
}

fn evenings(order: &Order) -> Vec<EveningEntry> {
    let entry = |(index, evening): (usize, &crate::Evening)| {
        let sheet = &order.sheets[index];
        EveningEntry {
            evening: index + 1,
            items: evening.slots.len(),
            ends_min: evening.ends.to_minutes(),
            blast_min: evening.blast.to_minutes(),
            rest_min: evening.rest.to_minutes(),
            duty: evening.duty.to_ratio(),
            duty_limit: evening.duty_limit.to_ratio(),
            roll_width_mm: sheet.width.to_mm(),
            roll_length_mm: sheet.nested.roll_mm(),
            density: sheet.nested.density(),
        }
    };
    order.evenings.iter().enumerate().map(entry).collect()
}

fn slots(order: &Order) -> Vec<SlotEntry> {
    let of_evening = |(index, evening): (usize, &crate::Evening)| {
        let entry = |(number, slot): (usize, &crate::Slot)| {
            let item = &order.items[slot.item];
            SlotEntry {
                evening: index + 1,
                number: number + 1,
                line: item.line,
                name: item.name.clone(),
                more: item.more.clone(),
                from_min: slot.from.to_minutes(),
                to_min: slot.to.to_minutes(),
                weed_s: item.weed().to_seconds(),
                blast_s: item.blast().to_seconds(),
                narrow_opening: item.narrow_opening,
                narrow_wall: item.narrow_wall,
            }
        };
        evening.slots.iter().enumerate().map(entry).collect::<Vec<_>>()
    };
    order.evenings.iter().enumerate().flat_map(of_evening).collect()
}

/// The order in words, for people.
#[must_use]
pub fn told(order: &Order) -> String {
    let document = OrderDocument::new(order);
    let mut lines = vec![format!("{}: {}", document.piece, counted(&document)), document.recipe.clone(), String::new()];
    lines.extend(document.evenings.iter().map(evening_told));
    let (opening, wall) = (narrow(&document, |slot| slot.narrow_opening), narrow(&document, |slot| slot.narrow_wall));
    let items = document.items;
    if opening > 0 {
        lines.push(say!(
            "watch  a line somewhere narrower than the resist opens: {opening} of {items} items, marked in schedule.csv"
        ));
    }
    if wall > 0 {
        lines.push(say!(
            "watch  a wall somewhere narrower than what stays down: {wall} of {items} items, marked in schedule.csv"
        ));
    }
    lines.push(say!(
        "Price of one {each} {currency}, of all {all} {currency}",
        each = language::number(document.price_each.clone()),
        all = language::number(document.price.clone()),
        currency = document.currency
    ));
    lines.extend(document.bad.iter().map(|row| say!("line {line}: {fault}", line = row.line, fault = row.fault)));
    if !document.unused_columns.is_empty() {
        let columns = document.unused_columns.join(", ");
        lines.push(say!("columns that the drawing has no place for: {columns}"));
    }
    lines.join("\n") + "\n"
}

fn counted(document: &OrderDocument) -> String {
    let (items, evenings) = (document.items, document.evenings.len());
    say!(
        "{items} on {evenings}",
        items = say_count!(items, "{n} item", "{n} items", n = items),
        evenings = say_count!(evenings, "{n} evening", "{n} evenings", n = evenings)
    )
}

fn narrow(document: &OrderDocument, is: fn(&SlotEntry) -> bool) -> usize {
    document.slots.iter().filter(|slot| is(slot)).count()
}

fn evening_told(evening: &EveningEntry) -> String {
    let clock = |minutes: f64| quantity::show::clock(Time::clamped(60.0 * minutes));
    say!(
        "Evening {number}: {items}, done after {ends}; nozzle open {open}, resting {rest}; compressor {duty:.0} % of the \
         time, limit {limit:.0} %; {roll:.0} mm off the roll, {covered:.0} % covered",
        number = evening.evening,
        items = say_count!(evening.items, "{n} item", "{n} items", n = evening.items),
        ends = clock(evening.ends_min),
        open = clock(evening.blast_min),
        rest = clock(evening.rest_min),
        duty = 100.0 * evening.duty,
        limit = 100.0 * evening.duty_limit,
        roll = evening.roll_length_mm,
        covered = 100.0 * evening.density
    )
}
