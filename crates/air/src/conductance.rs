//! A valve, separator, coupling or other part by its two numbers of ISO 6358.

use crate::gas::LINE_TEMPERATURE;
use crate::root::falling_root;
use language::{number, say};
use quantity::{ANR_DENSITY, AbsolutePressure, MassRate, OutOfRange, Quantity};

/// Sonic conductance `C` and critical pressure ratio `b` of ISO 6358.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductance {
    /// m³/(s Pa) of ANR air.
    sonic: f64,
    critical_ratio: f64,
}

/// Why a part's flow or outlet could not be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ConductanceError {
    /// Sonic conductance not a usable number.
    #[error(
        "{}",
        say!(
            "C of {given} dm³/(s bar) is outside 0.001 to 10000; take it from the part's data sheet",
            given = number(given.to_string())
        )
    )]
    Sonic {
        /// What was given, dm³/(s bar).
        given: f64,
    },
    /// Critical ratio not a usable number.
    #[error(
        "{}",
        say!(
            "b of {given} is outside 0 to 0.95; take it from the part's data sheet, or 0.3 for a usual valve",
            given = number(given.to_string())
        )
    )]
    CriticalRatio {
        /// What was given.
        given: f64,
    },
    /// The outlet is above the inlet.
    #[error("{}", say!("the outlet at {outlet} is above the inlet at {inlet}; swap the two"))]
    Backwards {
        /// Pressure before the part.
        inlet: AbsolutePressure,
        /// Pressure behind it.
        outlet: AbsolutePressure,
    },
    /// More flow is asked for than the part passes at all.
    #[error(
        "{}",
        say!("the part chokes at {passes} and is asked for {asked}; raise its inlet pressure or fit a larger part")
    )]
    Choked {
        /// What was asked for.
        asked: MassRate,
        /// What it passes at most.
        passes: MassRate,
    },
    /// A result outside its kind's range.
    #[error("{}", say!("{0}; check the pressures and C", _0))]
    Range(#[from] OutOfRange),
}

/// 1 dm³/(s bar) in m³/(s Pa).
const DM3_PER_S_BAR: f64 = 1e-8;

impl Conductance {
    /// A part so wide that nothing is lost in it: `C` 10 000 dm³/(s bar), `b` 0.5.
    pub const WIDE: Self = Self { sonic: 1e4 * DM3_PER_S_BAR, critical_ratio: 0.5 };

    /// From a data sheet's `C` in dm³/(s bar) and `b`.
    ///
    /// # Errors
    /// [`ConductanceError::Sonic`] outside 0.001 to 10 000 dm³/(s bar);
    /// [`ConductanceError::CriticalRatio`] outside 0 to 0.95.
    pub fn dm3_per_s_bar(c: f64, b: f64) -> Result<Self, ConductanceError> {
        if !(1e-3..=1e4).contains(&c) {
            return Err(ConductanceError::Sonic { given: c });
        }
        if !(0.0..=0.95).contains(&b) {
            return Err(ConductanceError::CriticalRatio { given: b });
        }
        Ok(Self { sonic: c * DM3_PER_S_BAR, critical_ratio: b })
    }

    /// `C` in dm³/(s bar).
    #[must_use]
    pub const fn to_dm3_per_s_bar(self) -> f64 {
        self.sonic / DM3_PER_S_BAR
    }

    /// `b`: outlet to inlet pressure at which the part chokes.
    #[must_use]
    pub const fn critical_ratio(self) -> f64 {
        self.critical_ratio
    }

    /// Mass flow: `m = C p1 ρ0 sqrt(T0/T1)` up to `p2/p1 = b`, times
    /// `sqrt(1 - ((p2/p1 - b)/(1 - b))²)` above it; `ρ0` = 1.185 kg/m³, `T1 = T0` = 20 °C.
    ///
    /// Source: ISO 6358-1 with the exponent ½, its form read in public code (air.md 1.7).
    /// Checked: C 3 dm³/(s bar), b 0.3, 7 to 5 bar absolute is 1015.63 l/min ANR.
    ///
    /// # Errors
    /// [`ConductanceError::Backwards`] when `outlet` is above `inlet`.
    pub fn flow(self, inlet: AbsolutePressure, outlet: AbsolutePressure) -> Result<MassRate, ConductanceError> {
        if outlet > inlet {
            return Err(ConductanceError::Backwards { inlet, outlet });
        }
        let above = (outlet.to_pascals() / inlet.to_pascals() - self.critical_ratio) / (1.0 - self.critical_ratio);
        let share = (1.0 - above.max(0.0).powi(2)).sqrt();
        Ok(MassRate::kg_per_second(self.mass_per_pascal() * inlet.to_pascals() * share)?)
    }

