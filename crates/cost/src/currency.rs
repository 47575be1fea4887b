//! Currencies: how many decimals they have, and amounts as people read them.

use piece::Money;
use rust_decimal::{Decimal, RoundingStrategy};

/// Decimals of a currency's smallest coin: 2, but for those of ISO 4217 (its list, from memory) with 0 or 3.
#[must_use]
pub fn digits(code: &str) -> u32 {
    match code {
        "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF" | "UGX" | "VND" | "VUV"
        | "XAF" | "XOF" | "XPF" => 0,
        "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
        _ => 2,
    }
}

/// An amount to the currency's smallest coin, halves away from zero as on a bill.
#[must_use]
pub fn to_coin(amount: Money, code: &str) -> Money {
    let mut rounded = amount.0.round_dp_with_strategy(digits(code), RoundingStrategy::MidpointAwayFromZero);
    rounded.rescale(digits(code));
    Money(rounded)
}

/// An amount as it is printed, without the currency: `1 234.50` with the reader's decimal mark, a true minus sign before
/// a negative one.
#[must_use]
pub fn number(amount: Money, code: &str) -> String {
    let plain = to_coin(amount, code).0.abs().to_string();
    let (whole, part) = plain.split_once('.').map_or((plain.as_str(), ""), |(whole, part)| (whole, part));
    let mut grouped = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) && whole.len() > 4 {
            grouped.push('\u{a0}');
        }
        grouped.push(digit);
    }
    let sign = if amount.0 < Decimal::ZERO && to_coin(amount, code).0 != Decimal::ZERO { "−" } else { "" };
    let point = if part.is_empty() { "" } else { "." };
    language::number(format!("{sign}{grouped}{point}{part}"))
}

/// The same with the currency after a thin space.
#[must_use]
pub fn shown(amount: Money, code: &str) -> String {
    format!("{}\u{202f}{code}", number(amount, code))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        Money(text.parse().unwrap())
    }

    #[test]
    fn amounts_have_their_currencys_digits() {
        let told = |amount, code| number(money(amount), code).replace('\u{a0}', " ");
        assert_eq!(told("1234.5", "EUR"), "1234.50");
        assert_eq!(told("1234567.891", "USD"), "1 234 567.89");
        assert_eq!(told("1999.5", "JPY"), "2000");
        assert_eq!(told("1.0005", "KWD"), "1.001");
        assert_eq!(told("-12.345", "EUR"), "−12.35");
        assert_eq!(told("-0.001", "EUR"), "0.00");
    }
}
