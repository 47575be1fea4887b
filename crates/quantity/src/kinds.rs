//! The kinds of quantity, each with its unit inside, its range and its written units.

use crate::parse::Unit;
use language::{number, say};

/// A value outside what its kind allows. A NaN is outside every range.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "{}",
    say!(
        "{what}: {value} is outside {min} to {max} (in {unit})",
        what = kind(what),
        value = number(value.to_string()),
        min = number(min.to_string()),
        max = number(max.to_string())
    )
)]
pub struct OutOfRange {
    /// The kind of quantity.
    pub what: &'static str,
    /// The unit of the three numbers.
    pub unit: &'static str,
    /// What was given, in the kind's base unit.
    pub value: f64,
    /// Least value allowed, in the kind's base unit.
    pub min: f64,
    /// Greatest value allowed, in the kind's base unit.
    pub max: f64,
}

/// The kind in words, for who reads it: each is written as a sentence of the catalogue where the kind is made.
#[must_use]
pub(crate) fn kind(what: &'static str) -> &'static str {
    match what {
        // A kind of the crate `air`, whose range is not that of a length.
        "altitude" => say!(in "a kind of quantity", "altitude"),
        what => language::text("a kind of quantity", what).unwrap_or(what),
    }
}

/// What every kind of quantity can do. The named constructors and getters are for people; this is
/// for code that serves all kinds alike: parsing, printing, estimates.
pub trait Quantity: Copy + PartialOrd + Sized {
    /// The kind in words, as a message would say it.
    const WHAT: &'static str;
    /// Name of the unit inside.
    const BASE: &'static str;
    /// Least value, in the base unit.
    const MIN: f64;
    /// Greatest value, in the base unit.
    const MAX: f64;
    /// How people write it, the most usual unit first.
    const UNITS: &'static [Unit];

    /// A quantity from its base unit.
    ///
    /// # Errors
    /// [`OutOfRange`] when `value` is outside `MIN..=MAX` or is not a number.
    fn from_base(value: f64) -> Result<Self, OutOfRange>;

    /// The value in the base unit.
    fn to_base(self) -> f64;

    /// The nearest value that the kind allows.
    ///
    /// # Panics
    /// On NaN: that is a defect of the caller's formula, not of anybody's input.
    fn clamped(value: f64) -> Self {
        assert!(!value.is_nan(), "{}: a formula gave NaN", Self::WHAT);
        match Self::from_base(value.clamp(Self::MIN, Self::MAX)) {
            Ok(inside) => inside,
            Err(_) => unreachable!("a clamped value is inside its own range"),
        }
    }

    /// This many times the quantity.
    ///
    /// # Errors
    /// [`OutOfRange`] when the product leaves the kind's range.
    fn scaled(self, factor: f64) -> Result<Self, OutOfRange> {
        Self::from_base(self.to_base() * factor)
    }
}

/// A value written in the source, for constants: `const REACH: Length = known(Length::mm(150.0));`
///
/// # Panics
/// When the value is out of its range; in a constant that stops the build.
#[must_use]
pub const fn known<Q: Copy>(value: Result<Q, OutOfRange>) -> Q {
    match value {
        Ok(quantity) => quantity,
        Err(_) => panic!("a quantity written in the source is out of its range"),
    }
}

/// Makes a kind: the type, its constructors and getters by unit, and how people write it.
///
/// `what` is said as a sentence, so that the catalogue has it; [`kind`] looks it up.
/// `unit / getter = factor, "spelling", …;` where `base value = written value * factor + offset`.
macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident: say!(in "a kind of quantity", $what:literal) in $base:literal, $min:literal to $max:literal;
        $($make:ident / $get:ident = $factor:expr $(, + $offset:literal)? $(, $spelling:literal)*;)+
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
                    Self::checked(value * $factor $(+ $offset)?)
                }

                #[doc = concat!("The value in ", stringify!($make), ".")]
                #[must_use]
                pub const fn $get(self) -> f64 {
                    (self.0 $(- $offset)?) / $factor
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
            const UNITS: &'static [Unit] = &[$(
                Unit {
                    spellings: &[$($spelling),*],
                    factor: $factor,
                    offset: 0.0 $(+ $offset)?,
                },
            )+];

            fn from_base(value: f64) -> Result<Self, OutOfRange> {
                Self::checked(value)
            }

            fn to_base(self) -> f64 {
                self.0
            }
        }
    };
}

