//! The receiver in time under a valve pattern.
//!
//! While the regulator holds or the valve is closed the pressure is a straight line, and every
//! switching is exact. Only with the regulator fully open is there an equation to integrate.

use crate::chain::{Chain, Point};
use crate::dormand_prince::Step;
use crate::line::{AirLine, LineError};
use crate::table::Table;
use crate::tank::{Reached, State, Tank};
pub use crate::trace::{Event, Sample, Start, Trace, Valve};
use quantity::{Mass, MassRate, Quantity, Time};

/// Why a transient was given up.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TransientError {
    /// The line itself.
    #[error(transparent)]
    Line(#[from] LineError),
    /// Too much happens in too short a time.
    #[error(
        "air line, receiver: gave up after {steps} steps at {at}; a receiver this small switches too often: \
         check its volume, or ask for a shorter time"
    )]
    TooManySteps {
        /// How far it got.
        at: Time,
        /// The bound.
        steps: u32,
    },
    /// A gap of nothing between samples.
    #[error("air line: samples every {gap} are more than {most} in all; ask for a longer gap")]
    TooManySamples {
        /// What was asked for.
        gap: Time,
        /// Most samples.
        most: u32,
    },
}

/// Steps after which a transient is given up.
const STEPS_MAX: u32 = 200_000;
/// Most samples at equal gaps.
const SAMPLES_MAX: u32 = 1_000_000;
/// Samples at equal gaps in a trace whose gap was not chosen.
const SAMPLES_USUAL: f64 = 600.0;
/// Error allowed in a step of the integration: Pa and kg.
const TOLERANCE: [f64; 2] = [1.0, 1e-7];

/// The line in time under a pattern, with about 600 samples. See [`run_every`].
///
/// # Errors
/// Those of [`run_every`].
pub fn run(line: &AirLine, start: Start, pattern: &[Valve]) -> Result<Trace, TransientError> {
    let total: Time = pattern.iter().map(|valve| valve.for_).sum();
    run_every(line, start, pattern, Time::clamped((total.to_seconds() / SAMPLES_USUAL).max(1e-3)))
}

/// The line in time under a pattern, with samples every `gap`.
///
/// `dp/dt = R T / V (S(t) - m(p))`, T = 20 °C; `S` the compressors running, started at their cut-in
/// falling and stopped at their cut-out rising; `m` from the balance of [`crate::steady`] at every
/// instant. Assumed of the line: what [`crate::steady`] assumes, an isothermal tank, no air stored
/// in the hose.
///
/// Accuracy: exact while the regulator holds or the valve is closed; else 1 Pa a step (Dormand and
/// Prince, order 5), flow from a table within 1e-4 of the held one. Given up after 200 000 steps, a step ending at
/// the latest where something switches.
///
/// Checked: reference systems A, B (both patterns) and C of air.md section 6, every row.
///
/// # Errors
/// [`TransientError::Line`] for a line without balance, [`TransientError::TooManySteps`] at the
/// bound of steps, [`TransientError::TooManySamples`] above a million samples.
pub fn run_every(line: &AirLine, start: Start, pattern: &[Valve], gap: Time) -> Result<Trace, TransientError> {
    let total: Time = pattern.iter().map(|valve| valve.for_).sum();
    if gap.to_seconds() * f64::from(SAMPLES_MAX) < total.to_seconds() {
        return Err(TransientError::TooManySamples { gap, most: SAMPLES_MAX });
    }
    let mut engine = Engine::new(line, start, gap.to_seconds())?;
    engine.record();
    for valve in pattern {
        engine.stretch(valve)?;
    }
    Ok(engine.finish())
}

/// The solver while it runs. Seconds, Pa absolute, kg.
struct Engine {
    chain: Chain,
    tank: Tank,
    held: Point,
    /// Lowest receiver pressure that holds.
    lowest: f64,
    /// Made when the regulator is first fully open.
    table: Option<Table>,
    state: State,
    open: bool,
    holding: bool,
    time: f64,
    /// Where the current stretch ends.
    end: f64,
    gap: f64,
    next_sample: f64,
    step_seconds: f64,
    steps: u32,
    used: f64,
    blasted: [f64; 2],
    samples: Vec<Sample>,
    events: Vec<(Time, Event)>,
}

