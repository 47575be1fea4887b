//! `sabulo artwork batch`: a template and a table of names into one drawing for each row.

use super::document::{FaultEntry, faults};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::{read, write_all};
use artwork::analysis::AnalysisLimits;
use artwork::batch::{Batch, BatchOptions, Fit, Made, batch};
use artwork::svg::{ReadOptions, write_svg};
use clap::Args;
use language::say;
use quantity::{Area, Length, known};
use rayon::prelude::*;
use serde::Serialize;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct BatchArguments {
    /// An SVG with places for the columns: a text element whose id is a column's name, or {column} in a text.
    template: PathBuf,
    /// A CSV file; its first row names the columns.
    names: PathBuf,
    /// Folder for the drawings.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Shrink a column's text to fit a width: name=60mm. May be given several times.
    #[arg(long, value_name = "COLUMN=WIDTH")]
    fit: Vec<String>,
    /// Least share of its size that a text may be shrunk to.
    #[arg(long, default_value_t = 0.6)]
    least: f64,
    /// The resist that each is judged for, by its id.
    #[arg(long, default_value = "rubber_thin")]
    resist: String,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct BatchDocument {
    made: Vec<MadeEntry>,
    bad: Vec<BadEntry>,
    unused_columns: Vec<String>,
}

#[derive(Debug, Serialize)]
struct MadeEntry {
    line: u64,
    path: String,
    min_opening_mm: Option<f64>,
    faults: Vec<FaultEntry>,
}

#[derive(Debug, Serialize)]
struct BadEntry {
    line: u64,
    fault: String,
}

/// Most rows that are made at once.
const ROWS_MAX: usize = 100_000;

pub(super) fn make(arguments: &BatchArguments) -> Result<ExitCode, Failure> {
    let resist = reference::tables().resist(&arguments.resist).map_err(|fault| Failure::Unknown(Box::new(fault)))?;
    let limits = AnalysisLimits {
        opening: resist.finest_opening.value,
        wall: resist.finest_wall.value,
        holding: known(Area::square_mm(9.0)),
        neck: resist.finest_wall.value,
        corner_degrees: 20.0,
        margin: known(Length::mm(0.0)),
    };
    let fits = arguments.fit.iter().map(|text| fit(text, arguments.least)).collect::<Result<_, _>>()?;
    let options = BatchOptions { read: ReadOptions::default(), fits, limits, rows_max: ROWS_MAX };
    let made = batch(&read(&arguments.template)?, &read(&arguments.names)?, &options)
        .map_err(|fault| Failure::Batch(Box::new(fault)))?;
    let texts: Vec<(String, String)> =
        made.made.par_iter().map(|piece| (name(piece), write_svg(&piece.drawing))).collect();
    let files: Vec<(String, &[u8])> = texts.iter().map(|(name, text)| (name.clone(), text.as_bytes())).collect();
    write_all(&arguments.out, &files)?;
    match arguments.json {
        true => print_json(&document(&made))?,
        false => print(&told(&made, arguments))?,
    }
    // Rows that could not be made are told; those that could are there.
    Ok(if made.bad.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn fit(text: &str, least_scale: f64) -> Result<Fit, Failure> {
    let (column, width) = text.split_once('=').ok_or_else(|| Failure::Fit { given: text.to_owned() })?;
    Ok(Fit { column: column.to_owned(), width: quantity("--fit", width)?, least_scale })
}

/// The row's line keeps names apart and files in the table's order.
fn name(piece: &Made) -> String {
    let first = piece.values.first().map_or("", |(_, value)| value.as_str());
    let plain: String = first.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).take(40).collect();
    format!("{:05}-{}.svg", piece.line, plain.trim_matches('-'))
}

fn document(batch: &Batch) -> BatchDocument {
    let made = |piece: &Made| MadeEntry {
        line: piece.line,
        path: name(piece),
        min_opening_mm: piece.analysis.min_opening.map(|spot| spot.width.to_mm()),
        faults: faults(&piece.analysis),
    };
    BatchDocument {
        made: batch.made.iter().map(made).collect(),
        bad: batch.bad.iter().map(|row| BadEntry { line: row.line, fault: row.fault.to_string() }).collect(),
        unused_columns: batch.unused.clone(),
    }
}

fn told(batch: &Batch, arguments: &BatchArguments) -> String {
    let faulty = batch.made.iter().filter(|piece| !piece.analysis.faults.is_empty()).count();
    let mut lines = vec![say!(
        "{} drawings written to {}; {faulty} of them break a limit of {}.",
        batch.made.len(),
        arguments.out.display(),
        arguments.resist
    )];
    lines.extend(batch.bad.iter().map(|row| say!("{}, line {}: {}", arguments.names.display(), row.line, row.fault)));
    if !batch.unused.is_empty() {
        lines.push(say!("columns that the template has no place for: {}", batch.unused.join(", ")));
    }
    lines.join("\n") + "\n"
}
