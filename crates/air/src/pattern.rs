//! A needed blast time, broken into blasts and rests that the line holds.

use crate::hold::Held;
use crate::line::{AirLine, LineError};
use crate::tank::State;
use crate::transient::{Start, Valve};
use quantity::{Quantity, Time};

/// Most blasts that a pattern may have.
const BLASTS_MAX: usize = 2000;

/// Breaks a needed blast time into blasts and rests, each blast held to its end.
///
/// One blast when that fits between the start and the reserve of [`crate::hold()`]; else blasts of
/// equal length, as few as a full receiver allows, each with the shortest rest before it that lets
/// it hold. When a compressor has by then run longer than its duty limit of the time so far, the
/// rest goes on until the receiver is full and the limit is kept. What the pressure does is
/// [`crate::run`] on the result.
///
/// # Errors
/// Those of [`crate::hold()`], and [`LineError::TooManyBlasts`] above 2000 blasts.
pub fn pattern_for(line: &AirLine, start: Start, needed: Time) -> Result<Vec<Valve>, LineError> {
    let held = Held::of(line)?;
    let mut planner = Planner {
        state: held.tank.state(held.chain.absolute(start.receiver), start.running),
        floor: held.floor(),
        held: &held,
        elapsed: 0.0,
        valves: Vec::new(),
    };
    let needed_s = needed.to_seconds();
    let most = planner.longest(needed_s);
    let blasts = (needed_s / most).ceil().max(1.0);
    if blasts > BLASTS_MAX as f64 {
        return Err(LineError::TooManyBlasts { needed, most: BLASTS_MAX });
    }
    let mut left = needed_s;
    for _ in 0..2 * BLASTS_MAX {
        if left <= 1e-9 * needed_s {
            return Ok(planner.valves);
        }
        left -= planner.blast(left.min(needed_s / blasts));
    }
    Err(LineError::TooManyBlasts { needed, most: BLASTS_MAX })
}

struct Planner<'a> {
    held: &'a Held,
    floor: f64,
    state: State,
    elapsed: f64,
    valves: Vec<Valve>,
}

impl Planner<'_> {
    /// All of it where it fits at once, else a blast from a full receiver.
    fn longest(&self, needed: f64) -> f64 {
        let full = self.held.blast();
        let fits_now = self.fits(&self.state, needed) && (needed <= full || self.limited_by_air());
        if self.held.is_endless() || fits_now { needed } else { full }
    }

    /// Whether a long blast is ended by the air before the duty limit matters.
    fn limited_by_air(&self) -> bool {
        let supply: f64 = self.held.tank.machines.iter().map(|machine| machine.rate).sum();
        supply < self.held.point.flow
    }

    fn fits(&self, state: &State, seconds: f64) -> bool {
        self.fitting(state, seconds) >= seconds
    }

    /// How much of a blast holds from a state, in seconds.
    fn fitting(&self, state: &State, seconds: f64) -> f64 {
        if state.pressure <= self.floor {
            return 0.0;
        }
        self.held.tank.advance(&mut state.clone(), self.held.point.flow, self.floor, seconds)
    }

    /// Adds a rest, if one is needed, and a blast of at most `wanted`; returns its length.
    fn blast(&mut self, wanted: f64) -> f64 {
        let rest = self.air_rest(wanted);
        self.rest(rest);
        self.rest_for_duty();
        let length = self.fitting(&self.state, wanted);
        self.held.tank.advance(&mut self.state, self.held.point.flow, self.floor, length);
        self.push(true, length);
        length
    }

    /// The shortest rest after which a blast holds; 0 when no rest would help.
    fn air_rest(&self, wanted: f64) -> f64 {
        if self.fits(&self.state, wanted) {
            return 0.0;
        }
        let after = |rest: f64| {
            let mut state = self.state.clone();
            self.held.tank.advance(&mut state, 0.0, 0.0, rest);
            state
        };
        let full = self.held.tank.fill(&mut self.state.clone());
        let (mut short, mut enough) = (0.0, full);
        for _ in 0..40 {
            let middle = 0.5 * (short + enough);
            if self.fits(&after(middle), wanted) { enough = middle } else { short = middle }
        }
        enough
    }

    /// Between two blasts, waits until every compressor has kept its duty limit so far.
    fn rest_for_duty(&mut self) {
        let before_the_first = self.valves.iter().all(|valve| !valve.open);
        if before_the_first || self.held.duty_time(&self.state) <= self.elapsed {
            return;
        }
        let fill = self.held.tank.fill(&mut self.state.clone());
        self.rest(fill);
        self.rest(self.held.duty_time(&self.state) - self.elapsed);
    }

    fn rest(&mut self, seconds: f64) {
        if seconds > 0.0 {
            self.held.tank.advance(&mut self.state, 0.0, 0.0, seconds);
            self.push(false, seconds);
        }
    }

    /// Adds to the pattern; a rest after a rest makes one.
    fn push(&mut self, open: bool, seconds: f64) {
        self.elapsed += seconds;
        match self.valves.last_mut() {
            Some(last) if last.open == open => last.for_ = last.for_ + Time::clamped(seconds),
            _ => self.valves.push(Valve { open, for_: Time::clamped(seconds) }),
        }
    }
}
