//! Placed artwork into the files that cut and open the resist.
//!
//! [`layers::stencil_layers`] says what is weeded at each stage, in register and mirrored when carved
//! from the back; [`svg_out::write`] writes it at true scale; [`verify::verified`] reads it back,
//! compares, and only then gives it out. [`layers::consumption`] tells the resist and the transfer
//! tape that it takes.
//!
//! Not here: which layers a stage opens (the carving order decides), nesting of many pieces, film
//! positives, and the forms of other cutters than those that take SVG.

pub mod layers;
pub mod svg_out;
pub mod verify;
