//! Water in compressed air: how much falls out, and at what dew point the rest leaves.

use crate::Site;
use language::say;
use quantity::{AbsolutePressure, FreeFlow, GaugePressure, MassRate, OutOfRange, Quantity, Temperature, Time, Volume};

/// Partial pressure of water vapour, in pascals inside.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct VapourPressure(f64);

/// Why a moisture formula has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MoistureError {
    /// Vapour at or above the pressure around it.
    #[error(
        "{}",
        say!("moisture: at {temperature} water boils at {pressure}; give a lower temperature or a higher pressure")
    )]
    Boils {
        /// The temperature.
        temperature: Temperature,
        /// The pressure.
        pressure: AbsolutePressure,
    },
    /// A result outside its kind's range.
    #[error("{}", say!("moisture: {0}; check temperature, humidity and pressure", _0))]
    Range(#[from] OutOfRange),
}

impl VapourPressure {
    /// Saturated over water: `e = 611.21 exp((18.678 - T/234.5) T/(257.14 + T))` Pa, T in °C.
    ///
    /// Range: 0 to 80 °C within 0.1 % of IAPWS-95. Source: Buck 1981, revised 1996 (air.md
    /// section 4). Checked: 2339.3 Pa at 20 °C.
    #[must_use]
    pub fn saturated(temperature: Temperature) -> Self {
        Self(buck(temperature.to_celsius(), WATER))
    }

    /// The value in pascals.
    #[must_use]
    pub const fn to_pascals(self) -> f64 {
        self.0
    }

    /// Where this vapour begins to fall out: as dew, or below 0 °C as frost.
    ///
    /// The inverse of Buck's formula, over ice below 0 °C:
    /// `611.15 exp((23.036 - T/333.7) T/(279.82 + T))` (from memory).
    ///
    /// # Errors
    /// [`MoistureError::Range`] for a vapour that falls out below -120 °C or above 200 °C.
    pub fn dew_point(self) -> Result<Temperature, MoistureError> {
        let curve = if self.0 >= WATER.at_zero { WATER } else { ICE };
        Ok(Temperature::celsius(buck_inverse(self.0, curve))?)
    }
}

/// Water that falls out of the air a compressor delivers, while it runs.
///
/// `m = m_dry max(0, w_in - w_sat(p, T))`, `w = 0.621945 e/(p - e)`, `m_dry = q (p_site - e)/(R T)`.
///
/// * `free_air`: moist volume at the inlet. * `gauge`, `cooled_to`: where the water is collected.
///
/// Ideal gas: within 1 % of real moist air, 2.6 % when little falls out; it then errs high.
/// Source: air.md section 4. Checked: 25 °C, 60 %, 300 l/min, 8 bar gauge, 35 °C: 167 g/h.
///
/// # Errors
/// [`MoistureError::Boils`] when water boils at the inlet's or collector's state.
pub fn condensate(
    site: &Site,
    free_air: FreeFlow,
    gauge: GaugePressure,
    cooled_to: Temperature,
) -> Result<MassRate, MoistureError> {
    let vapour = inlet_vapour(site);
    let inlet = humidity_ratio(vapour, site.pressure, site.temperature)?;
    let collected = AbsolutePressure::from_gauge(gauge, site.pressure)?;
    let left = humidity_ratio(VapourPressure::saturated(cooled_to), collected, cooled_to)?;
    let dry_pressure = site.pressure.to_pascals() - vapour.0;
    let dry = free_air.to_base() * dry_pressure / (GAS_CONSTANT_DRY * site.temperature.to_kelvins());
    Ok(MassRate::kg_per_second(dry * (inlet - left).max(0.0))?)
}

/// How long a bowl takes to fill, if everything drops there (worst case); none when nothing does.
///
/// # Errors
/// [`MoistureError::Range`] above three years.
pub fn drain_interval(bowl: Volume, condensate: MassRate) -> Result<Option<Time>, MoistureError> {
    if condensate.to_base() <= 0.0 {
        return Ok(None);
    }
    Ok(Some(Time::seconds(bowl.to_cubic_metres() * WATER_DENSITY / condensate.to_kg_per_second())?))
}

