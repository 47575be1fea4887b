//! One file for each command.

pub(crate) mod air;
pub(crate) mod artwork;
pub(crate) mod batch;
pub(crate) mod carve;
pub(crate) mod class;
pub(crate) mod expose;
pub(crate) mod keep;
pub(crate) mod paper;
pub(crate) mod plan;
pub(crate) mod quote;
pub(crate) mod safety;
pub(crate) mod schema;
pub(crate) mod serve;
pub(crate) mod size;
pub(crate) mod stencil;
mod units;

use crate::error::Failure;
use crate::folder::read;
use ::artwork::drawing::Drawing;
use ::artwork::load::{LoadOptions, load};
use ::plan::{State, words};
use std::io::Write as _;
use std::path::Path;

/// Prints text to standard output.
fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(Failure::Print)
}

/// Prints a value as JSON.
fn print_json(value: &impl serde::Serialize) -> Result<(), Failure> {
    print(&format!("{}\n", serde_json::to_string_pretty(value)?))
}

/// A word in the column that the states of findings stand in.
fn column(word: &str) -> String {
    let states = [State::Holds, State::Watch, State::Stop].map(|state| words::state(state).chars().count());
    let width = states.into_iter().fold(0, usize::max) + 1;
    format!("{word:<width$}")
}

/// A line of what stops.
fn stop_line(why: &str) -> String {
    format!("{} {why}\n", column(words::state(State::Stop)))
}

/// Reads an option that is a quantity.
fn quantity<Q: quantity::Quantity>(name: &'static str, text: &str) -> Result<Q, Failure> {
    quantity::parse::parse(text).map_err(|fault| Failure::Quantity { name, fault: Box::new(fault) })
}

/// Reads a drawing, whatever kind of file it is in. `dpi`: of a photograph that does not say its own.
fn artwork_file(path: &Path, dpi: Option<f64>) -> Result<Drawing, Failure> {
    let mut options = LoadOptions::default();
    options.photo.dpi = dpi.unwrap_or(options.photo.dpi);
    load(&read(path)?, &options).map_err(|fault| Failure::Artwork { path: path.to_owned(), fault })
}
