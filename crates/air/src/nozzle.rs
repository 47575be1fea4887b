//! A nozzle: the air that it passes, with abrasive in it, worn, and the state at its throat.

use crate::gas::{CRITICAL_RATIO, HEAT_RATIO, Viscosity, psi};
use language::{number, say};
use quantity::{
    AbsolutePressure, Density, Diameter, GAS_CONSTANT_AIR, Length, MassRate, OutOfRange, Quantity, Speed, Temperature,
};

/// Air at rest before the nozzle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stagnation {
    /// Absolute pressure.
    pub pressure: AbsolutePressure,
    /// Temperature.
    pub temperature: Temperature,
}

/// What a nozzle passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NozzleFlow {
    /// Mass each second.
    pub rate: MassRate,
    /// Whether the throat is at the speed of sound, so that the outlet no longer matters.
    pub choked: bool,
}

/// Why a nozzle's flow could not be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FlowError {
    /// The outlet is above the inlet.
    #[error(
        "{}",
        say!(
            "nozzle: the outlet at {outlet} is above the inlet at {upstream}; raise the inlet pressure, or swap the \
             two"
        )
    )]
    Backwards {
        /// Pressure before the nozzle.
        upstream: AbsolutePressure,
        /// Pressure behind it.
        outlet: AbsolutePressure,
    },
    /// Not a discharge coefficient.
    #[error(
        "{}",
        say!(
            "nozzle: discharge coefficient {given} is outside 0.3 to 1; give 0.97 for a rounded entry, 0.65 for sharp",
            given = number(given.to_string())
        )
    )]
    Discharge {
        /// What was given.
        given: f64,
    },
    /// Not a loading.
    #[error(
        "{}",
        say!(
            "nozzle: abrasive/air mass ratio {given} is outside 0 to 3; divide the abrasive feed by the air's mass \
             flow",
            given = number(given.to_string())
        )
    )]
    Loading {
        /// What was given.
        given: f64,
    },
    /// A result outside its kind's range.
    #[error("{}", say!("nozzle: {0}; check bore and pressure", _0))]
    Range(#[from] OutOfRange),
}

/// Mass flow of clean air through a bore, choked or not.
///
/// `m = Cd A p0 / sqrt(R T0) psi(r)`, `r = max(p_out / p0, r*)`, `r* = (2/(γ+1))^(γ/(γ-1)) = 0.5283`,
/// `psi(r) = sqrt(2γ/(γ-1) (r^(2/γ) - r^((γ+1)/γ)))`.
///
/// * `bore`: the narrowest inside diameter. * `cd`: discharge coefficient. * `upstream`: at rest.
/// * `outlet`: absolute pressure behind the nozzle.
///
/// Range: `outlet <= upstream`. Ideal gas; real air passes up to 0.5 % more at 11 bar absolute
/// (CoolProp 8.0.0). Source: isentropic flow of an ideal gas, standard gas dynamics.
/// Checked: 1/8 in at 100 psig, Cd 1, 70 °F is 26.0 scfm in the handbook orifice table.
///
/// # Errors
/// [`FlowError::Backwards`] when `outlet` is above `upstream`; [`FlowError::Range`] above 100 kg/s.
pub fn mass_flow(
    bore: Diameter,
    cd: Discharge,
    upstream: Stagnation,
    outlet: AbsolutePressure,
) -> Result<NozzleFlow, FlowError> {
    let ratio = pressure_ratio(upstream, outlet)?;
    let root_rt = (GAS_CONSTANT_AIR * upstream.temperature.to_kelvins()).sqrt();
    let rate = cd.0 * bore_area(bore) * upstream.pressure.to_pascals() / root_rt * psi(ratio);
    Ok(NozzleFlow { rate: MassRate::kg_per_second(rate)?, choked: ratio <= CRITICAL_RATIO })
}

/// The share of a bore's ideal flow that it passes, 0.3 to 1 as given by people; abrasive in the
/// stream may take it lower.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Discharge(f64);

