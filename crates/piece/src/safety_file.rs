//! What a shop and a piece say about what can hurt: enclosure, protection, the shift, pressures, the piece's place.
//!
//! Everything may be left out. What is left out is not known, which is something else than not there: no
//! check takes it for granted.

use quantity::{Area, Diameter, Fraction, GaugePressure, Length, Temperature, Time};
use reference::{AreaLoad, Concentration, Force, Respirator, SoundLevel};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where the one who blasts stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EnclosureKind {
    /// A cabinet: outside, hands through openings.
    #[default]
    Cabinet,
    /// A blast room or booth: inside.
    Booth,
    /// A temporary enclosure of sheeting: inside.
    Tent,
}

impl EnclosureKind {
    /// Whether people breathe in it while it is blasted in.
    #[must_use]
    pub const fn is_entered(self) -> bool {
        matches!(self, Self::Booth | Self::Tent)
    }
}

/// What else the same collector draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OtherDust {
    /// Wood dust.
    Wood,
    /// Shells, cob, plastic, starch: grit that burns.
    OrganicGrit,
    /// Sparks of a grinder or a saw.
    Sparks,
    /// Dust of aluminium or magnesium.
    LightMetal,
}

/// What protects the one who blasts.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Protection {
    /// The respirator worn while blasting. Left out: not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub respirator: Option<Respirator>,
    /// Air led to a hood or facepiece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air: Option<BreathingAir>,
    /// What is worn on the ears. Left out: not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hearing: Option<Hearing>,
    /// Whether the exposure lamp cannot light with its lid open. Left out: not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lamp_closed: Option<bool>,
}

/// Air led to a hood or facepiece, with the figures of its last test.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct BreathingAir {
    /// Where it comes from.
    pub from: AirFrom,
    /// Carbon monoxide, parts in a million.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100_000.0))]
    pub co_ppm: Option<f64>,
    /// Carbon dioxide, parts in a million.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1_000_000.0))]
    pub co2_ppm: Option<f64>,
    /// Condensed oil.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil: Option<Concentration>,
    /// Oxygen by volume.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oxygen: Option<Fraction>,
    /// Its dew point.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dew_point: Option<Temperature>,
    /// The coldest place that its line passes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coldest: Option<Temperature>,
}

/// Where breathing air comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AirFrom {
    /// The line that the blast is fed from.
    #[default]
    ShopAir,
    /// A line of its own with purifier and alarm, or cylinders.
    OwnLine,
}

/// What is worn on the ears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Hearing {
    /// Nothing.
    None,
    /// Plugs or muffs.
    One,
    /// Plugs and muffs together.
    Both,
}

/// A shift at the cabinet, and what was measured where one breathes and hears.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Shift {
    /// How long it is. 8 h when left out.
    pub length: Time,
    /// How long the nozzle is open in it. Left out: as long as the planned pieces take.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub blasting: Option<Time>,
    /// Respirable dust where one breathes while the nozzle is open, as measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_blasting: Option<Concentration>,
    /// Respirable dust at the open door, as measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_door: Option<Concentration>,
    /// How long somebody stands at the open door in a shift. None when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub door: Option<Time>,
    /// Respirable dust for the rest of the shift, as measured. Left out: counted as clean.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_else: Option<Concentration>,
    /// Sound level at the ear while the nozzle is open, as measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub noise_blasting: Option<SoundLevel>,
    /// Sound level for the rest of the shift, as measured. Left out: counted as quiet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub noise_else: Option<SoundLevel>,
}

impl Default for Shift {
    fn default() -> Self {
        Self {
            length: quantity::known(Time::hours(8.0)),
            blasting: None,
            dust_blasting: None,
            dust_door: None,
            door: None,
            dust_else: None,
            noise_blasting: None,
            noise_else: None,
        }
    }
}

/// What the plates of vessels and hoses say, and how the blast is held.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Pressures {
    /// Highest working pressure on the receiver's plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub receiver_rated: Option<GaugePressure>,
    /// What the receiver's relief valve is set to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub relief: Option<GaugePressure>,
    /// Whether any valve stands between the receiver and its relief valve.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub valve_before_relief: Option<bool>,
    /// Highest working pressure on the pot's plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pot_rated: Option<GaugePressure>,
    /// Working pressure printed on the blast hose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hose_rated: Option<GaugePressure>,
    /// Whether the couplings of the blast hose have lashings or chains.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hose_lashed: Option<bool>,
    /// How the blast is held.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub valve: Option<BlastValve>,
    /// Whether anything ties or wedges that valve open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tied_open: Option<bool>,
    /// Whether the nozzle has a rest to hang in when it is not in use.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nozzle_rest: Option<bool>,
    /// Pressure of the gun that blows pieces clean, dead-ended.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cleaning: Option<GaugePressure>,
    /// Whether that gun has a chip guard.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chip_guard: Option<bool>,
}

