//! What a plan is: values only. Words are made in `words`, files in the crates that write them.

use crate::finding::{Finding, State};
use crate::narrowing::Narrowing;
use artwork::depth::DepthNote;
use artwork::grid::{Field, Point};
use artwork::note::Note;
use artwork::region::Region;
use piece::{Body, Finish, Money, Piece, ShopNozzle, Side};
use quantity::{Area, Estimate, Fraction, GaugePressure, Length, Mass, MassRate, Speed, Time, UnitSystem};
use reference::{Abrasive, Grit, Name, Resist};
use safety::Caution;
use safety::check::Checked;
use stencil::masking::MaskingPlan;

/// A plan for one piece in one shop.
#[derive(Debug, Clone)]
pub struct Plan {
    /// What was asked for.
    pub piece: Piece,
    /// Name of the shop.
    pub shop: String,
    /// Units that the shop reads.
    pub units: UnitSystem,
    /// What is used.
    pub recipe: Recipe,
    /// The artwork's depth layers, deepest first.
    pub layers: Vec<LayerPlan>,
    /// In the order in which they are done.
    pub stages: Vec<Stage>,
    /// What the air line does.
    pub air: AirPlan,
    /// What the resist takes.
    pub resist: ResistPlan,
    /// Every resist of the shop under this blast: the one used first.
    pub resists: Vec<ResistOption>,
    /// What is covered around the stencil.
    pub masking: MaskingPlan,
    /// Worst first.
    pub findings: Vec<Finding>,
    /// What was done to the artwork while it was read, and what its depths leave covered.
    pub notes: Notes,
    /// Everything on one time axis.
    pub strip: RunStrip,
    /// What one piece uses up.
    pub consumables: Vec<Consumable>,
    /// Of one piece.
    pub time: Times,
    /// Of the whole order and of one piece.
    pub cost: Cost,
    /// For each uncertain number the measurement that would narrow it most.
    pub narrowing: Vec<Narrowing>,
    /// What one piece takes: what the crate `cost` quotes from.
    pub work: cost::Work,
    /// What can hurt, chosen for this piece and shop.
    pub cautions: Vec<Caution>,
    /// Every check of safety, also what is within its limit or not told, in the order of the hazards.
    pub safety: Vec<Checked>,
    /// The carved surface.
    pub relief: Relief,
}

/// What a reader did on its own, and what the table of depths does perhaps unmeant.
#[derive(Debug, Clone, Default)]
pub struct Notes {
    /// Of the reader: gaps closed, fonts replaced, what was left out.
    pub reading: Vec<Note>,
    /// Of the depths.
    pub depths: Vec<DepthNote>,
}

/// What is used to make a piece.
#[derive(Debug, Clone)]
pub struct Recipe {
    /// The resist.
    pub resist: &'static Resist,
    /// The abrasive.
    pub abrasive: &'static Abrasive,
    /// Its grit.
    pub grit: &'static Grit,
    /// Another abrasive for the last stages.
    pub finish: Option<Finish>,
    /// The nozzle.
    pub nozzle: ShopNozzle,
    /// What the regulator is set to.
    pub pressure: GaugePressure,
    /// From the nozzle to the work.
    pub standoff: Length,
    /// Speed of the median grain at the work.
    pub grain_speed: Estimate<Speed>,
}

impl Recipe {
    /// The same with one abrasive throughout.
    #[must_use]
    pub fn with_abrasive(&self, abrasive: &'static Abrasive, grit: &'static Grit) -> Self {
        Self { abrasive, grit, finish: None, ..self.clone() }
    }

    /// Its abrasives in the order of their use.
    pub fn abrasives(&self) -> impl Iterator<Item = (&'static Abrasive, &'static Grit)> {
        let finish = self.finish.map(|finish| (finish.abrasive, finish.grit));
        std::iter::once((self.abrasive, self.grit)).chain(finish)
    }

    /// The abrasive of a stage, counted from 0, of so many.
    #[must_use]
    pub fn abrasive_of(&self, stage: usize, count: usize) -> (&'static Abrasive, &'static Grit) {
        let finish = self.finish.filter(|finish| stage + finish.stages >= count);
        finish.map_or((self.abrasive, self.grit), |finish| (finish.abrasive, finish.grit))
    }
}

