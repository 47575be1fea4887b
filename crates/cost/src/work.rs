//! What one piece takes.

use crate::risk::Risk;
use language::{say, told};
use piece::Money;
use quantity::{Estimate, Time};

/// What one piece takes, at the middle of the blast's range. Whatever grows with the blast says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// The blank; nothing when the customer brings it.
    pub blank: Money,
    /// Resist, tape, abrasive, nozzle.
    pub materials: Vec<Material>,
    /// What hands do, in the order of the work.
    pub tasks: Vec<Task>,
    /// Electricity.
    pub energy: Vec<Energy>,
    /// Hours of machines.
    pub equipment: Vec<Equipment>,
    /// Nozzle open, over the model's spread.
    pub blast: Estimate<Time>,
    /// How likely it spoils, by the plan alone.
    pub risk: Risk,
}

/// A material.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// What it is.
    pub name: MaterialName,
    /// Of what one piece takes.
    pub price: Money,
    /// Whether twice the blast takes twice as much: abrasive and nozzles do.
    pub grows: bool,
}

/// What a material is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MaterialName {
    /// As the tables call it, with the grade that is bought of it.
    Table {
        /// In English: it is shown in the language of who reads it.
        name: String,
        /// `F150`.
        grade: Option<String>,
    },
    /// What carries a cut stencil onto the piece.
    TransferTape,
    /// Wear of the nozzle of this name.
    NozzleWear(String),
}

impl MaterialName {
    /// In words.
    #[must_use]
    pub fn shown(&self) -> String {
        match self {
            Self::Table { name, grade: None } => told(name).to_owned(),
            Self::Table { name, grade: Some(grade) } => format!("{} {grade}", told(name)),
            Self::TransferTape => say!("Transfer tape").to_owned(),
            Self::NozzleWear(name) => say!("Nozzle wear, {name}"),
        }
    }
}

/// Hand time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Task {
    /// What is done.
    pub kind: TaskKind,
    /// How long.
    pub time: Time,
}

/// What hands do: the run strip's own blocks, and what is done once for an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TaskKind {
    /// Mask, tape, lay the stencil.
    Prepare,
    /// Lift resist.
    Weed,
    /// Nozzle open.
    Blast,
    /// Wait for air.
    Rest,
    /// Wait for dust to clear.
    Clear,
    /// Peel and wash.
    Finish,
    /// Artwork, cutting, packing: once for an order.
    Order,
}

impl TaskKind {
    /// In the order of the work.
    pub const ALL: [Self; 7] =
        [Self::Order, Self::Prepare, Self::Weed, Self::Blast, Self::Rest, Self::Clear, Self::Finish];

    /// Whether hands are free for other work meanwhile.
    #[must_use]
    pub const fn is_waiting(self) -> bool {
        matches!(self, Self::Rest | Self::Clear)
    }

    /// In words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Prepare => say!(in "a task", "mask and lay the stencil"),
            Self::Weed => say!(in "a task", "weed"),
            Self::Blast => say!(in "a task", "blast"),
            Self::Rest => say!(in "a task", "rest for air"),
            Self::Clear => say!(in "a task", "wait for dust"),
            Self::Finish => say!(in "a task", "peel and wash"),
            Self::Order => say!(in "a task", "artwork, cutting, packing"),
        }
    }
}

/// Electricity of a drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Energy {
    /// Whose.
    pub of: Drive,
    /// Kilowatt-hours for one piece.
    pub kwh: f64,
    /// Kilowatt-hours more for each hour that the blast takes longer.
    pub kwh_per_blast_hour: f64,
}

/// What draws electricity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drive {
    /// The compressors.
    Compressor,
    /// The collector.
    Collector,
}

/// Hours of a machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equipment {
    /// Which.
    pub gear: Gear,
    /// In use for one piece.
    pub time: Time,
    /// Hours more for each hour that the blast takes longer.
    pub per_blast_hour: f64,
}

/// A machine that is charged by the hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gear {
    /// Cabinet and collector.
    Cabinet,
    /// Compressors.
    Compressor,
}

impl Work {
    /// Hours that a blast of `stretch` times the middle takes more.
    pub(crate) fn more_hours(&self, stretch: f64) -> f64 {
        self.blast.mid().to_hours() * (stretch - 1.0)
    }

    /// A blast at the low, middle and high of its range, as shares of the middle.
    pub(crate) fn stretches(&self) -> [f64; 3] {
        let mid = self.blast.mid().to_seconds().max(1e-9);
        [self.blast.low(), self.blast.mid(), self.blast.high()].map(|time| time.to_seconds() / mid)
    }
}
