//! Tables with provenance: grits, abrasives, materials, resists, equipment and limits, each number with its
//! unit, its source and, where sources differ, the values that were not used.
//!
//! The data are TOML files in `data/`, embedded and read once ([`tables`]). Start with
//! [`Tables::material`], [`Tables::abrasive`], [`Tables::resist`], [`Tables::grit`] and
//! [`Tables::limit`]; named limits are also fields with their own type: `tables().limits.rcs_pel`.
//!
//! * [`Source`], [`Sourced`]: where a number came from, how surely, and what disagrees with it.
//! * `grit`: bonded-abrasive grit grades (ISO 8486), read as people write them.
//! * `abrasive`, `material`, `resist`: one public struct each, as the rows of their files.
//! * `equipment`: typical compressed-air equipment by kind, and the sizes it is sold in.
//! * `limits`: exposure limits, rules of the trade and rules of ours, with jurisdiction and date.
//! * [`Name`]: what a row is called, in the language of who reads it.
//! * `filter`, `respirator`: classes of each, by standard. `nozzle`: what nozzles are made of, and how long they last.
//! * `listing`: every number with its source as text, for people to read.
//! * `kinds`: the quantities that only limits and strength need: concentration, sound level, angle, air changes,
//!   stress, loads, energy.
//!
//! Not here: anything computed from the numbers, and any brand.

mod abrasive;
mod equipment;
mod filter;
mod grit;
mod kinds;
mod limits;
mod listing;
mod lookup;
mod material;
mod name;
mod nozzle;
mod resist;
mod respirator;
mod source;
mod tables;

pub use abrasive::{Abrasive, DustClass};
pub use equipment::{
    CompressorKind, Equipment, Series, TrapKind, TypicalCompressor, TypicalDryer, TypicalRegulator, TypicalTrap,
};
pub use filter::{Filter, FilterTest};
pub use grit::{Grit, GritSeries};
pub use kinds::{
    AirChanges, Angle, AreaLoad, Concentration, Energy, Force, SoundLevel, Stress, TemperatureStep, Toughness,
    check_written,
};
pub use limits::{Amount, Limit, LimitView, Limits};
pub use listing::{Listed, Listing, listings};
pub use lookup::Unknown;
pub use material::{Family, Material};
pub use name::Name;
pub use nozzle::NozzleMaterial;
pub use resist::{Resist, ResistKind, Weeding};
pub use respirator::Respirator;
pub use source::{Other, Source, Sourced, Span};
pub use tables::{Tables, TablesError, tables};
