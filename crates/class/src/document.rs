//! A class as JSON and CSV: units in the key names.

use crate::change::{Search, Tried};
use crate::class::Class;
use crate::rotation::Rotation;
use crate::shopping::Shopping;
use crate::simulate::{AirOutcome, Outcome, StationOutcome};
use crate::statistics::Mean;
use crate::words;
use quantity::{Fraction, GaugePressure, Time};
use serde::Serialize;

/// What `sabulo class --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct ClassDocument {
    /// What this is.
    pub sabulo: &'static str,
    /// Name of the class.
    pub name: String,
    /// Students.
    pub students: u32,
    /// Pieces of all students.
    pub pieces: u32,
    /// How often it was simulated.
    pub replications: u32,
    /// Length of the class, minutes.
    pub length_min: f64,
    /// When the last is done: mean and its 95 % interval, minutes from the beginning.
    pub end_min: Interval,
    /// 5th, 50th and 95th percentile of the same.
    pub end_percentiles_min: [f64; 3],
    /// Share of classes on time.
    pub on_time: Interval,
    /// Whether that is as sure as wanted.
    pub holds: bool,
    /// From a student's beginning to the end of the last piece, minutes.
    pub student_min: Interval,
    /// Of that in queues, minutes.
    pub waiting_min: Interval,
    /// Pieces in each hour.
    pub pieces_per_hour: Interval,
    /// Each kind of station.
    pub stations: Vec<StationEntry>,
    /// The air.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air: Option<AirEntry>,
    /// What to buy.
    pub shopping: Vec<ItemEntry>,
    /// Of all of it.
    pub shopping_total: String,
    /// Currency of amounts, ISO 4217.
    pub currency: String,
    /// Sets of changes that were tried.
    pub changes_tried: usize,
    /// Those that end on time, the cheapest first.
    pub changes: Vec<ChangeEntry>,
    /// When none does, those that end earliest.
    pub changes_nearest: Vec<ChangeEntry>,
    /// Who is where when, at mean times.
    pub rotation: Vec<BlockEntry>,
}

/// A mean with its 95 % confidence interval.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Mean.
    pub mean: f64,
    /// Upper end.
    pub high: f64,
}

/// A kind of station.
#[derive(Debug, Clone, Serialize)]
pub struct StationEntry {
    /// Its name.
    pub name: String,
    /// Wait of a visit, minutes.
    pub wait_min: Interval,
    /// Longest wait of a class, minutes.
    pub longest_wait_min: Interval,
    /// Most in the queue.
    pub queue_most: Interval,
    /// Share of the time in use.
    pub busy: Interval,
}

/// The air.
#[derive(Debug, Clone, Serialize)]
pub struct AirEntry {
    /// The busiest compressor runs, minutes.
    pub ran_min: Interval,
    /// Share of the time.
    pub duty: Interval,
    /// Its limit.
    pub duty_limit: f64,
    /// Nozzles that can be open at a time.
    pub nozzles_at_once: usize,
    /// Receiver pressure at which all shut, kPa gauge.
    pub shut_at_kpa: f64,
    /// And at which they open again, kPa gauge.
    pub open_at_kpa: f64,
    /// Starts.
    pub starts: Interval,
    /// Rests of all nozzles.
    pub rests: Interval,
    /// Nozzles shut for want of air, minutes.
    pub rested_min: Interval,
    /// Lowest receiver pressure, kPa gauge.
    pub lowest_kpa: Interval,
    /// Nozzle time, minutes.
    pub blasted_min: Interval,
    /// Energy of the compressors, kWh.
    pub energy_kwh: Interval,
}

/// Something to buy.
#[derive(Debug, Clone, Serialize)]
pub struct ItemEntry {
    /// What.
    pub name: String,
    /// How much is needed.
    pub needed: f64,
    /// In this.
    pub unit: String,
    /// Packs to buy.
    pub packs: u64,
    /// Of so much.
    pub pack: f64,
    /// For this.
    pub price: String,
}

/// A set of changes.
#[derive(Debug, Clone, Serialize)]
pub struct ChangeEntry {
    /// In words.
    pub words: String,
    /// What they cost.
    pub cost: String,
    /// Whether students get less.
    pub gives_up: bool,
    /// Share on time with them.
    pub on_time: Interval,
    /// End with them, minutes.
    pub end_min: Interval,
    /// End with them less end without, minutes.
    pub end_difference_min: Interval,
}

/// A stay at a station.
#[derive(Debug, Clone, Serialize)]
pub struct BlockEntry {
    /// From 1.
    pub student: u32,
    /// From 1.
    pub piece: u32,
    /// What is done.
    pub step: String,
    /// Where.
    pub place: String,
    /// On the clock.
    pub from: String,
    /// On the clock.
    pub to: String,
    /// Before it, minutes.
    pub wait_min: f64,
}