/// One depth layer of the artwork, as placed on the blank (not mirrored).
#[derive(Debug, Clone)]
pub struct LayerPlan {
    /// The group's id, or the colour.
    pub name: String,
    /// Depth wanted in its wide parts.
    pub target: Length,
    /// Where it is open.
    pub region: Region,
    /// How much that is.
    pub area: Area,
    /// What the forward simulation gives.
    pub reach: Reach,
}

/// What a layer reaches in the forward simulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// In its wide parts, over the model's spread; `mid` is what the stage times were set for.
    /// When no part is wide enough for a flat bottom this is the deepest line.
    pub wide: Estimate<Length>,
    /// Whether any part is wide enough for a flat bottom.
    pub has_flat: bool,
    /// Share of the layer's area whose middle line stays more than 10 % short of the target
    /// because the opening there is narrow.
    pub short: Fraction,
    /// The narrowest such place: where, how wide the opening is, how deep its middle gets.
    pub worst: Option<ShortSpot>,
}

/// A place too narrow to reach its depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShortSpot {
    /// Where on the blank.
    pub at: Point,
    /// Width of the opening there.
    pub opening: Length,
    /// Depth that its middle reaches.
    pub depth: Length,
}

/// One stage: weed, blast (with rests), and what is then deep.
#[derive(Debug, Clone)]
pub struct Stage {
    /// From 1.
    pub order: usize,
    /// Layers weeded before it, as indices into `Plan::layers`.
    pub opens: Vec<usize>,
    /// Depth that a wide opening gains in it.
    pub dose: Length,
    /// Blasted with.
    pub abrasive: &'static Abrasive,
    /// Its grit.
    pub grit: &'static Grit,
    /// Time to weed.
    pub weed: Time,
    /// Time with the nozzle open.
    pub blast: Time,
    /// Time resting for the air to come back.
    pub wait: Time,
    /// Depth in the wide parts of each layer open so far, when the stage ends, over the model's spread.
    pub depth: Vec<(usize, Estimate<Length>)>,
}

/// What the air line does under this recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct AirPlan {
    /// What the nozzle takes.
    pub demand: MassRate,
    /// What the compressors deliver at this site.
    pub available: MassRate,
    /// What the nozzle sees while the regulator holds.
    pub nozzle_pressure: GaugePressure,
    /// From a full receiver until the nozzle's pressure starts to fall; `None` without end.
    pub longest_blast: Option<Time>,
    /// From there to a full receiver.
    pub recovery: Time,
    /// Share of the work's time that the compressor runs.
    pub duty: Fraction,
    /// Largest share that it may.
    pub duty_limit: Fraction,
}

/// What the resist takes.
#[derive(Debug, Clone, PartialEq)]
pub struct ResistPlan {
    /// Blasting time until the resist is worn to its permitted share, over this piece's swept area.
    pub life: Estimate<Time>,
    /// Share of the permitted wear that the plan uses; above 1 it lets go.
    pub used: Estimate<f64>,
}

/// A resist of the shop under the plan's blast.
#[derive(Debug, Clone)]
pub struct ResistOption {
    /// Which.
    pub resist: &'static Resist,
    /// Whether the plan uses it.
    pub chosen: bool,
    /// The worst of its findings: what stops rules it out.
    pub state: State,
    /// Openings, walls, wear and width, without remedies; worst first.
    pub findings: Vec<Finding>,
    /// Share of its permitted wear that this blast uses.
    pub used: Estimate<f64>,
    /// Blasting time to its permitted wear.
    pub life: Estimate<Time>,
    /// Total time with it less the plan's, seconds.
    pub extra_s: f64,
}

/// Everything that happens, on one time axis that starts at the first cut of the knife.
#[derive(Debug, Clone, PartialEq)]
pub struct RunStrip {
    /// Length of the axis.
    pub length: Time,
    /// What hands do, in order, without gaps.
    pub hands: Vec<HandBlock>,
    /// One line for each layer, deepest first.
    pub depth: Vec<DepthLine>,
    /// Receiver and nozzle.
    pub air: AirLane,
    /// Share of the resist's permitted wear that is left, 1 to 0 (below: worn through).
    pub resist_left: Vec<(Time, f64)>,
    /// Dust in the cabinet as a share of its level in steady blasting.
    pub dust: Vec<(Time, f64)>,
    /// When the door may be opened: spans after the clearing time has run.
    pub door: Vec<(Time, Time)>,
}

impl RunStrip {
    /// How often the nozzle rests, for the air or for the compressors' duty.
    #[must_use]
    pub fn rests(&self) -> usize {
        self.hands.iter().filter(|block| block.act == Act::Rest).count()
    }
}

