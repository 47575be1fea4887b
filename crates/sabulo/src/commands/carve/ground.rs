//! `sabulo carve PIECE.toml`: the piece's ground by the height-field solver.

use super::asked::load;
use crate::commands::air::asked::{Pictured, write_csv};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::write_file;
use artwork::grid::Point;
use clap::Args;
use language::say;
use picture::preview::{Ground, Light, Look as Surface, PreviewOptions, Seen, Setting, UnknownChoice, preview_png};
use picture::relief::mesh::{SolidOptions, solid};
use picture::relief::{glb, png16, stl};
use picture::section::{Cut, SectionOptions, section};
use plan::Relief;
use plan::carving::{Carving, Look, Reading, carve as carve_piece};
use plan::carving_document::{CarvingDocument, ReliefEntry};
use plan::words::ranged;
use quantity::show::{Show as _, clock, significant};
use quantity::{Length, UnitSystem};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct PieceArguments {
    /// The piece file.
    #[arg(required = true)]
    piece: Option<PathBuf>,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Cell of the solver's grid, 0.02mm to 1mm.
    #[arg(long, value_name = "LENGTH", default_value = "0.05mm")]
    grid: String,
    /// Read the depth at a point: millimetres, or lengths with units, from the blank's top left corner.
    #[arg(long, value_name = "X,Y", allow_hyphen_values = true)]
    at: Vec<String>,
    /// Cut along a straight line between two points.
    #[arg(long, value_name = "X1,Y1,X2,Y2", allow_hyphen_values = true)]
    section: Option<String>,
    /// Write the relief: a closed solid (.stl, .glb) or a 16-bit depth map (.png).
    #[arg(long, value_name = "FILE")]
    relief: Option<PathBuf>,
    /// A solid's sides are halved where the surface lies farther from them than this.
    #[arg(long, value_name = "LENGTH", default_value = "0.002mm", requires = "relief")]
    tolerance: String,
    /// Most triangles of a solid; where they do not do, it keeps less near.
    #[arg(long, value_name = "COUNT", default_value_t = 1_000_000, requires = "relief")]
    triangles: usize,
    /// Draw the piece as it will look (.png).
    #[arg(long, value_name = "FILE")]
    preview: Option<PathBuf>,
    /// Where its light comes from: edge or behind.
    #[arg(long, default_value_t, value_parser = choice::<Light>, requires = "preview")]
    light: Light,
    /// What stands behind it: dark or clear.
    #[arg(long, default_value_t, value_parser = choice::<Ground>, requires = "preview")]
    ground: Ground,
    /// From which side it is seen: front or back.
    #[arg(long, default_value_t, value_parser = choice::<Seen>, requires = "preview")]
    seen: Seen,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
    /// Write the section as comma-separated values, to a file or, without one, to the output.
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-", requires = "section")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    pictured: Pictured,
}

pub(super) fn carve(arguments: &PieceArguments) -> Result<ExitCode, Failure> {
    // The parser asks for a piece wherever no other question is asked.
    let path = arguments.piece.as_deref().unwrap_or(Path::new("piece.toml"));
    let cell: Length = quantity("--grid", &arguments.grid)?;
    let points = arguments.at.iter().map(|text| point("--at", text)).collect::<Result<_, _>>()?;
    let look = Look { cell, points, section: arguments.section.as_deref().map(ends).transpose()? };
    let form = arguments.relief.as_deref().map(Form::of).transpose()?;
    let loaded = load(path, arguments.shop.as_deref())?;
    let carving = carve_piece(&loaded.piece, &loaded.drawing, &loaded.shop, &look)
        .map_err(|fault| Failure::Carving { path: path.to_owned(), fault: Box::new(fault) })?;
    let relief = match (form, &arguments.relief) {
        (Some(form), Some(file)) => Some(write_relief(form, file, &carving.relief, arguments)?),
        _ => None,
    };
    if let Some(file) = &arguments.preview {
        let setting = Setting { light: arguments.light, ground: arguments.ground, seen: arguments.seen };
        let options = PreviewOptions { setting, ..PreviewOptions::default() };
        write_file(file, &preview_png(&carving.relief, Surface::of(loaded.piece.blank.material), &options)?)?;
    }
    let units = loaded.shop.units;
    if look.section.is_none() && arguments.pictured.asked() {
        return Err(Failure::NoSection);
    }
    let cut = Cut { readings: &carving.section, layers: &carving.layers, thickness: loaded.piece.blank.thickness };
    let picture = || section(&cut, &SectionOptions { units, ..SectionOptions::default() });
    let mut written = arguments.pictured.write(picture)?;
    let document = CarvingDocument::new(&carving, relief);
    if let Some(path) = &arguments.csv {
        written |= write_csv(path, &document.section_csv())?;
    }
    match (written, arguments.json) {
        (true, _) => {}
        (_, true) => print_json(&document)?,
        _ => print(&told(&loaded.piece.name, &carving, &document, units))?,
    }
    Ok(ExitCode::SUCCESS)
}

fn choice<C: std::str::FromStr<Err = UnknownChoice>>(word: &str) -> Result<C, UnknownChoice> {
    word.parse()
}

/// The two ends of a section.
fn ends(text: &str) -> Result<(Point, Point), Failure> {
    let [x1, y1, x2, y2] = numbers("--section", "x1,y1,x2,y2", text)?;
    Ok((Point { x: x1, y: y1 }, Point { x: x2, y: y2 }))
}

