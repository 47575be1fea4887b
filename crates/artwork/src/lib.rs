//! Drawings into regions with depth, at true scale in millimetres.
//!
//! The data's way: [`load::load`] turns the bytes of any file of artwork into a [`drawing::Drawing`] of named, coloured
//! shapes, by [`svg::read_svg`], [`dxf::read_dxf`] or [`photo::trace_photo`], with [`note`]s of what it did on its own; [`text`] sets lettering, and [`batch`] fills a table of names
//! into a template. [`depth::resolve`] turns a drawing and the user's table of depths into layers that do not
//! overlap; [`place::place`] puts them on the blank. From there on [`raster`], [`distance`], [`label`], [`width`]
//! and [`ridge`] look at the result; [`analysis`] holds it against limits, and [`repair`] mends it.
//!
//! Everywhere x runs to the right and y down, from the blank's top left corner.
//!
//! Not here: a depth for each grey (a grey picture is kept as tone, [`photo::read_photo`], for others to use), and anything that depends on
//! a resist: limits come from the caller.

pub mod analysis;
pub mod batch;
pub mod bounds;
pub mod depth;
pub mod distance;
pub mod drawing;
pub mod dxf;
mod edges;
pub mod grid;
mod groups;
pub mod label;
pub mod load;
mod medial;
mod near;
pub mod note;
mod parsers;
pub mod photo;
pub mod place;
#[cfg(test)]
mod plates;
pub mod raster;
pub mod region;
pub mod repair;
pub mod ridge;
pub mod svg;
pub mod text;
pub mod width;
mod windows;

pub use kurbo::Affine;
