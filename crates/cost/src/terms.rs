//! What a shop charges, as decimals.

use piece::{Money, Rates};
use quantity::{Fraction, Time};
use rust_decimal::Decimal;

/// What a shop charges.
#[derive(Debug, Clone, PartialEq)]
pub struct Terms {
    /// ISO 4217 code.
    pub currency: String,
    /// An hour of work.
    pub labour_per_hour: Money,
    /// Share of waiting that is charged as work.
    pub waiting: Fraction,
    /// Hands once for an order.
    pub order_time: Time,
    /// A kilowatt-hour.
    pub energy_per_kwh: Money,
    /// An hour of cabinet and collector.
    pub cabinet_per_hour: Money,
    /// An hour of the compressors.
    pub compressor_per_hour: Money,
    /// On labour and materials.
    pub overhead: Decimal,
    /// Share of the price, below 1.
    pub margin: Decimal,
    /// Share of pieces that spoil whatever the plan says, below 1.
    pub spoilage: Fraction,
    /// From a quantity on, so much less; ascending.
    pub breaks: Vec<(u32, Decimal)>,
    /// Surcharge for an order that goes before others.
    pub rush: Decimal,
    /// On the price.
    pub tax: Decimal,
    /// What the tax is called.
    pub tax_name: String,
    /// Prices of a piece are rounded up to multiples of this, above zero.
    pub round_to: Money,
}

impl Terms {
    /// Of a shop's rates.
    #[must_use]
    pub fn of(rates: &Rates) -> Self {
        let coin = Money(Decimal::new(1, crate::currency::digits(&rates.currency)));
        Self {
            currency: rates.currency.clone(),
            labour_per_hour: rates.labour_per_hour,
            waiting: rates.waiting,
            order_time: rates.order_time,
            energy_per_kwh: rates.energy_per_kwh,
            cabinet_per_hour: rates.cabinet_per_hour,
            compressor_per_hour: rates.compressor_per_hour,
            overhead: share(rates.overhead),
            margin: share(rates.margin),
            spoilage: rates.spoilage,
            breaks: rates.breaks.iter().map(|(from, less)| (*from, share(*less))).collect(),
            rush: share(rates.rush),
            tax: share(rates.tax),
            tax_name: rates.tax_name.clone(),
            round_to: rates.round_to.unwrap_or(coin),
        }
    }

    /// A share as a decimal, to nine places.
    #[must_use]
    pub fn share(fraction: Fraction) -> Decimal {
        share(fraction)
    }

    /// What is taken off the price at a quantity.
    #[must_use]
    pub fn less(&self, quantity: u32) -> Decimal {
        let reached = self.breaks.iter().filter(|(from, _)| *from <= quantity);
        reached.map(|(_, less)| *less).next_back().unwrap_or_default()
    }
}

/// A share to nine decimals.
pub(crate) fn share(fraction: Fraction) -> Decimal {
    piece::money::nine_decimals(fraction.to_ratio())
}
