//! The parts of `shop.toml` that lengthen the air line: extra parts and further stations.

use crate::shop_file::{HosePart, PotPart, RegulatorPart};
use quantity::{Diameter, Fraction, GaugePressure, Length, Temperature, Time, Volume};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A part of the air line besides compressors, receiver, regulator, hose and pot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LinePart {
    /// What the shop calls it; every name once.
    pub name: String,
    /// What it is.
    pub kind: LinePartKind,
    /// The part whose air it takes: "compressors", "receiver", "regulator", "hose" or the name of another part.
    pub after: String,
    /// Inside diameter of a pipe or hose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore: Option<Diameter>,
    /// Length of a pipe or hose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Sum of the loss coefficients of the fittings of a pipe or hose. 2 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 200.0))]
    pub fittings_k: Option<f64>,
    /// Volume of a receiver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume: Option<Volume>,
    /// Sonic conductance C by ISO 6358, dm³/(s bar), of anything but a pipe, a hose and a receiver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.1, max = 200.0))]
    pub conductance_dm3_s_bar: Option<f64>,
    /// Critical pressure ratio b by ISO 6358. 0.3 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.05, max = 0.6))]
    pub critical_ratio: Option<f64>,
    /// Share of the drops that an aftercooler, separator or filter catches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub catches: Option<Fraction>,
    /// What the bowl of a separator or filter holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bowl: Option<Volume>,
    /// How far above the room's temperature an aftercooler lets the air go, in kelvin. 10 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 60.0))]
    pub approach_k: Option<f64>,
    /// Pressure dew point that a dryer leaves. 3 °C when left out, as of a refrigerated one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dew_point: Option<Temperature>,
    /// Share of its air that a desiccant dryer blows off. Nothing when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purge: Option<Fraction>,
}

/// What a part of the line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LinePartKind {
    /// A cooler behind the compressors.
    Aftercooler,
    /// A second receiver, downstream.
    Receiver,
    /// A rigid pipe.
    Pipe,
    /// A hose.
    Hose,
    /// A coupling, tee or reducer.
    Fitting,
    /// A dryer.
    Dryer,
    /// A water separator.
    Separator,
    /// A filter.
    Filter,
    /// A blast valve.
    Valve,
}

/// A place where somebody blasts. Without any, the shop has one with the shop's regulator, hose and pot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StationPart {
    /// What the shop calls it.
    pub name: String,
    /// Name of the nozzle on it.
    pub nozzle: String,
    /// What its regulator is set to.
    pub pressure: GaugePressure,
    /// How long it blasts at a time.
    pub on: Time,
    /// How long it rests in between.
    pub off: Time,
    /// Whether it is a suction gun: the nozzle's bore is then that of its air jet.
    #[serde(default)]
    pub gun: bool,
    /// Its own regulator; the shop's kind when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub regulator: Option<RegulatorPart>,
    /// Its own hose; one like the shop's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hose: Option<HosePart>,
    /// Its own pot; one like the shop's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<PotPart>,
}
