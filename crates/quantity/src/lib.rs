//! Physical quantities with their unit in the type.
//!
//! One unit inside (SI), units only in the names of constructors and getters, and a range that the
//! constructor refuses to leave. Gauge and absolute pressure, a bore and a length, free air and
//! mass flow are different types, so that the compiler keeps them apart.
//!
//! * The kinds themselves: types themselves, made by one macro and listed in `kinds.rs`.
//! * [`parse`]: what people write (`1-1/2in`, `40psi`, `68°F`) into a quantity, or an error that
//!   points at the offending character.
//! * [`show`]: a quantity into what people read, US or metric.
//! * [`Estimate`]: an uncertain number as low, middle and high.
//! * [`schema`]: the same types as strings in TOML and JSON, and in a JSON Schema.
//!
//! Not here: signed differences of quantities, and arithmetic across kinds. A formula takes the
//! numbers out with getters, computes, and puts the answer back through a constructor that checks.

mod estimate;
mod kinds;
pub mod parse;
pub mod schema;
pub mod show;

pub use estimate::{Estimate, NotOrdered, percentiles};
pub use kinds::*;
pub use parse::ParseError;
pub use show::{Shown, UnitSystem};
