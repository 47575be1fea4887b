//! Amounts of money: exact decimals, in whatever currency the shop works in.

use rust_decimal::Decimal;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

/// An exact amount in the shop's currency. Rounded to cents only when it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Money(#[serde(with = "rust_decimal::serde::str")] pub Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// This price for `amount` units, the amount taken to nine decimals.
    /// An amount that is not finite counts as none: it cannot come from checked quantities.
    #[must_use]
    pub fn times(self, amount: f64) -> Self {
        Self(self.0 * nine_decimals(amount))
    }

    /// The amount to the nearest cent, halves to even.
    #[must_use]
    pub fn cents(self) -> Decimal {
        let mut cents = self.0.round_dp(2);
        cents.rescale(2);
        cents
    }

    /// The amount to six decimals, halves to even: as many as a file and an answer for programs may hold.
    #[must_use]
    pub fn written(self) -> Self {
        Self(self.0.round_dp(6))
    }
}

/// A number to nine decimals, halves to even; one that is not finite is none.
#[must_use]
pub fn nine_decimals(number: f64) -> Decimal {
    let scaled = (number * 1e9).round_ties_even();
    // Up to here a float holds every integer, so nothing is lost; beyond it the digits are taken one by one.
    if scaled.abs() < 9e15 {
        return Decimal::new(scaled as i64, 9).normalize();
    }
    Decimal::from_f64_retain(number).unwrap_or_default().round_dp(9)
}

impl std::ops::Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, |a, b| a + b)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Files hold the decimal itself, with a point; this is read by people.
        f.pad(&language::number(self.cents().to_string()))
    }
}

impl JsonSchema for Money {
    fn schema_name() -> Cow<'static, str> {
        "Money".into()
    }
    fn inline_schema() -> bool {
        true
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "An exact amount in the shop's currency, such as \"12.50\"",
            "pattern": "^[0-9]{1,12}(\\.[0-9]{1,6})?$",
            "x-quantity": "Money"
        })
    }
}

/// Whether `text` is an amount as the files write it.
#[must_use]
pub(crate) fn is_money(text: &str) -> bool {
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |s: &str, most: usize| (1..=most).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
    digits(whole, 12) && digits(part, 6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cents_are_exact_where_binary_floats_are_not() {
        let dime: Money = serde_json::from_str("\"0.10\"").unwrap();
        assert_eq!((dime + dime + dime).to_string(), "0.30");
        assert_eq!(dime.times(3.0).to_string(), "0.30");
    }

    #[test]
    fn only_plain_amounts_are_money() {
        assert!(is_money("12") && is_money("12.50"));
        assert!(!is_money("-1") && !is_money("1e3") && !is_money("12,50") && !is_money("") && !is_money("1."));
    }
}
