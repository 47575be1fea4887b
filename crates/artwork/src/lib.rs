//! Drawings into regions with depth, at true scale in millimetres.
//!
//! The data's way: [`svg::read_svg`] turns bytes into a [`svg::Drawing`] of named, coloured shapes;
//! [`depth::resolve`] turns the drawing and the user's table of depths into layers that do not
//! overlap; [`place::place`] puts them on the blank. From there on [`raster`], [`distance`],
//! [`label`], [`width`] and [`ridge`] look at the result.
//!
//! Everywhere x runs to the right and y down, from the blank's top left corner.
//!
//! Not here: photographs and scans, gradients as depth, and anything that depends on a resist.

pub mod bounds;
pub mod depth;
pub mod distance;
mod edges;
pub mod grid;
pub mod label;
mod medial;
pub mod place;
pub mod raster;
pub mod region;
pub mod ridge;
pub mod svg;
pub mod width;

pub use kurbo::Affine;