/// A block of hand work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandBlock {
    /// Start.
    pub from: Time,
    /// End.
    pub to: Time,
    /// What is done.
    pub act: Act,
    /// The stage it belongs to, from 1.
    pub stage: usize,
}

/// What hands do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Act {
    /// Mask, tape, lay the stencil; at the end, peel and wash.
    Prepare,
    /// Empty pot, hose and cabinet, and fill in the abrasive of the last stages.
    Refill,
    /// Lift the resist of a stage's openings.
    Weed,
    /// Nozzle open.
    Blast,
    /// Wait for the air.
    Rest,
    /// Wait for the dust to clear before the door is opened.
    Clear,
    /// Peel and wash.
    Finish,
}

/// How a layer's wide parts deepen.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthLine {
    /// The layer, as an index into `Plan::layers`.
    pub layer: usize,
    /// Its name.
    pub name: String,
    /// Its target.
    pub target: Length,
    /// Depth at instants, straight between them.
    pub points: Vec<(Time, Length)>,
}

/// The air lane of the run strip.
#[derive(Debug, Clone, PartialEq)]
pub struct AirLane {
    /// The compressor starts here.
    pub cut_in: GaugePressure,
    /// And stops here.
    pub cut_out: GaugePressure,
    /// The regulator's setting.
    pub set: GaugePressure,
    /// Pressure in the receiver at instants, straight between them.
    pub receiver: Vec<(Time, GaugePressure)>,
    /// Pressure at the nozzle; `None` while it is shut.
    pub nozzle: Vec<(Time, Option<GaugePressure>)>,
}

/// Something used up by one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Consumable {
    /// What.
    pub what: ConsumableKind,
    /// How much.
    pub amount: ConsumableAmount,
    /// Its price.
    pub price: Money,
}

/// Kinds of consumable.
#[derive(Debug, Clone, PartialEq)]
pub enum ConsumableKind {
    /// Resist of this name.
    Resist(Name),
    /// Transfer tape.
    TransferTape,
    /// Abrasive lost as dust and broken grain, of this name and grit.
    Abrasive(Name, String),
    /// Wear of the nozzle of this name.
    Nozzle(String),
}

/// Amounts of a consumable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConsumableAmount {
    /// By area.
    Area(Area),
    /// By mass.
    Mass(Mass),
    /// By share of a life.
    Life(Fraction),
}

/// Time for one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// Preparing, weeding, finishing.
    pub hands: Time,
    /// Nozzle open, over the model's spread.
    pub blast: Estimate<Time>,
    /// The same with each of [`Recipe::abrasives`]; nothing with the second where there is one.
    pub blast_with: [Estimate<Time>; 2],
    /// Resting for air and waiting for dust to clear.
    pub wait: Time,
    /// All of it, at the middle estimate.
    pub total: Time,
}

/// What it costs, in the shop's currency.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// ISO 4217 code.
    pub currency: String,
    /// For one piece, in the order in which they are added.
    pub lines: Vec<CostLine>,
    /// One piece, spoilage included, before margin; over the spread of the blasting time.
    pub each: Estimate<Money>,
    /// Price of the whole order with margin, at the middle estimate.
    pub price: Money,
}

/// One line of a cost.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// What it is for.
    pub what: CostKind,
    /// How much.
    pub amount: Money,
}

/// What a cost is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostKind {
    /// The blank.
    Blank,
    /// Resist, tape, abrasive, nozzle wear.
    Materials,
    /// Labour.
    Labour,
    /// Compressor and collector.
    Energy,
    /// Hours of machines.
    Equipment,
    /// Overhead.
    Overhead,
    /// Pieces that spoil.
    Spoilage,
    /// A share of what is done once for an order.
    Order,
}

/// The carved surface on the blank, as drawn (seen from the front, not mirrored).
#[derive(Debug, Clone)]
pub struct Relief {
    /// Depth in millimetres, 0 where covered; the grid lies in the blank's coordinates and covers
    /// the artwork with a margin, not the whole blank.
    pub depth_mm: Field<f32>,
    /// Which layer is open: 0 covered, else the index into `Plan::layers` plus 1.
    pub layer: Field<u8>,
    /// The blank's form and size.
    pub body: Body,
    /// The blank's thickness.
    pub thickness: Length,
    /// The carved face.
    pub side: Side,
    /// Arithmetic mean roughness of the carved surface.
    pub roughness: Length,
}
