//! Quantities that only limits and dust need, in the manner of the crate `quantity`.

use quantity::parse::{self, Unit};
use quantity::show::{Rung, Show};
use quantity::{OutOfRange, ParseError, Quantity};
use serde::de::{Deserialize, Deserializer, Error as _};
use std::fmt;

macro_rules! kind {
    (
        $(#[$doc:meta])*
        $name:ident: $what:literal in $base:literal, $min:literal to $max:literal;
        shown $($from:literal $sign:literal $unit:literal),+;
        $($make:ident / $get:ident = $factor:literal $(, $spelling:literal)+;)+
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            $(
                #[doc = concat!("From a value in ", stringify!($make), ".")]
                ///
                /// # Errors
                #[doc = concat!("[`OutOfRange`] outside ", $min, " to ", $max, " ", $base, ", and for a NaN.")]
                pub const fn $make(value: f64) -> Result<Self, OutOfRange> {
                    Self::checked(value * $factor)
                }

                #[doc = concat!("The value in ", stringify!($make), ".")]
                #[must_use]
                pub const fn $get(self) -> f64 {
                    self.0 / $factor
                }
            )+

            const fn checked(base: f64) -> Result<Self, OutOfRange> {
                // A NaN fails the comparison, so it is refused too.
                if $min <= base && base <= $max {
                    return Ok(Self(base));
                }
                Err(OutOfRange { what: $what, unit: $base, value: base, min: $min, max: $max })
            }
        }

        impl Quantity for $name {
            const WHAT: &'static str = $what;
            const BASE: &'static str = $base;
            const MIN: f64 = $min;
            const MAX: f64 = $max;
            const UNITS: &'static [Unit] =
                &[$(Unit { spellings: &[$($spelling),+], factor: $factor, offset: 0.0 }),+];

            fn from_base(value: f64) -> Result<Self, OutOfRange> {
                Self::checked(value)
            }

            fn to_base(self) -> f64 {
                self.0
            }
        }

        impl Show for $name {
            const METRIC: &'static [Rung] = &[$(Rung { from: $from, unit: $sign, factor: $unit, offset: 0.0 }),+];
            const US: &'static [Rung] = Self::METRIC;
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.show(quantity::UnitSystem::Metric).fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = ParseError;
            fn from_str(text: &str) -> Result<Self, ParseError> {
                parse::parse(text)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                String::deserialize(from)?.parse().map_err(D::Error::custom)
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(&quantity::schema::written(*self))
            }
        }
    };
}

kind! {
    /// Mass of dust in a volume of air, in mg/m³ inside.
    Concentration: "concentration" in "mg/m³", 0.0 to 1e6;
    shown 0.0 "µg/m³" 1e-3, 1.0 "mg/m³" 1.0;
    mg_per_m3 / to_mg_per_m3 = 1.0, "mg/m3", "mg/m³";
    ug_per_m3 / to_ug_per_m3 = 1e-3, "ug/m3", "µg/m3", "µg/m³", "μg/m³";
}
kind! {
    /// A-weighted sound level, in dBA. A level is a logarithm: do not scale or add it as a number.
    SoundLevel: "sound level" in "dBA", 0.0 to 160.0;
    shown 0.0 "dBA" 1.0;
    dba / to_dba = 1.0, "dBA", "dB(A)";
}
kind! {
    /// A plane angle, in degrees inside.
    Angle: "angle" in "°", 0.0 to 360.0;
    shown 0.0 "°" 1.0;
    degrees / to_degrees = 1.0, "deg", "°";
}
kind! {
    /// How often the air of a room or cabinet is replaced, in changes per minute inside.
    AirChanges: "air changes" in "1/min", 0.0 to 1e3;
    shown 0.0 "changes/h" 0.016_666_666_666_666_666, 1.0 "changes/min" 1.0;
    per_minute / to_per_minute = 1.0, "changes/min", "per minute";
    per_hour / to_per_hour = 0.016_666_666_666_666_666, "changes/h", "per hour";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_limits_become_quantities() {
        assert_eq!("50 ug/m3".parse::<Concentration>().unwrap(), Concentration::mg_per_m3(0.05).unwrap());
        assert_eq!("85 dBA".parse::<SoundLevel>().unwrap().to_dba(), 85.0);
        assert_eq!("20 changes/min".parse::<AirChanges>().unwrap().to_per_hour(), 1200.0);
        assert!("50".parse::<Concentration>().is_err(), "a bare number has no unit");
        assert!("-1 mg/m3".parse::<Concentration>().is_err());
        assert!(Concentration::mg_per_m3(f64::NAN).is_err());
    }

    #[test]
    fn a_concentration_shows_in_the_unit_that_suits_it() {
        let shown = |mg| Concentration::mg_per_m3(mg).unwrap().to_string().replace('\u{202f}', " ");
        assert_eq!((shown(0.05), shown(15.0)), ("50.0 µg/m³".into(), "15.0 mg/m³".into()));
    }
}
