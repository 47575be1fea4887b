//! `sabulo stencil names`: a batch into files, one stencil for each drawing.

use super::document::{Files, LayerEntry, make, told_and_files};
use super::forms::FormArguments;
use crate::commands::plan::STOPPED;
use crate::commands::stop_line;
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::{read, write_all};
use artwork::analysis::AnalysisLimits;
use artwork::batch::{BatchOptions, Fit, Made, batch};
use artwork::depth::{DepthLayer, Resolved};
use artwork::drawing::Drawing;
use artwork::region::Region;
use artwork::svg::{ReadOptions, read_svg};
use clap::Args;
use language::{Language, say};
use plan::Making;
use quantity::{Area, Length, known};
use rayon::prelude::*;
use reference::{Resist, ResistKind};
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use stencil::cut::weed::WeedPace;
use stencil::layers::{LayoutOptions, Side, Stage, StencilLayer, stencil_layers};

#[derive(Debug, Args)]
pub(super) struct NamesArguments {
    /// A folder of SVG drawings, such as a batch wrote; or, with --names, the template.
    artwork: PathBuf,
    /// A CSV file: the template is filled with each of its rows.
    #[arg(long, value_name = "CSV")]
    names: Option<PathBuf>,
    /// Shrink a column's text to fit a width: name=60mm. May be given several times.
    #[arg(long, value_name = "COLUMN=WIDTH")]
    fit: Vec<String>,
    /// The resist, by its id.
    #[arg(long, default_value = "rubber_thin")]
    resist: String,
    /// Carved from the back: mirrored.
    #[arg(long)]
    mirror: bool,
    /// Folder for the files.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    #[command(flatten)]
    forms: FormArguments,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct NamesDocument {
    resist: String,
    made: Vec<NameEntry>,
    /// Rows or drawings of which nothing could be made, and why.
    bad: Vec<BadEntry>,
    files: usize,
}

#[derive(Debug, Serialize)]
struct NameEntry {
    name: String,
    /// Places that break a limit of the resist.
    faults: usize,
    layers: Vec<LayerEntry>,
}

#[derive(Debug, Serialize)]
struct BadEntry {
    name: String,
    fault: String,
}

/// Least share of its size that a text may be shrunk to.
const LEAST_SCALE: f64 = 0.6;
const ROWS_MAX: usize = 100_000;
const NONE: Length = known(Length::mm(0.0));

/// A drawing by name.
struct Named {
    name: String,
    drawing: Drawing,
    faults: usize,
}

pub(super) fn names(arguments: &NamesArguments, reader: Language) -> Result<ExitCode, Failure> {
    let resist = reference::tables().resist(&arguments.resist).map_err(|fault| Failure::Unknown(Box::new(fault)))?;
    let making = arguments.forms.making(&::piece::StencilMaking::usual(), resist.kind, None)?;
    let (drawings, mut bad) = match &arguments.names {
        Some(table) => from_table(arguments, table, resist)?,
        None => from_folder(&arguments.artwork)?,
    };
    let (answer, pace) = (Language::current(), pace(resist));
    let one = |named| answer.scope(|| stencil_of(named, arguments, &making, (pace, reader)));
    let made: Vec<Result<(NameEntry, Files), BadEntry>> = drawings.par_iter().map(one).collect();
    let (mut entries, mut files) = (Vec::new(), Files::new());
    for one in made {
        match one {
            Ok((entry, mut more)) => {
                entries.push(entry);
                files.append(&mut more);
            }
            Err(fault) => bad.push(fault),
        }
    }
    let all: Vec<(String, &[u8])> = files.iter().map(|(name, bytes)| (name.clone(), &bytes[..])).collect();
    write_all(&arguments.out, &all)?;
    let stopped = entries.iter().flat_map(|entry| &entry.layers).any(|layer| layer.stop().is_some());
    let failed = !bad.is_empty();
    let document = NamesDocument { resist: resist.id.clone(), made: entries, bad, files: files.len() };
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&document, arguments))?,
    }
    Ok(match (failed, stopped) {
        (true, _) => ExitCode::from(1),
        (_, true) => ExitCode::from(STOPPED),
        _ => ExitCode::SUCCESS,
    })
}

/// As the table of resists says; a film is washed out.
fn pace(resist: &Resist) -> Option<WeedPace> {
    let weeding = resist.weeding.as_ref().filter(|_| resist.kind != ResistKind::PhotoFilm)?;
    Some(WeedPace { per_metre: weeding.per_metre.value, per_part: weeding.per_piece.value })
}

type Read = (Vec<Named>, Vec<BadEntry>);

