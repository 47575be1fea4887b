//! Vessels, hoses and nozzles under pressure: what a reading may be compared with, and what explains a danger.
//!
//! Nothing here rates, re-rates or approves a vessel: its plate and its inspector do.

use quantity::{AbsolutePressure, Diameter, GaugePressure, Length, Quantity as _, Volume};
use reference::{Energy, Force, Stress, tables};

/// The most that a relief valve may let the pressure rise to: the vessel's rated pressure and 10 %.
///
/// Source: 29 CFR 1910.169(b)(3), second-hand. Checked: 1000 kPa gives 1100 kPa.
#[must_use]
pub fn relief_most(rated: GaugePressure) -> GaugePressure {
    GaugePressure::clamped(rated.to_pascals() * (1.0 + tables().limits.relief_accumulation.value.to_ratio()))
}

/// Stress in a thin shell: `S = P D / (2 t)`. Explanation only. Checked: 1 MPa, 500 mm, 4 mm are 62.5 MPa.
#[must_use]
pub fn hoop(pressure: GaugePressure, diameter: Diameter, wall: Length) -> Stress {
    Stress::clamped(pressure.to_pascals().max(0.0) * diameter.to_metres() / (2.0 * wall.to_metres().max(1e-6)))
}

/// Wall that a code's formula asks of a shell: `t = P R / (S E - 0.6 P)`. Explanation only, never an approval.
///
/// * R: inside radius. * S: stress allowed. * E: joint efficiency.
///
/// Source: ASME VIII-1 UG-27(c)(1), from memory. Checked: 1 MPa, 250 mm, 138 MPa, 0.7 are 2.604 mm.
#[must_use]
pub fn shell_wall(pressure: GaugePressure, radius: Length, stress: Stress, joint: f64) -> Option<Length> {
    let p = pressure.to_pascals();
    let below = stress.to_pascals() * joint - 0.6 * p;
    (below > 0.0).then(|| Length::clamped(p * radius.to_metres() / below))
}

/// Energy in a vessel of air by Brode: `E = (p1 - p0) V / (γ - 1)`. From memory. What a burst lets go.
#[must_use]
pub fn brode_energy(pressure: GaugePressure, volume: Volume) -> Energy {
    Energy::clamped(pressure.to_pascals().max(0.0) * volume.to_cubic_metres() / 0.4)
}

/// Work that the air in a vessel could do at the room's temperature: `E = p1 V (ln(p1/p0) - 1 + p0/p1)`. From
/// memory. Checked: 227 l at 1000 kPa hold 369 kJ.
#[must_use]
pub fn isothermal_energy(pressure: GaugePressure, volume: Volume, site: AbsolutePressure) -> Energy {
    let outside = site.to_pascals();
    let inside = pressure.to_pascals().max(0.0) + outside;
    let work = inside * volume.to_cubic_metres() * ((inside / outside).ln() - 1.0 + outside / inside);
    Energy::clamped(work)
}

/// Thrust coefficient of sonic air, γ 1.4: `(1 + γ) (2/(γ+1))^(γ/(γ-1))`, 1.268.
#[must_use]
pub fn thrust_coefficient() -> f64 {
    2.4 * (2.0_f64 / 2.4).powf(3.5)
}

/// Push of a nozzle on the hand: `F = 1.268 p0 A - pa A`, air alone, sonic in the bore. Abrasive adds to it.
///
/// Checked: 6 mm at 80 psi pushes with 20.5 N.
#[must_use]
pub fn nozzle_push(bore: Diameter, pressure: GaugePressure, site: AbsolutePressure) -> Force {
    let area = std::f64::consts::PI * bore.to_metres().powi(2) / 4.0;
    let inside = pressure.to_pascals() + site.to_pascals();
    Force::clamped((thrust_coefficient() * inside - site.to_pascals()).max(0.0) * area)
}
