//! What a line holds: demand against supply, how long, and in what rhythm.

use crate::chain::{Chain, Point};
use crate::line::{AirLine, LineError};
use crate::tank::{State, Tank};
use quantity::{Fraction, GaugePressure, MassRate, Quantity, Time};

/// What a line holds at its set pressure.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// Air through the nozzle while the pressure holds.
    pub demand: MassRate,
    /// What the compressors deliver that start before the hold is lost.
    pub available: MassRate,
    /// At the nozzle's inlet while the pressure holds.
    pub nozzle: GaugePressure,
    /// At the regulator's outlet while the pressure holds; below its setting by the droop.
    pub regulator_out: GaugePressure,
    /// Lowest receiver pressure that holds.
    pub lowest_receiver: GaugePressure,
    /// Receiver pressure at which the last compressor stops.
    pub full: GaugePressure,
    /// From a full receiver, compressors stopped, until the hold is lost; `None` when it never is.
    pub longest_blast: Option<Time>,
    /// From the lowest holding pressure to full, valve closed.
    pub recovery: Time,
    /// Largest long-run share of blasting by the air: `min(1, S/C)`.
    pub share_by_air: Fraction,
    /// The same with the compressors' duty limits: `min(1, Σ k S / C)`, as if several compressors
    /// took turns.
    pub share_by_duty: Fraction,
    /// Blasts and rests that can go on all day; `None` when no rest is needed.
    pub rhythm: Option<Rhythm>,
}

/// A repeating pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rhythm {
    /// Valve open.
    pub blast: Time,
    /// Valve closed.
    pub rest: Time,
}

/// Share of the swing from full to lost that a planned blast leaves unused, so that a leak or a
/// slow hand does not lose the hold. Own choice; larger means shorter blasts.
pub(crate) const RESERVE: f64 = 0.05;

/// Length of a blast where only a compressor's duty limit calls for rests, s. Own choice: any length
/// has the same share in the long run.
const BLAST_USUAL_S: f64 = 120.0;

/// What a line holds at its set pressure.
///
/// While the regulator holds, demand `C` does not depend on the receiver, so its pressure is a
/// straight line between switchings: `dp/dt = R T / V (S - C)`, T = 20 °C, isothermal.
///
/// The rhythm starts from a full receiver with all compressors stopped, blasts until the reserve of
/// 5 % of the swing is reached (or, where supply exceeds demand, for two minutes) and rests until
/// the receiver is full again *and* no compressor has run longer than its duty limit of that time.
/// It keeps the held pressure for ever; its share may be below `share_by_duty`, as the compressors
/// stand still above their cut-in.
///
/// A compressor that starts only below the lowest holding pressure does not count.
///
/// Source: air.md sections 2 and 6. Checked: reference systems A, B and C there.
///
/// # Errors
/// Every [`LineError`] but [`LineError::TooManyBlasts`].
pub fn hold(line: &AirLine) -> Result<Hold, LineError> {
    let held = Held::of(line)?;
    let Held { chain, tank, point, lowest } = &held;
    let demand = point.flow;
    let supply: f64 = tank.machines.iter().map(|machine| machine.rate).sum();
    let by_duty: f64 = tank.machines.iter().map(|machine| machine.rate * machine.duty_max).sum();
    let mut spent = tank.state(tank.full(), false);
    let longest = tank.fall(&mut spent, demand, *lowest);
    let recovery = tank.fill(&mut tank.state(*lowest, true));
    Ok(Hold {
        demand: MassRate::clamped(demand),
        available: MassRate::clamped(supply),
        nozzle: chain.gauge(point.nozzle),
        regulator_out: chain.gauge(point.regulator_out),
        lowest_receiver: chain.gauge(*lowest),
        full: chain.gauge(tank.full()),
        longest_blast: longest.map(Time::clamped),
        recovery: Time::clamped(recovery),
        share_by_air: Fraction::clamped(supply / demand),
        share_by_duty: Fraction::clamped(by_duty / demand),
        rhythm: held.rhythm(),
    })
}

/// A line that holds, as plain numbers: only the compressors that start before the hold is lost.
pub(crate) struct Held {
    pub(crate) chain: Chain,
    pub(crate) tank: Tank,
    pub(crate) point: Point,
    /// Lowest holding receiver pressure.
    pub(crate) lowest: f64,
}

impl Held {
    pub(crate) fn of(line: &AirLine) -> Result<Self, LineError> {
        let (chain, mut tank) = (Chain::of(line)?, Tank::of(line)?);
        let point = chain.held();
        let lowest = chain.receiver_for(&point);
        let (needs, full) = (chain.gauge(lowest), chain.gauge(tank.full()));
        if lowest >= tank.full() {
            return Err(LineError::NeverHolds { set: line.regulator.set, needs, full });
        }
        let cut_in = tank.machines.iter().map(|machine| machine.cut_in).fold(0.0, f64::max);
        tank.machines.retain(|machine| machine.cut_in > lowest && machine.rate > 0.0);
        if tank.machines.is_empty() {
            return Err(LineError::CutInTooLow { needs, cut_in: chain.gauge(cut_in) });
        }
        Ok(Self { chain, tank, point, lowest })
    }

    /// Where planned blasts stop: above the lowest by the reserve, below the first cut-in, so that
    /// something always refills the receiver.
    pub(crate) fn floor(&self) -> f64 {
        let first = self.tank.machines.iter().map(|machine| machine.cut_in).fold(0.0, f64::max);
        let reserve = RESERVE * (self.tank.full() - self.lowest);
        self.lowest + reserve.min(0.5 * (first - self.lowest))
    }

    /// The longest planned blast from full: to the floor, or, where the air never ends one, the usual.
    pub(crate) fn blast(&self) -> f64 {
        let mut state = self.tank.state(self.tank.full(), false);
        self.tank.fall(&mut state, self.point.flow, self.floor()).unwrap_or(BLAST_USUAL_S)
    }

    fn rhythm(&self) -> Option<Rhythm> {
        if self.is_endless() {
            return None;
        }
        let blast = self.blast();
        let mut state = self.tank.state(self.tank.full(), false);
        self.tank.advance(&mut state, self.point.flow, self.floor(), blast);
        let refill = self.refill(&mut state);
        let rest = refill.max(self.duty_time(&state) - blast);
        Some(Rhythm { blast: Time::clamped(blast), rest: Time::clamped(rest) })
    }

    /// Whether the line blasts on without a rest: air and duty both suffice.
    pub(crate) fn is_endless(&self) -> bool {
        let by_duty: f64 = self.tank.machines.iter().map(|machine| machine.rate * machine.duty_max).sum();
        by_duty >= self.point.flow
            && self.tank.fall(&mut self.tank.state(self.tank.full(), false), self.point.flow, self.lowest).is_none()
    }

    /// Seconds to fill the receiver, starting whatever stands still at its cut-in.
    fn refill(&self, state: &mut State) -> f64 {
        for (machine, on) in self.tank.machines.iter().zip(&mut state.on) {
            *on |= state.pressure <= machine.cut_in;
        }
        self.tank.fill(state)
    }

    /// The least time in which every machine's running keeps to its duty limit.
    pub(crate) fn duty_time(&self, state: &State) -> f64 {
        let time = |(machine, ran): (&crate::tank::Machine, &f64)| ran / machine.duty_max;
        self.tank.machines.iter().zip(&state.ran).map(time).fold(0.0, f64::max)
    }
}
