//! What a plan checked: data only. The words are in `words`.

use artwork::grid::Point;
use piece::Money;
use quantity::{Diameter, Estimate, Fraction, FreeFlow, GaugePressure, Length, MassRate, Time, Volume};
use reference::Source;
use safety::check::{About, Hazard, Mend, Value};

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// Within its limit over the whole range.
    Holds,
    /// Beyond its limit at one end of the range, or near it.
    Watch,
    /// Beyond its limit.
    Stop,
}

impl State {
    /// A word for files and styles, the same in every language.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Watch => "watch",
            Self::Stop => "stop",
        }
    }
}

/// One thing that the plan checked.
#[derive(Debug, Clone)]
pub struct Finding {
    /// What was checked.
    pub check: Check,
    /// How it came out.
    pub state: State,
    /// The number found, as a range where the model is uncertain.
    pub value: Amount,
    /// What it is held against.
    pub limit: Amount,
    /// What a sentence about a check of safety needs besides.
    pub about: Option<About>,
    /// Where the limit comes from.
    pub source: Source,
    /// Where on the blank, worst first, when it has a place.
    pub places: Vec<Point>,
    /// Changes that were computed to turn it, nearest first. Empty when it holds or none was found.
    pub remedies: Vec<Remedy>,
    /// Why it has no remedy, when it does not hold and has none.
    pub no_remedy: Option<NoRemedy>,
}

/// Why a finding has no remedy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoRemedy {
    /// Nothing of the piece, the recipe or the shop that a plan can change bears on it.
    NothingBears,
    /// What bears on it was tried, and nothing turns it without stopping something else.
    Tried {
        /// How many changes, alone and together.
        changes: usize,
        /// How many at a time at most.
        together: usize,
    },
}

/// What can be checked. The id in files and addresses is [`Check::id`].
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Check {
    /// The narrowest opening of a layer against what the grit enters and the resist yields.
    Opening {
        /// Name of the layer.
        layer: String,
    },
    /// The narrowest resist wall against what holds.
    Wall,
    /// Whether narrow parts of a layer reach its depth.
    NarrowDepth {
        /// Name of the layer.
        layer: String,
    },
    /// Wear of the resist against its permitted share.
    ResistWear,
    /// Depth against the blank's thickness.
    Thickness,
    /// The air's share of time against what the blast wants.
    AirHolds,
    /// A compressor whose plate states displacement, not delivered air.
    CompressorPlate {
        /// Its name.
        compressor: String,
    },
    /// Compressor running share against its duty limit.
    Duty,
    /// Nozzle pressure against the setting.
    NozzlePressure,
    /// The collector's flow against what the cabinet needs.
    Collector,
    /// Free silica in dust from this material or abrasive.
    Silica,
    /// The sheet's height or width against the roll.
    RollWidth,
    /// Something of the crate `safety`.
    Safety(Hazard),
    /// The artwork's reach around a tumbler against the way that its handle leaves free.
    Handle,
    /// Strain of a bowl's gores at their edges against what the film takes.
    Gores,
}

impl Check {
    /// A word for files and addresses.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Opening { .. } => "opening",
            Self::Wall => "wall",
            Self::NarrowDepth { .. } => "narrow_depth",
            Self::ResistWear => "resist_wear",
            Self::Thickness => "thickness",
            Self::AirHolds => "air_holds",
            Self::CompressorPlate { .. } => "compressor_plate",
            Self::Duty => "duty",
            Self::NozzlePressure => "nozzle_pressure",
            Self::Collector => "collector",
            Self::Silica => "silica",
            Self::RollWidth => "roll_width",
            Self::Safety(hazard) => hazard.id(),
            Self::Handle => "handle",
            Self::Gores => "gores",
        }
    }
}

/// A number of any kind that a finding can hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// A width, depth or thickness.
    Length(Estimate<Length>),
    /// A span of time.
    Time(Estimate<Time>),
    /// A gauge pressure.
    Pressure(Estimate<GaugePressure>),
    /// A flow of air by mass.
    Air(Estimate<MassRate>),
    /// A flow of air at the state of the room.
    FreeAir(Estimate<FreeFlow>),
    /// A share, 0 to 1.
    Share(Estimate<Fraction>),
    /// A ratio that may pass 1.
    Ratio(Estimate<f64>),
    /// A number of a check of safety; `None` for a yes or no, and where it is not known.
    Safety(Option<Value>),
}

