//! A line of one station in time under a valve pattern: [`Network::run`] for an [`AirLine`].

use crate::course::{Course, CourseError, Happening, Moment, Pattern, RunOptions};
use crate::line::{AirLine, LineError};
use crate::network::Network;
use crate::tank::Tank;
pub use crate::trace::{Event, Sample, Start, Trace, Valve};
use language::say;
use quantity::{GaugePressure, MassRate, Quantity, Time};

/// Why a transient was given up.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TransientError {
    /// The line itself.
    #[error(transparent)]
    Line(#[from] LineError),
    /// Too much happens in too short a time.
    #[error(
        "{}",
        say!(
            "air line, receiver: gave up after {steps} steps at {at}; a receiver this small switches too often: check \
             its volume, or ask for a shorter time"
        )
    )]
    TooManySteps {
        /// How far it got.
        at: Time,
        /// The bound.
        steps: u32,
    },
    /// The solver's own complaint.
    #[error(transparent)]
    Course(CourseError),
    /// A gap of nothing between samples.
    #[error("{}", say!("air line: samples every {gap} are more than {most} in all; ask for a longer gap"))]
    TooManySamples {
        /// What was asked for.
        gap: Time,
        /// Most samples.
        most: u32,
    },
}

/// Samples at equal gaps in a trace whose gap was not chosen.
const SAMPLES_USUAL: f64 = 600.0;

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
/// `dp/dt = R T / V (S(t) - m(p))`, T = 20 °C: [`Network::run`] with one receiver, one station and an
/// isothermal tank; its assumptions, accuracy and bound are those. Duty limits are not enforced.
///
/// Checked: reference systems A, B (both patterns) and C of air.md section 6, every row.
///
/// # Errors
/// [`TransientError::Line`] for a line without balance, [`TransientError::TooManySteps`] at the
/// bound of steps, [`TransientError::TooManySamples`] above a million samples.
pub fn run_every(line: &AirLine, start: Start, pattern: &[Valve], gap: Time) -> Result<Trace, TransientError> {
    crate::chain::Chain::of(line)?;
    Tank::of(line)?;
    let network = Network::of_line(line);
    let reader = Reader { line, network: &network };
    let total: Time = pattern.iter().map(|valve| valve.for_).sum();
    if total.to_seconds() <= 0.0 {
        return Ok(reader.start_alone(start));
    }
    let station = network.stations().next().unwrap_or_default();
    let pattern = Pattern { station: station.to_owned(), valves: pattern.to_vec(), repeats: false };
    let options = RunOptions { start: Some(start), gap: Some(gap), ..RunOptions::default() };
    Ok(reader.trace(network.run(&[pattern], total, &options)?))
}

impl From<CourseError> for TransientError {
    fn from(error: CourseError) -> Self {
        match error {
            CourseError::TooManySteps { at, steps, .. } => Self::TooManySteps { at, steps },
            CourseError::TooManySamples { gap, most } => Self::TooManySamples { gap, most },
            other => Self::Course(other),
        }
    }
}

/// A network's course as a line's trace.
struct Reader<'a> {
    line: &'a AirLine,
    network: &'a Network,
}

impl Reader<'_> {
    fn trace(&self, course: Course) -> Trace {
        // A compressor that runs from the first instant on is no event of the line.
        let later = |(at, event): &(Time, Happening)| !(at.to_base() == 0.0 && matches!(event, Happening::Started(_)));
        let events = course.events.iter().filter(|happened| later(happened));
        let station = course.stations[0];
        Trace {
            samples: course.samples.iter().map(|moment| self.sample(moment)).collect(),
            events: events.filter_map(|&(at, event)| Some((at, word(event)?))).collect(),
            used: station.blasted,
            ran: course.machines.iter().map(|machine| machine.ran).collect(),
            held: station.held,
            lost: station.lost,
        }
    }

    fn sample(&self, moment: &Moment) -> Sample {
        let (set, receiver, open) = (self.line.regulator.set, moment.receivers[0], moment.stations[0]);
        let closed_out = if receiver < set { receiver } else { set };
        Sample {
            at: moment.at,
            receiver,
            nozzle: open.map(|station| station.nozzle),
            regulator_out: open.map_or(closed_out, |station| station.regulator_out),
            flow: open.map_or(MassRate::clamped(0.0), |station| station.flow),
            compressor_on: moment.running.contains(&true),
            regulator_fully_open: open.map_or(receiver < set, |station| !station.holds),
        }
    }

    fn start_alone(&self, start: Start) -> Trace {
        let receiver = if start.receiver.to_base() < 0.0 { GaugePressure::clamped(0.0) } else { start.receiver };
        let none = Time::clamped(0.0);
        let compressors = &self.line.compressors;
        let runs = |c: &crate::Compressor| receiver <= c.cut_in || (start.running && receiver < c.cut_out);
        let moment = Moment {
            at: none,
            receivers: vec![receiver],
            gas: Vec::new(),
            running: compressors.iter().map(runs).collect(),
            stations: self.network.stations().map(|_| None).collect(),
        };
        Trace {
            samples: vec![self.sample(&moment)],
            events: Vec::new(),
            used: quantity::Mass::clamped(0.0),
            ran: vec![none; compressors.len()],
            held: none,
            lost: none,
        }
    }
}

fn word(event: Happening) -> Option<Event> {
    Some(match event {
        Happening::ValveOpened(_) => Event::ValveOpened,
        Happening::ValveClosed(_) => Event::ValveClosed,
        Happening::Started(number) => Event::CompressorStarted { number: number + 1 },
        Happening::Stopped(number) => Event::CompressorStopped { number: number + 1 },
        Happening::HoldLost(_) => Event::HoldLost,
        Happening::HoldRegained(_) => Event::HoldRegained,
        Happening::Tripped(_) | Happening::DutyReached(_) | Happening::Cooled(_) => return None,
    })
}
