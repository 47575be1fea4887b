//! The class, many times over.

use crate::class::Class;
use crate::pace::Pace;
use crate::queue::{self, Day, Job, Place, QueueError, Visit};
use crate::statistics::{Mean, share};
use crate::supply::{AirDay, Supply, SupplyError};
use language::say;
use quantity::{Estimate, Fraction, GaugePressure, Quantity as _, Time};

/// How the class is run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Running {
    /// How often, 2 to 100 000. A quarter of the interval's width takes sixteen times as many.
    pub replications: u32,
    /// Another seed, other students.
    pub seed: u64,
}

impl Default for Running {
    fn default() -> Self {
        Self { replications: 400, seed: 1 }
    }
}

/// Why a class cannot be simulated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ClassError {
    /// Too few for an interval, or too many.
    #[error("{}", say!("{given} replications; give 2 to 100000"))]
    Replications {
        /// As asked for.
        given: u32,
    },
    /// The queue's own complaint.
    #[error(transparent)]
    Queue(#[from] QueueError),
    /// The air's own complaint.
    #[error("{}", say!("air: {fault}", fault = _0))]
    Supply(#[from] SupplyError),
}

/// What a class comes to. Times count from the class's beginning.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// How often it was run.
    pub replications: u32,
    /// When the last student is done, on average.
    pub end: Mean<Time>,
    /// The same in 90 of 100 such classes.
    pub end_spread: Estimate<Time>,
    /// Share of classes that end on time.
    pub on_time: Mean<Fraction>,
    /// Whether the share wanted is reached, at the lower end of its interval.
    pub holds: bool,
    /// From a student's beginning to the end of their last piece.
    pub student: Mean<Time>,
    /// Of that, waiting in queues.
    pub waiting: Mean<Time>,
    /// Pieces done in each hour between the first beginning and the end.
    pub pieces_per_hour: Mean<f64>,
    /// In the class's order.
    pub stations: Vec<StationOutcome>,
    /// What the air does; `None` when nothing is blasted.
    pub air: Option<AirOutcome>,
}

/// What happens at one kind of station.
#[derive(Debug, Clone, PartialEq)]
pub struct StationOutcome {
    /// Its name.
    pub name: String,
    /// Wait of each visit.
    pub wait: Mean<Time>,
    /// Longest wait of a class.
    pub longest_wait: Mean<Time>,
    /// Most that stood in the queue at a time.
    pub queue_most: Mean<f64>,
    /// Share of the time, from the first beginning to the end, that one is in use.
    pub busy: Mean<Fraction>,
}

/// What the air does.
#[derive(Debug, Clone, PartialEq)]
pub struct AirOutcome {
    /// How long the busiest compressor runs.
    pub ran: Mean<Time>,
    /// Share of the time from the first beginning to the end.
    pub share: Mean<Fraction>,
    /// Its limit: the least of the compressors'.
    pub limit: Fraction,
    /// Nozzles that can be open at a time; fewer than the cabinets where the line holds no more.
    pub at_once: usize,
    /// Receiver pressure at which all of these are shut.
    pub shut_at: GaugePressure,
    /// And that at which they open again: full.
    pub open_at: GaugePressure,
    /// Starts of compressors.
    pub starts: Mean<f64>,
    /// How often all nozzles are shut until the receiver is full.
    pub rests: Mean<f64>,
    /// Time that nozzles stand shut for want of air, summed over them.
    pub rested: Mean<Time>,
    /// Lowest pressure in the receiver.
    pub lowest: Mean<GaugePressure>,
    /// Nozzle time, summed over the cabinets.
    pub blasted: Mean<Time>,
    /// Electrical energy of the compressors, kWh.
    pub energy_kwh: Mean<f64>,
    /// Air through the nozzles, kg.
    pub used_kg: Mean<f64>,
}

/// Simulates the class.
///
/// Independent replications with common draws: see [`crate::statistics`] for the intervals. Without a supply nothing
/// is blasted, or the air is taken to have no end.
///
/// Checked: waits in the queue of [`queue`](mod@crate::queue) agree with M/M/c and M/D/1 ([`crate::erlang`]); the air
/// with `air`'s own run.
///
/// # Errors
/// [`ClassError`].
pub fn simulate(class: &Class, supply: Option<&Supply>, running: Running) -> Result<Outcome, ClassError> {
    if !(2..=100_000).contains(&running.replications) {
        return Err(ClassError::Replications { given: running.replications });
    }
    let days = (0..running.replications).map(|replication| {
        let pace = |student| Pace::of(running.seed, replication, student);
        queue::run(&places(class), &jobs(class, pace), supply)
    });
    let days: Vec<Day> = days.collect::<Result<_, _>>()?;
    Ok(outcome(class, supply, &days))
}

