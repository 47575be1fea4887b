//! Quantities in files: a string as people write it, checked when it is read.

use crate::*;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error as _};
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::str::FromStr;

/// The key in a JSON Schema under which a quantity's kind stands, so that a reader can check the
/// text before it becomes a value.
pub const KIND_KEY: &str = "x-quantity";

/// The quantity as a person would write it back, losing nothing: in the unit that needs the fewest
/// digits, so that `40psi` and `1/8in` come back as `40psi` and `0.125in`, not as metric decimals.
#[must_use]
pub fn written<Q: Quantity>(quantity: Q) -> String {
    let in_units = Q::UNITS.iter().map(|unit| {
        let text = twelve_digits((quantity.to_base() - unit.offset) / unit.factor);
        (text, unit.spellings.first().copied().unwrap_or(""))
    });
    let with_a_name = in_units.filter(|(_, unit)| !unit.is_empty());
    let (number, unit) = with_a_name.min_by_key(|(number, _)| digits_of(number)).unwrap_or_default();
    format!("{number}{unit}")
}

/// Twelve digits: the noise of a unit's factor is in the sixteenth, people's digits are in the first six.
fn twelve_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let decimals = (11.0 - value.abs().log10().floor()).clamp(0.0, 300.0) as usize;
    let text = format!("{value:.decimals$}");
    if decimals == 0 { text } else { text.trim_end_matches('0').trim_end_matches('.').to_owned() }
}

/// Digits that say something: neither leading nor trailing zeros.
fn digits_of(number: &str) -> usize {
    let digits: String = number.chars().filter(char::is_ascii_digit).collect();
    digits.trim_matches('0').len()
}

macro_rules! written_as_text {
    ($($name:ident, $example:literal;)+) => {
        $(
            impl FromStr for $name {
                type Err = ParseError;
                fn from_str(text: &str) -> Result<Self, ParseError> {
                    parse::parse(text)
                }
            }

            impl<'de> Deserialize<'de> for $name {
                fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                    let text = Cow::<'de, str>::deserialize(from)?;
                    text.parse().map_err(D::Error::custom)
                }
            }

            impl Serialize for $name {
                fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                    to.serialize_str(&written(*self))
                }
            }

            impl JsonSchema for $name {
                fn schema_name() -> Cow<'static, str> {
                    stringify!($name).into()
                }
                fn inline_schema() -> bool {
                    true
                }
                fn json_schema(_: &mut SchemaGenerator) -> Schema {
                    json_schema!({
                        "type": "string",
                        "description": concat!("A ", stringify!($name), " with its unit, such as \"", $example, "\""),
                        KIND_KEY: stringify!($name)
                    })
                }
            }
        )+

        /// Reads `text` as the kind that a schema names under [`KIND_KEY`] and forgets the value:
        /// `None` for a kind that is not ours.
        #[must_use]
        pub fn check_written(kind: &str, text: &str) -> Option<Result<(), ParseError>> {
            match kind {
                $(stringify!($name) => Some(parse::parse::<$name>(text).map(drop)),)+
                _ => None,
            }
        }

        #[cfg(test)]
        mod tests {
            use super::*;

            $(
                #[test]
                #[allow(non_snake_case, reason = "the test is named after the kind")]
                fn $name() {
                    let read: $crate::$name = $example.parse().unwrap();
                    let again: $crate::$name = written(read).parse().unwrap();
                    assert!((read.to_base() - again.to_base()).abs() <= 1e-11 * read.to_base().abs());
                    assert!(check_written(stringify!($name), "12").unwrap().is_err(), "a bare number has no unit");
                }
            )+
        }
    };
}

written_as_text! {
    Length, "1-1/2in";
    Diameter, "1/8in";
    Area, "2 m2";
    Volume, "270l";
    Time, "90s";
    Temperature, "68°F";
    GaugePressure, "40psi";
    AbsolutePressure, "101.3kPa";
    MassRate, "120 g/min";
    FreeFlow, "20cfm";
    Speed, "120 m/s";
    Mass, "2kg";
    Density, "3.95 g/cm3";
    Power, "4kW";
    Irradiance, "8 mW/cm2";
    Dose, "360 mJ/cm2";
    Fraction, "60%";
}
