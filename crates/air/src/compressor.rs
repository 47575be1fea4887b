//! A compressor: the mass it delivers at its site, and when it runs.

use crate::Site;
use quantity::{ANR_DENSITY, AbsolutePressure, Fraction, FreeFlow, GaugePressure, MassRate, Power, Quantity, known};

/// A compressor with a pressure switch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compressor {
    /// Free air delivered at its cut-out pressure: a volume at the site's own inlet state. The swept
    /// volume is not this; 60–75 % of it is usual for small machines (common practice, no source).
    pub free_air: FreeFlow,
    /// Receiver pressure at which it starts.
    pub cut_in: GaugePressure,
    /// Receiver pressure at which it stops.
    pub cut_out: GaugePressure,
    /// Longest share of time that it may run. 50–80 % is recommended for piston machines, never
    /// 100 % (a maintenance handbook, p. 36, as read for air.md section 2).
    pub duty_max: Fraction,
    /// Electrical power when it runs.
    pub power: Power,
}

/// Pressure and temperature of the reference atmosphere (ISO 8778, from memory).
const REFERENCE_PRESSURE: AbsolutePressure = known(AbsolutePressure::kpa(100.0));
const REFERENCE_KELVINS: f64 = 293.15;

impl Compressor {
    /// Mass each second while it runs: `m = ρ0 q (p_site / 100 kPa) (293.15 K / T_inlet)`,
    /// `ρ0` = 1.185 kg/m³ (ANR).
    ///
    /// The reference density of the pneumatics standards keeps this in step with nozzle and valve
    /// figures in l/min ANR; it is 0.28 % below dry air of the same state. Loss in the suction
    /// filter is ignored. Source: air.md section 0.
    /// Checked: at 1500 m and 20 °C one litre of free air is 0.8456 l ANR.
    #[must_use]
    pub fn mass_rate(&self, site: &Site) -> MassRate {
        let pressure = site.pressure.to_pascals() / REFERENCE_PRESSURE.to_pascals();
        let temperature = REFERENCE_KELVINS / site.temperature.to_kelvins();
        MassRate::clamped(ANR_DENSITY * self.free_air.to_cubic_metres_per_second() * pressure * temperature)
    }
}

/// Mass each second when all of them run.
#[must_use]
pub fn all_running(compressors: &[Compressor], site: &Site) -> MassRate {
    compressors.iter().map(|compressor| compressor.mass_rate(site)).sum()
}
