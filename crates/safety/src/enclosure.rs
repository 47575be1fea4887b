//! The air of a cabinet and its collector: what comes in, what keeps dust in the duct, what a filter holds.

use quantity::{Area, Density, Diameter, Fraction, FreeFlow, Length, OutOfRange, Quantity as _, Speed, Time, Volume};
use reference::{AirChanges, Filter, tables};

/// What a collector's flow leaves for the openings when the nozzle blows in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Net {
    /// So much comes in through the openings.
    In(FreeFlow),
    /// So much is blown out of them: the nozzle gives more than the collector takes.
    Out(FreeFlow),
}

/// The collector's flow less the blast's own air.
#[must_use]
pub fn net(collector: FreeFlow, blast: FreeFlow) -> Net {
    let difference = collector.to_cubic_metres_per_second() - blast.to_cubic_metres_per_second();
    let flow = FreeFlow::clamped(difference.abs());
    if difference >= 0.0 { Net::In(flow) } else { Net::Out(flow) }
}

/// Inward speed at openings: `v = Q/A`. `None` where nothing is open.
#[must_use]
pub fn face_speed(inward: FreeFlow, openings: Area) -> Option<Speed> {
    let area = openings.to_square_metres();
    (area > 0.0).then(|| Speed::clamped(inward.to_cubic_metres_per_second() / area))
}

/// Changes of a box's air: `n = Q/V`.
#[must_use]
pub fn changes(flow: FreeFlow, volume: Volume) -> AirChanges {
    AirChanges::clamped(flow.to_cubic_metres_per_minute() / volume.to_cubic_metres().max(1e-6))
}

/// Speed in a round duct: `v = 4 Q / (π D²)`.
#[must_use]
pub fn duct_speed(flow: FreeFlow, bore: Diameter) -> Speed {
    Speed::clamped(4.0 * flow.to_cubic_metres_per_second() / (std::f64::consts::PI * bore.to_metres().powi(2)))
}

/// Largest round duct that still carries dust: `D = √(4 Q / (π v))`.
///
/// Checked: 0.20 m³/s at 17.8 m/s is 119.6 mm.
///
/// # Errors
/// [`OutOfRange`] for no flow.
pub fn duct_bore(flow: FreeFlow, speed: Speed) -> Result<Diameter, OutOfRange> {
    let area = flow.to_cubic_metres_per_second() / speed.to_metres_per_second().max(1e-6);
    Diameter::metres((4.0 * area / std::f64::consts::PI).sqrt())
}

/// Pressure of moving air, in pascals: `VP = ρ v² / 2`. Checked: 1.204 kg/m³ at 17.78 m/s is 190 Pa.
#[must_use]
pub fn velocity_pressure_pa(density: Density, speed: Speed) -> f64 {
    0.5 * density.to_kg_per_cubic_metre() * speed.to_metres_per_second().powi(2)
}

/// Speed through a filter: `v = Q/A`. `None` where there is no area.
#[must_use]
pub fn filter_speed(flow: FreeFlow, area: Area) -> Option<Speed> {
    face_speed(flow, area)
}

/// Area that brings the speed through a filter to the most that the trade allows.
#[must_use]
pub fn filter_area(flow: FreeFlow) -> Area {
    let most = tables().limits.filter_speed.value.high;
    Area::clamped(flow.to_cubic_metres_per_second() / most.to_metres_per_second())
}

/// Share of dust that passes filters in series: `P = Π (1 - E_i)`, by each one's own test.
///
/// Checked: 85 % and 99.95 % let 0.0075 % pass.
#[must_use]
pub fn penetration<'a>(filters: impl IntoIterator<Item = &'a Filter>) -> Fraction {
    passing(filters.into_iter().map(|filter| filter.efficiency.value))
}

/// The same of plain efficiencies.
#[must_use]
pub fn passing(efficiencies: impl IntoIterator<Item = Fraction>) -> Fraction {
    Fraction::clamped(efficiencies.into_iter().map(|held| 1.0 - held.to_ratio()).product())
}

/// Viscosity of air at 20 °C, Pa s, and gravity, m/s², as the check values have them.
const VISCOSITY: f64 = 1.81e-5;
const GRAVITY: f64 = 9.81;
/// Density of that air, for the Reynolds number only.
const AIR_DENSITY: f64 = 1.2;

/// Stokes' fall of a grain in still air: `v = ρ d² g / (18 μ)`.
///
/// Range: small grains; see [`is_stokes`]. No slip correction. Checked: 1 µm of glass falls 75 µm/s.
#[must_use]
pub fn stokes(grain: Length, density: Density) -> Speed {
    let fall = density.to_kg_per_cubic_metre() * grain.to_metres().powi(2) * GRAVITY / (18.0 * VISCOSITY);
    Speed::clamped(fall)
}

/// Whether Stokes' law holds for it: Reynolds number up to 0.1. Beyond it the law is an upper bound.
#[must_use]
pub fn is_stokes(grain: Length, density: Density) -> bool {
    AIR_DENSITY * stokes(grain, density).to_metres_per_second() * grain.to_metres() / VISCOSITY <= 0.1
}

/// How long a grain falls through a height.
///
/// Checked: 1 µm of glass falls 1.5 m in 5.5 h.
#[must_use]
pub fn falling_time(height: Length, grain: Length, density: Density) -> Time {
    Time::clamped(height.to_metres() / stokes(grain, density).to_metres_per_second().max(1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nozzle_that_gives_more_than_the_collector_takes_blows_out() {
        let flow = |m3_min| FreeFlow::cubic_metres_per_minute(m3_min).unwrap();
        assert!(matches!(net(flow(2.0), flow(0.5)), Net::In(_)));
        assert!(matches!(net(flow(0.4), flow(0.5)), Net::Out(_)));
    }

    #[test]
    fn stokes_law_is_said_to_fail_for_grains_of_50_um() {
        let alumina = Density::kg_per_cubic_metre(3950.0).unwrap();
        let um = |um| Length::um(um).unwrap();
        assert!(is_stokes(um(10.0), alumina) && !is_stokes(um(50.0), alumina)); // STK-alumina-50
    }
}
