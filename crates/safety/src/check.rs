//! Every check of a shop, and of a piece in it: what was found, the limit, how it stands, what would mend it.
//!
//! * [`all`]: every check, in the order of [`Hazard`]; [`daily`]: those that hang on how long is blasted.
//! * `dust`, `enclosure`, `noise`, `pressure`, `blank`: the checks; [`mend`]: changes and how they are made;
//!   [`words`]: all of it in English.
//!
//! What the shop or piece does not say is [`Standing::NotTold`]: no check takes it for granted. Nothing here says
//! that work is without danger; local code and licensed practice have the last word.

mod blank;
mod dust;
mod enclosure;
mod hazard;
pub mod mend;
mod noise;
mod pressure;
pub mod words;

pub use hazard::{Group, Hazard};
pub use mend::Mend;

use language::say;
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
    pub fn word(self) -> &'static str {
        match self {
            Self::Within => say!(in "the standing of a check", "within"),
            Self::Screened => say!(in "the standing of a check", "screened"),
            Self::NotTold => say!(in "the standing of a check", "not told"),
            Self::Ask => say!(in "the standing of a check", "ask"),
            Self::Stop => say!(in "the standing of a check", "stop"),
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

/// A figure of a test of breathing air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirTest {
    /// Carbon monoxide.
    CarbonMonoxide,
    /// Carbon dioxide.
    CarbonDioxide,
    /// Oil.
    Oil,
    /// Oxygen.
    Oxygen,
    /// How far the dew point lies below the coldest place.
    DewPoint,
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
    Test(AirTest),
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

/// The checks that hang on how long is blasted in a shift: dust, breathing and noise.
#[must_use]
pub fn daily(subject: &Subject<'_>) -> Vec<Checked> {
    let mut checks = dust::checks(subject);
    checks.extend(noise::checks(subject));
    checks
}

/// Every check, in the order of [`Hazard`].
#[must_use]
pub fn all(subject: &Subject<'_>) -> Vec<Checked> {
    let mut all = daily(subject);
    all.extend(enclosure::checks(subject));
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
