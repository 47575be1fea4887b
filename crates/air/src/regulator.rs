//! A pressure regulator: what it is set to, how it droops, and what it passes fully open.

use crate::conductance::Conductance;
use language::{number, say};
use quantity::{ANR_DENSITY, GaugePressure};

/// A pressure regulator.
///
/// Its outlet is `min(p_set - droop Q, outlet of the fully open valve)`. Droop, `C` and `b` come from
/// the part's data sheet; a few tenths of a bar over the rated flow is usual (common practice, no
/// source). Source of the model: air.md 1.7.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulator {
    /// What its gauge reads with no flow.
    pub set: GaugePressure,
    /// How far the outlet falls with flow.
    pub droop: Droop,
    /// The valve when it is fully open.
    pub valve: Conductance,
}

/// Fall of a regulator's outlet with flow, in Pa s/kg inside.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Droop(f64);

/// Not a droop.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "{}",
    say!(
        "regulator: droop of {given} bar for each l/min is outside 0 to 0.1; read it off the part's flow curve",
        given = number(given.to_string())
    )
)]
pub struct DroopOutOfRange {
    /// What was given, bar for each l/min ANR.
    pub given: f64,
}

/// 1 bar for each l/min ANR, in Pa s/kg.
const BAR_PER_LITRE_ANR_PER_MINUTE: f64 = 1e5 / (ANR_DENSITY * 1e-3 / 60.0);

impl Droop {
    /// No droop: an ideal regulator.
    pub const NONE: Self = Self(0.0);

    /// From bar for each l/min ANR.
    ///
    /// # Errors
    /// [`DroopOutOfRange`] outside 0 to 0.1, and for a NaN.
    pub fn bar_per_litre_per_minute(given: f64) -> Result<Self, DroopOutOfRange> {
        if (0.0..=0.1).contains(&given) {
            Ok(Self(given * BAR_PER_LITRE_ANR_PER_MINUTE))
        } else {
            Err(DroopOutOfRange { given })
        }
    }

    /// Bar for each l/min ANR.
    #[must_use]
    pub const fn to_bar_per_litre_per_minute(self) -> f64 {
        self.0 / BAR_PER_LITRE_ANR_PER_MINUTE
    }

    /// Pa for each kg/s.
    pub(crate) const fn pascals_per_kg_per_second(self) -> f64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_droop_is_read_in_bar_for_each_litre_and_has_bounds() {
        let droop = Droop::bar_per_litre_per_minute(0.0006).unwrap();
        // 1 l/min ANR is 1.975e-5 kg/s, so 60 Pa of it is 3.038e6 Pa s/kg.
        assert!((droop.pascals_per_kg_per_second() / 3.038e6 - 1.0).abs() < 1e-4);
        assert!((droop.to_bar_per_litre_per_minute() - 0.0006).abs() < 1e-12);
        assert!(Droop::bar_per_litre_per_minute(f64::NAN).is_err());
        assert!(Droop::bar_per_litre_per_minute(-0.1).is_err());
    }
}