/// Pressure dew point of air that is compressed and not dried: the vapour is compressed with it.
///
/// Source: Dalton's law. Checked: 20 °C, 50 %, 7 bar gauge: 44.3 °C (air.md section 4).
///
/// # Errors
/// [`MoistureError::Range`] for perfectly dry air.
pub fn pressure_dew_point(site: &Site, gauge: GaugePressure) -> Result<Temperature, MoistureError> {
    let ratio = 1.0 + gauge.to_pascals() / site.pressure.to_pascals();
    VapourPressure(inlet_vapour(site).0 * ratio).dew_point()
}

/// Dew or frost point of air at another pressure: `e2 = e_sat(T1) p2/p1`.
///
/// Within 0.3 K of real moist air to 8 bar. Source: Dalton's law. Checked: saturated at 20 °C and
/// 7 bar gauge, released to the site: -8.5 °C (air.md section 4, ideal gas).
///
/// # Errors
/// [`MoistureError::Range`] when there is hardly any vapour.
pub fn dew_point_at(
    dew_point: Temperature,
    from: AbsolutePressure,
    to: AbsolutePressure,
) -> Result<Temperature, MoistureError> {
    VapourPressure(VapourPressure::saturated(dew_point).0 * to.to_pascals() / from.to_pascals()).dew_point()
}

/// A state of moist air, for following one parcel along a line; Pa and K.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moist {
    pressure: f64,
    saturated: f64,
    kelvins: f64,
}

impl Moist {
    pub(crate) fn at(pressure: f64, kelvins: f64) -> Self {
        Self { pressure, saturated: buck(kelvins - 273.15, if kelvins < 273.15 { ICE } else { WATER }), kelvins }
    }

    /// Humidity ratio, kg/kg, at a relative humidity.
    pub(crate) fn ratio(&self, humidity: f64) -> Result<f64, MoistureError> {
        let state = (AbsolutePressure::clamped(self.pressure), Temperature::clamped(self.kelvins));
        humidity_ratio(VapourPressure(self.saturated * humidity), state.0, state.1)
    }

    /// Humidity ratio of saturated air; no bound where water boils.
    pub(crate) fn most(&self) -> f64 {
        self.ratio(1.0).unwrap_or(f64::INFINITY)
    }

    /// Vapour pressure of a humidity ratio here.
    pub(crate) fn vapour(&self, ratio: f64) -> VapourPressure {
        VapourPressure(self.pressure * ratio / (MOLAR_RATIO + ratio))
    }

    /// Relative humidity of a humidity ratio here.
    pub(crate) fn humidity(&self, ratio: f64) -> f64 {
        self.vapour(ratio).0 / self.saturated
    }
}

/// Ratio of the molar masses of water and dry air. Source: ASHRAE's value (from memory).
const MOLAR_RATIO: f64 = 0.621_945;
/// Gas constant of dry air as the humidity formulas use it, J/(kg K). Source: air.md section 4.
const GAS_CONSTANT_DRY: f64 = 287.042;
/// kg/m³.
const WATER_DENSITY: f64 = 1000.0;

/// Buck's coefficients.
#[derive(Debug, Clone, Copy)]
struct Buck {
    at_zero: f64,
    a: f64,
    b: f64,
    c: f64,
}

const WATER: Buck = Buck { at_zero: 611.21, a: 18.678, b: 234.5, c: 257.14 };
const ICE: Buck = Buck { at_zero: 611.15, a: 23.036, b: 333.7, c: 279.82 };

fn buck(celsius: f64, Buck { at_zero, a, b, c }: Buck) -> f64 {
    at_zero * ((a - celsius / b) * celsius / (c + celsius)).exp()
}

/// `ln(e/e0) = y` is the quadratic `T²/b - (a - y) T + c y = 0`; its smaller root in size.
fn buck_inverse(pascals: f64, Buck { at_zero, a, b, c }: Buck) -> f64 {
    let y = (pascals / at_zero).ln();
    let middle = a - y;
    2.0 * c * y / (middle + (middle * middle - 4.0 * c * y / b).sqrt())
}

fn inlet_vapour(site: &Site) -> VapourPressure {
    VapourPressure(VapourPressure::saturated(site.temperature).0 * site.humidity.to_ratio())
}

fn humidity_ratio(
    vapour: VapourPressure,
    pressure: AbsolutePressure,
    temperature: Temperature,
) -> Result<f64, MoistureError> {
    let dry = pressure.to_pascals() - vapour.0;
    if dry <= 0.0 {
        return Err(MoistureError::Boils { temperature, pressure });
    }
    Ok(MOLAR_RATIO * vapour.0 / dry)
}
