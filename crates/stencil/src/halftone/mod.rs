//! Tones as dots on a 1-bit film.
//!
//! [`tone`] relates asked and printed tones (density, growth, the inverse curve); [`limits`] what a ruling and
//! a film hold; [`clustered`] is the screen of growing dots; [`blue_noise`] scatters equal spots by a
//! void-and-cluster tile; [`diffusion`] scatters them by passing errors on; [`screen`] puts each on a film's
//! rows. Tones are the share of the area that is black, 0 to 1.

pub mod blue_noise;
pub mod clustered;
pub mod diffusion;
pub mod limits;
pub mod screen;
pub mod tone;
