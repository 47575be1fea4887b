//! One file for each command.

pub(crate) mod air;
pub(crate) mod artwork;
pub(crate) mod carve;
pub(crate) mod expose;
pub(crate) mod plan;
pub(crate) mod schema;
pub(crate) mod serve;
pub(crate) mod size;
pub(crate) mod stencil;

use crate::error::Failure;
use std::io::Write as _;

/// Prints text to standard output.
fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(Failure::Print)
}

/// Prints a value as JSON.
fn print_json(value: &impl serde::Serialize) -> Result<(), Failure> {
    print(&format!("{}\n", serde_json::to_string_pretty(value)?))
}

/// Reads an option that is a quantity.
fn quantity<Q: quantity::Quantity>(name: &'static str, text: &str) -> Result<Q, Failure> {
    quantity::parse::parse(text).map_err(|fault| Failure::Quantity { name, fault: Box::new(fault) })
}