impl Discharge {
    /// A well-rounded entry: 0.97, printed with the handbook orifice table.
    pub const ROUNDED: Self = Self(0.97);
    /// A sharp-edged hole: 0.65, printed with the same table.
    pub const SHARP: Self = Self(0.65);
    /// The air jet of a suction gun: 1. A table of their demand, read with jets of 3/32, 1/8, 5/32 and
    /// 7/32 in, agrees with it within 10 %, most of it within 3 %; 0.97 leaves one row 12 % off. The jet
    /// sizes were inferred from the flows (air.md section 1.4).
    pub const GUN_JET: Self = Self(1.0);

    /// From a number.
    ///
    /// # Errors
    /// [`FlowError::Discharge`] outside 0.3 to 1, and for a NaN.
    pub fn new(given: f64) -> Result<Self, FlowError> {
        if (0.3..=1.0).contains(&given) { Ok(Self(given)) } else { Err(FlowError::Discharge { given }) }
    }

    /// The coefficient as a number.
    #[must_use]
    pub const fn to_ratio(self) -> f64 {
        self.0
    }
}

/// Abrasive mass to air mass in the stream, 0 to 3.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Loading(f64);

impl Loading {
    /// Clean air; also a suction gun, whose air jet carries no abrasive.
    pub const NONE: Self = Self(0.0);

    /// From a number.
    ///
    /// # Errors
    /// [`FlowError::Loading`] outside 0 to 3, and for a NaN.
    pub fn new(given: f64) -> Result<Self, FlowError> {
        if (0.0..=3.0).contains(&given) { Ok(Self(given)) } else { Err(FlowError::Loading { given }) }
    }

    /// From the two mass flows.
    ///
    /// # Errors
    /// [`FlowError::Loading`] above 3, or when there is no air.
    pub fn of(abrasive: MassRate, air: MassRate) -> Result<Self, FlowError> {
        Self::new(abrasive.to_kg_per_second() / air.to_kg_per_second())
    }

    /// Abrasive mass divided by air mass.
    #[must_use]
    pub const fn to_ratio(self) -> f64 {
        self.0
    }
}

/// Bore up to which [`SMALL_BORE_CUT`] holds, mm: 1/4 in.
const SMALL_BORE_MM: f64 = 6.35;
/// Bore from which [`LARGE_BORE_CUT`] holds, mm: 3/8 in.
const LARGE_BORE_MM: f64 = 9.525;
const SMALL_BORE_CUT: f64 = 0.185;
const LARGE_BORE_CUT: f64 = 0.12;

/// The discharge coefficient with abrasive in the stream: `Cd = Cd_clean / (1 + k β)`.
///
/// * `β`: abrasive/air mass ratio. * `k`: 0.185 up to a 1/4 in bore, 0.12 from 3/8 in, linear between.
///
/// **Our own fit to one loading level** (β 1.26 to 1.38) of a widely reprinted trade table of
/// pressure-blast demand, bores 1/8 to 1/2 in; no measured curve was found, none at all below 3 mm.
/// Within 8 % of that table; elsewhere a guess. Less air than asked for is the wrong side to err on:
/// size a compressor on the clean coefficient.
/// Source: air.md 1.4. Checked: 0.97 clean, β 1.3, 1/8 in gives 0.782; the table's mean is 0.78.
#[must_use]
pub fn loaded_discharge(clean: Discharge, loading: Loading, bore: Diameter) -> Discharge {
    let share = ((bore.to_mm() - SMALL_BORE_MM) / (LARGE_BORE_MM - SMALL_BORE_MM)).clamp(0.0, 1.0);
    let cut = SMALL_BORE_CUT + share * (LARGE_BORE_CUT - SMALL_BORE_CUT);
    Discharge(clean.0 / (1.0 + cut * loading.0))
}

