//! Jobs through places, from event to event.
//!
//! A job arrives and makes its visits in order. A place has servers; who finds them all busy queues, first come first
//! served, at the server where it was before if that is free. A server takes a load of up to `holds` jobs that begin and end together; it begins with whoever waits.
//! A visit is hand time, then blasting, then a closed door; blasting goes on only while the [`Supply`] lets it.
//!
//! Times are seconds from the start. The only bound is [`EVENTS_MAX`]; reaching it is an error, not a result.

mod agenda;
mod engine;
#[cfg(test)]
mod tests;

use crate::supply::{AirDay, Supply};
use language::say;

/// Servers of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// How many, 1 or more.
    pub servers: usize,
    /// Jobs in a load, 1 or more.
    pub holds: usize,
}

/// What a job does at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Visit {
    /// In the list of places.
    pub place: usize,
    /// Hand time; a load takes the longest of its jobs.
    pub hands_s: f64,
    /// Then with the nozzle open; 0 for none.
    pub blast_s: f64,
    /// Then with the door shut.
    pub after_s: f64,
}

/// Something that arrives and makes visits.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// When.
    pub arrives_s: f64,
    /// In order.
    pub visits: Vec<Visit>,
}

/// A visit as it came about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stay {
    /// Which job.
    pub job: usize,
    /// Which of its visits.
    pub visit: usize,
    /// Where.
    pub place: usize,
    /// At which of the place's servers, from 0.
    pub server: usize,
    /// When it joined the queue.
    pub queued_s: f64,
    /// When its server began.
    pub began_s: f64,
    /// When it left.
    pub ended_s: f64,
    /// Of that, with the nozzle shut for want of air.
    pub rested_s: f64,
}

/// All that happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// In the order in which they began.
    pub stays: Vec<Stay>,
    /// What the air did; `None` without a supply.
    pub air: Option<AirDay>,
}

impl Day {
    /// When the last job left.
    #[must_use]
    pub fn end_s(&self) -> f64 {
        self.stays.iter().map(|stay| stay.ended_s).fold(0.0, f64::max)
    }
}

/// Most events of a run: a class has some thousand.
pub const EVENTS_MAX: u64 = 20_000_000;

/// Why a run was given up.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QueueError {
    /// The bound of events.
    #[error("{}", say!("gave up after {EVENTS_MAX} events; give fewer students or steps"))]
    TooMany,
    /// Somebody waits for air that does not come.
    #[error("{}", say!("the air never comes back: no compressor that is switched on fills the receiver; switch one on"))]
    NoAir,
    /// A place without servers, or a load of nothing.
    #[error("{}", say!("place {place} has no servers or holds nothing; give 1 or more"))]
    NoServer {
        /// In the list.
        place: usize,
    },
}

/// Runs jobs through places; blasts draw on `supply`, or on air without end.
///
/// # Errors
/// [`QueueError`].
pub fn run(places: &[Place], jobs: &[Job], supply: Option<&Supply>) -> Result<Day, QueueError> {
    if let Some(place) = places.iter().position(|place| place.servers == 0 || place.holds == 0) {
        return Err(QueueError::NoServer { place });
    }
    engine::Engine::new(places, jobs, supply).run()
}
