//! What can hurt people or break the blank, checked against named limits.
//!
//! * [`check`]: every check of a shop and a piece in it, with what would mend it. Start there.
//! * [`caution`]: hazard, harm and act in few words, each with its source and the step it belongs to.
//! * [`refusal`]: blanks and abrasives that are not accepted at all.
//! * [`dust`]: which dusts a material and an abrasive free, their limits, 8-hour averages; [`exposure`]: those of a
//!   planned shift.
//! * [`clearing`]: how long the cabinet's door stays shut, and what air a collector must move; [`enclosure`]: inflow,
//!   ducts, filters, settling.
//! * [`noise`]: a day's dose; [`pressure`]: vessels, hoses, nozzles; [`handling`]: weight.
//! * [`plate`]: bending of panes, by series; [`strength`]: the figures that their stress is set beside;
//!   [`thickness`]: depth against thickness; [`glazing`]: places where licensed practice has the word.
//!
//! Everything comes in as plain values; the tables are those of the crate `reference`. A result says
//! what was compared with which limit. It never says that work is without danger: exposure can only
//! be measured, and the strength of a carved pane can only be tested. Limits differ by country;
//! local code and licensed practice have the last word.
//!
//! Not here: rating a vessel, predicting a level of noise or dust, designing a pane.

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
pub mod words;

pub use caution::Caution;
pub use reference::{Concentration, SoundLevel};
