//! The receiver in closed form: what worksheets compute, beside the transient solver.

use crate::gas::PSI_CHOKED;
use crate::nozzle::{Discharge, bore_area};
use language::{number, say};
use quantity::{
    AbsolutePressure, Diameter, Fraction, FreeFlow, GAS_CONSTANT_AIR, GaugePressure, OutOfRange, Quantity, Temperature,
    Time, Volume,
};

/// Flow in and out of a receiver, as free air at one reference state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Into it.
    pub supply: FreeFlow,
    /// Out of it.
    pub demand: FreeFlow,
    /// The pressure at which both are measured; their temperature is the tank's.
    pub reference: AbsolutePressure,
}

impl Balance {
    /// Supply less demand, m³/s.
    fn net(&self) -> f64 {
        self.supply.to_base() - self.demand.to_base()
    }
}

/// Why a receiver formula has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReceiverError {
    /// The pressure moves the other way, or not at all.
    #[error(
        "{}",
        say!(
            "receiver: with {supply} in and {demand} out it never gets from {from} to {to}; change supply or demand, \
             or swap the two pressures"
        )
    )]
    NeverReaches {
        /// Flow in.
        supply: FreeFlow,
        /// Flow out.
        demand: FreeFlow,
        /// Where it starts.
        from: GaugePressure,
        /// Where it should get.
        to: GaugePressure,
    },
    /// The nozzle is not choked over the whole fall.
    #[error(
        "{}",
        say!(
            "receiver: {to} is too low for the choked blow-down formula; stop above {least}, or use the transient \
             solver"
        )
    )]
    NotChoked {
        /// Where it should end.
        to: AbsolutePressure,
        /// Least pressure that chokes.
        least: AbsolutePressure,
    },
    /// Not a polytropic exponent of air in a tank.
    #[error(
        "{}",
        say!(
            "receiver: polytropic exponent {given} is outside 1 to 1.4; give 1 for slow emptying, 1.4 for fast",
            given = number(given.to_string())
        )
    )]
    Polytropic {
        /// What was given.
        given: f64,
    },
    /// A result outside its kind's range.
    #[error("{}", say!("receiver: {0}; check volume and flows", _0))]
    Range(#[from] OutOfRange),
}

/// Time from one pressure to another: `t = V Δp / (p_ref (S - C))`.
///
/// * `V`: volume. * `Δp`: to less from. * `S`, `C`: supply and demand at `p_ref` and tank temperature.
///
/// Isothermal. Source: the usual worksheet rule (air.md section 2).
/// Checked: 50 l, 0 to 8 bar, 150 l/min at 1 bar takes 160.0 s.
///
/// # Errors
/// [`ReceiverError::NeverReaches`] when the flows move the pressure the other way.
pub fn time_between(
    volume: Volume,
    from: GaugePressure,
    to: GaugePressure,
    balance: Balance,
) -> Result<Time, ReceiverError> {
    let change = to.to_pascals() - from.to_pascals();
    let seconds = volume.to_cubic_metres() * change / (balance.reference.to_pascals() * balance.net());
    let Balance { supply, demand, .. } = balance;
    if !(seconds >= 0.0 && seconds.is_finite()) {
        return Err(ReceiverError::NeverReaches { supply, demand, from, to });
    }
    Ok(Time::seconds(seconds)?)
}

/// Volume that keeps a pressure between two limits for a time: `V = t p_ref (C - S) / (p_high - p_low)`.
///
/// Source: the usual worksheet rule. Checked: 350 against 250 cfm for 5 min, 100 to 60 psig at
/// 14.7 psia is 183.75 ft³ (a published worksheet); Esposito, *Fluid Power with Applications*,
/// Ex. 13-7: 660 and 495 US gal.
///
/// # Errors
/// [`ReceiverError::NeverReaches`] when the flows do not draw the receiver down.
pub fn volume_for(
    time: Time,
    high: GaugePressure,
    low: GaugePressure,
    balance: Balance,
) -> Result<Volume, ReceiverError> {
    let fall = high.to_pascals() - low.to_pascals();
    let cubic_metres = -time.to_seconds() * balance.reference.to_pascals() * balance.net() / fall;
    let Balance { supply, demand, .. } = balance;
    if !(cubic_metres >= 0.0 && cubic_metres.is_finite()) {
        return Err(ReceiverError::NeverReaches { supply, demand, from: high, to: low });
    }
    Ok(Volume::cubic_metres(cubic_metres)?)
}

/// Free air that a flow at pressure amounts to: `q_free = q (p / p_ref) (T_ref / T)`.
///
/// Source: ideal gas. Checked: 30 cfm at 125 psig, 90 °F needs 274.7 cfm at 14.7 psia, 70 °F
/// (Esposito, Ex. 13-6).
///
/// # Errors
/// [`ReceiverError::Range`] above 100 m³/s.
pub fn free_air(
    flow: FreeFlow,
    pressure: AbsolutePressure,
    temperature: Temperature,
    intake: AbsolutePressure,
    intake_temperature: Temperature,
) -> Result<FreeFlow, ReceiverError> {
    let expansion = pressure.to_pascals() / intake.to_pascals();
    let cooling = intake_temperature.to_kelvins() / temperature.to_kelvins();
    Ok(flow.scaled(expansion * cooling)?)
}

