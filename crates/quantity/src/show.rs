//! A quantity into what people read: a number of few digits and a unit, US or metric.
//!
//! Each kind has a ladder of units in each system; the number is shown in the largest one in which
//! it is at least one rung's start. Three significant digits unless asked otherwise: no estimate of
//! this program is surer than that.

use crate::*;
use std::fmt;

/// Which units a person reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Inches, psi, cfm, °F.
    Us,
    /// Millimetres, bar, l/min, °C.
    #[default]
    Metric,
}

/// A number and its unit, apart, so that a page can align the one and dim the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// The number as text.
    pub number: String,
    /// The unit; empty for a bare ratio.
    pub unit: &'static str,
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            "" => f.write_str(&self.number),
            // A narrow no-break space stands between number and unit (SI brochure, 5.4.3).
            unit => write!(f, "{}\u{202f}{unit}", self.number),
        }
    }
}

/// A rung of a ladder of units: used from `from` base units upward.
#[derive(Debug, Clone, Copy)]
pub struct Rung {
    /// Least base value shown in this unit.
    pub from: f64,
    /// The unit's sign.
    pub unit: &'static str,
    /// Base units in one.
    pub factor: f64,
    /// Base value of its zero.
    pub offset: f64,
}

const fn rung(from: f64, unit: &'static str, factor: f64) -> Rung {
    Rung { from, unit, factor, offset: 0.0 }
}

/// Kinds that people read.
pub trait Show: Quantity {
    /// The metric ladder, smallest unit first.
    const METRIC: &'static [Rung];
    /// The US ladder, smallest unit first.
    const US: &'static [Rung];

    /// Three significant digits.
    #[must_use]
    fn show(self, system: UnitSystem) -> Shown {
        self.show_digits(system, 3)
    }

    /// `digits` significant digits, 1 to 15.
    #[must_use]
    fn show_digits(self, system: UnitSystem, digits: usize) -> Shown {
        let rung = Self::rung(self.to_base(), system);
        let number = significant((self.to_base() - rung.offset) / rung.factor, digits);
        Shown { number, unit: Self::sign(rung.unit) }
    }

    /// A rung's unit as who reads it says it: a sign is one everywhere, a word is not.
    #[must_use]
    fn sign(unit: &'static str) -> &'static str {
        unit
    }

    /// The unit in which `base` is shown.
    #[must_use]
    fn rung(base: f64, system: UnitSystem) -> Rung {
        let ladder = match system {
            UnitSystem::Us => Self::US,
            UnitSystem::Metric => Self::METRIC,
        };
        // A rounding step of leeway, so that 1 mm held as 0.00099999 m is still 1 mm.
        let fits = |rung: &&Rung| base * (1.0 + 1e-9) >= rung.from;
        *ladder.iter().rev().find(fits).unwrap_or(&ladder[0])
    }
}

/// `value` to `digits` significant digits, without an exponent, with a true minus sign and the decimal mark of who
/// reads it.
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let magnitude = value.abs().log10().floor();
    let step = 10f64.powf(magnitude - digits as f64 + 1.0);
    let rounded = (value / step).round() * step;
    let decimals = (digits as f64 - 1.0 - rounded.abs().log10().floor()).max(0.0) as usize;
    let text = language::number(format!("{rounded:.decimals$}"));
    match text.strip_prefix('-') {
        Some(positive) => format!("−{positive}"),
        None => text,
    }
}

macro_rules! show {
    ($($name:ident: $metric:expr; $us:expr;)+) => {$(
        impl Show for $name {
            const METRIC: &'static [Rung] = &$metric;
            const US: &'static [Rung] = &$us;
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.show(UnitSystem::Metric).fmt(f)
            }
        }
    )+};
}

const INCH: f64 = 0.0254;
const PSI: f64 = 6_894.757_293_168_361;

show! {
    Length: [rung(0.0, "µm", 1e-6), rung(1e-4, "mm", 1e-3), rung(3.0, "m", 1.0)];
        [rung(0.0, "mil", INCH * 1e-3), rung(INCH * 0.1, "in", INCH), rung(3.048, "ft", 0.3048)];
    Diameter: [rung(0.0, "µm", 1e-6), rung(4e-4, "mm", 1e-3)];
        [rung(0.0, "µm", 1e-6), rung(4e-4, "in", INCH)];
    Area: [rung(0.0, "mm²", 1e-6), rung(1e-4, "cm²", 1e-4), rung(0.1, "m²", 1.0)];
        [rung(0.0, "in²", INCH * INCH), rung(0.0929, "ft²", 0.092_903_04)];
    Volume: [rung(0.0, "mm³", 1e-9), rung(1e-6, "cm³", 1e-6), rung(1e-4, "l", 1e-3), rung(1.0, "m³", 1.0)];
        [rung(0.0, "in³", 1.638_706_4e-5), rung(3.785e-4, "gal", 3.785_411_784e-3), rung(0.28, "ft³", 0.028_316_846_592)];
    Time: [rung(0.0, "s", 1.0), rung(120.0, "min", 60.0), rung(7200.0, "h", 3600.0)];
        [rung(0.0, "s", 1.0), rung(120.0, "min", 60.0), rung(7200.0, "h", 3600.0)];
    Temperature: [Rung { from: 0.0, unit: "°C", factor: 1.0, offset: 273.15 }];
        [Rung { from: 0.0, unit: "°F", factor: 5.0 / 9.0, offset: 255.372_222_222_222_2 }];
    GaugePressure: [rung(-1e5, "kPa", 1e3), rung(1e5, "bar", 1e5)];
        [rung(-1e5, "psi", PSI)];
    AbsolutePressure: [rung(0.0, "kPa abs", 1e3), rung(2e5, "bar abs", 1e5)];
        [rung(0.0, "psia", PSI)];
    MassRate: [rung(0.0, "g/s", 1e-3), rung(1.0, "kg/s", 1.0)];
        [rung(0.0, "scfm", 5.665_164e-4)];
    FreeFlow: [rung(0.0, "l/min", 1e-3 / 60.0), rung(1.0 / 60.0, "m³/min", 1.0 / 60.0)];
        [rung(0.0, "cfm", 0.028_316_846_592 / 60.0)];
    Speed: [rung(0.0, "µm/s", 1e-6), rung(1e-3, "mm/s", 1e-3), rung(0.1, "m/s", 1.0)];
        [rung(0.0, "mil/s", INCH * 1e-3), rung(0.1, "ft/s", 0.3048)];
    Mass: [rung(0.0, "g", 1e-3), rung(1.0, "kg", 1.0)];
        [rung(0.0, "oz", 0.028_349_523_125), rung(0.453_592_37, "lb", 0.453_592_37)];
    Density: [rung(0.0, "kg/m³", 1.0)]; [rung(0.0, "lb/ft³", 16.018_463_37)];
    Power: [rung(0.0, "W", 1.0), rung(1e3, "kW", 1e3)]; [rung(0.0, "W", 1.0), rung(373.0, "hp", 745.699_871_58)];
    SpecificErosion: [rung(0.0, "mm³/g", 1e-6)]; [rung(0.0, "mm³/g", 1e-6)];
    Irradiance: [rung(0.0, "mW/cm²", 10.0)]; [rung(0.0, "mW/cm²", 10.0)];
    Dose: [rung(0.0, "mJ/cm²", 10.0)]; [rung(0.0, "mJ/cm²", 10.0)];
    Fraction: [rung(0.0, "%", 1e-2)]; [rung(0.0, "%", 1e-2)];
}

