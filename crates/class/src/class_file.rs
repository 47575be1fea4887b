//! `class.toml` as it is written: who comes, what is there, what each piece goes through.

use piece::Money;
use quantity::{Fraction, GaugePressure, Time, known};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The version that this program writes and reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ClassVersion {
    /// The first version.
    #[serde(rename = "class 1")]
    One,
}

/// A class: students, stations and the steps of a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClassFile {
    /// What this file is: "class 1".
    pub sabulo: ClassVersion,
    /// What the class is called, on the pack.
    pub name: String,
    /// How many come.
    #[schemars(range(min = 1, max = 200))]
    pub students: u32,
    /// Pieces that each makes, one after the other. One when left out.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 20))]
    pub pieces_each: u32,
    /// When it begins, on a 24-hour clock such as "10:00".
    #[serde(default = "ten")]
    #[schemars(regex(pattern = "^[0-2][0-9]:[0-5][0-9]$"))]
    pub starts: String,
    /// How long the room is to be had: by then the last student is done.
    pub length: Time,
    /// Share of such classes that are to end on time.
    #[serde(default = "nine_in_ten")]
    pub sure: Fraction,
    /// Welcome and cautions, before anybody begins.
    #[serde(default = "no_time")]
    pub talk: Time,
    /// Each student begins this much after the one before.
    #[serde(default = "no_time")]
    pub stagger: Time,
    /// What a student pays, for all pieces.
    #[serde(default)]
    pub fee: Money,
    /// What the cabinets blast with.
    pub blast: BlastPart,
    /// What stands in the room.
    pub station: Vec<StationPart>,
    /// What each piece goes through, in order.
    pub step: Vec<StepPart>,
    /// What is used up, besides abrasive.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub buy: Vec<BuyPart>,
}

const fn one() -> u32 {
    1
}

fn ten() -> String {
    "10:00".to_owned()
}

const fn nine_in_ten() -> Fraction {
    known(Fraction::percent(90.0))
}

const fn no_time() -> Time {
    known(Time::seconds(0.0))
}

/// What the cabinets blast with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BlastPart {
    /// Name of one of the shop's nozzles; every cabinet has one like it.
    pub nozzle: String,
    /// What the regulators are set to.
    pub pressure: GaugePressure,
    /// Id of an abrasive that the shop stocks.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Id of the material that is carved.
    pub material: String,
}

/// Places of one kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StationPart {
    /// What it is called; a step names it so.
    pub name: String,
    /// What it is.
    pub kind: StationKind,
    /// How many there are, each for one student.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 200))]
    pub count: u32,
    /// Pieces that one takes at a time: a load begins together and ends together.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 200))]
    pub holds: u32,
    /// What one more costs. Left out: there can be no more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub another: Option<Money>,
}

/// What a station is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StationKind {
    /// A table to draw, weed and clean at.
    Bench,
    /// A cutter for resist.
    Cutter,
    /// An exposure unit for photo resist.
    Exposure,
    /// A washout bench or booth.
    Washout,
    /// A blast cabinet, with a nozzle.
    Cabinet,
}

/// A step of the work on a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepPart {
    /// What is done.
    pub name: String,
    /// Name of the station.
    pub at: String,
    /// Mean time of the hands there, without the nozzle.
    #[serde(default = "no_time")]
    pub time: Time,
    /// Mean time with the nozzle open; only at a cabinet. Rests for air come on top.
    #[serde(default = "no_time")]
    pub blast: Time,
    /// How much these times differ from student to student: standard deviation over mean. A quarter when left out.
    #[serde(default = "quarter")]
    pub spread: Fraction,
    /// Whether the teacher may do it before the class.
    #[serde(default)]
    pub ahead: bool,
}

/// Beginners at the bench: common practice, no source.
const fn quarter() -> Fraction {
    known(Fraction::percent(25.0))
}

/// Something used up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BuyPart {
    /// What it is.
    pub name: String,
    /// For whom so much is needed.
    #[serde(default)]
    pub per: Per,
    /// How much for each.
    #[serde(default = "one_whole")]
    #[schemars(range(min = 0.0001, max = 1000000.0))]
    pub each: f64,
    /// What it is counted in, such as "m2" or "sheets".
    #[serde(default = "pieces_word")]
    pub unit: String,
    /// So much more, for what goes wrong.
    #[serde(default = "none")]
    pub spare: Fraction,
    /// How much is in a pack; whole packs are bought.
    #[serde(default = "one_whole")]
    #[schemars(range(min = 0.0001, max = 1000000.0))]
    pub pack: f64,
    /// What a pack costs.
    #[serde(default)]
    pub price: Money,
}

const fn one_whole() -> f64 {
    1.0
}

fn pieces_word() -> String {
    "pieces".to_owned()
}

const fn none() -> Fraction {
    known(Fraction::percent(0.0))
}

/// For whom something is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// Each piece.
    #[default]
    Piece,
    /// Each student.
    Student,
    /// The class as a whole.
    Class,
}
