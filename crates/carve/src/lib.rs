//! Carving: from grains in an air jet to the depth of every point of the artwork, and back.
//!
//! In the order of the work:
//! * [`model`]: the constants on which everything rests, their spread, and the samples drawn from it;
//!   [`calibrate`]: what coupons say of them; [`sensitivity`]: which of them matters most.
//! * [`grain`]: how fast a grain leaves the nozzle and how fast it arrives; [`sizes`]: grains of many sizes;
//!   [`reuse`]: what turns of use do to them.
//! * [`erosion`]: what a kilogram of such grains removes.
//! * [`jet`]: the footprint at the standoff, the removal rate, seconds for a dose over a swept area;
//!   [`motion`]: passes and dwelling, and the evenness that they leave.
//! * [`distance_rule`]: the closed form of the carved profile; [`quick`] applies it to several stages.
//! * [`height_field`]: the same equation solved on a grid, for stages that open and cover, and for uneven flux;
//!   [`narrow`]: what narrow openings let through; [`growth`]: edges that draw back, resist that lets go.
//! * [`probe`]: reading the field at a point and along a line.
//! * [`staging`]: target depths to stages; [`inverse`]: stages found on the forward model,
//!   reliefs in layers, shading.
//! * [`resist`]: wear of the resist; [`coverage`]: how frosted and how rough the ground looks.
//!
//! A *dose* is the depth that a wide flat ground gains: flux of removal times time. Depth grows down,
//! from 0 at the blank's face. Everything comes in as typed values; where they were found (tables,
//! shop, artwork) is not known here. Not handled: stray rebounding grains beyond the undercut's
//! share, oblique jets, ductile targets, and heat.

pub mod calibrate;
pub mod coverage;
pub mod distance_rule;
pub mod erosion;
pub mod grain;
pub mod growth;
pub mod height_field;
pub mod inverse;
pub mod jet;
pub mod model;
pub mod motion;
pub mod narrow;
pub mod probe;
pub mod quick;
pub mod resist;
pub mod reuse;
pub mod sensitivity;
pub mod sizes;
pub mod staging;

mod ground;
mod history;
mod power;
mod sampling;
mod scheme;
mod tiles;
