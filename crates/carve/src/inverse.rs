//! From what is wanted to what to do: depths of layers to an order and doses, a grey relief to stencil layers, tones
//! to dwelling times.
//!
//! * [`layers`]: nested layers, with resist put back where that pays.
//! * [`relief`]: a relief in a few stencil layers, by optimal quantisation and refinement on the forward model.
//! * [`shade`]: tones of single-stage shading.

pub mod layers;
pub mod relief;
pub mod shade;