// Exact by definition: the inch, the pound and the foot (international yard and pound, 1959).
const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
const POUND: f64 = 0.453_592_37;
/// One pound-force on one square inch; standard gravity is 9.80665 m/s² by definition.
const PSI: f64 = POUND * 9.806_65 / (INCH * INCH);
const US_GALLON: f64 = 231.0 * INCH * INCH * INCH;
const MINUTE: f64 = 60.0;
const HOUR: f64 = 3600.0;

/// Air at 70 °F, 14.7 psia, dry: the "standard cubic foot" of the orifice tables, in kg/m³.
/// Source: printed with the handbook table "Discharge of air through an orifice" as 0.07494 lb/ft³.
pub const STANDARD_CUBIC_FOOT_DENSITY: f64 = 1.200_35;
/// The reference atmosphere of pneumatics (ANR) in kg/m³. Source: ISO 6358 uses 1.185 for
/// 20 °C, 100 kPa, 65 % relative humidity (ISO 8778); from memory.
pub const ANR_DENSITY: f64 = 1.185;
/// Dry air at 0 °C and 101.325 kPa in kg/m³: the "normal" litre of DIN 1343 (T and p read in a
/// printed definition, density computed with CoolProp 8.0).
pub const NORMAL_DENSITY: f64 = 1.293_07;