/// A flow as the pneumatics trade reads it: scfm, or litres a minute ANR (ISO 8778).
#[must_use]
pub fn air_flow(flow: MassRate, system: UnitSystem) -> Shown {
    match system {
        UnitSystem::Us => Shown { number: significant(flow.to_scfm(), 3), unit: "scfm" },
        UnitSystem::Metric => Shown { number: significant(flow.to_litres_anr_per_minute(), 3), unit: "l/min" },
    }
}

/// A bore as the shelf labels it: a fraction of an inch when it is one to a thousandth, else plain.
#[must_use]
pub fn bore(diameter: Diameter, system: UnitSystem) -> Shown {
    let sixty_fourths = diameter.to_inches() * 64.0;
    let whole = sixty_fourths.round();
    let is_fraction = (sixty_fourths - whole).abs() < 0.064 && (1.0..64.0).contains(&whole);
    if system == UnitSystem::Metric || !is_fraction {
        return diameter.show(system);
    }
    let (mut above, mut below) = (whole as u32, 64);
    while above % 2 == 0 {
        (above, below) = (above / 2, below / 2);
    }
    Shown { number: format!("{above}/{below}"), unit: "in" }
}

/// A span of time as a clock tells it: `45 s`, `3 min 10 s`, `2 h 5 min`.
#[must_use]
pub fn clock(time: Time) -> String {
    let seconds = time.to_seconds().round() as u64;
    let space = '\u{202f}';
    match (seconds / 3600, seconds / 60 % 60, seconds % 60) {
        (0, 0, s) => format!("{s}{space}s"),
        (0, m, 0) => format!("{m}{space}min"),
        (0, m, s) => format!("{m}{space}min {s}{space}s"),
        (h, 0, _) => format!("{h}{space}h"),
        (h, m, _) => format!("{h}{space}h {m}{space}min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unit_suits_the_size() {
        let show =
            |length: Result<Length, _>, system| length.unwrap().show(system).to_string().replace('\u{202f}', " ");
        assert_eq!(show(Length::mm(0.05), UnitSystem::Metric), "50.0 µm");
        assert_eq!(show(Length::mm(1.25), UnitSystem::Metric), "1.25 mm");
        assert_eq!(show(Length::mm(300.0), UnitSystem::Metric), "300 mm");
        assert_eq!(show(Length::mils(4.0), UnitSystem::Us), "4.00 mil");
        assert_eq!(show(Length::inches(11.8), UnitSystem::Us), "11.8 in");
        assert_eq!(Temperature::celsius(20.0).unwrap().show(UnitSystem::Us).number, "68.0");
    }

    #[test]
    fn rounding_up_to_the_next_decade_keeps_the_digits() {
        assert_eq!(significant(9.999, 3), "10.0");
        assert_eq!(significant(0.04567, 2), "0.046");
        assert_eq!(significant(-1234.0, 2), "−1200");
    }

    #[test]
    fn a_bore_is_labelled_as_on_the_shelf() {
        let label = |mm, system| bore(Diameter::mm(mm).unwrap(), system).to_string().replace('\u{202f}', " ");
        assert_eq!(label(3.175, UnitSystem::Us), "1/8 in");
        assert_eq!(label(2.381_25, UnitSystem::Us), "3/32 in");
        assert_eq!(label(3.0, UnitSystem::Us), "0.118 in");
        assert_eq!(label(3.175, UnitSystem::Metric), "3.18 mm");
    }

    #[test]
    fn a_clock_tells_minutes_and_seconds() {
        let told = |s| clock(Time::seconds(s).unwrap()).replace('\u{202f}', " ");
        assert_eq!(
            (told(45.0), told(190.2), told(120.0), told(7500.0)),
            ("45 s".into(), "3 min 10 s".into(), "2 min".into(), "2 h 5 min".into())
        );
    }
}
