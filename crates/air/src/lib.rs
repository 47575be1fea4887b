//! Compressed air from the compressor's inlet to the nozzle's throat, steady and in time.
//!
//! Start with [`Network`]: a shop's air as named parts that feed one another. It is checked once
//! ([`Network::new`]), then asked:
//! * [`Network::steady`] ([`ladder`]): the pressure at every part, and where each bit of it goes.
//! * [`Network::run`] ([`course`]): the whole shop in time, with every switching and a balance of mass.
//! * [`Network::moisture`] ([`damp`]): where water falls out, when to drain, what the nozzle gets.
//! * [`Network::map`] ([`map`](mod@map)): set pressure against bore: how long each holds.
//! * [`size`](mod@size): the other way: the smallest sizes that hold a given work, and what the next would allow.
//!
//! The parts, a file each:
//! * [`site`]: the air around the shop: altitude, temperature, humidity.
//! * [`machine`]: a compressor: delivery against pressure, duty, whether a plate tells swept volume.
//! * [`part`]: everything else that a network is made of.
//! * [`receiver`]: the tank in closed form: fill and draw-down times, sizing, blow-down, cycling.
//! * [`conductance`]: a valve, separator or other fitting by ISO 6358.
//! * [`regulator`]: set pressure, droop, and the valve when it is fully open.
//! * [`hose`]: isothermal compressible flow with friction; choking is an answer.
//! * [`nozzle`]: mass flow through a bore, abrasive in the stream, wear, the state at the throat.
//! * [`moisture`], [`iso8573`]: condensate, dew points and purity classes by themselves.
//! * [`energy`], [`leak`]: what compressing costs, what holes lose.
//! * [`gas`]: the constants of air that all of them share.
//!
//! A line of one station has a shorter way: [`AirLine`], with [`steady`], [`hold`](fn@hold) (what holds, how long, in
//! what rhythm, in closed form), [`pattern_for`] (blasts and rests for a needed time) and
//! [`run`](fn@run) (its network's run).
//!
//! Inside, `tree` finds the shape, `plant` holds the numbers, `profile` tabulates what a set of open
//! valves draws, `model` has the receivers' equations and `engine` integrates them from event to event.
//!
//! Everything comes in resolved: quantities with units. The model is an ideal gas; pipes, hoses and nozzles are at 20 °C
//! ([`gas::LINE_TEMPERATURE`]), the flow through them is in balance at every instant and the air
//! stored in them is ignored. A receiver is isothermal, or keeps its energy when asked
//! ([`course::TankModel`]): one that cools as it empties reaches its cut-in up to a quarter sooner.
//!
//! Not handled, deliberately: the extra loss of a hose that carries abrasive (no figure was found), more
//! than two receivers in a row or a receiver in a branch, the air pulse that fills a pot when its valve opens, and the
//! little that an aftercooler's loss takes off the delivery.

mod bank;
mod chain;
pub mod compressor;
pub mod conductance;
pub mod course;
pub mod damp;
mod dormand_prince;
pub mod energy;
mod engine;
pub mod gas;
pub mod hold;
pub mod hose;
pub mod iso8573;
pub mod ladder;
pub mod leak;
pub mod line;
mod link;
pub mod machine;
pub mod map;
mod model;
pub mod moisture;
pub mod network;
pub mod nozzle;
mod numbers;
pub mod part;
pub mod pattern;
mod plant;
mod profile;
pub mod receiver;
pub mod regulator;
mod root;
mod schedule;
pub mod site;
pub mod size;
mod tank;
mod trace;
pub mod transient;
mod tree;

pub use compressor::Compressor;
pub use conductance::Conductance;
pub use hold::{Hold, Rhythm, hold};
pub use hose::{Fittings, Hose};
pub use line::{AirLine, Component, Drop, LineError, Nozzle, Steady, steady};
pub use machine::{Machine, MachineKind};
pub use network::{Network, NetworkError};
pub use nozzle::{Discharge, FlowError, Loading, NozzleFlow, Stagnation, Throat};
pub use part::{Part, PartKind};
pub use pattern::pattern_for;
pub use regulator::{Droop, Regulator};
pub use site::{Altitude, Site};
pub use transient::{Event, Sample, Start, Trace, TransientError, Valve, run};