    /// Outlet pressure at a given flow: `p2 = p1 (b + (1 - b) sqrt(1 - (m/m_c)²))`.
    ///
    /// Source: the equation of [`Self::flow`] solved for `p2`.
    ///
    /// # Errors
    /// [`ConductanceError::Choked`] when `flow` is more than the part passes at this inlet.
    pub fn outlet(self, inlet: AbsolutePressure, flow: MassRate) -> Result<AbsolutePressure, ConductanceError> {
        let most = self.mass_per_pascal() * inlet.to_pascals();
        let share = flow.to_kg_per_second() / most;
        if share > 1.0 {
            return Err(ConductanceError::Choked { asked: flow, passes: MassRate::kg_per_second(most)? });
        }
        let ratio = self.critical_ratio + (1.0 - self.critical_ratio) * (1.0 - share * share).sqrt();
        Ok(AbsolutePressure::pascals(inlet.to_pascals() * ratio)?)
    }

    /// `C ρ0`, kg/(s Pa). The line is at the reference temperature, so `sqrt(T0/T1)` is 1.
    pub(crate) fn mass_per_pascal(self) -> f64 {
        const { assert!(LINE_TEMPERATURE.to_kelvins() == 293.15, "C is defined at 20 °C") };
        self.sonic * ANR_DENSITY
    }

    /// Outlet pressure, Pa, at a flow, kg/s; where the part chokes, that at which it just does.
    pub(crate) fn outlet_for(self, flow: f64, inlet: f64) -> f64 {
        let share = (flow / (self.mass_per_pascal() * inlet)).min(1.0);
        inlet * (self.critical_ratio + (1.0 - self.critical_ratio) * (1.0 - share * share).sqrt())
    }

    /// The least inlet pressure, Pa, that passes `flow` kg/s at `outlet` Pa.
    ///
    /// With `k = flow/(C ρ0)`, `x = 1/p1`: `(p2² + (1-b)² k²) x² - 2 b p2 x + 2 b - 1 = 0`, its
    /// positive root; `p1 = k` when `p2 <= b k`, where the part is choked.
    pub(crate) fn inlet_for(self, flow: f64, outlet: f64) -> f64 {
        let b = self.critical_ratio;
        let choked = flow / self.mass_per_pascal();
        if outlet <= b * choked {
            return choked;
        }
        let square = outlet * outlet + ((1.0 - b) * choked).powi(2);
        let root = (1.0 - b) * (outlet * outlet + (1.0 - 2.0 * b) * choked * choked).sqrt();
        square / (b * outlet + root)
    }
}

/// Flow through parts in a row, each handing its outlet to the next.
///
/// The flow is the root of `outlet(flow) = outlet`; a part that chokes sets it. Source: the idea of
/// ISO 6358-3 (scope seen), solved directly. Checked: two parts C 3, b 0.3, 7 to 1 bar absolute pass
/// 954.09 l/min ANR (air.md 1.7); the shortcut `1/C² = Σ 1/Ci²` would say 890.95.
///
/// # Errors
/// [`ConductanceError::Backwards`] when `outlet` is above `inlet`.
pub fn series(
    parts: &[Conductance],
    inlet: AbsolutePressure,
    outlet: AbsolutePressure,
) -> Result<MassRate, ConductanceError> {
    if outlet > inlet {
        return Err(ConductanceError::Backwards { inlet, outlet });
    }
    let short_of_inlet = |flow: f64| {
        let needed = parts.iter().rev().fold(outlet.to_pascals(), |p2, part| part.inlet_for(flow, p2));
        inlet.to_pascals() - needed
    };
    let most = parts.iter().map(|part| part.mass_per_pascal() * inlet.to_pascals()).fold(f64::MAX, f64::min);
    Ok(MassRate::kg_per_second(falling_root(0.0, most.min(MassRate::MAX), short_of_inlet))?)
}