/// How the blast is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BlastValve {
    /// A lever at the nozzle that shuts when let go.
    DeadMan,
    /// A trigger at the gun that shuts when let go.
    Trigger,
    /// A pedal that shuts when the foot leaves it.
    FootPedal,
    /// A pinch valve worked by one of those.
    PinchValve,
    /// A tap that stays as it is left.
    HandValve,
}

impl BlastValve {
    /// Whether it shuts by itself when it is let go.
    #[must_use]
    pub const fn shuts_itself(self) -> bool {
        !matches!(self, Self::HandValve)
    }

    /// Whether it is a hand that holds it, as the rule says.
    #[must_use]
    pub const fn is_held_by_hand(self) -> bool {
        matches!(self, Self::DeadMan | Self::Trigger | Self::PinchValve)
    }
}

/// Where a finished piece will stand, and what holds and loads it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlacePart {
    /// What it is there.
    pub kind: PlaceKind,
    /// How its edges are held. Left out: not known, and no stress is worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supports: Option<Supports>,
    /// Whether it lies flat, so that its own weight bends it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub flat: bool,
    /// Wind on the whole of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind: Option<AreaLoad>,
    /// What stands on the whole of it for long.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<AreaLoad>,
    /// A person's push at its weakest place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub push: Option<Force>,
    /// Edge of the square that the push acts on.
    #[serde(default = "hand")]
    pub patch: Length,
}

/// A hand's breadth: common practice, no source.
pub(crate) const fn hand() -> Length {
    quantity::known(Length::mm(100.0))
}

/// What a piece is where it will stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    /// A mirror, picture or sign on a wall.
    Wall,
    /// On a stand or a table: an award, a panel in a foot.
    Standing,
    /// A glass, bowl or vase in use.
    Ware,
    /// A marker or plaque outdoors.
    Marker,
    /// A window out of reach.
    Window,
    /// A shelf.
    Shelf,
    /// A table top.
    TableTop,
    /// A door.
    Door,
    /// A storm door.
    StormDoor,
    /// A sliding door to a patio.
    PatioDoor,
    /// A door or wall of a bath or shower.
    BathOrShower,
    /// Beside a door.
    BesideDoor,
    /// A guard against falling.
    Guard,
    /// A stair or beside one.
    Stairs,
    /// A floor.
    Floor,
    /// Above people.
    Overhead,
    /// A wall of an aquarium.
    Aquarium,
    /// A wall of something under pressure.
    Pressure,
    /// Near a fire, a hob or a hot lamp.
    Heat,
}

/// How a pane is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Supports {
    /// All four edges lie in a frame that lets them turn.
    FourSides,
    /// All four edges are held so that they cannot turn.
    FourClamped,
    /// The left and right edges lie on supports.
    LeftAndRight,
    /// The top and bottom edges lie on supports.
    TopAndBottom,
    /// Three edges.
    ThreeSides,
    /// Points: clips, pins, bolts in holes.
    Points,
}

/// How the edges of a blank are finished.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EdgeFinish {
    /// As cut: sharp.
    Cut,
    /// The sharpness taken off.
    Seamed,
    /// Ground and polished.
    Polished,
}

/// How dust is kept in and drawn off, beside what `[cabinet]` says.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct EnclosurePart {
    /// Cabinet, booth or tent.
    #[serde(skip_serializing_if = "is_default")]
    pub kind: EnclosureKind,
    /// Bore of the round duct to the collector.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub duct: Option<Diameter>,
    /// Classes of the filters in the order of the air, such as ["merv_15", "h13"].
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub filters: Vec<String>,
    /// Area of the first filter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filter_area: Option<Area>,
    /// Whether the cleaned air goes back into the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recirculates: Option<bool>,
    /// Whether the blast cannot start before the collector runs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interlock: Option<bool>,
    /// Whether nozzle, hose, cabinet and collector are bonded and grounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grounded: Option<bool>,
    /// What else the same collector draws.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also_takes: Vec<OtherDust>,
    /// How long the door is kept shut after a blast here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub door_wait: Option<Time>,
}

/// Whether a part says nothing, so that a written file leaves it out.
pub(crate) fn is_default<T: Default + PartialEq>(part: &T) -> bool {
    *part == T::default()
}
