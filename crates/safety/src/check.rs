//! Every check of a shop, and of a piece in it: what was found, the limit, how it stands, what would mend it.
//!
//! * [`all`]: every check, in the order of [`Hazard`].
//! * `dust`, `enclosure`, `noise`, `pressure`, `blank`: the checks; [`mend`]: changes and how they are made;
//!   [`words`]: all of it in English.
//!
//! What the shop or piece does not say is [`Standing::NotTold`]: no check takes it for granted. Nothing here says
//! that work is without danger; local code and licensed practice have the last word.

mod blank;
mod dust;
mod enclosure;
pub mod mend;
mod noise;
mod pressure;
pub mod words;

pub use mend::Mend;

use piece::{Piece, Shop};
use quantity::{Area, Diameter, Fraction, FreeFlow, GaugePressure, Length, Mass, Speed, Time};
use reference::{Abrasive, AirChanges, Concentration, SoundLevel, Source, Stress};

/// What is checked.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The shop.
    pub shop: &'a Shop,
    /// A piece that is made in it; without one only the shop is looked at.
    pub work: Option<Work<'a>>,
}

/// A piece and what its plan says.
#[derive(Debug, Clone, Copy)]
pub struct Work<'a> {
    /// The piece.
    pub piece: &'a Piece,
    /// What it is blasted with.
    pub abrasive: &'a Abrasive,
    /// Free silica on the sheet of the bag in use.
    pub free_silica: Option<Fraction>,
    /// Whether its resist is exposed and washed out.
    pub photo_resist: bool,
    /// The deepest carving that is wanted.
    pub depth: Length,
    /// From the nearest carving deeper than a third of the thickness to the blank's edge.
    pub edge_distance: Option<Length>,
    /// The nozzle's air at the state of the room.
    pub blast_air: FreeFlow,
    /// Highest pressure that the blast line sees.
    pub line_pressure: GaugePressure,
    /// Nozzle open, for one piece.
    pub nozzle_open: Time,
    /// All of the time for one piece.
    pub making: Time,
}

/// Everything that can be checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Hazard {
    /// Free silica in the abrasive.
    FreeSilica,
    /// Exposure to crystalline silica over a shift.
    SilicaExposure,
    /// Exposure to lead over a shift.
    LeadExposure,
    /// Exposure to other dust over a shift.
    DustExposure,
    /// The respirator against what is needed.
    Respirator,
    /// Where breathing air comes from.
    BreathingAir,
    /// Its last test against Grade D.
    GradeD,
    /// Whether anything draws the dust off.
    NoCollector,
    /// Blast air against what the collector takes out.
    BlastOut,
    /// Speed of air into the openings.
    Inflow,
    /// Changes of the cabinet's air.
    AirChanges,
    /// Speed in the duct.
    DuctSpeed,
    /// Speed through the filter.
    FilterArea,
    /// Class of the filter that air is led back into the room through.
    FilterClass,
    /// The wait before the door is opened.
    DoorWait,
    /// Whether the blast waits for the collector.
    Interlock,
    /// What else the collector draws.
    SharedCollector,
    /// Noise of the day by OSHA.
    NoiseDose,
    /// Noise of the day by NIOSH.
    NoiseRecommended,
    /// The level itself.
    NoiseCeiling,
    /// What is worn on the ears.
    Hearing,
    /// Relief valve against the receiver's plate.
    Relief,
    /// Compressor's cut-out against the relief valve.
    CutOut,
    /// A valve between receiver and relief valve.
    ValveBeforeRelief,
    /// Pressure in the pot against its plate.
    PotRating,
    /// Pressure in the hose against its print.
    HoseRating,
    /// Lashings on the couplings.
    Couplings,
    /// How the blast is held.
    BlastValve,
    /// Whether that is tied open.
    TiedValve,
    /// A rest for the nozzle.
    NozzleRest,
    /// Pressure of the cleaning gun.
    CleaningAir,
    /// Its chip guard.
    ChipGuard,
    /// Bonding and grounding.
    Static,
    /// The exposure lamp's lid.
    Lamp,
    /// Sharp edges of the blank.
    Edges,
    /// The blank's mass.
    Lifting,
    /// Where the piece will stand.
    Place,
    /// A pane of a sealed unit.
    SealedUnit,
    /// A ply of a laminate.
    Laminate,
    /// How it is held, where that cannot be worked out.
    Supports,
    /// Stress against what frosted glass is allowed.
    Strength,
    /// Sinking against the thickness.
    Sinking,
    /// Distance of deep carving from the edge.
    EdgeDistance,
}

