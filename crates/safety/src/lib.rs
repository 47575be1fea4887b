//! What can hurt people or break the blank, checked against named limits.
//!
//! * [`dust`]: which dusts a material and an abrasive free, their limits, 8-hour averages, respirators.
//! * [`clearing`]: how long the cabinet's door stays shut, and what air a collector must move.
//! * [`refusal`]: blanks and abrasives that are not accepted at all.
//! * [`thickness`]: carved depth against the blank's thickness; a screening, never a design.
//! * [`caution`]: hazard, harm and act in few words, each with its source and the step it belongs to.
//!
//! Everything comes in as plain values; the tables are those of the crate `reference`. A result says
//! what was compared with which limit. It never says that work is without danger: exposure can only
//! be measured, and the strength of a carved pane can only be tested. Limits differ by country;
//! local code and licensed practice have the last word.
//!
//! Not here: noise dose, hoses and vessels, filters, plate bending, glazing by place of use.

pub mod caution;
pub mod check;
pub mod clearing;
pub mod dust;
pub mod enclosure;
pub mod exposure;
pub mod glazing;
pub mod handling;
pub mod noise;
pub mod plate;
pub mod pressure;
pub mod refusal;
pub mod strength;
pub mod thickness;
#[cfg(test)]
mod words;

pub use caution::Caution;
pub use reference::{Concentration, SoundLevel};
