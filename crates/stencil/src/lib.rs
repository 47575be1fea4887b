//! Placed artwork into the files that cut, expose and open the resist.
//!
//! * [`layers::stencil_layers`] says what is weeded at each stage, in register and mirrored when carved
//!   from the back; [`layers::consumption`] tells the resist and the transfer tape that it takes.
//! * [`svg_out`], [`plotter`] and [`dxf_out`] write a layer at true scale for a cutter; [`cut`] orders, overcuts,
//!   frames and tiles its lines, which are [`strokes`].
//! * [`film`] makes a film positive of it, as PDF or as 1-bit TIFF, with [`halftone`]s; [`exposure`] times the
//!   photo resist under it.
//! * [`vessel`] lays artwork on round glass.
//! * [`nest`] lays many pieces close together on remnants, sheets and the roll.
//!
//! Every writer has a reader that reads the file back and compares it with the layer; only what a function
//! called `verified` gives out was checked so ([`verify`] is that of SVG).
//!
//! Not here: which layers a stage opens (the carving order decides), and machines' own settings of speed and
//! force.

pub mod bundle;
pub mod choice;
pub mod cut;
pub mod dxf_out;
pub mod exposure;
pub mod film;
pub mod gain;
pub mod halftone;
pub mod layers;
pub mod masking;
pub mod nest;
pub mod plotter;
pub mod strokes;
pub mod svg_out;
pub mod treat;
pub mod verify;
pub mod vessel;
