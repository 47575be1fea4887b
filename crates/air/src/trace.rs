//! What goes into the transient solver and what comes out of it.

use crate::AirLine;
use quantity::{GaugePressure, Mass, MassRate, Quantity, Time};

/// A stretch of a valve pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Valve {
    /// Whether the blast valve is open.
    pub open: bool,
    /// For how long.
    pub for_: Time,
}

/// The receiver at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Its pressure.
    pub receiver: GaugePressure,
    /// Whether compressors between cut-in and cut-out run; below cut-in they do anyway.
    pub running: bool,
}

impl Start {
    /// A full receiver: at the highest cut-out, compressors stopped. A line without a compressor
    /// starts at 0.
    #[must_use]
    pub fn full(line: &AirLine) -> Self {
        let highest = line.compressors.iter().map(|compressor| compressor.cut_out.to_base()).fold(0.0, f64::max);
        Self { receiver: GaugePressure::clamped(highest), running: false }
    }
}

/// What happened, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event {
    /// The blast valve was opened.
    ValveOpened,
    /// The blast valve was closed.
    ValveClosed,
    /// A compressor started.
    CompressorStarted {
        /// Which, from 1.
        number: usize,
    },
    /// A compressor stopped.
    CompressorStopped {
        /// Which, from 1.
        number: usize,
    },
    /// The regulator is fully open and its outlet falls below what it holds.
    HoldLost,
    /// The regulator holds again.
    HoldRegained,
}

/// The line at one instant; where something switches then, just after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Since the start.
    pub at: Time,
    /// Receiver pressure.
    pub receiver: GaugePressure,
    /// Nozzle inlet pressure; none with the valve closed.
    pub nozzle: Option<GaugePressure>,
    /// Regulator outlet pressure.
    pub regulator_out: GaugePressure,
    /// Air through the nozzle.
    pub flow: MassRate,
    /// Whether any compressor runs.
    pub compressor_on: bool,
    /// Whether the regulator is fully open, so that it does not hold its pressure.
    pub regulator_fully_open: bool,
}

/// The line in time.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// In order of time, at equal gaps and at every event. Where the valve moves there are two with
    /// the same time: just before and just after.
    pub samples: Vec<Sample>,
    /// In order of time.
    pub events: Vec<(Time, Event)>,
    /// Air that went through the nozzle.
    pub used: Mass,
    /// How long each compressor ran.
    pub ran: Vec<Time>,
    /// Blasting at the held pressure.
    pub held: Time,
    /// Blasting below it.
    pub lost: Time,
}

impl Trace {
    /// The line at a time: in straight lines between samples, just after where something switches.
    /// None before the first sample or after the last.
    #[must_use]
    pub fn at(&self, time: Time) -> Option<Sample> {
        let after = self.samples.partition_point(|sample| sample.at <= time);
        let before = self.samples[..after].last()?;
        let Some(next) = self.samples.get(after) else {
            return (before.at == time).then_some(*before);
        };
        let share = (time.to_base() - before.at.to_base()) / (next.at.to_base() - before.at.to_base());
        Some(between(before, next, share, time))
    }
}

fn between(before: &Sample, next: &Sample, share: f64, time: Time) -> Sample {
    let mix = |a: f64, b: f64| a + (b - a) * share;
    let gauge = |a: GaugePressure, b: GaugePressure| GaugePressure::clamped(mix(a.to_base(), b.to_base()));
    Sample {
        at: time,
        receiver: gauge(before.receiver, next.receiver),
        nozzle: before.nozzle.map(|nozzle| next.nozzle.map_or(nozzle, |next| gauge(nozzle, next))),
        regulator_out: gauge(before.regulator_out, next.regulator_out),
        flow: MassRate::clamped(mix(before.flow.to_base(), next.flow.to_base())),
        ..*before
    }
}
