//! The constants of air that every file here shares, and its viscosity.

use quantity::{GAS_CONSTANT_AIR, Temperature, known};

/// Temperature of the air in receiver, hose and nozzle: 20 °C, the reference of ISO 6358.
///
/// Flow goes with `1/sqrt(T)`: 10 K more passes 1.7 % less mass.
pub const LINE_TEMPERATURE: Temperature = known(Temperature::kelvins(293.15));

/// Ratio of specific heats of air. Source: air.md, constants used everywhere.
pub const HEAT_RATIO: f64 = 1.4;

/// Pressure ratio at which a nozzle chokes: `(2/(γ+1))^(γ/(γ-1))`. Source: standard gas dynamics.
pub const CRITICAL_RATIO: f64 = 0.528_281_787_717_174;

/// `psi` of a choked nozzle: `sqrt(γ) (2/(γ+1))^((γ+1)/(2(γ-1)))`.
pub(crate) const PSI_CHOKED: f64 = 0.684_731_456_377_434;

/// Specific gas constant times [`LINE_TEMPERATURE`], J/kg.
pub(crate) const RT: f64 = GAS_CONSTANT_AIR * 293.15;

/// Dynamic viscosity of air in the line, Pa s. Source: air.md, constants used everywhere (20 °C).
pub(crate) const LINE_VISCOSITY: f64 = 1.813e-5;

/// Dynamic viscosity, in Pa s inside; 1e-7 to 1e-2.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Viscosity(f64);

impl Viscosity {
    /// Of air at a temperature: `μ = 1.458e-6 T^1.5 / (T + 110.4)`.
    ///
    /// Range: 150 to 1500 K. Source: Sutherland's law, constants of the 1976 standard atmosphere
    /// (from memory). Checked: 1.569e-5 Pa s at 244.29 K (carving-physics.md 2.1).
    #[must_use]
    pub fn of_air(temperature: Temperature) -> Self {
        let kelvins = temperature.to_kelvins();
        Self(1.458e-6 * kelvins.powf(1.5) / (kelvins + 110.4))
    }

    /// The value in pascal seconds.
    #[must_use]
    pub const fn to_pascal_seconds(self) -> f64 {
        self.0
    }
}

/// The flow function of a nozzle, `psi(r) = sqrt(2γ/(γ-1) (r^(2/γ) - r^((γ+1)/γ)))`, with `r` held
/// at the critical ratio below it.
///
/// With γ = 7/5 and `x = r^(2/7)` that is `x² sqrt(7 x (1 - x))`: one power, no cancellation near 1.
pub(crate) fn psi(ratio: f64) -> f64 {
    if ratio <= CRITICAL_RATIO {
        return PSI_CHOKED;
    }
    let x = ratio.min(1.0).powf(2.0 / 7.0);
    x * x * (7.0 * x * (1.0 - x)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_short_flow_function_is_the_books() {
        let book = |r: f64| (7.0 * (r.powf(2.0 / 1.4) - r.powf(2.4 / 1.4))).sqrt();
        for ratio in [0.53, 0.6, 0.75, 0.9, 0.99] {
            assert!((psi(ratio) / book(ratio) - 1.0).abs() < 1e-12, "{ratio}");
        }
        assert!((psi(CRITICAL_RATIO) - book(CRITICAL_RATIO)).abs() < 1e-12);
        assert_eq!(psi(1.0), 0.0);
    }

    #[test]
    fn the_critical_numbers_follow_from_the_heat_ratio() {
        // air.md 1.1: r* = 0.528282, psi* = 0.684731.
        let ratio = (2.0 / (HEAT_RATIO + 1.0)).powf(HEAT_RATIO / (HEAT_RATIO - 1.0));
        assert!((ratio - CRITICAL_RATIO).abs() < 1e-12);
        assert!((CRITICAL_RATIO - 0.528_282).abs() < 5e-7 && (PSI_CHOKED - 0.684_731).abs() < 5e-7);
    }

    #[test]
    fn viscosity_at_the_throat_is_that_of_the_carving_notes() {
        // carving-physics.md 2.1: mu* = 1.569e-5 Pa s at 244.29 K.
        let mu = Viscosity::of_air(Temperature::kelvins(244.29).unwrap()).to_pascal_seconds();
        assert!((mu / 1.569e-5 - 1.0).abs() < 1e-3, "{mu}");
    }
}
