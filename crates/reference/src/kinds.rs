//! Quantities that only limits, dust and strength need, in the manner of the crate `quantity`.

use language::say;
use quantity::parse::{self, Unit};
use quantity::schema::KIND_KEY;
use quantity::show::{Rung, Show};
use quantity::{OutOfRange, ParseError, Quantity};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error as _};
use std::borrow::Cow;
use std::fmt;

macro_rules! kind {
    (
        $(#[$doc:meta])*
        $name:ident: say!(in "a kind of quantity", $what:literal) in $base:literal, $min:literal to $max:literal;
        shown $($from:literal $sign:literal $unit:expr),+;
        us $($us_from:literal $us_sign:literal $us_unit:expr),+;
        $($make:ident / $get:ident = $factor:expr $(, $spelling:literal)+;)+
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
            const US: &'static [Rung] =
                &[$(Rung { from: $us_from, unit: $us_sign, factor: $us_unit, offset: 0.0 }),+];

            fn sign(unit: &'static str) -> &'static str {
                sign(unit)
            }
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
                    "description": concat!("A ", $what, " with its unit"),
                    KIND_KEY: stringify!($name)
                })
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

/// What one pound-force is in newtons; exact.
const POUND_FORCE: f64 = 0.453_592_37 * 9.806_65;
/// One pound-force on a square foot, in pascals.
const PSF: f64 = POUND_FORCE / (0.3048 * 0.3048);
/// One pound-force on a square inch, in pascals.
const PSI: f64 = POUND_FORCE / (0.0254 * 0.0254);

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident: { $($rest:tt)* })+) => {
        $(kind! { $(#[$doc])* $name: $($rest)* })+

        /// Reads `text` as the kind of this name and forgets the value, as
        /// [`quantity::schema::check_written`] does for its kinds: `None` for a kind that is not here.
        #[must_use]
        pub fn check_written(kind: &str, text: &str) -> Option<Result<(), ParseError>> {
            match kind {
                $(stringify!($name) => Some(parse::parse::<$name>(text).map(drop)),)+
                _ => None,
            }
        }
    };
}

/// A unit that is a word, as who reads it says it; the others are signs.
fn sign(unit: &'static str) -> &'static str {
    match unit {
        "changes/h" => say!("changes/h"),
        "changes/min" => say!("changes/min"),
        sign => sign,
    }
}

kinds! {
    /// Mass of dust in a volume of air, in mg/m³ inside.
    Concentration: {
        say!(in "a kind of quantity", "concentration") in "mg/m³", 0.0 to 1e6;
        shown 0.0 "µg/m³" 1e-3, 1.0 "mg/m³" 1.0;
        us 0.0 "µg/m³" 1e-3, 1.0 "mg/m³" 1.0;
        mg_per_m3 / to_mg_per_m3 = 1.0, "mg/m3", "mg/m³";
        ug_per_m3 / to_ug_per_m3 = 1e-3, "ug/m3", "µg/m3", "µg/m³", "μg/m³";
    }
    /// A-weighted sound level, in dBA. A level is a logarithm: do not scale or add it as a number.
    SoundLevel: {
        say!(in "a kind of quantity", "sound level") in "dBA", 0.0 to 160.0;
        shown 0.0 "dBA" 1.0;
        us 0.0 "dBA" 1.0;
        dba / to_dba = 1.0, "dBA", "dB(A)";
    }
    /// A plane angle, in degrees inside.
    Angle: {
        say!(in "a kind of quantity", "angle") in "°", 0.0 to 360.0;
        shown 0.0 "°" 1.0;
        us 0.0 "°" 1.0;
        degrees / to_degrees = 1.0, "deg", "°";
    }
    /// How often the air of a room or cabinet is replaced, in changes per minute inside.
    AirChanges: {
        say!(in "a kind of quantity", "air changes") in "1/min", 0.0 to 1e3;
        shown 0.0 "changes/h" 0.016_666_666_666_666_666, 1.0 "changes/min" 1.0;
        us 0.0 "changes/h" 0.016_666_666_666_666_666, 1.0 "changes/min" 1.0;
        per_minute / to_per_minute = 1.0, "changes/min", "per minute";
        per_hour / to_per_hour = 0.016_666_666_666_666_666, "changes/h", "per hour";
    }
    /// Force in a section, in pascals inside.
    Stress: {
        say!(in "a kind of quantity", "stress") in "Pa", 0.0 to 1e12;
        shown 0.0 "MPa" 1e6, 1e9 "GPa" 1e9;
        us 0.0 "psi" PSI;
        mpa / to_mpa = 1e6, "MPa", "N/mm2", "N/mm²";
        gpa / to_gpa = 1e9, "GPa";
        psi / to_psi = PSI, "psi";
        pascals / to_pascals = 1.0, "Pa";
    }
    /// Load spread over an area: wind, own weight, things on a shelf; in pascals inside.
    AreaLoad: {
        say!(in "a kind of quantity", "load on an area") in "Pa", 0.0 to 1e6;
        shown 0.0 "Pa" 1.0, 100.0 "kPa" 1e3;
        us 0.0 "psf" PSF;
        kpa / to_kpa = 1e3, "kPa", "kN/m2", "kN/m²";
        pascals / to_pascals = 1.0, "Pa", "N/m2", "N/m²";
        psf / to_psf = PSF, "psf", "lb/ft2", "lb/ft²";
    }
    /// A force, in newtons inside.
    Force: {
        say!(in "a kind of quantity", "force") in "N", 0.0 to 1e6;
        shown 0.0 "N" 1.0, 1e3 "kN" 1e3;
        us 0.0 "lbf" POUND_FORCE;
        newtons / to_newtons = 1.0, "N";
        kilonewtons / to_kilonewtons = 1e3, "kN";
        pounds_force / to_pounds_force = POUND_FORCE, "lbf";
    }
    /// Work that something can do, in joules inside.
    Energy: {
        say!(in "a kind of quantity", "energy") in "J", 0.0 to 1e12;
        shown 0.0 "J" 1.0, 1e3 "kJ" 1e3;
        us 0.0 "ft·lbf" 1.355_817_948_331_4;
        joules / to_joules = 1.0, "J";
        kilojoules / to_kilojoules = 1e3, "kJ";
        foot_pounds / to_foot_pounds = POUND_FORCE * 0.3048, "ft·lbf", "ftlbf";
    }
    /// A difference of two temperatures, in kelvins inside.
    TemperatureStep: {
        say!(in "a kind of quantity", "temperature difference") in "K", 0.0 to 5e3;
        shown 0.0 "K" 1.0;
        us 0.0 "°F" 0.555_555_555_555_555_6;
        kelvins / to_kelvins = 1.0, "K";
    }
    /// Resistance of a material to the growth of a crack, in MPa √m inside.
    Toughness: {
        say!(in "a kind of quantity", "fracture toughness") in "MPa √m", 0.0 to 1e3;
        shown 0.0 "MPa √m" 1.0;
        us 0.0 "MPa √m" 1.0;
        mpa_root_metre / to_mpa_root_metre = 1.0, "MPa m^0.5", "MPa √m";
    }
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