fn from_table(arguments: &NamesArguments, table: &Path, resist: &Resist) -> Result<Read, Failure> {
    let limits = AnalysisLimits {
        opening: resist.finest_opening.value,
        wall: resist.finest_wall.value,
        holding: known(Area::square_mm(9.0)),
        neck: resist.finest_wall.value,
        corner_degrees: 20.0,
        margin: NONE,
    };
    let fits = arguments.fit.iter().map(|text| fit(text)).collect::<Result<_, _>>()?;
    let options = BatchOptions { read: ReadOptions::default(), fits, limits, rows_max: ROWS_MAX };
    let batch =
        batch(&read(&arguments.artwork)?, &read(table)?, &options).map_err(|fault| Failure::Batch(Box::new(fault)))?;
    let bad = batch.bad.iter().map(|row| BadEntry { name: say!("line {}", row.line), fault: row.fault.to_string() });
    let bad = bad.collect();
    let named = batch.made.into_iter().map(|made| Named {
        name: plain(&made),
        faults: made.analysis.faults.len(),
        drawing: made.drawing,
    });
    Ok((named.collect(), bad))
}

fn fit(text: &str) -> Result<Fit, Failure> {
    let (column, width) = text.split_once('=').ok_or_else(|| Failure::Fit { given: text.to_owned() })?;
    Ok(Fit { column: column.to_owned(), width: quantity("--fit", width)?, least_scale: LEAST_SCALE })
}

/// The row's line keeps names apart and files in the table's order.
fn plain(made: &Made) -> String {
    let first = made.values.first().map_or("", |(_, value)| value.as_str());
    let plain: String = first.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).take(40).collect();
    format!("{:05}-{}", made.line, plain.trim_matches('-'))
}

fn from_folder(folder: &Path) -> Result<Read, Failure> {
    let fault = |fault| Failure::Read { path: folder.to_owned(), fault };
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(fault)?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<_, _>>()
        .map_err(fault)?;
    paths.retain(|path| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("svg")));
    paths.sort();
    if paths.is_empty() {
        return Err(Failure::Needed {
            name: say!(in "what is needed", "a drawing"),
            mend: say!("the folder holds no .svg file"),
        });
    }
    let (mut named, mut bad) = (Vec::new(), Vec::new());
    for path in paths {
        let name = path.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        match read_svg(&read(&path)?, &ReadOptions::default()) {
            Ok(drawing) => named.push(Named { name, drawing, faults: 0 }),
            Err(fault) => bad.push(BadEntry { name, fault: fault.to_string() }),
        }
    }
    Ok((named, bad))
}

fn stencil_of(
    named: &Named,
    arguments: &NamesArguments,
    making: &Making,
    (pace, reader): (Option<WeedPace>, Language),
) -> Result<(NameEntry, Files), BadEntry> {
    let bad = |fault: String| BadEntry { name: named.name.clone(), fault };
    let layer = layer(named, arguments.mirror).map_err(|fault| bad(fault.to_string()))?;
    let made = reader.scope(|| make(&[layer], &named.name, (making, &arguments.forms.forms()), pace));
    let made = made.map_err(|fault| bad(fault.to_string()))?;
    let (layers, files) = told_and_files(made);
    Ok((NameEntry { name: named.name.clone(), faults: named.faults, layers }, files))
}

fn layer(named: &Named, mirror: bool) -> Result<StencilLayer, stencil::layers::LayerError> {
    let drawing = &named.drawing;
    let region = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
    let depth = DepthLayer { name: named.name.clone(), depth: NONE, region };
    let (width_mm, height_mm) = (drawing.width_mm, drawing.height_mm);
    let resolved = Resolved { layers: vec![depth], width_mm, height_mm, notes: Vec::new() };
    let side = if mirror { Side::Back } else { Side::Front };
    let stage = Stage { name: named.name.clone(), opens: vec![0] };
    let options = LayoutOptions { side, ..LayoutOptions::default() };
    let width = Length::mm(width_mm).unwrap_or(NONE);
    Ok(stencil_layers(&resolved, &[stage], width, &options)?.remove(0))
}

fn told(document: &NamesDocument, arguments: &NamesArguments) -> String {
    let faulty = document.made.iter().filter(|entry| entry.faults > 0).count();
    let mut text = say!(
        "{} stencils in {} files, written to {}; {faulty} of them break a limit of {}.",
        document.made.len(),
        document.files,
        arguments.out.display(),
        document.resist
    );
    text.push('\n');
    for entry in &document.made {
        let stops = entry.layers.iter().filter_map(LayerEntry::stop);
        text.extend(stops.map(|stop| stop_line(&format!("{}: {stop}", entry.name))));
    }
    text.extend(document.bad.iter().map(|bad| format!("{}: {}\n", bad.name, bad.fault)));
    text
}
