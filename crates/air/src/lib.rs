//! Compressed air from the compressor's inlet to the nozzle's throat, steady and in time.
//!
//! The air's way, a file each:
//! * [`site`]: the air around the shop: altitude, temperature, humidity.
//! * [`compressor`]: free air delivered, as mass, with cut-in, cut-out and duty limit.
//! * [`receiver`]: the tank in closed form: fill and draw-down times, sizing, blow-down, cycling.
//! * [`conductance`]: a valve, separator or other fitting by ISO 6358.
//! * [`regulator`]: set pressure, droop, and the valve when it is fully open.
//! * [`hose`]: isothermal compressible flow with friction; choking is an answer.
//! * [`nozzle`]: mass flow through a bore, abrasive in the stream, wear, the state at the throat.
//! * [`line`](mod@line): all of them in a row, balanced at one receiver pressure.
//! * [`hold`](mod@hold): what the shop holds: demand, supply, longest blast, shares, a rhythm.
//! * [`transient`]: the receiver in time under a valve pattern; [`pattern`]: a pattern that holds.
//! * [`moisture`]: condensate and dew points.
//! * [`gas`]: the constants of air that all of them share.
//!
//! Everything comes in resolved: quantities with units, one line, one hose, one open nozzle. The
//! model is an ideal gas; receiver, hose and nozzle are at 20 °C ([`gas::LINE_TEMPERATURE`]), the
//! tank is isothermal, the chain behind it is in balance at every instant and the air stored in the
//! hose is ignored. A tank that cools as it empties reaches its cut-in up to a quarter sooner.
//!
//! Not handled, deliberately: heat in the receiver, several nozzles at once, the extra loss of a
//! hose that carries abrasive (no figure was found), anything upstream of the regulator but the
//! receiver itself.

mod chain;
pub mod compressor;
pub mod conductance;
mod dormand_prince;
pub mod gas;
pub mod hold;
pub mod hose;
pub mod line;
pub mod moisture;
pub mod nozzle;
pub mod pattern;
pub mod receiver;
pub mod regulator;
mod root;
pub mod site;
mod table;
mod tank;
mod trace;
pub mod transient;

pub use compressor::Compressor;
pub use conductance::Conductance;
pub use hold::{Hold, Rhythm, hold};
pub use hose::{Fittings, Hose};
pub use line::{AirLine, Component, Drop, LineError, Nozzle, Steady, steady};
pub use nozzle::{Discharge, FlowError, Loading, NozzleFlow, Stagnation, Throat};
pub use pattern::pattern_for;
pub use regulator::{Droop, Regulator};
pub use site::{Altitude, Site};
pub use transient::{Event, Sample, Start, Trace, TransientError, Valve, run};