impl Hazard {
    /// Every hazard, in order.
    pub const ALL: [Self; 43] = [
        Self::FreeSilica,
        Self::SilicaExposure,
        Self::LeadExposure,
        Self::DustExposure,
        Self::Respirator,
        Self::BreathingAir,
        Self::GradeD,
        Self::NoCollector,
        Self::BlastOut,
        Self::Inflow,
        Self::AirChanges,
        Self::DuctSpeed,
        Self::FilterArea,
        Self::FilterClass,
        Self::DoorWait,
        Self::Interlock,
        Self::SharedCollector,
        Self::NoiseDose,
        Self::NoiseRecommended,
        Self::NoiseCeiling,
        Self::Hearing,
        Self::Relief,
        Self::CutOut,
        Self::ValveBeforeRelief,
        Self::PotRating,
        Self::HoseRating,
        Self::Couplings,
        Self::BlastValve,
        Self::TiedValve,
        Self::NozzleRest,
        Self::CleaningAir,
        Self::ChipGuard,
        Self::Static,
        Self::Lamp,
        Self::Edges,
        Self::Lifting,
        Self::Place,
        Self::SealedUnit,
        Self::Laminate,
        Self::Supports,
        Self::Strength,
        Self::Sinking,
        Self::EdgeDistance,
    ];

    /// A word for files and addresses, as it is written in JSON.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::FreeSilica => "free_silica",
            Self::SilicaExposure => "silica_exposure",
            Self::LeadExposure => "lead_exposure",
            Self::DustExposure => "dust_exposure",
            Self::Respirator => "respirator",
            Self::BreathingAir => "breathing_air",
            Self::GradeD => "grade_d",
            Self::NoCollector => "no_collector",
            Self::BlastOut => "blast_out",
            Self::Inflow => "inflow",
            Self::AirChanges => "air_changes",
            Self::DuctSpeed => "duct_speed",
            Self::FilterArea => "filter_area",
            Self::FilterClass => "filter_class",
            Self::DoorWait => "door_wait",
            Self::Interlock => "interlock",
            Self::SharedCollector => "shared_collector",
            Self::NoiseDose => "noise_dose",
            Self::NoiseRecommended => "noise_recommended",
            Self::NoiseCeiling => "noise_ceiling",
            Self::Hearing => "hearing",
            Self::Relief => "relief",
            Self::CutOut => "cut_out",
            Self::ValveBeforeRelief => "valve_before_relief",
            Self::PotRating => "pot_rating",
            Self::HoseRating => "hose_rating",
            Self::Couplings => "couplings",
            Self::BlastValve => "blast_valve",
            Self::TiedValve => "tied_valve",
            Self::NozzleRest => "nozzle_rest",
            Self::CleaningAir => "cleaning_air",
            Self::ChipGuard => "chip_guard",
            Self::Static => "static",
            Self::Lamp => "lamp",
            Self::Edges => "edges",
            Self::Lifting => "lifting",
            Self::Place => "place",
            Self::SealedUnit => "sealed_unit",
            Self::Laminate => "laminate",
            Self::Supports => "supports",
            Self::Strength => "strength",
            Self::Sinking => "sinking",
            Self::EdgeDistance => "edge_distance",
        }
    }
}

/// What checks are read together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// What is breathed.
    Dust,
    /// What keeps dust in and draws it off.
    Enclosure,
    /// What is heard.
    Noise,
    /// Vessels, hoses, the blast.
    Pressure,
    /// What hands touch and eyes see.
    Handling,
    /// The pane where it will stand.
    Glass,
}

impl Group {
    /// Every group, in order.
    pub const ALL: [Self; 6] =
        [Self::Dust, Self::Enclosure, Self::Noise, Self::Pressure, Self::Handling, Self::Glass];

    /// Its heading.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dust => "Dust and breathing",
            Self::Enclosure => "Enclosure and collector",
            Self::Noise => "Noise",
            Self::Pressure => "Pressure",
            Self::Handling => "Static, lamp and handling",
            Self::Glass => "The pane and its place",
        }
    }
}