impl Engine {
    fn new(line: &AirLine, start: Start, gap: f64) -> Result<Self, LineError> {
        let (chain, tank) = (Chain::of(line)?, Tank::of(line)?);
        let held = chain.held();
        let state = tank.state(chain.absolute(start.receiver).max(chain.site), start.running);
        Ok(Self {
            lowest: chain.receiver_for(&held),
            chain,
            tank,
            held,
            table: None,
            state,
            open: false,
            holding: true,
            time: 0.0,
            end: 0.0,
            gap,
            next_sample: gap,
            step_seconds: 1.0,
            steps: 0,
            used: 0.0,
            blasted: [0.0; 2],
            samples: Vec::new(),
            events: Vec::new(),
        })
    }

    /// Runs one stretch of the pattern.
    fn stretch(&mut self, valve: &Valve) -> Result<(), TransientError> {
        self.turn(valve.open);
        self.end = self.time + valve.for_.to_seconds();
        while self.time < self.end {
            self.steps += 1;
            if self.steps > STEPS_MAX {
                return Err(TransientError::TooManySteps { at: Time::clamped(self.time), steps: STEPS_MAX });
            }
            if self.open && !self.holding { self.curved() } else { self.straight() }
        }
        self.record();
        Ok(())
    }

    /// Opens or closes the valve.
    fn turn(&mut self, open: bool) {
        if open == self.open {
            return;
        }
        self.open = open;
        self.happened(if open { Event::ValveOpened } else { Event::ValveClosed });
        self.holding = !open || self.state.pressure >= self.lowest;
        if open && !self.holding {
            self.happened(Event::HoldLost);
        }
        self.record();
    }

    /// To the next switching in a straight line: the valve is closed, or the regulator holds.
    fn straight(&mut self) {
        let (time, pressure) = (self.time, self.state.pressure);
        let (demand, floor) = if self.open { (self.held.flow, self.lowest) } else { (0.0, f64::NEG_INFINITY) };
        let before = self.state.on.clone();
        let (seconds, reached) = self.tank.stretch(&mut self.state, demand, floor, self.end - self.time);
        let after = std::mem::replace(&mut self.state.on, before);
        let slope = (self.state.pressure - pressure) / seconds;
        self.sample_until(time + seconds, |at| pressure + slope * (at - time));
        self.state.on = after;
        self.used += demand * seconds;
        self.pass(seconds, reached == Reached::Time);
        match reached {
            Reached::Time => {}
            Reached::Floor => self.lose(),
            Reached::Switch(machine) => self.switched(machine),
        }
    }

    /// One step of the integration: the valve and the regulator are fully open.
    fn curved(&mut self) {
        let table = self.table.get_or_insert_with(|| Table::of(&self.chain, &self.held));
        let (supply, capacity) = (self.tank.supply(&self.state), self.tank.capacity);
        let rate = |y: &[f64; 2]| {
            let flow = table.flow(y[0]);
            [(supply - flow) / capacity, flow]
        };
        let from = [self.state.pressure, 0.0];
        let seconds = self.step_seconds.min(self.end - self.time);
        let step = Step::take(rate, from, seconds, &TOLERANCE);
        let rising = rate(&from)[0] > 0.0;
        // A step cut short by the stretch's end says nothing about how long a step may be.
        self.step_seconds =
            if step.error > 1.0 { step.next_seconds() } else { step.next_seconds().max(self.step_seconds) };
        if step.error <= 1.0 {
            self.accept(&step, rising);
        }
    }

