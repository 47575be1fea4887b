//! `sabulo artwork FILE`: one drawing judged, marked, mended.

use super::document::{ArtworkDocument, RegionEntry, faults, islands, mended};
use crate::commands::units::{Units, at_least, fine, place, way};
use crate::commands::{artwork_file, print, print_json, quantity};
use crate::error::Failure;
use crate::folder::write_file;
use artwork::analysis::{Analysis, AnalysisLimits, Fault, FaultKind, Measure, analyse, least_scale};
use artwork::bounds::Bounds;
use artwork::depth::DepthLayer;
use artwork::drawing::Drawing;
use artwork::grid::Point;
use artwork::region::Region;
use artwork::repair::{IslandRemedy, Left, OpeningRemedy, Remedies, Repaired, WallRemedy, Why, repair};
use artwork::svg::write_svg;
use clap::Args;
use language::{Language, say};
use picture::faults::{Marks, marked_faults};
use picture::{Scene, Theme, raster, svg};
use quantity::show::Show as _;
use quantity::{Area, Length, UnitSystem, known};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct JudgedArguments {
    /// A drawing (SVG, DXF) or a photograph or scan of one (PNG, JPEG, TIFF, WebP).
    file: PathBuf,
    /// Draw it this wide.
    #[arg(long, value_name = "WIDTH")]
    size: Option<String>,
    /// Dots an inch of a photograph that does not say its own.
    #[arg(long)]
    dpi: Option<f64>,
    /// The resist that it is judged for, by its id.
    #[arg(long, default_value = "rubber_thin")]
    resist: String,
    /// Narrowest opening, instead of the resist's.
    #[arg(long, value_name = "WIDTH")]
    opening: Option<String>,
    /// Narrowest wall of resist, instead of the resist's.
    #[arg(long, value_name = "WIDTH")]
    wall: Option<String>,
    /// Write the drawing mended, as SVG.
    #[arg(long, value_name = "OUT.svg")]
    repair: Option<PathBuf>,
    /// Write the outlines as read or traced, as SVG.
    #[arg(long, value_name = "OUT.svg")]
    trace: Option<PathBuf>,
    /// Write the drawing with its faults marked, as SVG or PNG.
    #[arg(long, value_name = "OUT.svg|.png")]
    marked: Option<PathBuf>,
    /// Units to print in. (Not flattened: an optional group that holds another is never seen as given.)
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Least area with which an island of resist holds down. Common practice, no source.
const HOLDING: Area = known(Area::square_mm(9.0));
/// A drawing by itself has no blank, so nothing is too near to its edge.
const MARGIN: Length = known(Length::mm(0.0));
/// Corners sharper than this come out blunt. Judgement.
const CORNER_DEGREES: f64 = 20.0;

pub(super) fn judge(arguments: &JudgedArguments, reader: Language) -> Result<ExitCode, Failure> {
    let drawing = sized(artwork_file(&arguments.file, arguments.dpi)?, arguments)?;
    let notes = artwork::note::told(&drawing.notes).into_iter().map(|told| told.words).collect::<Vec<_>>();
    let limits = limits(arguments)?;
    let open = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
    let blank = Bounds { min: Point::default(), max: Point { x: drawing.width_mm, y: drawing.height_mm } };
    let analysis = analyse(&open, blank, &limits);
    if let Some(path) = &arguments.trace {
        write_file(path, write_svg(&drawing).as_bytes())?;
    }
    if let Some(path) = &arguments.marked {
        let marks =
            Marks { open: &open, width_mm: drawing.width_mm, height_mm: drawing.height_mm, analysis: &analysis };
        write_picture(path, &reader.scope(|| marked_faults(&marks)))?;
    }
    let repaired = arguments.repair.as_ref().map(|path| mend(path, &drawing, blank, &limits)).transpose()?;
    let scale = least_scale(&analysis, &open, blank, &limits);
    match arguments.json {
        true => print_json(&document(&drawing, &analysis, (scale, repaired.as_ref()), notes))?,
        false => {
            let (repaired, units) = (repaired.as_ref(), arguments.units.system());
            let (drawing, analysis, notes) = (&drawing, &analysis, &notes[..]);
            print(&Told { drawing, analysis, scale, notes, repaired, units }.text())?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn sized(drawing: Drawing, arguments: &JudgedArguments) -> Result<Drawing, Failure> {
    let Some(text) = &arguments.size else { return Ok(drawing) };
    let width: Length = quantity("--size", text)?;
    if width.to_mm() <= 0.0 {
        return Err(Failure::NoSize);
    }
    let scale = width.to_mm() / drawing.width_mm;
    Ok(drawing.scaled(scale))
}

fn limits(arguments: &JudgedArguments) -> Result<AnalysisLimits, Failure> {
    let resist = reference::tables().resist(&arguments.resist).map_err(|fault| Failure::Unknown(Box::new(fault)))?;
    let or = |name, text: &Option<String>, usual: Length| -> Result<Length, Failure> {
        text.as_ref().map_or(Ok(usual), |text| quantity(name, text))
    };
    let wall = or("--wall", &arguments.wall, resist.finest_wall.value)?;
    Ok(AnalysisLimits {
        opening: or("--opening", &arguments.opening, resist.finest_opening.value)?,
        wall,
        holding: HOLDING,
        neck: wall,
        corner_degrees: CORNER_DEGREES,
        margin: MARGIN,
    })
}

/// Thickens openings and walls where they are too narrow, bridges islands that would not hold.
fn mend(path: &Path, drawing: &Drawing, blank: Bounds, limits: &AnalysisLimits) -> Result<Repaired, Failure> {
    let layers: Vec<DepthLayer> = drawing
        .shapes
        .iter()
        .map(|shape| DepthLayer { name: shape.id.clone(), depth: limits.opening, region: shape.region.clone() })
        .collect();
    let remedies = Remedies {
        openings: OpeningRemedy::Thicken,
        walls: WallRemedy::Thicken,
        islands: IslandRemedy::Bridge { width: limits.wall, count: 2 },
    };
    let repaired = repair(&layers, blank, limits, &remedies);
    let shapes = drawing.shapes.iter().zip(&repaired.layers);
    let shapes = shapes.map(|(shape, layer)| artwork::drawing::Shape { region: layer.region.clone(), ..shape.clone() });
    let mended = Drawing { shapes: shapes.collect(), notes: Vec::new(), ..*drawing };
    write_file(path, write_svg(&mended).as_bytes())?;
    Ok(repaired)
}

/// Of the picture with the faults marked.
const DPI: f64 = 200.0;

fn write_picture(path: &Path, scene: &Scene) -> Result<(), Failure> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "svg" => write_file(path, svg::write(scene, svg::Colours::Resolved(Theme::Light)).as_bytes()),
        "png" => write_file(path, &raster::png(scene, Theme::Light, DPI)?),
        _ => Err(Failure::UnknownPicture { path: path.to_owned() }),
    }
}

fn document(
    drawing: &Drawing,
    analysis: &Analysis,
    (scale, repaired): (Option<f64>, Option<&Repaired>),
    notes: Vec<String>,
) -> ArtworkDocument {
    let region = |shape: &artwork::drawing::Shape| RegionEntry {
        id: shape.id.clone(),
        groups: shape.groups.clone(),
        colour: shape.paint.to_string(),
        area_mm2: shape.region.area().to_square_mm(),
    };
    ArtworkDocument {
        width_mm: drawing.width_mm,
        height_mm: drawing.height_mm,
        regions: drawing.shapes.iter().map(region).collect(),
        open_area_mm2: analysis.opened.to_square_mm(),
        perimeter_mm: analysis.perimeter_mm,
        parts: analysis.parts,
        min_opening_mm: analysis.min_opening.map(|spot| spot.width.to_mm()),
        min_wall_mm: analysis.min_wall.map(|spot| spot.width.to_mm()),
        islands: islands(analysis),
        faults: faults(analysis),
        least_scale: scale,
        mended: repaired.map(mended),
        notes,
    }
}

/// What was found, in words.
struct Told<'a> {
    drawing: &'a Drawing,
    analysis: &'a Analysis,
    scale: Option<f64>,
    notes: &'a [String],
    repaired: Option<&'a Repaired>,
    units: UnitSystem,
}

/// Most faults that are told one by one.
const MOST: usize = 20;

impl Told<'_> {
    fn text(&self) -> String {
        let mut lines = self.measured();
        lines.extend(self.notes.iter().map(|note| say!("note: {note}")));
        let faults = &self.analysis.faults;
        lines.extend(faults.iter().take(MOST).map(|fault| self.fault(fault)));
        if faults.len() > MOST {
            lines.push(say!("and {} more", faults.len() - MOST));
        }
        lines.extend(self.whole());
        lines.extend(self.repaired.into_iter().flat_map(mending));
        lines.join("\n") + "\n"
    }

    fn measured(&self) -> Vec<String> {
        let Self { drawing, analysis, units, .. } = *self;
        let width = |spot: Option<artwork::width::Spot>| {
            spot.map_or_else(|| say!(in "a width", "none").to_owned(), |spot| spot.width.show(units).to_string())
        };
        vec![
            say!(
                "{} x {}, {} shapes, {} openings",
                fine(drawing.width_mm, units, 4),
                fine(drawing.height_mm, units, 4),
                drawing.shapes.len(),
                analysis.parts
            ),
            say!("open {}, outlines {}", analysis.opened.show(units), way(analysis.perimeter_mm, units)),
            say!(
                "narrowest opening {}, narrowest wall {}, {} islands",
                width(analysis.min_opening),
                width(analysis.min_wall),
                analysis.islands.len()
            ),
        ]
    }

    fn fault(&self, fault: &Fault) -> String {
        let size = |measure: Measure| match measure {
            Measure::Length(length) => length.show(self.units).to_string(),
            Measure::Area(area) => area.show(self.units).to_string(),
            Measure::Degrees(degrees) => language::number(format!("{degrees:.1}°")),
        };
        say!(
            "{} at {}: {} of {}",
            named(fault.kind),
            place(fault.at.x, fault.at.y, self.units),
            size(fault.value),
            size(fault.limit)
        )
    }

    /// Whether all holds, or at which size it would.
    fn whole(&self) -> Option<String> {
        if self.analysis.faults.is_empty() {
            return Some(say!("Every width, island and corner is within the limits asked for.").to_owned());
        }
        let scale = self.scale.filter(|scale| *scale > 1.0)?;
        let wide = at_least(scale * self.drawing.width_mm, self.units);
        Some(say!("All widths and islands hold from {wide} wide ({scale:.2} times as large)."))
    }
}

