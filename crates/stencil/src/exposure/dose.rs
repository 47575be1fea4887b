//! Time from irradiance and from the film's thickness.

use super::ExposureError;
use language::say;
use quantity::{Dose, Irradiance, Length, Quantity, Time};

/// How a photo resist hardens in depth: `C = Dp ln(H / Hc)`.
///
/// Range: one wavelength; under a lamp of many the depth departs from the logarithm. No published figures
/// for blast resists were met: measure with a step tablet.
/// Source: Jacobs' working curve, its form read in a paper that uses it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkingCurve {
    /// Depth `Dp` in which the light falls to 1/e.
    pub penetration: Length,
    /// Dose `Hc` at which the surface just hardens.
    pub critical: Dose,
}

impl WorkingCurve {
    /// The dose that hardens a film through: `Hc exp(L / Dp)`.
    ///
    /// Checked: L 75 µm, Dp 40 µm, 10 mJ/cm² gives 65.2 mJ/cm².
    ///
    /// # Errors
    /// [`ExposureError::NotPositive`] without a penetration; [`ExposureError::OutOfReach`] for a film far
    /// thicker than light goes.
    pub fn through(&self, film: Length) -> Result<Dose, ExposureError> {
        let depth = positive(say!(in "what is needed", "penetration depth"), self.penetration.to_um())?;
        let dose = self.critical.to_base() * (film.to_um() / depth).exp();
        Dose::from_base(dose).map_err(|_| ExposureError::OutOfReach { seconds: f64::INFINITY })
    }

    /// How deep a dose hardens; 0 below the critical dose.
    #[must_use]
    pub fn depth(&self, dose: Dose) -> Length {
        let ratio = (dose.to_base() / self.critical.to_base()).max(1.0);
        Length::clamped(self.penetration.to_metres() * ratio.ln())
    }

    /// Least density that the film's black needs over its clear, so that what it covers stays below the
    /// critical dose: `log10(H / Hc)`. Add 0.3 for an uneven lamp and 0.3 for one stop too much.
    #[must_use]
    pub fn density_needed(&self, dose: Dose) -> f64 {
        (dose.to_base() / self.critical.to_base()).max(1.0).log10()
    }
}

/// Dose of an irradiance that lasts: `H = E t`.
#[must_use]
pub fn dose(irradiance: Irradiance, time: Time) -> Dose {
    Dose::clamped(irradiance.to_base() * time.to_seconds())
}

/// Time under a film: `t = H / E · 10^Dmin`.
///
/// `base_density`: of the film's clear parts, in the resist's band; 0.05 lengthens by 12 %.
///
/// # Errors
/// [`ExposureError::Dark`] without light, [`ExposureError::OutOfReach`] when nobody would wait.
pub fn time(needed: Dose, irradiance: Irradiance, base_density: f64) -> Result<Time, ExposureError> {
    if irradiance.to_base() <= 0.0 {
        return Err(ExposureError::Dark);
    }
    seconds(needed.to_base() / irradiance.to_base() / transmitted(base_density))
}

/// Share of the light that a density lets through: `10^-D`.
#[must_use]
pub fn transmitted(density: f64) -> f64 {
    10_f64.powf(-density)
}

/// Factor on the time when the irradiance changes and the resist does not add up light evenly:
/// `t2 / t1 = (E1 / E2)^(1/p)`. `exponent` 1 is plain dose; dose alone is fair over a factor of two.
///
/// Source: Schwarzschild's law (from memory).
#[must_use]
pub fn reciprocity_factor(irradiance_ratio: f64, exponent: f64) -> f64 {
    irradiance_ratio.powf(-1.0 / exponent)
}

pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, ExposureError> {
    if value > 0.0 && value.is_finite() { Ok(value) } else { Err(ExposureError::NotPositive { what }) }
}

pub(super) fn seconds(seconds: f64) -> Result<Time, ExposureError> {
    Time::seconds(seconds).map_err(|_| ExposureError::OutOfReach { seconds })
}