/// Computed changes that turn a finding and stop nothing else.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// What to change: one thing, or two or three together where no single one will do. Never empty.
    pub changes: Vec<Change>,
    /// What marks it out among the others.
    pub mark: Option<Mark>,
    /// The state that the finding then has.
    pub gives: State,
    /// The number that it then has.
    pub value: Amount,
    /// Total time with the changes, less the total time without, in seconds; negative is quicker.
    pub time_s: f64,
    /// Cost of one piece with them, less that without; what has to be bought is not in it.
    pub cost: Money,
    /// Other checks whose state they change, the worst first.
    pub others: Vec<Turned>,
}

/// What marks a remedy out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// The thinnest resist of the shop with which the artwork's widths hold.
    ThinnestResist,
    /// The smallest drawing at which all of the artwork's widths hold.
    SmallestDrawing,
}

/// A check whose state a change turns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turned {
    /// Which.
    pub check: Check,
    /// Its state before; one that was not made held.
    pub from: State,
    /// Its state after.
    pub to: State,
}

/// A change to a piece or its recipe.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Change {
    /// Set the regulator to this.
    Pressure(GaugePressure),
    /// Hold the nozzle this far from the work.
    Standoff(Length),
    /// Use this nozzle of the shop.
    Nozzle(String),
    /// Use this resist of the shop, by id.
    Resist(String),
    /// Use this abrasive and grit of the shop, by id and grit name.
    Abrasive(String, String),
    /// Use this abrasive and grit of the shop, by id and grit name, for so many stages counted from the last.
    Finish(String, String, usize),
    /// Make every depth at most this.
    Depth(Length),
    /// Make one layer this deep.
    LayerDepth(String, Length),
    /// Draw the artwork this wide.
    Width(Length),
    /// Use a blank this thick.
    BlankThickness(Length),
    /// Fit a collector that draws this much free air.
    Collector(FreeFlow),
    /// Something that betters a check of safety.
    Safety(Mend),
    /// Write what a compressor delivers, once it was timed, in place of what its plate says.
    Delivered(String, FreeFlow),
    /// Buy this resist, by id, and use it.
    BuyResist(String),
    /// Buy this abrasive and grit, by id and grit name, and use it.
    BuyAbrasive(String, String),
    /// Buy a nozzle of this bore and use it.
    BuyNozzle(Diameter),
    /// Fit a blast hose of this bore.
    Hose(Diameter),
    /// Fit receivers of this volume in all.
    Receiver(Volume),
    /// Fit a compressor that delivers this in place of the first.
    Compressor(FreeFlow),
    /// Cut a bowl's film into this many gores.
    Gores(usize),
}

/// What a change costs before the first piece is made, by kind: no table holds prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outlay {
    /// Nothing is bought: another setting, another size, another way to work.
    Nothing,
    /// A roll, a bag, a blank.
    Consumable,
    /// A nozzle, a hose, a guard, something worn.
    Part,
    /// A compressor, a receiver, a collector.
    Machine,
}

impl Outlay {
    /// A word for files.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Consumable => "consumable",
            Self::Part => "part",
            Self::Machine => "machine",
        }
    }
}

impl Change {
    /// What it costs before the first piece is made.
    #[must_use]
    pub const fn outlay(&self) -> Outlay {
        match self {
            Self::Pressure(_)
            | Self::Standoff(_)
            | Self::Nozzle(_)
            | Self::Resist(_)
            | Self::Abrasive(..)
            | Self::Finish(..)
            | Self::Depth(_)
            | Self::LayerDepth(..)
            | Self::Width(_)
            | Self::Delivered(..)
            | Self::Gores(_) => Outlay::Nothing,
            Self::BlankThickness(_) | Self::BuyResist(_) | Self::BuyAbrasive(..) => Outlay::Consumable,
            Self::BuyNozzle(_) | Self::Hose(_) => Outlay::Part,
            Self::Collector(_) | Self::Receiver(_) | Self::Compressor(_) => Outlay::Machine,
            Self::Safety(mend) => of_mend(*mend),
        }
    }
}

const fn of_mend(mend: Mend) -> Outlay {
    match mend {
        Mend::DoorWait(_)
        | Mend::Blasting(_)
        | Mend::Relief(_)
        | Mend::CutOut(_)
        | Mend::Untie
        | Mend::Cleaning(_)
        | Mend::Depth(_)
        | Mend::SinglePane
        | Mend::Seam => Outlay::Nothing,
        Mend::Thickness(_) => Outlay::Consumable,
        Mend::Collector(_) | Mend::OwnCollector | Mend::OwnAir | Mend::PotRated(_) => Outlay::Machine,
        _ => Outlay::Part,
    }
}