    /// Goes along a step to its end, or to where something switches inside it.
    fn accept(&mut self, step: &Step, rising: bool) {
        let target = self.tank.next_switch(&self.state, rising);
        let hold_first = rising && target.is_none_or(|target| self.lowest <= target.pressure);
        let bound = if hold_first { Some(self.lowest) } else { target.map(|target| target.pressure) };
        let passed = |bound: &f64| if rising { step.to[0] >= *bound } else { step.to[0] <= *bound };
        let bound = bound.filter(passed);
        let share = bound.map_or(1.0, |bound| share_at(step, bound, rising));
        let (time, seconds) = (self.time, share * step.seconds);
        self.sample_until(time + seconds, |at| step.at((at - time) / step.seconds)[0]);
        let [pressure, used] = if bound.is_some() { step.at(share) } else { step.to };
        self.tank.run(&mut self.state, seconds);
        self.used += used;
        self.state.pressure = bound.unwrap_or(pressure);
        self.pass(seconds, bound.is_none() && self.time + seconds >= self.end);
        match (bound, target) {
            (Some(_), _) if hold_first => self.regain(),
            (Some(_), Some(target)) => {
                self.state.on[target.machine] = !self.state.on[target.machine];
                self.switched(target.machine);
            }
            _ => {}
        }
    }

    /// Time passes; at the end of a stretch it is that end to the last digit.
    fn pass(&mut self, seconds: f64, at_end: bool) {
        self.time = if at_end { self.end } else { self.time + seconds };
        if self.open {
            self.blasted[usize::from(!self.holding)] += seconds;
        }
    }

    fn lose(&mut self) {
        self.holding = false;
        self.step_seconds = 1.0;
        self.happened(Event::HoldLost);
        self.record();
    }

    fn regain(&mut self) {
        self.holding = true;
        self.happened(Event::HoldRegained);
        self.record();
    }

    fn switched(&mut self, machine: usize) {
        let number = machine + 1;
        let started = self.state.on[machine];
        self.step_seconds = 1.0;
        self.happened(if started { Event::CompressorStarted { number } } else { Event::CompressorStopped { number } });
        self.record();
    }

    fn happened(&mut self, event: Event) {
        self.events.push((Time::clamped(self.time), event));
    }

    /// Samples at the equal gaps before a time, the pressure by a function of time.
    fn sample_until(&mut self, until: f64, pressure: impl Fn(f64) -> f64) {
        while self.next_sample < until {
            let sample = self.sample(self.next_sample, pressure(self.next_sample));
            self.samples.push(sample);
            self.next_sample += self.gap;
        }
    }

    /// A sample now.
    fn record(&mut self) {
        let sample = self.sample(self.time, self.state.pressure);
        self.samples.push(sample);
        if self.next_sample <= self.time {
            self.next_sample += self.gap;
        }
    }

    fn sample(&self, time: f64, pressure: f64) -> Sample {
        let gauge = |pascals| self.chain.gauge(pascals);
        let point = match (self.open, self.holding, &self.table) {
            (false, ..) => Point { nozzle: self.chain.site, flow: 0.0, regulator_out: self.chain.set.min(pressure) },
            (true, false, Some(table)) => table.at(pressure),
            (true, false, None) => self.chain.fully_open(pressure, &self.held),
            (true, true, _) => self.held,
        };
        Sample {
            at: Time::clamped(time),
            receiver: gauge(pressure),
            nozzle: self.open.then(|| gauge(point.nozzle)),
            regulator_out: gauge(point.regulator_out),
            flow: MassRate::clamped(point.flow),
            compressor_on: self.state.on.contains(&true),
            regulator_fully_open: if self.open { !self.holding } else { pressure < self.chain.set },
        }
    }

    fn finish(self) -> Trace {
        let [held, lost] = self.blasted.map(Time::clamped);
        Trace {
            samples: self.samples,
            events: self.events,
            used: Mass::clamped(self.used),
            ran: self.state.ran.into_iter().map(Time::clamped).collect(),
            held,
            lost,
        }
    }
}

/// The share of a step at which the pressure passes a bound.
fn share_at(step: &Step, bound: f64, rising: bool) -> f64 {
    let sign = if rising { 1.0 } else { -1.0 };
    crate::root::falling_root(0.0, 1.0, |share| sign * (bound - step.at(share)[0]))
}
