//! Leaks: what a hole loses, and what a decay test says of the whole shop.

use crate::nozzle::{FlowError, mass_flow};
use crate::{Discharge, Site, Stagnation};
use language::say;
use quantity::{AbsolutePressure, Diameter, GaugePressure, MassRate, Quantity, Time, Volume};

/// What a hole in a line at a pressure loses.
///
/// * `bore`: of the hole. * `discharge`: 0.65 sharp, 0.97 rounded (printed with the orifice table).
///
/// Source: [`mass_flow`]. Checked: sharp holes of an energy agency's leak table, whose entries hide a
/// 0.97 of their own (air.md 1.3).
///
/// # Errors
/// Those of [`mass_flow`].
pub fn hole(bore: Diameter, discharge: Discharge, gauge: GaugePressure, site: &Site) -> Result<MassRate, FlowError> {
    let pressure = AbsolutePressure::from_gauge(gauge, site.pressure)?;
    let upstream = Stagnation { pressure, temperature: crate::gas::LINE_TEMPERATURE };
    Ok(mass_flow(bore, discharge, upstream, site.pressure)?.rate)
}

/// The sharp hole that loses as much: for [`crate::part::Vessel::leak`].
///
/// # Errors
/// Those of [`mass_flow`].
pub fn equivalent_bore(leak: MassRate, gauge: GaugePressure, site: &Site) -> Result<Diameter, FlowError> {
    let of_a_millimetre = hole(Diameter::mm(1.0)?, Discharge::SHARP, gauge, site)?;
    let area = leak.to_base() / of_a_millimetre.to_base().max(f64::MIN_POSITIVE);
    Ok(Diameter::mm(area.sqrt().max(1e-4))?)
}

/// One reading of a decay test: compressors off, valves shut, the pressure read again and again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Since the reading *before* this one, not since the start.
    pub interval: Time,
    /// Pressure now.
    pub gauge: GaugePressure,
}

/// A straight line through the losses of a decay test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakFit {
    /// kg/s for each Pa gauge.
    pub slope_kg_s_pa: f64,
    /// kg/s at no gauge pressure; usually below 0, as leaks grow faster than in proportion.
    pub at_zero_kg_s: f64,
}

/// Why a decay test says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DecayError {
    /// Too few readings for a line.
    #[error("{}", say!("a decay test needs three readings or more; read the gauge more often"))]
    TooFew,
    /// A reading that takes no time.
    #[error("{}", say!("reading {number}: no time since the one before; give the interval, not the clock"))]
    NoTime {
        /// Which, from 1.
        number: usize,
    },
    /// Pressure that rises.
    #[error("{}", say!("reading {number}: the pressure rose; stop the compressors, and let the receiver cool first"))]
    Rises {
        /// Which, from 1.
        number: usize,
    },
    /// All losses at one mean pressure.
    #[error("{}", say!("every interval has the same mean pressure; let the test go on for longer"))]
    Flat,
}

/// Loss of each interval of a decay test: mean gauge pressure and mass each second.
///
/// `m = V (p_before - p_now) / (R T t)`, T = 20 °C: the receiver must have cooled to the room.
///
/// Source: ideal gas; US Navy MO-209 Table 5-4 (seen), whose times must be read as intervals
/// (air.md section 2).
///
/// # Errors
/// [`DecayError`].
pub fn decay(
    volume: Volume,
    start: GaugePressure,
    readings: &[Reading],
) -> Result<Vec<(GaugePressure, MassRate)>, DecayError> {
    let mut before = start;
    let loss = |(index, reading): (usize, &Reading)| {
        let number = index + 1;
        let (fall, seconds) = (before.to_pascals() - reading.gauge.to_pascals(), reading.interval.to_seconds());
        if seconds <= 0.0 {
            return Err(DecayError::NoTime { number });
        }
        if fall < 0.0 {
            return Err(DecayError::Rises { number });
        }
        let mean = GaugePressure::clamped(0.5 * (before.to_pascals() + reading.gauge.to_pascals()));
        before = reading.gauge;
        Ok((mean, MassRate::clamped(volume.to_cubic_metres() * fall / (crate::gas::RT * seconds))))
    };
    readings.iter().enumerate().map(loss).collect()
}

/// The straight line of least squares through losses at mean pressures.
///
/// Checked: seven losses of US Navy MO-209 Table 5-4: 47 scfm at 96 psig.
///
/// # Errors
/// [`DecayError::TooFew`], [`DecayError::Flat`].
pub fn fit(losses: &[(GaugePressure, MassRate)]) -> Result<LeakFit, DecayError> {
    if losses.len() < 3 {
        return Err(DecayError::TooFew);
    }
    let n = losses.len() as f64;
    let mean = |of: &dyn Fn(&(GaugePressure, MassRate)) -> f64| losses.iter().map(of).sum::<f64>() / n;
    let (x, y) = (mean(&|row| row.0.to_base()), mean(&|row| row.1.to_base()));
    let square: f64 = losses.iter().map(|row| (row.0.to_base() - x).powi(2)).sum();
    if square <= 0.0 {
        return Err(DecayError::Flat);
    }
    let slope = losses.iter().map(|row| (row.0.to_base() - x) * (row.1.to_base() - y)).sum::<f64>() / square;
    Ok(LeakFit { slope_kg_s_pa: slope, at_zero_kg_s: y - slope * x })
}

impl LeakFit {
    /// Loss at a gauge pressure; none below where the line crosses zero.
    #[must_use]
    pub fn at(&self, gauge: GaugePressure) -> MassRate {
        MassRate::clamped((self.slope_kg_s_pa * gauge.to_base() + self.at_zero_kg_s).max(0.0))
    }
}