impl Hazard {
    /// What it is read together with. The order of the hazards is that of the groups.
    #[must_use]
    pub fn group(self) -> Group {
        match self {
            hazard if hazard <= Self::GradeD => Group::Dust,
            hazard if hazard <= Self::SharedCollector => Group::Enclosure,
            hazard if hazard <= Self::Hearing => Group::Noise,
            hazard if hazard <= Self::ChipGuard => Group::Pressure,
            hazard if hazard <= Self::Lifting => Group::Handling,
            _ => Group::Glass,
        }
    }
}

/// How a check came out. It has no word for 'without danger'.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Within its limit.
    Within,
    /// Worked out, and no verdict: a screening of strength that nothing published covers.
    Screened,
    /// The shop or piece does not say.
    NotTold,
    /// Near its limit, or for somebody else to judge.
    Ask,
    /// Beyond its limit.
    Stop,
}

impl Standing {
    /// The word to show.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Screened => "screened",
            Self::NotTold => "not told",
            Self::Ask => "ask",
            Self::Stop => "stop",
        }
    }
}

/// A number of any kind that a check holds.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Value {
    /// Dust in air.
    Concentration(Concentration),
    /// A flow of air at the state of the room.
    Flow(FreeFlow),
    /// A speed of air.
    Speed(Speed),
    /// Air changes.
    Changes(AirChanges),
    /// A gauge pressure.
    Pressure(GaugePressure),
    /// A span of time.
    Time(Time),
    /// A length, depth or thickness.
    Length(Length),
    /// A bore.
    Bore(Diameter),
    /// An area.
    Area(Area),
    /// Force in a section.
    Stress(Stress),
    /// A sound level.
    Level(SoundLevel),
    /// A mass.
    Mass(Mass),
    /// A share, 0 to 1.
    Share(Fraction),
    /// A share that may pass 1.
    Ratio(f64),
    /// A count or factor.
    Number(f64),
}

/// One thing that was checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// What.
    pub hazard: Hazard,
    /// How it came out.
    pub standing: Standing,
    /// The number found; absent when it is a yes or no, or not known.
    pub value: Option<Value>,
    /// What it is held against.
    pub limit: Option<Value>,
    /// What a sentence needs besides: an agent, a place, a class.
    pub about: Option<About>,
    /// Where the limit comes from.
    pub source: Source,
    /// Changes that were worked out to better it, the nearest first; not yet tried.
    pub mends: Vec<Mend>,
}

/// What a sentence needs besides the numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum About {
    /// What the dust holds.
    Agent(crate::dust::Agent),
    /// Where the piece will stand.
    Place(piece::PlaceKind),
    /// Where people breathe inside.
    Entered,
    /// What of a test of air is out of its bounds.
    Test(&'static str),
    /// The deepest even carving, and the pane's thickness.
    Deepest(Length, Length),
    /// What else a collector draws.
    Other(piece::OtherDust),
    /// How many people.
    People(u32),
}

impl Checked {
    pub(crate) fn new(hazard: Hazard, standing: Standing, source: Source) -> Self {
        Self { hazard, standing, value: None, limit: None, about: None, source, mends: Vec::new() }
    }

    pub(crate) fn held(self, value: Value, limit: Value) -> Self {
        Self { value: Some(value), limit: Some(limit), ..self }
    }

    pub(crate) fn about(self, about: About) -> Self {
        Self { about: Some(about), ..self }
    }

    /// With changes that better it, unless it needs none.
    pub(crate) fn mended(self, mends: impl IntoIterator<Item = Mend>) -> Self {
        if self.standing <= Standing::NotTold { self } else { Self { mends: mends.into_iter().collect(), ..self } }
    }
}

/// Every check, in the order of [`Hazard`].
#[must_use]
pub fn all(subject: &Subject<'_>) -> Vec<Checked> {
    let mut all = dust::checks(subject);
    all.extend(enclosure::checks(subject));
    all.extend(noise::checks(subject));
    all.extend(pressure::checks(subject));
    all.extend(blank::checks(subject));
    all.sort_by_key(|checked| checked.hazard);
    all
}

/// A check of a yes or no that may not be told: `good` is what it should be.
fn answered(hazard: Hazard, told: Option<bool>, good: bool, bad: Standing, source: Source, mend: Mend) -> Checked {
    let standing = match told {
        None => Standing::NotTold,
        Some(told) if told == good => Standing::Within,
        Some(_) => bad,
    };
    Checked::new(hazard, standing, source).mended([mend])
}

#[cfg(test)]
mod tests;
