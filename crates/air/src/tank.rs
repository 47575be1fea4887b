//! The receiver and its compressors while the flow out is constant: pressure is a straight line
//! between two switchings, so every time is exact. Plain SI numbers, absolute pressures.

use crate::gas::RT;
use crate::line::{AirLine, LineError};

/// A compressor as the tank sees it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Machine {
    /// kg/s while it runs.
    pub(crate) rate: f64,
    pub(crate) cut_in: f64,
    pub(crate) cut_out: f64,
    pub(crate) duty_max: f64,
}

/// The fixed part.
#[derive(Debug, Clone)]
pub(crate) struct Tank {
    /// kg/Pa: `V/(R T)`.
    pub(crate) capacity: f64,
    pub(crate) machines: Vec<Machine>,
}

/// The changing part.
#[derive(Debug, Clone)]
pub(crate) struct State {
    pub(crate) pressure: f64,
    /// Which machines run.
    pub(crate) on: Vec<bool>,
    /// Seconds that each has run.
    pub(crate) ran: Vec<f64>,
}

/// What ended a straight stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Reached {
    /// Its time was up.
    Time,
    /// The pressure fell to the floor that was asked about.
    Floor,
    /// Machine of this index started or stopped.
    Switch(usize),
}

/// Where a pressure that moves in one direction is bound for next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Target {
    pub(crate) pressure: f64,
    pub(crate) machine: usize,
}

impl Tank {
    /// The tank of a line, its faults found.
    pub(crate) fn of(line: &AirLine) -> Result<Self, LineError> {
        if line.receiver.to_cubic_metres() <= 0.0 {
            return Err(LineError::NoReceiver);
        }
        if line.compressors.is_empty() {
            return Err(LineError::NoCompressor);
        }
        let site = line.site.pressure.to_pascals();
        let machines = line.compressors.iter().enumerate().map(|(index, compressor)| {
            let (number, cut_in, cut_out) = (index + 1, compressor.cut_in, compressor.cut_out);
            if cut_in >= cut_out {
                return Err(LineError::CutInAboveCutOut { number, cut_in, cut_out });
            }
            if compressor.duty_max.to_ratio() <= 0.0 {
                return Err(LineError::NoDuty { number });
            }
            Ok(Machine {
                rate: compressor.mass_rate(&line.site).to_kg_per_second(),
                cut_in: site + cut_in.to_pascals(),
                cut_out: site + cut_out.to_pascals(),
                duty_max: compressor.duty_max.to_ratio(),
            })
        });
        Ok(Self { capacity: line.receiver.to_cubic_metres() / RT, machines: machines.collect::<Result<_, _>>()? })
    }

    /// Highest cut-out.
    pub(crate) fn full(&self) -> f64 {
        self.machines.iter().map(|machine| machine.cut_out).fold(0.0, f64::max)
    }

    /// At a pressure, with the machines between their two limits all running or all stopped.
    pub(crate) fn state(&self, pressure: f64, running: bool) -> State {
        let on = |machine: &Machine| pressure <= machine.cut_in || (running && pressure < machine.cut_out);
        State { pressure, on: self.machines.iter().map(on).collect(), ran: vec![0.0; self.machines.len()] }
    }

    /// kg/s delivered.
    pub(crate) fn supply(&self, state: &State) -> f64 {
        self.machines.iter().zip(&state.on).map(|(machine, &on)| if on { machine.rate } else { 0.0 }).sum()
    }

    /// The next switching on the way up or down.
    pub(crate) fn next_switch(&self, state: &State, rising: bool) -> Option<Target> {
        let moved_by_it = |&(_, (_, &on)): &(usize, (&Machine, &bool))| on == rising;
        let limit = |machine: &Machine| if rising { machine.cut_out } else { machine.cut_in };
        let targets = self.machines.iter().zip(&state.on).enumerate().filter(moved_by_it);
        let nearer = |a: &Target, b: &Target| {
            let order = a.pressure.total_cmp(&b.pressure);
            if rising { order } else { order.reverse() }
        };
        targets.map(|(machine, (of, _))| Target { pressure: limit(of), machine }).min_by(nearer)
    }

    /// Goes on in a straight line until the time is up, the pressure has fallen to `floor`, or a
    /// machine switches (which it then has). Returns the seconds it took.
    pub(crate) fn stretch(&self, state: &mut State, demand: f64, floor: f64, seconds: f64) -> (f64, Reached) {
        let slope = (self.supply(state) - demand) / self.capacity;
        let switch = self.next_switch(state, slope > 0.0);
        let mut target = (seconds, state.pressure + slope * seconds, Reached::Time);
        let mut consider = |pressure: f64, reached| {
            let time = ((pressure - state.pressure) / slope).max(0.0);
            if time < target.0 {
                target = (time, pressure, reached);
            }
        };
        if slope != 0.0 {
            if let Some(switch) = switch {
                consider(switch.pressure, Reached::Switch(switch.machine));
            }
            if slope < 0.0 {
                consider(floor, Reached::Floor);
            }
        }
        let (time, pressure, reached) = target;
        self.run(state, time);
        state.pressure = pressure;
        if let Reached::Switch(machine) = reached {
            state.on[machine] = !state.on[machine];
        }
        (time, reached)
    }

    /// Counts the running time of the machines that run.
    pub(crate) fn run(&self, state: &mut State, seconds: f64) {
        for (ran, _) in state.ran.iter_mut().zip(&state.on).filter(|(_, on)| **on) {
            *ran += seconds;
        }
    }

    /// Goes on for `seconds` whatever switches, or until the floor; returns the seconds it took.
    pub(crate) fn advance(&self, state: &mut State, demand: f64, floor: f64, seconds: f64) -> f64 {
        let mut left = seconds;
        loop {
            let (time, reached) = self.stretch(state, demand, floor, left);
            left -= time;
            match reached {
                Reached::Time => return seconds,
                Reached::Floor => return seconds - left,
                Reached::Switch(_) => {}
            }
        }
    }

    /// Seconds until the pressure has fallen to `floor`; `None` when the machines catch it before.
    /// The state is left where that was decided.
    pub(crate) fn fall(&self, state: &mut State, demand: f64, floor: f64) -> Option<f64> {
        let mut elapsed = 0.0;
        loop {
            if self.supply(state) >= demand {
                return None;
            }
            let (time, reached) = self.stretch(state, demand, floor, f64::INFINITY);
            elapsed += time;
            if reached == Reached::Floor {
                return Some(elapsed);
            }
        }
    }

    /// Seconds until every running machine has stopped, nothing flowing out.
    pub(crate) fn fill(&self, state: &mut State) -> f64 {
        let mut elapsed = 0.0;
        while self.supply(state) > 0.0 {
            elapsed += self.stretch(state, 0.0, 0.0, f64::INFINITY).0;
        }
        elapsed
    }
}
