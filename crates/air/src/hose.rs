//! A hose or pipe: isothermal compressible flow with friction.

use crate::gas::{LINE_VISCOSITY, RT};
use language::{number, say};
use quantity::{AbsolutePressure, Diameter, Length, MassRate, OutOfRange};
use std::f64::consts::PI;

/// A length of hose or pipe with the fittings on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hose {
    /// Inside diameter.
    pub bore: Diameter,
    /// Length.
    pub length: Length,
    /// Equivalent sand roughness of the wall.
    pub roughness: Length,
    /// Loss coefficients of its fittings.
    pub fittings: Fittings,
}

/// Roughness of smooth rubber or PVC, mm. Source: usual textbook value (from memory).
pub const SMOOTH_HOSE_MM: f64 = 0.0015;
/// Roughness of clean commercial steel, mm. Source: usual textbook value (from memory).
pub const STEEL_PIPE_MM: f64 = 0.046;

/// Sum of loss coefficients `K`, referred to the hose's own bore; 0 to 1000.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Fittings(f64);

impl Fittings {
    /// A bare hose.
    pub const NONE: Self = Self(0.0);

    /// From the sum of `K`, referred to the hose's bore.
    ///
    /// # Errors
    /// [`HoseError::Fittings`] outside 0 to 1000, and for a NaN.
    pub fn new(given: f64) -> Result<Self, HoseError> {
        if (0.0..=1000.0).contains(&given) { Ok(Self(given)) } else { Err(HoseError::Fittings { given }) }
    }

    /// One fitting whose `K` belongs to its own, narrower bore: `K (D/d)^4`.
    ///
    /// Source: the same pressure loss at the hose's velocity head (air.md section 3).
    ///
    /// # Errors
    /// [`HoseError::Fittings`] when that is above 1000.
    pub fn narrower(k: f64, bore: Diameter, hose: Diameter) -> Result<Self, HoseError> {
        Self::new(k * (hose.to_metres() / bore.to_metres()).powi(4))
    }

    /// The sum of `K`.
    #[must_use]
    pub const fn to_sum(self) -> f64 {
        self.0
    }
}

/// Why a hose's outlet could not be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum HoseError {
    /// The flow would be faster than sound before the hose ends.
    #[error(
        "{}",
        say!("hose: {bore} is too small for {flow} from {inlet}: it chokes; take a wider or shorter hose, or less flow")
    )]
    TooSmall {
        /// The hose's bore.
        bore: Diameter,
        /// What was asked for.
        flow: MassRate,
        /// Pressure at its inlet.
        inlet: AbsolutePressure,
    },
    /// Not a sum of loss coefficients.
    #[error(
        "{}",
        say!(
            "hose: fittings of K {given} are outside 0 to 1000; add up the K of each, referred to the hose's bore",
            given = number(given.to_string())
        )
    )]
    Fittings {
        /// What was given.
        given: f64,
    },
    /// The outlet is above the inlet.
    #[error("{}", say!("hose: the outlet at {outlet} is above the inlet at {inlet}; swap the two"))]
    Backwards {
        /// Pressure at the inlet.
        inlet: AbsolutePressure,
        /// Pressure at the outlet.
        outlet: AbsolutePressure,
    },
    /// A result outside its kind's range.
    #[error("{}", say!("hose: {0}; check its bore, the flow and the pressure", _0))]
    Range(#[from] OutOfRange),
}

impl Hose {
    /// Pressure at the end of the hose.
    ///
    /// `p1² - p2² = G² R T (f L/D + ΣK + 2 ln(p1/p2))`, `G = m/A`, `f` from [`friction`] at
    /// `Re = 4 m/(π D μ)`; T = 20 °C. No solution once `p2` would be below `G sqrt(R T)`.
    ///
    /// Exact for an isothermal ideal gas; adiabatic flow differs by 0.05 % of the drop in a usual
    /// hose (air.md section 3). Clean air only. Source: standard compressible pipe flow.
    /// Checked: 10 mm, 15 m, 550 l/min ANR from 6 bar gauge loses 0.3493 bar.
    ///
    /// # Errors
    /// [`HoseError::TooSmall`] when the hose chokes.
    pub fn outlet(self, inlet: AbsolutePressure, flow: MassRate) -> Result<AbsolutePressure, HoseError> {
        let too_small = HoseError::TooSmall { bore: self.bore, flow, inlet };
        let run = Run::of(self);
        let outlet = run.outlet(inlet.to_pascals(), flow.to_kg_per_second()).ok_or(too_small)?;
        Ok(AbsolutePressure::pascals(outlet)?)
    }

    /// Pressure that the inlet needs for a flow at a given outlet; the inverse of [`Self::outlet`].
    ///
    /// # Errors
    /// [`HoseError::TooSmall`] when `outlet` is below the choking pressure, [`HoseError::Range`]
    /// when the inlet would be above 22 bar.
    pub fn inlet(self, outlet: AbsolutePressure, flow: MassRate) -> Result<AbsolutePressure, HoseError> {
        let run = Run::of(self);
        if outlet.to_pascals() < run.choking_pressure(flow.to_kg_per_second()) {
            return Err(HoseError::TooSmall { bore: self.bore, flow, inlet: outlet });
        }
        Ok(AbsolutePressure::pascals(run.inlet(outlet.to_pascals(), flow.to_kg_per_second()))?)
    }