pub(crate) fn places(class: &Class) -> Vec<Place> {
    let place = |station: &crate::Station| Place { servers: station.count as usize, holds: station.holds as usize };
    class.stations.iter().map(place).collect()
}

/// One job for each student: all pieces, step by step.
pub(crate) fn jobs(class: &Class, pace: impl Fn(u32) -> Pace) -> Vec<Job> {
    let job = |student: u32| {
        let mut pace = pace(student);
        let visits = (0..class.pieces_each).flat_map(|_| piece(class, &mut pace)).collect();
        let arrives_s = class.talk.to_seconds() + f64::from(student) * class.stagger.to_seconds();
        Job { arrives_s, visits }
    };
    (0..class.students).map(job).collect()
}

fn piece(class: &Class, pace: &mut Pace) -> Vec<Visit> {
    // What is done before the class is drawn all the same, so that the rest stays as it was.
    let visit = |step: &crate::Step| {
        let spread = step.spread.to_ratio();
        let hands_s = pace.time_s(step.hands.to_seconds(), spread);
        let blast_s = pace.time_s(step.blast.to_seconds(), spread);
        let after_s = if blast_s > 0.0 { class.blast.door.to_seconds() } else { 0.0 };
        (!step.done).then_some(Visit { place: step.station, hands_s, blast_s, after_s })
    };
    class.steps.iter().filter_map(visit).collect()
}

fn outcome(class: &Class, supply: Option<&Supply>, days: &[Day]) -> Outcome {
    let mean = |of: &dyn Fn(&Day) -> f64| Mean::of(&days.iter().map(of).collect::<Vec<_>>());
    let mut ends: Vec<f64> = days.iter().map(Day::end_s).collect();
    let in_time = ends.iter().filter(|end| **end <= class.length.to_seconds()).count();
    let on_time = share(in_time, days.len());
    let from_s = class.talk.to_seconds();
    let (students, pieces) = (f64::from(class.students), f64::from(class.pieces()));
    let waits = |day: &Day| day.stays.iter().map(|stay| stay.began_s - stay.queued_s).sum::<f64>() / students;
    let stations = (0..class.stations.len()).map(|station| station_outcome(class, station, days));
    Outcome {
        replications: days.len() as u32,
        end: mean(&Day::end_s).as_quantity(),
        on_time: on_time.as_quantity(),
        holds: on_time.low >= class.sure.to_ratio(),
        student: mean(&|day| in_class_s(class, day)).as_quantity(),
        waiting: mean(&waits).as_quantity(),
        pieces_per_hour: mean(&|day| 3600.0 * pieces / (day.end_s() - from_s).max(1.0)),
        stations: stations.collect(),
        air: supply.and_then(|supply| air_outcome(class, supply, days)),
        // The samples are in order only from here on.
        end_spread: Estimate::from_samples(&mut ends).unwrap_or(Estimate::exact(class.length)),
    }
}

/// From a student's beginning to the end of their last piece, on average.
fn in_class_s(class: &Class, day: &Day) -> f64 {
    let mut ends = vec![0.0_f64; class.students as usize];
    for stay in &day.stays {
        ends[stay.job] = ends[stay.job].max(stay.ended_s);
    }
    let began = |student: usize| class.talk.to_seconds() + student as f64 * class.stagger.to_seconds();
    ends.iter().enumerate().map(|(student, end)| end - began(student)).sum::<f64>() / ends.len().max(1) as f64
}

