//! Light on photo resist: how long, how even, how sharp.
//!
//! [`dose`] is time from irradiance and from the film's thickness; [`tablet`] is time from a step tablet's reading
//! or a log of them, and [`corrected`] weighs the one against the other; [`source`] is how a lamp, a tube bank or an
//! LED array lights the bed; [`sharp`] how far light walks under the film's edge; [`sheet`] is printed to measure all
//! of it.

use language::say;

pub mod corrected;
pub mod dose;
pub mod sharp;
pub mod sheet;
pub mod source;
pub mod tablet;

/// Why no exposure can be told.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ExposureError {
    /// No light.
    #[error("{}", say!("the irradiance is 0; switch the lamp on and measure at the film"))]
    Dark,
    /// A result beyond what can be waited for.
    #[error("{}", say!("the exposure comes to {seconds:.3e} s; check the irradiance and the tablet's reading"))]
    OutOfReach {
        /// What came out.
        seconds: f64,
    },
    /// A light source of no size.
    #[error("{}", say!("a {what} is needed above 0; measure it"))]
    NotPositive {
        /// What is missing.
        what: &'static str,
    },
    /// A log without a reading.
    #[error("{}", say!("the log has no reading; expose a step tablet"))]
    NoReading,
}