/// What a fault is called, for people.
fn named(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::ThinWall => say!("thin wall"),
        FaultKind::ThinOpening => say!("thin opening"),
        FaultKind::SmallIsland => say!("small island"),
        FaultKind::WeakPeninsula => say!("weak peninsula"),
        FaultKind::NearEdge => say!("near edge"),
        FaultKind::AcuteCorner => say!("acute corner"),
        _ => say!(in "a fault", "other"),
    }
}

/// What was mended, and what was left for which reason.
fn mending(repaired: &Repaired) -> Vec<String> {
    let (changes, left) = (repaired.changes.len(), repaired.left.len());
    let mut lines = vec![say!("Mended: {changes} places changed, {left} faults left.")];
    for (why, count, scale) in reasons(&repaired.left) {
        // Where corners touch, no size in reason opens a way between them.
        let size = scale.filter(|scale| *scale < 20.0);
        lines.push(match size {
            Some(scale) => say!("  {count}: {why}; {scale:.2} times as large they would hold"),
            None => format!("  {count}: {why}"),
        });
    }
    lines
}

/// For each reason how many faults were left, and the size at which the worst of them would hold.
fn reasons(left: &[Left]) -> Vec<(Why, usize, Option<f64>)> {
    let mut found: Vec<(Why, usize, Option<f64>)> = Vec::new();
    for one in left {
        let scale = one.fault.scale();
        match found.iter_mut().find(|(why, ..)| *why == one.why) {
            Some((_, count, largest)) => {
                *count += 1;
                *largest = scale.into_iter().chain(*largest).reduce(f64::max);
            }
            None => found.push((one.why, 1, scale)),
        }
    }
    found
}
