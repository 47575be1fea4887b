//! What a network did in time: what is asked of the solver and what comes out.

use crate::energy::{RunningCost, running_cost};
use crate::ladder::UnknownStation;
use crate::network::Network;
use crate::trace::{Start, Valve};
use language::say;
use quantity::{Fraction, GaugePressure, Mass, MassRate, Power, Quantity, Temperature, Time};

/// How one station's blast valve is worked.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// The station's name.
    pub station: String,
    /// Stretches in order; closed behind the last.
    pub valves: Vec<Valve>,
    /// Whether they start over when they are through.
    pub repeats: bool,
}

impl Pattern {
    /// Open from start to end.
    #[must_use]
    pub fn held_open(station: &str) -> Self {
        Self::repeating(station, &[Valve { open: true, for_: Time::clamped(3600.0) }])
    }

    /// The same stretches over and over.
    #[must_use]
    pub fn repeating(station: &str, valves: &[Valve]) -> Self {
        Self { station: station.to_owned(), valves: valves.to_vec(), repeats: true }
    }
}

/// What a transient is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOptions {
    /// Receivers and compressors at the start; none: full, compressors stopped.
    pub start: Option<Start>,
    /// Time between samples; none: 600 samples in all.
    pub gap: Option<Time>,
    /// Gas in the receivers.
    pub tank: TankModel,
    /// Whether to end at the first loss of a hold.
    pub until_lost: bool,
}

impl Default for RunOptions {
    fn default() -> Self {
        Self { start: None, gap: None, tank: TankModel::Isothermal, until_lost: false }
    }
}

/// What the gas in a receiver does when it is let in and out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TankModel {
    /// It keeps 20 °C: right for slow changes.
    Isothermal,
    /// It keeps its energy, but for what the wall takes: `d(M cv T)/dt = m_in cp T_in - m_out cp T -
    /// UA (T - T_room)`. It starts at the room's temperature. Parts behind stay at 20 °C.
    EnergyBalance {
        /// Of the air that the compressors send in.
        inflow: Temperature,
        /// Of the room.
        room: Temperature,
    },
}

/// A network in time.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// In order of time, at equal gaps and at every event; two at one time where a valve moves.
    pub samples: Vec<Moment>,
    /// In order of time.
    pub events: Vec<(Time, Happening)>,
    /// Where the air went.
    pub balance: Balance,
    /// Each compressor, in the network's order.
    pub machines: Vec<MachineCourse>,
    /// Each station, in the network's order.
    pub stations: Vec<StationCourse>,
    /// How long it lasted: what was asked for, or to the first loss.
    pub length: Time,
}

/// The network at one instant; where something switches then, just after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// Since the start.
    pub at: Time,
    /// Pressure of each receiver, in the air's order.
    pub receivers: Vec<GaugePressure>,
    /// Gas in each receiver.
    pub gas: Vec<Temperature>,
    /// Which compressors run.
    pub running: Vec<bool>,
    /// Each station; none where its valve is closed.
    pub stations: Vec<Option<StationMoment>>,
}

/// An open station at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationMoment {
    /// At the nozzle's inlet.
    pub nozzle: GaugePressure,
    /// At the regulator's outlet.
    pub regulator_out: GaugePressure,
    /// Air through the nozzle.
    pub flow: MassRate,
    /// Whether the regulator holds.
    pub holds: bool,
}

/// What happened; numbers are places in the network's lists of stations and compressors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happening {
    /// A blast valve was opened.
    ValveOpened(usize),
    /// A blast valve was closed.
    ValveClosed(usize),
    /// A regulator is fully open and its outlet falls below what it holds.
    HoldLost(usize),
    /// A regulator holds again.
    HoldRegained(usize),
    /// A low-pressure switch shut a station off, until its valve is closed and opened again.
    Tripped(usize),
    /// A compressor started.
    Started(usize),
    /// A compressor stopped.
    Stopped(usize),
    /// A compressor reached its duty limit; with a thermal switch it stops.
    DutyReached(usize),
    /// A compressor stopped by its thermal switch is cold again.
    Cooled(usize),
}

/// Where the air went.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Delivered by the compressors.
    pub delivered: Mass,
    /// Through the nozzles.
    pub blasted: Mass,
    /// Blown off by dryers.
    pub purged: Mass,
    /// Lost through leaks.
    pub leaked: Mass,
    /// In the receivers at the start.
    pub stored_before: Mass,
    /// In the receivers at the end.
    pub stored_after: Mass,
    /// What is left over, as a share of all that moved: rounding.
    pub residual: f64,
}

/// One compressor over the whole time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MachineCourse {
    /// How long it ran.
    pub ran: Time,
    /// How often it started.
    pub starts: u32,
    /// Its share of the time.
    pub share: Fraction,
    /// Warmth at its highest, as a share of the duty limit; above 1 the limit was passed.
    pub warmest: f64,
    /// Electrical power while it runs.
    pub power: Power,
}

/// One station over the whole time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationCourse {
    /// Air through its nozzle.
    pub blasted: Mass,
    /// Blasting at the held pressure.
    pub held: Time,
    /// Blasting below it.
    pub lost: Time,
}