quantity! {
    /// A length, thickness, depth or standoff, in metres inside. Never negative.
    Length: say!(in "a kind of quantity", "length") in "m", 0.0 to 100.0;
    mm / to_mm = 1e-3, "mm", "millimetre", "millimeter";
    inches / to_inches = INCH, "in", "inch", "inches", "\"", "″";
    mils / to_mils = INCH * 1e-3, "mil", "mils", "thou";
    um / to_um = 1e-6, "µm", "um", "μm", "micron", "microns";
    cm / to_cm = 1e-2, "cm";
    feet / to_feet = FOOT, "ft", "foot", "feet", "'", "′";
    metres / to_metres = 1.0, "m";
}
quantity! {
    /// The inside or outside diameter of something round: a bore, a grain, a tumbler; in metres inside.
    Diameter: say!(in "a kind of quantity", "diameter") in "m", 1e-7 to 2.0;
    mm / to_mm = 1e-3, "mm";
    inches / to_inches = INCH, "in", "inch", "inches", "\"", "″";
    um / to_um = 1e-6, "µm", "um", "μm", "micron", "microns";
    cm / to_cm = 1e-2, "cm";
    metres / to_metres = 1.0, "m";
}
quantity! {
    /// An area, in square metres inside.
    Area: say!(in "a kind of quantity", "area") in "m²", 0.0 to 1e4;
    square_mm / to_square_mm = 1e-6, "mm²", "mm2";
    square_cm / to_square_cm = 1e-4, "cm²", "cm2";
    square_inches / to_square_inches = INCH * INCH, "in²", "in2", "sqin";
    square_feet / to_square_feet = FOOT * FOOT, "ft²", "ft2", "sqft";
    square_metres / to_square_metres = 1.0, "m²", "m2";
}
quantity! {
    /// A volume of a vessel or box, in cubic metres inside.
    Volume: say!(in "a kind of quantity", "volume") in "m³", 0.0 to 1e3;
    litres / to_litres = 1e-3, "l", "L", "litre", "litres", "liter", "liters";
    us_gallons / to_us_gallons = US_GALLON, "gal", "gallon", "gallons";
    cubic_feet / to_cubic_feet = CUBIC_FOOT, "ft³", "ft3", "cuft";
    cubic_mm / to_cubic_mm = 1e-9, "mm³", "mm3";
    cubic_metres / to_cubic_metres = 1.0, "m³", "m3";
}
quantity! {
    /// A span of time, in seconds inside.
    Time: say!(in "a kind of quantity", "time") in "s", 0.0 to 1e8;
    seconds / to_seconds = 1.0, "s", "sec";
    minutes / to_minutes = MINUTE, "min", "minute", "minutes";
    hours / to_hours = HOUR, "h", "hr", "hour", "hours";
}
quantity! {
    /// An absolute temperature, in kelvins inside.
    Temperature: say!(in "a kind of quantity", "temperature") in "K", 150.0 to 1500.0;
    celsius / to_celsius = 1.0, + 273.15, "°C", "C", "degC", "℃";
    fahrenheit / to_fahrenheit = (5.0 / 9.0), + 255.372_222_222_222_2, "°F", "F", "degF", "℉";
    kelvins / to_kelvins = 1.0, "K";
}
quantity! {
    /// What a pressure gauge reads: pressure above the air around it, in pascals inside.
    GaugePressure: say!(in "a kind of quantity", "gauge pressure") in "Pa", -1.0e5 to 2.0e6;
    psi / to_psi = PSI, "psi", "psig";
    bar / to_bar = 1e5, "bar", "barg";
    kpa / to_kpa = 1e3, "kPa", "kpa";
    mpa / to_mpa = 1e6, "MPa";
    pascals / to_pascals = 1.0, "Pa";
}
quantity! {
    /// Pressure above vacuum, in pascals inside. Never a gauge reading.
    AbsolutePressure: say!(in "a kind of quantity", "absolute pressure") in "Pa", 1.0e3 to 2.2e6;
    psi / to_psi = PSI, "psia", "psi";
    bar / to_bar = 1e5, "bar", "bara";
    kpa / to_kpa = 1e3, "kPa", "kpa";
    hpa / to_hpa = 1e2, "hPa", "mbar";
    pascals / to_pascals = 1.0, "Pa";
}
quantity! {
    /// A flow by mass, in kg/s inside. Standard and normal volume flows are masses in disguise,
    /// so they are units of this kind; free air delivered is not ([`FreeFlow`]).
    MassRate: say!(in "a kind of quantity", "mass flow") in "kg/s", 0.0 to 100.0;
    scfm / to_scfm = STANDARD_CUBIC_FOOT_DENSITY * CUBIC_FOOT / MINUTE, "scfm";
    grams_per_second / to_grams_per_second = 1e-3, "g/s";
    grams_per_minute / to_grams_per_minute = 1e-3 / MINUTE, "g/min";
    kg_per_hour / to_kg_per_hour = 1.0 / HOUR, "kg/h";
    pounds_per_hour / to_pounds_per_hour = POUND / HOUR, "lb/h";
    litres_anr_per_minute / to_litres_anr_per_minute = ANR_DENSITY * 1e-3 / MINUTE, "l/min ANR";
    normal_litres_per_minute / to_normal_litres_per_minute = NORMAL_DENSITY * 1e-3 / MINUTE, "Nl/min", "nl/min";
    kg_per_second / to_kg_per_second = 1.0, "kg/s";
}
quantity! {
    /// Free air delivered: a volume each second at the *site's own* inlet state, in m³/s inside.
    /// What mass that is depends on altitude and temperature.
    FreeFlow: say!(in "a kind of quantity", "free air flow") in "m³/s", 0.0 to 100.0;
    cfm / to_cfm = CUBIC_FOOT / MINUTE, "cfm", "ft3/min", "ft³/min";
    litres_per_minute / to_litres_per_minute = 1e-3 / MINUTE, "l/min", "L/min", "lpm";
    litres_per_second / to_litres_per_second = 1e-3, "l/s", "L/s";
    cubic_metres_per_minute / to_cubic_metres_per_minute = 1.0 / MINUTE, "m3/min", "m³/min";
    cubic_metres_per_hour / to_cubic_metres_per_hour = 1.0 / HOUR, "m3/h", "m³/h";
    cubic_metres_per_second / to_cubic_metres_per_second = 1.0, "m3/s", "m³/s";
}
quantity! {
    /// A speed, in m/s inside.
    Speed: say!(in "a kind of quantity", "speed") in "m/s", 0.0 to 2000.0;
    metres_per_second / to_metres_per_second = 1.0, "m/s";
    feet_per_minute / to_feet_per_minute = FOOT / MINUTE, "ft/min", "fpm";
    um_per_second / to_um_per_second = 1e-6, "µm/s", "um/s";
}
quantity! {
    /// A mass, in kg inside.
    Mass: say!(in "a kind of quantity", "mass") in "kg", 0.0 to 1e5;
    grams / to_grams = 1e-3, "g";
    kilograms / to_kilograms = 1.0, "kg";
    pounds / to_pounds = POUND, "lb", "lbs";
}
quantity! {
    /// Mass in a volume, in kg/m³ inside.
    Density: say!(in "a kind of quantity", "density") in "kg/m³", 0.01 to 3e4;
    kg_per_cubic_metre / to_kg_per_cubic_metre = 1.0, "kg/m3", "kg/m³";
    grams_per_cubic_cm / to_grams_per_cubic_cm = 1e3, "g/cm3", "g/cm³";
}
quantity! {
    /// Power, in watts inside.
    Power: say!(in "a kind of quantity", "power") in "W", 0.0 to 1e7;
    kilowatts / to_kilowatts = 1e3, "kW", "kw";
    horsepower / to_horsepower = FOOT * POUND * 9.806_65 * 550.0, "hp";
    watts / to_watts = 1.0, "W";
}
quantity! {
    /// Target volume removed by each kilogram of abrasive, in m³/kg inside.
    SpecificErosion: say!(in "a kind of quantity", "specific erosion") in "m³/kg", 0.0 to 1.0;
    cubic_mm_per_gram / to_cubic_mm_per_gram = 1e-6, "mm³/g", "mm3/g";
    cubic_metres_per_kg / to_cubic_metres_per_kg = 1.0, "m³/kg", "m3/kg";
}
quantity! {
    /// Light power on an area, as a meter at the film reads it in the resist's own band; in W/m² inside.
    Irradiance: say!(in "a kind of quantity", "irradiance") in "W/m²", 0.0 to 1e6;
    milliwatts_per_square_cm / to_milliwatts_per_square_cm = 10.0, "mW/cm²", "mW/cm2";
    watts_per_square_metre / to_watts_per_square_metre = 1.0, "W/m²", "W/m2";
}
quantity! {
    /// Light energy on an area, in J/m² inside.
    Dose: say!(in "a kind of quantity", "dose") in "J/m²", 0.0 to 1e8;
    millijoules_per_square_cm / to_millijoules_per_square_cm = 10.0, "mJ/cm²", "mJ/cm2";
    joules_per_square_metre / to_joules_per_square_metre = 1.0, "J/m²", "J/m2";
}
quantity! {
    /// A share of a whole, 0 to 1.
    Fraction: say!(in "a kind of quantity", "fraction") in "1", 0.0 to 1.0;
    percent / to_percent = 1e-2, "%";
    ratio / to_ratio = 1.0;
}