fn station_outcome(class: &Class, station: usize, days: &[Day]) -> StationOutcome {
    let it = &class.stations[station];
    let from_s = class.talk.to_seconds();
    let (mut waits, mut longest, mut most, mut busy) = (vec![], vec![], vec![], vec![]);
    for day in days {
        let stays: Vec<&queue::Stay> = day.stays.iter().filter(|stay| stay.place == station).collect();
        let wait = |stay: &&queue::Stay| stay.began_s - stay.queued_s;
        waits.push(stays.iter().map(wait).sum::<f64>() / stays.len().max(1) as f64);
        longest.push(stays.iter().map(wait).fold(0.0, f64::max));
        most.push(queue_most(&stays));
        busy.push(in_use_s(&stays) / (f64::from(it.count) * (day.end_s() - from_s).max(1.0)));
    }
    StationOutcome {
        name: it.name.clone(),
        wait: Mean::of(&waits).as_quantity(),
        longest_wait: Mean::of(&longest).as_quantity(),
        queue_most: Mean::of(&most),
        busy: Mean::of(&busy).as_quantity(),
    }
}

/// Most that wait at the same time.
fn queue_most(stays: &[&queue::Stay]) -> f64 {
    let waited = stays.iter().filter(|stay| stay.began_s > stay.queued_s);
    let mut moves: Vec<(f64, i32)> = waited.flat_map(|stay| [(stay.queued_s, 1), (stay.began_s, -1)]).collect();
    // Who leaves the queue at an instant goes before who joins it.
    moves.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut now = 0;
    f64::from(
        moves
            .iter()
            .map(|(_, step)| {
                now += step;
                now
            })
            .max()
            .unwrap_or(0),
    )
}

/// Server time; a load counts once.
fn in_use_s(stays: &[&queue::Stay]) -> f64 {
    let mut loads: Vec<(usize, f64, f64)> =
        stays.iter().map(|stay| (stay.server, stay.began_s, stay.ended_s)).collect();
    loads.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    loads.dedup_by(|a, b| a.0 == b.0 && a.1 == b.1);
    loads.iter().map(|(_, began, ended)| ended - began).sum()
}

fn air_outcome(class: &Class, supply: &Supply, days: &[Day]) -> Option<AirOutcome> {
    let from_s = class.talk.to_seconds();
    let at_once = class.cabinets().clamp(1, supply.most());
    let airs: Vec<(&AirDay, f64)> = days.iter().filter_map(|day| Some((day.air.as_ref()?, day.end_s()))).collect();
    if airs.iter().all(|(air, _)| air.blasted_s <= 0.0) {
        return None;
    }
    let mean = |of: &dyn Fn(&AirDay) -> f64| Mean::of(&airs.iter().map(|(air, _)| of(air)).collect::<Vec<_>>());
    let busiest = |air: &AirDay| air.ran_s.iter().copied().fold(0.0, f64::max);
    let shares: Vec<f64> = airs.iter().map(|(air, end)| busiest(air) / (end - from_s).max(1.0)).collect();
    let kwh = |air: &AirDay| {
        let machines = supply.pumps.iter().zip(&air.ran_s);
        machines.map(|(pump, ran)| pump.power.to_kilowatts() * ran / 3600.0).sum::<f64>()
    };
    Some(AirOutcome {
        ran: mean(&busiest).as_quantity(),
        share: Mean::of(&shares).as_quantity(),
        limit: Fraction::clamped(supply.pumps.iter().map(|pump| pump.duty.to_ratio()).fold(1.0, f64::min)),
        at_once,
        shut_at: supply.levels[at_once - 1].holds_from,
        open_at: supply.full(),
        starts: mean(&|air| f64::from(air.starts)),
        rests: mean(&|air| f64::from(air.rests)),
        rested: mean(&|air| air.rested_s).as_quantity(),
        lowest: mean(&|air| air.lowest_pa).as_quantity(),
        blasted: mean(&|air| air.blasted_s).as_quantity(),
        energy_kwh: mean(&kwh),
        used_kg: mean(&|air| air.used_kg),
    })
}

/// End of a changed class less that of the class, seconds, replication by replication under the same draws.
pub(crate) fn ends_apart_s(
    class: &Class,
    changed: &Class,
    supply: Option<&Supply>,
    running: Running,
) -> Result<Mean<f64>, ClassError> {
    let end_s = |class: &Class, replication: u32| {
        let pace = |student| Pace::of(running.seed, replication, student);
        queue::run(&places(class), &jobs(class, pace), supply).map(|day| day.end_s())
    };
    let apart = (0..running.replications).map(|at| Ok(end_s(changed, at)? - end_s(class, at)?));
    Ok(Mean::of(&apart.collect::<Result<Vec<f64>, QueueError>>()?))
}
