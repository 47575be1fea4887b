//! When each station's valve moves.

use crate::course::{CourseError, Pattern};
use crate::network::Network;
use crate::plant::Mask;

/// Patterns as stretches of seconds.
#[derive(Debug, Clone)]
pub(crate) struct Schedule {
    lanes: Vec<Lane>,
}

#[derive(Debug, Clone)]
struct Lane {
    station: usize,
    /// Open or closed, and for how many seconds; none of them empty.
    stretches: Vec<(bool, f64)>,
    repeats: bool,
    next: usize,
    open: bool,
    until: f64,
}

impl Schedule {
    pub(crate) fn of(network: &Network, patterns: &[Pattern]) -> Result<Self, CourseError> {
        let mut lanes: Vec<Lane> = Vec::new();
        for pattern in patterns {
            let station = network.station_number(&pattern.station)?;
            if lanes.iter().any(|lane| lane.station == station) {
                return Err(CourseError::TwoPatterns { station: pattern.station.clone() });
            }
            let stretches = pattern.valves.iter().map(|valve| (valve.open, valve.for_.to_seconds()));
            let stretches: Vec<(bool, f64)> = stretches.filter(|(_, seconds)| *seconds > 0.0).collect();
            let mut lane = Lane { station, stretches, repeats: pattern.repeats, next: 0, open: false, until: 0.0 };
            lane.advance(0.0);
            lanes.push(lane);
        }
        Ok(Self { lanes })
    }

    /// Stations that the patterns have open now.
    pub(crate) fn open(&self) -> Mask {
        self.lanes.iter().filter(|lane| lane.open).fold(0, |mask, lane| mask | 1 << lane.station)
    }

    /// When a valve next moves.
    pub(crate) fn next(&self) -> f64 {
        self.lanes.iter().map(|lane| lane.until).fold(f64::INFINITY, f64::min)
    }

    /// Moves every valve that is due.
    pub(crate) fn advance(&mut self, now: f64) {
        self.lanes.iter_mut().for_each(|lane| lane.advance(now));
    }
}

impl Lane {
    fn advance(&mut self, now: f64) {
        while self.until <= now {
            if self.next == self.stretches.len() && self.repeats && !self.stretches.is_empty() {
                self.next = 0;
            }
            let Some(&(open, seconds)) = self.stretches.get(self.next) else {
                (self.open, self.until) = (false, f64::INFINITY);
                return;
            };
            self.open = open;
            self.until += seconds;
            self.next += 1;
        }
    }
}