impl ClassDocument {
    /// All of a class.
    #[must_use]
    pub fn new(
        class: &Class,
        outcome: &Outcome,
        search: Option<&Search>,
        shopping: &Shopping,
        rotation: &Rotation,
        currency: &str,
    ) -> Self {
        let changes = |of: fn(&Search) -> &[Tried]| {
            let tried = search.map(of).unwrap_or_default();
            tried.iter().map(|tried| change(class, tried)).collect()
        };
        let spread = outcome.end_spread;
        Self {
            sabulo: "class-outcome 1",
            name: class.name.clone(),
            students: class.students,
            pieces: class.pieces(),
            replications: outcome.replications,
            length_min: class.length.to_minutes(),
            end_min: minutes(outcome.end),
            end_percentiles_min: [spread.low(), spread.mid(), spread.high()].map(Time::to_minutes),
            on_time: of_share(outcome.on_time),
            holds: outcome.holds,
            student_min: minutes(outcome.student),
            waiting_min: minutes(outcome.waiting),
            pieces_per_hour: interval(outcome.pieces_per_hour),
            stations: outcome.stations.iter().map(station).collect(),
            air: outcome.air.as_ref().map(air),
            shopping: shopping.items.iter().map(item).collect(),
            shopping_total: shopping.total.to_string(),
            currency: currency.to_owned(),
            changes_tried: search.map_or(0, |search| search.tried),
            changes: changes(|search| &search.on_time),
            changes_nearest: changes(|search| &search.nearest),
            rotation: blocks(class, rotation),
        }
    }

    /// The rotation as comma-separated values.
    ///
    /// # Errors
    /// None in practice: it is written to memory.
    pub fn rotation_csv(&self) -> Result<String, csv::Error> {
        written(&self.rotation)
    }

    /// What to buy as comma-separated values.
    ///
    /// # Errors
    /// None in practice: it is written to memory.
    pub fn shopping_csv(&self) -> Result<String, csv::Error> {
        written(&self.shopping)
    }
}

fn written(rows: &[impl Serialize]) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    rows.iter().try_for_each(|row| writer.serialize(row))?;
    let bytes = writer.into_inner().map_err(|fault| csv::Error::from(fault.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

const fn interval(mean: Mean<f64>) -> Interval {
    Interval { low: mean.low, mean: mean.mid, high: mean.high }
}

fn minutes(mean: Mean<Time>) -> Interval {
    interval(mean.map(Time::to_minutes))
}

fn of_share(mean: Mean<Fraction>) -> Interval {
    interval(mean.map(Fraction::to_ratio))
}

fn station(outcome: &StationOutcome) -> StationEntry {
    StationEntry {
        name: outcome.name.clone(),
        wait_min: minutes(outcome.wait),
        longest_wait_min: minutes(outcome.longest_wait),
        queue_most: interval(outcome.queue_most),
        busy: of_share(outcome.busy),
    }
}

fn air(air: &AirOutcome) -> AirEntry {
    AirEntry {
        ran_min: minutes(air.ran),
        duty: of_share(air.share),
        duty_limit: air.limit.to_ratio(),
        nozzles_at_once: air.at_once,
        shut_at_kpa: air.shut_at.to_kpa(),
        open_at_kpa: air.open_at.to_kpa(),
        starts: interval(air.starts),
        rests: interval(air.rests),
        rested_min: minutes(air.rested),
        lowest_kpa: interval(air.lowest.map(GaugePressure::to_kpa)),
        blasted_min: minutes(air.blasted),
        energy_kwh: interval(air.energy_kwh),
    }
}

fn item(item: &crate::Item) -> ItemEntry {
    ItemEntry {
        name: item.name.english(),
        needed: item.needed,
        unit: item.unit.clone(),
        packs: item.packs,
        pack: item.pack,
        price: item.price.to_string(),
    }
}

fn change(class: &Class, tried: &Tried) -> ChangeEntry {
    ChangeEntry {
        words: words::changes(class, &tried.changes),
        cost: tried.cost.to_string(),
        gives_up: tried.gives_up,
        on_time: of_share(tried.on_time),
        end_min: minutes(tried.end),
        end_difference_min: interval(tried.earlier_s.map(|s| s / 60.0)),
    }
}

fn blocks(class: &Class, rotation: &Rotation) -> Vec<BlockEntry> {
    let of_row = |row: &crate::Row| {
        let student = row.student;
        let entry = move |block: &crate::Block| BlockEntry {
            student,
            piece: block.piece,
            step: class.steps[block.step].name.clone(),
            place: class.place_name(block.station, block.place),
            from: class.clock(block.from),
            to: class.clock(block.to),
            wait_min: block.from.to_minutes() - block.queued.to_minutes(),
        };
        row.blocks.iter().map(entry).collect::<Vec<_>>()
    };
    rotation.rows.iter().flat_map(of_row).collect()
}