impl Course {
    /// The network at a time: in straight lines between samples. None outside.
    #[must_use]
    pub fn at(&self, time: Time) -> Option<Moment> {
        let after = self.samples.partition_point(|sample| sample.at <= time);
        let before = self.samples[..after].last()?;
        let Some(next) = self.samples.get(after) else {
            return (before.at == time).then(|| before.clone());
        };
        let share = (time.to_base() - before.at.to_base()) / (next.at.to_base() - before.at.to_base());
        Some(before.towards(next, share, time))
    }

    /// Energy that the compressors took, kWh.
    #[must_use]
    pub fn kilowatt_hours(&self) -> f64 {
        crate::energy::kilowatt_hours(self.machines.iter().map(|machine| (machine.power, machine.ran)))
    }

    /// What this work costs in energy, averaged over the whole time.
    ///
    /// * `price_per_kwh`: any money.
    #[must_use]
    pub fn cost(&self, price_per_kwh: f64) -> RunningCost {
        let hours = self.length.to_hours().max(f64::MIN_POSITIVE);
        let power = Power::clamped(self.kilowatt_hours() / hours * 1e3);
        let blasted = MassRate::clamped(self.balance.blasted.to_base() / (hours * 3600.0));
        running_cost(power, Fraction::clamped(1.0), blasted, price_per_kwh)
    }

    /// Starts of all compressors in an hour.
    #[must_use]
    pub fn starts_per_hour(&self) -> f64 {
        let starts: u32 = self.machines.iter().map(|machine| machine.starts).sum();
        f64::from(starts) / self.length.to_hours().max(1e-9)
    }

    /// When the first hold was lost.
    #[must_use]
    pub fn first_loss(&self) -> Option<Time> {
        self.events.iter().find(|(_, event)| matches!(event, Happening::HoldLost(_))).map(|(at, _)| *at)
    }
}

impl Moment {
    fn towards(&self, next: &Self, share: f64, at: Time) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * share;
        let gauge = |a: GaugePressure, b: GaugePressure| GaugePressure::clamped(mix(a.to_base(), b.to_base()));
        let pairs = self.receivers.iter().zip(&next.receivers);
        let gases = self.gas.iter().zip(&next.gas);
        let stations = self.stations.iter().zip(&next.stations).map(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => Some(StationMoment {
                nozzle: gauge(a.nozzle, b.nozzle),
                regulator_out: gauge(a.regulator_out, b.regulator_out),
                flow: MassRate::clamped(mix(a.flow.to_base(), b.flow.to_base())),
                holds: a.holds,
            }),
            _ => *a,
        });
        Self {
            at,
            receivers: pairs.map(|(&a, &b)| gauge(a, b)).collect(),
            gas: gases.map(|(a, b)| Temperature::clamped(mix(a.to_base(), b.to_base()))).collect(),
            running: self.running.clone(),
            stations: stations.collect(),
        }
    }
}

/// Why a transient was not computed, or given up.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CourseError {
    /// A pattern for a station that is not there.
    #[error(transparent)]
    Station(#[from] UnknownStation),
    /// Two patterns for one station.
    #[error("{}", say!("station \"{station}\" has two patterns; give it one"))]
    TwoPatterns {
        /// The station.
        station: String,
    },
    /// Nothing to compute.
    #[error("{}", say!("a run of no time; give how long"))]
    NoTime,
    /// A gap too small between samples.
    #[error("{}", say!("samples every {gap} are more than {most} in all; ask for a longer gap"))]
    TooManySamples {
        /// What was asked for.
        gap: Time,
        /// Most samples.
        most: u32,
    },
    /// Too much happens in too short a time.
    #[error(
        "{}",
        say!(
            "receiver \"{receiver}\": gave up after {steps} steps at {at}; a receiver this small switches too often: \
             check its volume, or ask for a shorter time"
        )
    )]
    TooManySteps {
        /// The first receiver.
        receiver: String,
        /// How far it got.
        at: Time,
        /// The bound.
        steps: u32,
    },
}

impl Network {
    /// The network in time, each station's valve worked by its pattern; stations without one stay
    /// closed.
    ///
    /// `dM1/dt = Σ S(p1) - L1 - m`, `dM2/dt = m - L2 - D(p2)`, `p = M R T / V`: the compressors that run, leaks, flow
    /// from the first receiver to the second (with one receiver, the demand itself), and the demand of the open stations
    /// from the balance of [`Network::steady`] at every instant. A compressor starts at its cut-in
    /// falling and stops at its cut-out rising, both in the first receiver, or when its duty limit stops
    /// it; see [`crate::machine::Duty`].
    ///
    /// Assumed: no air stored in pipes and hoses; parts at 20 °C; a check valve before each receiver;
    /// delivery by the first receiver's pressure, without what is lost in an aftercooler.
    ///
    /// Accuracy: exact while everything holds and delivery is constant; else 1 Pa a step (Dormand and
    /// Prince, order 5), demand from a table within 1e-4 of the held one. Mass is kept to rounding.
    /// Given up after 400 000 steps.
    ///
    /// Checked: systems A, B (both patterns) and C (both tanks) of air.md section 6, every row.
    ///
    /// # Errors
    /// [`CourseError`].
    pub fn run(&self, patterns: &[Pattern], for_: Time, options: &RunOptions) -> Result<Course, CourseError> {
        crate::engine::Engine::new(self, patterns, for_, options)?.run()
    }
}
