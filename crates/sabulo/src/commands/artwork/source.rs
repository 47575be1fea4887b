//! A drawing from a file of any kind that is read, by its ending.

use crate::error::Failure;
use crate::folder::read;
use artwork::drawing::Drawing;
use artwork::dxf::{DxfOptions, Repair, RepairKind, read_dxf};
use artwork::photo::{PhotoOptions, trace_photo};
use artwork::svg::{ReadOptions, read_svg};
use std::path::Path;

/// What was read, and what was done to it while reading.
pub(in crate::commands) struct Source {
    pub(in crate::commands) drawing: Drawing,
    /// In words: gaps closed, doubles removed, what was left out.
    pub(in crate::commands) notes: Vec<String>,
}

/// Endings that are read, for messages.
pub(in crate::commands) const ENDINGS: &str = "svg, dxf, png, jpg, jpeg, tif, tiff, webp";

/// Reads a drawing. `dpi`: of a photograph that does not say its own.
pub(in crate::commands) fn drawing(path: &Path, dpi: Option<f64>) -> Result<Source, Failure> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "svg" => from_svg(path),
        "dxf" => from_dxf(path),
        "png" | "jpg" | "jpeg" | "tif" | "tiff" | "webp" => from_photo(path, dpi),
        _ => Err(Failure::UnknownArtwork { path: path.to_owned(), known: ENDINGS }),
    }
}

fn from_svg(path: &Path) -> Result<Source, Failure> {
    let drawing = read_svg(&read(path)?, &ReadOptions::default())
        .map_err(|fault| Failure::Artwork { path: path.to_owned(), fault: Box::new(fault) })?;
    let notes = drawing.notes.iter().map(ToString::to_string).collect();
    Ok(Source { drawing, notes })
}

fn from_dxf(path: &Path) -> Result<Source, Failure> {
    let read = read_dxf(&read(path)?, &DxfOptions::default())
        .map_err(|fault| Failure::Dxf { path: path.to_owned(), fault: Box::new(fault) })?;
    let repairs = read.repairs.iter().map(repair);
    let notes = repairs.chain(read.drawing.notes.iter().map(ToString::to_string)).collect();
    Ok(Source { drawing: read.drawing, notes })
}

fn repair(repair: &Repair) -> String {
    let at = format!("at {:.2}, {:.2} mm", repair.at.x, repair.at.y);
    let gap = repair.gap.to_mm();
    match repair.kind {
        RepairKind::GapClosed => format!("a gap of {gap:.3} mm closed {at}"),
        RepairKind::DoubleRemoved => format!("a line drawn twice left out once {at}"),
        _ => format!("a chain left out whose ends are {gap:.2} mm apart {at}: join them to open what it encloses"),
    }
}

fn from_photo(path: &Path, dpi: Option<f64>) -> Result<Source, Failure> {
    let usual = PhotoOptions::default();
    let options = PhotoOptions { dpi: dpi.unwrap_or(usual.dpi), ..usual };
    let traced = trace_photo(&read(path)?, &options)
        .map_err(|fault| Failure::Photo { path: path.to_owned(), fault: Box::new(fault) })?;
    let mut notes = vec![format!(
        "traced at {:.0} dpi: {} outlines with {} nodes, turned by {:.1}°, {} specks left out",
        traced.dpi, traced.outlines.outlines, traced.outlines.nodes, traced.skew.degrees, traced.specks
    )];
    if traced.dpi_assumed && dpi.is_none() {
        notes.push("the file does not say its dpi: give it with --dpi, or the width with --size".to_owned());
    }
    Ok(Source { drawing: traced.drawing, notes })
}