impl AbsolutePressure {
    /// A gauge reading means nothing until the site's own pressure is known.
    ///
    /// # Errors
    /// [`OutOfRange`] when the sum is below 1 kPa or above 2.2 MPa.
    pub const fn from_gauge(gauge: GaugePressure, site: Self) -> Result<Self, OutOfRange> {
        Self::checked(gauge.0 + site.0)
    }

    /// What a gauge at the site would read.
    ///
    /// # Errors
    /// [`OutOfRange`] when the difference is not a pressure that a gauge of ours shows.
    pub const fn to_gauge(self, site: Self) -> Result<GaugePressure, OutOfRange> {
        GaugePressure::checked(self.0 - site.0)
    }
}

/// Specific gas constant of dry air, J/(kg K). Source: `docs/reference/air.md` section 0, used throughout.
pub const GAS_CONSTANT_AIR: f64 = 287.05;

/// Adding and summing kinds of which one can have many. A sum beyond the range stays at its end.
macro_rules! sums {
    ($($name:ident),+) => {$(
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self::clamped(self.0 + other.0)
            }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self(0.0), |a, b| a + b)
            }
        }
    )+};
}
sums!(Length, Area, Volume, Time, Mass, MassRate, FreeFlow, Power);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_agree_with_their_definitions() {
        let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-9, "{a} is not {b}");
        close(GaugePressure::psi(100.0).unwrap().to_kpa(), 689.475_729_316_836); // NIST SP 811
        close(Volume::us_gallons(1.0).unwrap().to_litres(), 3.785_411_784); // NIST SP 811
        close(Power::horsepower(1.0).unwrap().to_watts(), 745.699_871_582_27); // NIST SP 811
        close(Temperature::fahrenheit(68.0).unwrap().to_celsius(), 20.0);
        close(FreeFlow::cfm(1.0).unwrap().to_litres_per_minute(), 28.316_846_592);
    }

    #[test]
    fn one_scfm_is_the_handbooks_litres_of_anr() {
        // air.md section 0: 1 scfm (70 °F, 14.7 psia) = 28.684 l/min ANR.
        let anr = MassRate::scfm(1.0).unwrap().to_litres_anr_per_minute();
        assert!((anr - 28.684).abs() < 2e-3, "{anr}");
    }

    #[test]
    fn a_nan_and_a_vacuum_are_refused() {
        assert!(Length::mm(f64::NAN).is_err());
        assert!(Length::mm(-0.1).is_err());
        assert!(AbsolutePressure::pascals(0.0).is_err());
    }

    #[test]
    fn a_sum_beyond_the_range_stays_at_its_end() {
        let long = Length::metres(80.0).unwrap();
        assert_eq!((long + long).to_metres(), 100.0);
    }
}