/// The bore after its diameter has grown by `growth`.
///
/// # Errors
/// [`FlowError::Range`] when the bore would pass 2 m.
pub fn worn(bore: Diameter, growth: Length) -> Result<Diameter, FlowError> {
    Ok(Diameter::metres(bore.to_metres() + growth.to_metres())?)
}

/// How many times its first demand a worn bore asks for at the same pressure: `(d_worn / d)²`.
///
/// Source: geometry; flow goes with the area. Checked: 3.2 to 3.5 mm is 1.1963 (air.md 1.5).
#[must_use]
pub fn demand_growth(bore: Diameter, worn: Diameter) -> f64 {
    (worn.to_metres() / bore.to_metres()).powi(2)
}

/// The gas in the narrowest section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Throat {
    /// Static temperature.
    pub temperature: Temperature,
    /// Speed of the gas.
    pub speed: Speed,
    /// Static density.
    pub density: Density,
    /// Dynamic viscosity.
    pub viscosity: Viscosity,
}

impl Throat {
    /// Isentropic from rest to the throat; clean air.
    ///
    /// `r = max(p_out / p0, r*)`, `T = T0 r^((γ-1)/γ)`, `u = sqrt(2 γ/(γ-1) R (T0 - T))`,
    /// `ρ = r p0 / (R T)`. Choked, `u` is the speed of sound there.
    ///
    /// Source: standard gas dynamics. Checked: T0 293.15 K, 3.0 bar gauge: 244.29 K, 313.3 m/s,
    /// 3.023 kg/m³, 1.569e-5 Pa s (carving-physics.md 2.1).
    ///
    /// # Errors
    /// [`FlowError::Backwards`] when `outlet` is above `upstream`.
    pub fn of(upstream: Stagnation, outlet: AbsolutePressure) -> Result<Self, FlowError> {
        let ratio = pressure_ratio(upstream, outlet)?.max(CRITICAL_RATIO);
        expanded_to(upstream, ratio)
    }
}

/// The jet when it has expanded to the outlet's pressure without loss: the coldest and fastest it
/// could be. Its kinds are those of the throat.
///
/// Source: standard gas dynamics, as [`Throat::of`] without the bound on `r`.
/// Checked: 3 bar gauge, 20 °C: -75.3 °C, 437.6 m/s (air.md section 4).
///
/// # Errors
/// [`FlowError::Backwards`] when `outlet` is above `upstream`; [`FlowError::Range`] when the gas
/// would be colder than 150 K.
pub fn full_expansion(upstream: Stagnation, outlet: AbsolutePressure) -> Result<Throat, FlowError> {
    expanded_to(upstream, pressure_ratio(upstream, outlet)?)
}

fn expanded_to(upstream: Stagnation, ratio: f64) -> Result<Throat, FlowError> {
    let rest = upstream.temperature.to_kelvins();
    let kelvins = rest * ratio.powf((HEAT_RATIO - 1.0) / HEAT_RATIO);
    let heat_capacity = HEAT_RATIO / (HEAT_RATIO - 1.0) * GAS_CONSTANT_AIR;
    let temperature = Temperature::kelvins(kelvins)?;
    Ok(Throat {
        temperature,
        speed: Speed::metres_per_second((2.0 * heat_capacity * (rest - kelvins)).sqrt())?,
        density: Density::kg_per_cubic_metre(ratio * upstream.pressure.to_pascals() / (GAS_CONSTANT_AIR * kelvins))?,
        viscosity: Viscosity::of_air(temperature),
    })
}

fn pressure_ratio(upstream: Stagnation, outlet: AbsolutePressure) -> Result<f64, FlowError> {
    if outlet > upstream.pressure {
        return Err(FlowError::Backwards { upstream: upstream.pressure, outlet });
    }
    Ok(outlet.to_base() / upstream.pressure.to_base())
}

pub(crate) fn bore_area(bore: Diameter) -> f64 {
    std::f64::consts::FRAC_PI_4 * bore.to_metres().powi(2)
}