fn point(name: &'static str, text: &str) -> Result<Point, Failure> {
    let [x, y] = numbers(name, "x,y", text)?;
    Ok(Point { x, y })
}

/// Coordinates in millimetres, or with units.
fn numbers<const N: usize>(name: &'static str, wanted: &'static str, text: &str) -> Result<[f64; N], Failure> {
    let fault = || Failure::Coordinates { name, wanted, given: text.to_owned() };
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let parts: [&str; N] = parts.try_into().map_err(|_| fault())?;
    let mut numbers = [0.0; N];
    for (number, part) in numbers.iter_mut().zip(parts) {
        *number = match part.parse::<f64>() {
            Ok(mm) if mm.is_finite() => mm,
            Ok(_) => return Err(fault()),
            Err(_) => quantity::<Length>(name, part)?.to_mm(),
        };
    }
    Ok(numbers)
}

/// What a relief is written as.
#[derive(Debug, Clone, Copy)]
enum Form {
    Stl,
    Glb,
    Png,
}

impl Form {
    fn of(path: &Path) -> Result<Self, Failure> {
        match path.extension().and_then(|name| name.to_str()).map(str::to_ascii_lowercase).as_deref() {
            Some("stl") => Ok(Self::Stl),
            Some("glb") => Ok(Self::Glb),
            Some("png") => Ok(Self::Png),
            _ => Err(Failure::ReliefKind { path: path.to_owned() }),
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Stl => "stl",
            Self::Glb => "glb",
            Self::Png => "png",
        }
    }
}

fn write_relief(form: Form, file: &Path, relief: &Relief, arguments: &PieceArguments) -> Result<ReliefEntry, Failure> {
    let none = ReliefEntry {
        path: file.display().to_string(),
        format: form.word(),
        triangles: None,
        tolerance_mm: None,
        volume_mm3: None,
        depth_um_per_step: None,
    };
    if let Form::Png = form {
        let map = png16::write(relief)?;
        write_file(file, &map.bytes)?;
        return Ok(ReliefEntry { depth_um_per_step: Some(map.step_um), ..none });
    }
    let tolerance: Length = quantity("--tolerance", &arguments.tolerance)?;
    let options = SolidOptions { tolerance_mm: tolerance.to_mm(), triangles_max: arguments.triangles };
    let solid = solid(relief, &options)?;
    match form {
        Form::Glb => write_file(file, &glb::write(&solid)?)?,
        _ => write_file(file, &stl::write(&solid))?,
    }
    Ok(ReliefEntry {
        triangles: Some(solid.triangles.len()),
        tolerance_mm: Some(solid.tolerance_mm),
        volume_mm3: Some(solid.volume_mm3()),
        ..none
    })
}

fn told(name: &str, carving: &Carving, document: &CarvingDocument, units: UnitSystem) -> String {
    let mut lines = vec![say!(
        "{name}: {} x {} cells of {} µm; deepest {} mm, {} cm³ carved.",
        document.columns,
        document.rows,
        significant(document.cell_mm * 1e3, 3),
        significant(document.deepest_mm, 3),
        significant(document.carved_mm3 * 1e-3, 3),
    )];
    for (i, stage) in carving.stages.iter().enumerate() {
        let opens: Vec<&str> = stage.opens.iter().map(|&layer| carving.layers[layer].name.as_str()).collect();
        let [low, mid, high] = [stage.blast.low(), stage.blast.mid(), stage.blast.high()].map(clock);
        lines.push(say!(
            "Stage {}: weed {}, {} deeper, {mid} at the nozzle ({low} to {high})",
            i + 1,
            opens.join(say!(" and ")),
            stage.dose.show(units),
        ));
    }
    let place = |reading: &Reading| match reading.layer {
        Some(layer) => say!("in {}", carving.layers[layer].name),
        None => say!("under resist").to_owned(),
    };
    for reading in &carving.points {
        let (x, y) = (significant(reading.at.x, 5), significant(reading.at.y, 5));
        lines.push(say!("At {x}, {y} mm: {} deep, {}", ranged(reading.depth, units), place(reading)));
    }
    let deepest = carving.section.iter().max_by(|a, b| a.depth.mid().to_mm().total_cmp(&b.depth.mid().to_mm()));
    if let (Some(deepest), Some(last)) = (deepest, carving.section.last()) {
        lines.push(say!(
            "Section of {} mm: deepest {} at {} mm along, {}. --svg draws it, --csv lists it.",
            significant(last.along_mm, 4),
            ranged(deepest.depth, units),
            significant(deepest.along_mm, 4),
            place(deepest),
        ));
    }
    lines.extend(document.relief.as_ref().map(relief_told));
    lines.join("\n") + "\n"
}

fn relief_told(relief: &ReliefEntry) -> String {
    match (relief.triangles, relief.tolerance_mm, relief.volume_mm3, relief.depth_um_per_step) {
        (Some(triangles), Some(tolerance), Some(volume), _) => say!(
            "{}: {triangles} triangles in millimetres, carved face up, halved to {} µm, {} cm³",
            relief.path,
            significant(tolerance * 1e3, 2),
            significant(volume * 1e-3, 5),
        ),
        (.., Some(step)) => {
            say!("{}: 16 bits, {} µm of depth a step; the scale is written in it", relief.path, significant(step, 3))
        }
        _ => relief.path.clone(),
    }
}