/// How a compressor cycles under a constant demand below its supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Running, from cut-in to cut-out.
    pub on: Time,
    /// Standing, from cut-out to cut-in.
    pub off: Time,
    /// Share of running: `C/S`, whatever the receiver's volume.
    pub duty: Fraction,
}

impl Cycle {
    /// Between cut-in and cut-out: `t_on = V Δp/(p_ref (S - C))`, `t_off = V Δp/(p_ref C)`.
    ///
    /// Source: air.md section 2. Checked: system C of its section 6, off 59.63 s, on 249.77 s.
    ///
    /// # Errors
    /// [`ReceiverError::NeverReaches`] when demand is 0 or not below supply.
    pub fn of(
        volume: Volume,
        cut_in: GaugePressure,
        cut_out: GaugePressure,
        balance: Balance,
    ) -> Result<Self, ReceiverError> {
        let on = time_between(volume, cut_in, cut_out, balance)?;
        let idle = Balance { supply: FreeFlow::clamped(0.0), ..balance };
        let off = time_between(volume, cut_out, cut_in, idle)?;
        let duty = Fraction::clamped(balance.demand.to_base() / balance.supply.to_base());
        Ok(Self { on, off, duty })
    }

    /// Starts in an hour: `3600 / (t_on + t_off)`.
    #[must_use]
    pub fn starts_per_hour(&self) -> f64 {
        3600.0 / (self.on.to_seconds() + self.off.to_seconds())
    }
}

/// A receiver emptied through a choked nozzle, nothing flowing in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlowDown {
    /// The receiver.
    pub volume: Volume,
    /// The nozzle's bore.
    pub bore: Diameter,
    /// Its discharge coefficient.
    pub discharge: Discharge,
    /// Gas and wall at the start.
    pub temperature: Temperature,
    /// Polytropic exponent of the gas left behind: 1 isothermal to 1.4 without heat from the wall.
    pub polytropic: PolytropicExponent,
}

/// An exponent from 1 (isothermal) to 1.4 (adiabatic).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct PolytropicExponent(f64);

impl PolytropicExponent {
    /// Slow emptying: the wall keeps the gas at its temperature.
    pub const ISOTHERMAL: Self = Self(1.0);
    /// Fast emptying: no heat reaches the gas.
    pub const ADIABATIC: Self = Self(1.4);

    /// From a number.
    ///
    /// # Errors
    /// [`ReceiverError::Polytropic`] outside 1 to 1.4, and for a NaN.
    pub fn new(given: f64) -> Result<Self, ReceiverError> {
        if (1.0..=1.4).contains(&given) { Ok(Self(given)) } else { Err(ReceiverError::Polytropic { given }) }
    }
}

impl BlowDown {
    /// Time from one pressure to a lower one: `p/p0 = (1 + (n-1)/2 k t)^(-2n/(n-1))`,
    /// `k = Cd A psi* sqrt(R T0)/V`; `n = 1`: `p = p0 e^(-k t)`.
    ///
    /// Source: derived, air.md section 2, there confirmed by an ODE for n = 1.4.
    /// Checked: 100 l, 8 to 4 bar gauge, 3.2 mm, Cd 0.95, n = 1.4: 28.800 s.
    ///
    /// # Errors
    /// [`ReceiverError::NotChoked`] when `to` is too low to choke against `site`.
    pub fn time(
        &self,
        from: AbsolutePressure,
        to: AbsolutePressure,
        site: AbsolutePressure,
    ) -> Result<Time, ReceiverError> {
        let least = AbsolutePressure::clamped(site.to_pascals() / crate::gas::CRITICAL_RATIO);
        if to < least {
            return Err(ReceiverError::NotChoked { to, least });
        }
        let n = self.polytropic.0;
        let ratio = to.to_pascals() / from.to_pascals();
        let kt = if n - 1.0 < 1e-9 { -ratio.ln() } else { 2.0 / (n - 1.0) * (ratio.powf((1.0 - n) / (2.0 * n)) - 1.0) };
        Ok(Time::seconds(kt / self.rate_per_s())?)
    }

    /// Temperature of the gas left behind: `T = T0 (p/p0)^((n-1)/n)`.
    ///
    /// Source: polytropic change of an ideal gas. Checked: n = 1.4, 8 to 4 bar gauge: -25.2 °C.
    ///
    /// # Errors
    /// [`ReceiverError::Range`] below 150 K.
    pub fn gas_temperature(&self, from: AbsolutePressure, to: AbsolutePressure) -> Result<Temperature, ReceiverError> {
        let n = self.polytropic.0;
        let ratio = to.to_pascals() / from.to_pascals();
        Ok(Temperature::kelvins(self.temperature.to_kelvins() * ratio.powf((n - 1.0) / n))?)
    }

    fn rate_per_s(&self) -> f64 {
        let area = self.discharge.to_ratio() * bore_area(self.bore);
        area * PSI_CHOKED * (GAS_CONSTANT_AIR * self.temperature.to_kelvins()).sqrt() / self.volume.to_cubic_metres()
    }
}
