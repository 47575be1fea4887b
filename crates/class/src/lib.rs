//! A class: students, stations and hours, as a seeded simulation of who waits for what.
//!
//! * [`class_file`]: `class.toml` as written; [`Class`]: its values, read by [`read_class`] with every complaint.
//! * [`queue`]: jobs through places with servers and loads, from event to event; nothing of glass in it.
//! * [`supply`]: the receiver and compressors behind the cabinets, taken from networks of the crate `air`.
//! * [`simulate`](fn@simulate): the class many times over, each result with its confidence interval ([`statistics`]).
//! * [`rotation`](fn@rotation): who is where when, at mean times; [`shopping`](fn@shopping): what to buy.
//! * [`change`]: changes that were tried until the class ends on time, the cheapest first.
//! * [`erlang`]: closed forms of waiting, beside the simulation. [`document`]: all of it as JSON and CSV;
//!   [`words`]: in words.
//!
//! Comes in resolved: the shop, the networks of its line with 1, 2, … cabinets blasting, a seed. Not handled: students
//! who leave early, two pieces of one student at a time, stations that break down.

pub mod change;
mod class;
pub mod class_file;
pub mod document;
pub mod erlang;
mod pace;
pub mod queue;
mod rotation;
mod shopping;
mod simulate;
pub mod statistics;
pub mod supply;
pub mod words;

pub use class::{Blast, Buy, Class, Station, Step, read_class, resolve_class};
pub use class_file::StationKind;
pub use rotation::{Block, Rotation, Row, rotation};
pub use shopping::{Item, ItemName, Shopping, shopping};
pub use simulate::{AirOutcome, ClassError, Outcome, Running, StationOutcome, simulate};
pub use supply::Supply;

/// The schema of `class.toml`, JSON Schema draft 2020-12.
#[must_use]
pub fn schema() -> serde_json::Value {
    piece::schema::of::<class_file::ClassFile>()
}