    /// The flow that a hose passes between two pressures, by bisection on [`Self::outlet`].
    ///
    /// # Errors
    /// [`HoseError::Backwards`] when `outlet` is above `inlet`.
    pub fn flow(self, inlet: AbsolutePressure, outlet: AbsolutePressure) -> Result<MassRate, HoseError> {
        if outlet > inlet {
            return Err(HoseError::Backwards { inlet, outlet });
        }
        let run = Run::of(self);
        let excess = |flow: f64| {
            let reached = run.outlet(inlet.to_pascals(), flow).unwrap_or(0.0);
            reached - outlet.to_pascals()
        };
        let sonic = run.area * inlet.to_pascals() / RT.sqrt();
        Ok(MassRate::kg_per_second(crate::root::falling_root(0.0, sonic, excess))?)
    }
}

/// Darcy friction factor.
///
/// Laminar `64/Re` below Re 2300, Colebrook `1/sqrt(f) = -2 log10(ε/(3.7 D) + 2.51/(Re sqrt(f)))`
/// from 4000, linear between, where no formula holds.
///
/// * `reynolds`: above 0. * `roughness`: ε/D.
///
/// Source: textbook. Checked: Re 46 234, ε/D 2.5e-4 is 0.02210 (`fluids` 1.3.1, air.md section 3).
#[must_use]
pub fn friction(reynolds: f64, roughness: f64) -> f64 {
    const LAMINAR: f64 = 2300.0;
    const TURBULENT: f64 = 4000.0;
    if reynolds <= LAMINAR {
        return 64.0 / reynolds;
    }
    if reynolds >= TURBULENT {
        return colebrook(reynolds, roughness);
    }
    let share = (reynolds - LAMINAR) / (TURBULENT - LAMINAR);
    64.0 / LAMINAR * (1.0 - share) + colebrook(TURBULENT, roughness) * share
}

/// Newton on `x = 1/sqrt(f)` from Haaland's value, which is within 1.5 %; three steps leave 1e-14.
fn colebrook(reynolds: f64, roughness: f64) -> f64 {
    let (rough, smooth) = (roughness / 3.7, 2.51 / reynolds);
    let mut x = -1.8 * (rough.powf(1.11) + 6.9 / reynolds).log10();
    for _ in 0..3 {
        let argument = rough + smooth * x;
        let excess = x + 2.0 * argument.log10();
        x -= excess / (1.0 + 2.0 / std::f64::consts::LN_10 * smooth / argument);
    }
    (x * x).recip()
}

/// A hose as the numbers that the chain needs, SI.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Run {
    pub(crate) area: f64,
    slenderness: f64,
    roughness: f64,
    fittings: f64,
    reynolds_per_flow: f64,
}

impl Run {
    pub(crate) fn of(hose: Hose) -> Self {
        let bore = hose.bore.to_metres();
        Self {
            area: 0.25 * PI * bore * bore,
            slenderness: hose.length.to_metres() / bore,
            roughness: hose.roughness.to_metres() / bore,
            fittings: hose.fittings.0,
            reynolds_per_flow: 4.0 / (PI * bore * LINE_VISCOSITY),
        }
    }

    /// `G sqrt(R T)`: the lowest outlet at this flow.
    pub(crate) fn choking_pressure(&self, flow: f64) -> f64 {
        flow / self.area * RT.sqrt()
    }

    /// `f L/D + ΣK`.
    fn resistance(&self, flow: f64) -> f64 {
        friction(flow * self.reynolds_per_flow, self.roughness) * self.slenderness + self.fittings
    }

    /// Inlet for a flow and an outlet at or above the choking pressure. Newton on a convex rising
    /// function; from the second step on it falls onto the root from above.
    pub(crate) fn inlet(&self, outlet: f64, flow: f64) -> f64 {
        if flow <= 0.0 {
            return outlet;
        }
        let head = self.choking_pressure(flow).powi(2);
        let resistance = self.resistance(flow);
        let mut p = (outlet * outlet + head * resistance).sqrt();
        for _ in 0..NEWTON_MAX {
            let excess = p * p - outlet * outlet - head * (resistance + 2.0 * (p / outlet).ln());
            let step = excess / (2.0 * (p - head / p));
            p -= step;
            if step.abs() <= 1e-13 * p {
                break;
            }
        }
        p
    }

    /// Outlet for a flow and an inlet; `None` when the hose chokes before its end.
    pub(crate) fn outlet(&self, inlet: f64, flow: f64) -> Option<f64> {
        if flow <= 0.0 {
            return Some(inlet);
        }
        let choking = self.choking_pressure(flow);
        let head = choking * choking;
        let resistance = self.resistance(flow);
        let excess = |p: f64| p * p - inlet * inlet + head * (resistance + 2.0 * (inlet / p).ln());
        if inlet <= choking || excess(choking) > 0.0 {
            return None;
        }
        let mut p = inlet;
        for _ in 0..NEWTON_MAX {
            let step = excess(p) / (2.0 * (p - head / p));
            p = (p - step).max(choking);
            if step.abs() <= 1e-13 * p || p <= choking {
                break;
            }
        }
        Some(p)
    }
}

/// Steps of Newton's method. Four are usual; near choking each halves the error, so that at the
/// bound the last digit is reached anyway.
const NEWTON_MAX: u32 = 60;
