//! Carving: from grains in an air jet to the depth of every point of the artwork, and back.
//!
//! In the order of the work:
//! * [`model`]: the constants on which everything rests, their spread, and the samples drawn from it.
//! * [`grain`]: how fast a grain leaves the nozzle and how fast it arrives.
//! * [`erosion`]: what a kilogram of such grains removes.
//! * [`jet`]: the footprint at the standoff, the removal rate, seconds for a dose over a swept area.
//! * [`distance_rule`]: the closed form of the carved profile; [`quick`] applies it to several stages.
//! * [`height_field`]: the same equation solved on a grid, for stages whose openings grow.
//! * [`staging`]: target depths to stages, and what those stages reach.
//! * [`resist`]: wear of the resist; [`coverage`]: how frosted and how rough the ground looks.
//!
//! A *dose* is the depth that a wide flat ground gains: flux of removal times time. Depth grows down,
//! from 0 at the blank's face. Everything comes in as typed values; where they were found (tables,
//! shop, artwork) is not known here. Not handled: stray rebounding grains beyond the undercut's
//! share, oblique jets, ductile targets, and heat.

pub mod coverage;
pub mod distance_rule;
pub mod erosion;
pub mod grain;
pub mod height_field;
pub mod jet;
pub mod model;
pub mod quick;
pub mod resist;
pub mod staging;

mod history;
mod power;
mod reach;
mod sampling;
mod scheme;
mod tiles;
