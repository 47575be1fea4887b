//! Offers over several quantities.

use crate::currency::to_coin;
use crate::price::{Costed, causes, costed};
use crate::risk::Cause;
use crate::terms::Terms;
use crate::work::Work;
use language::{number, say};
use piece::Money;
use quantity::{Estimate, Fraction};
use rust_decimal::Decimal;

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Quantities, 1 to 100 000 each.
    pub quantities: Vec<u32>,
    /// Surcharge for going before others; `None`: no rush. 0 to 2.
    pub rush: Option<Decimal>,
}

/// Offers for a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// ISO 4217 code.
    pub currency: String,
    /// On the price.
    pub tax: Decimal,
    /// What it is called.
    pub tax_name: String,
    /// Surcharge for going before others.
    pub rush: Decimal,
    /// What can spoil a piece.
    pub causes: Vec<(Cause, Fraction)>,
    /// One for each quantity, ascending.
    pub offers: Vec<Offer>,
}

/// An offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// How many.
    pub quantity: u32,
    /// One piece before margin, at the middle estimate, line by line.
    pub costed: Costed,
    /// The same over the spread of the blasting time.
    pub each_cost: Estimate<Money>,
    /// Taken off for the quantity.
    pub less: Decimal,
    /// Price of one piece.
    pub each: Money,
    /// Of all.
    pub net: Money,
    /// Tax on that.
    pub tax: Money,
    /// With tax.
    pub gross: Money,
    /// What is left of the net price when the blast takes as long as at its high, and as short as at its low:
    /// share of the price that stays as margin.
    pub margin: Estimate<f64>,
}

/// Why nothing is offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum QuoteError {
    /// No quantity.
    #[error("{}", say!("no quantity is asked for; give at least one, such as 1,10,50"))]
    NoQuantity,
    /// None of it, or far too many.
    #[error("{}", say!("{given} pieces cannot be quoted; give quantities of 1 to 100000"))]
    Quantity {
        /// As asked for.
        given: u32,
    },
    /// A surcharge that is none.
    #[error("{}", say!("a rush surcharge of {share} is outside 0 to 200 %; give a share such as 25%", share = number(given.to_string())))]
    Rush {
        /// As asked for, as a ratio.
        given: Decimal,
    },
}

/// Most of one quantity.
const QUANTITY_MAX: u32 = 100_000;

/// Offers a piece at each quantity.
///
/// # Errors
/// [`QuoteError`].
pub fn quote(work: &Work, terms: &Terms, ask: &Ask) -> Result<Quote, QuoteError> {
    let mut quantities = ask.quantities.clone();
    quantities.sort_unstable();
    quantities.dedup();
    if quantities.is_empty() {
        return Err(QuoteError::NoQuantity);
    }
    if let Some(&given) = quantities.iter().find(|quantity| !(1..=QUANTITY_MAX).contains(*quantity)) {
        return Err(QuoteError::Quantity { given });
    }
    let rush = ask.rush.unwrap_or_default();
    if rush < Decimal::ZERO || rush > Decimal::TWO {
        return Err(QuoteError::Rush { given: rush });
    }
    Ok(Quote {
        currency: terms.currency.clone(),
        tax: terms.tax,
        tax_name: terms.tax_name.clone(),
        rush,
        causes: causes(work, terms),
        offers: quantities.into_iter().map(|quantity| offer(work, terms, quantity, rush)).collect(),
    })
}

fn offer(work: &Work, terms: &Terms, quantity: u32, rush: Decimal) -> Offer {
    let [low, mid, high] = work.stretches().map(|stretch| costed(work, terms, quantity, stretch));
    let less = terms.less(quantity);
    let price = mid.each.0 / (Decimal::ONE - terms.margin) * (Decimal::ONE - less) * (Decimal::ONE + rush);
    let each = to_coin(rounded_up(Money(price), terms.round_to), &terms.currency);
    let net = to_coin(Money(each.0 * Decimal::from(quantity)), &terms.currency);
    let tax = to_coin(Money(net.0 * terms.tax), &terms.currency);
    let margin = |cost: Money| ratio(each.0 - cost.0, each.0);
    Offer {
        quantity,
        each_cost: ordered(low.each, mid.each, high.each),
        margin: Estimate::new(margin(high.each), margin(mid.each), margin(low.each))
            .unwrap_or(Estimate::exact(margin(mid.each))),
        costed: mid,
        less,
        each,
        net,
        tax,
        gross: net + tax,
    }
}

/// Up to the next multiple of a step; a step of nothing leaves it.
fn rounded_up(amount: Money, step: Money) -> Money {
    if step.0 <= Decimal::ZERO {
        return amount;
    }
    Money((amount.0 / step.0).ceil() * step.0)
}

fn ratio(part: Decimal, whole: Decimal) -> f64 {
    let share = part.checked_div(whole).unwrap_or_default().round_dp(9);
    rust_decimal::prelude::ToPrimitive::to_f64(&share).unwrap_or_default()
}

pub(crate) fn ordered(low: Money, mid: Money, high: Money) -> Estimate<Money> {
    Estimate::new(low.min(mid), mid, high.max(mid)).unwrap_or(Estimate::exact(mid))
}
