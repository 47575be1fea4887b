//! A quote as JSON and CSV: amounts as exact decimals in quotes, the currency beside them.

use crate::currency::to_coin;
use crate::offer::{Offer, Quote};
use crate::price::Line;
use piece::Money;
use serde::Serialize;

/// A quote.
#[derive(Debug, Clone, Serialize)]
pub struct QuoteDocument {
    /// What this is.
    pub sabulo: &'static str,
    /// What is quoted.
    pub piece: String,
    /// For whom.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub customer: Option<String>,
    /// By whom.
    pub shop: String,
    /// ISO 4217 code of all amounts.
    pub currency: String,
    /// What the tax is called.
    pub tax_name: String,
    /// Tax on the net price, a ratio.
    pub tax: String,
    /// Surcharge for going before others, a ratio.
    pub rush: String,
    /// What can spoil a piece, each with its chance.
    pub spoils: Vec<CauseEntry>,
    /// One for each quantity.
    pub offers: Vec<OfferEntry>,
}

/// What can spoil a piece.
#[derive(Debug, Clone, Serialize)]
pub struct CauseEntry {
    /// In words.
    pub cause: &'static str,
    /// Its chance, 0 to 1.
    pub chance: f64,
}

/// An offer.
#[derive(Debug, Clone, Serialize)]
pub struct OfferEntry {
    /// How many.
    pub quantity: u32,
    /// Price of one.
    pub each: String,
    /// Of all.
    pub net: String,
    /// Tax.
    pub tax: String,
    /// With tax.
    pub gross: String,
    /// Taken off for the quantity, a ratio.
    pub less: String,
    /// One piece before margin.
    pub cost_each: String,
    /// The same when the blast is as short as it may be.
    pub cost_each_low: String,
    /// And as long.
    pub cost_each_high: String,
    /// Share of the price that is left when the blast is long, as estimated, and short.
    pub margin: [f64; 3],
    /// Chance that a piece spoils.
    pub spoils: f64,
    /// One piece, line by line, rounded to the coin.
    pub lines: Vec<LineEntry>,
}

/// A line of a cost.
#[derive(Debug, Clone, Serialize)]
pub struct LineEntry {
    /// What it is for.
    pub what: String,
    /// How much.
    pub amount: String,
}

/// A row of the CSV.
#[derive(Debug, Serialize)]
struct Row<'a> {
    quantity: u32,
    each: &'a str,
    net: &'a str,
    tax: &'a str,
    gross: &'a str,
    cost_each: &'a str,
    currency: &'a str,
}

impl QuoteDocument {
    /// Of a quote.
    #[must_use]
    pub fn new(quote: &Quote, piece: &str, customer: Option<&str>, shop: &str) -> Self {
        Self {
            sabulo: "quote 1",
            piece: piece.to_owned(),
            customer: customer.map(str::to_owned),
            shop: shop.to_owned(),
            currency: quote.currency.clone(),
            tax_name: quote.tax_name.clone(),
            tax: quote.tax.normalize().to_string(),
            rush: quote.rush.normalize().to_string(),
            spoils: quote.causes.iter().map(|(cause, chance)| cause_entry(*cause, chance.to_ratio())).collect(),
            offers: quote.offers.iter().map(|offer| entry(offer, &quote.currency)).collect(),
        }
    }

    /// The offers as comma-separated values.
    ///
    /// # Errors
    /// None in practice: it is written to memory.
    pub fn csv(&self) -> Result<String, csv::Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        for offer in &self.offers {
            writer.serialize(Row {
                quantity: offer.quantity,
                each: &offer.each,
                net: &offer.net,
                tax: &offer.tax,
                gross: &offer.gross,
                cost_each: &offer.cost_each,
                currency: &self.currency,
            })?;
        }
        let bytes = writer.into_inner().map_err(|fault| csv::Error::from(fault.into_error()))?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }
}

fn cause_entry(cause: crate::Cause, chance: f64) -> CauseEntry {
    CauseEntry { cause: cause.name(), chance }
}

fn entry(offer: &Offer, currency: &str) -> OfferEntry {
    let coin = |amount: Money| to_coin(amount, currency).0.to_string();
    let line = |line: &Line| LineEntry { what: line.kind.name(), amount: coin(line.amount) };
    OfferEntry {
        quantity: offer.quantity,
        each: coin(offer.each),
        net: coin(offer.net),
        tax: coin(offer.tax),
        gross: coin(offer.gross),
        less: offer.less.normalize().to_string(),
        cost_each: coin(offer.each_cost.mid()),
        cost_each_low: coin(offer.each_cost.low()),
        cost_each_high: coin(offer.each_cost.high()),
        margin: [offer.margin.low(), offer.margin.mid(), offer.margin.high()],
        spoils: offer.costed.spoils.to_ratio(),
        lines: offer.costed.lines.iter().map(line).collect(),
    }
}
