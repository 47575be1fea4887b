//! `sabulo stencil develop`: artwork on a cone, a cylinder or a bowl as flat film.

mod bowl;
mod straight;

use super::document::{LayerEntry, make, told_and_files};
use super::forms::FormArguments;
use crate::commands::plan::STOPPED;
use crate::commands::stop_line;
use crate::commands::units::{UnitsArgument, fine};
use crate::commands::{artwork_file, print, print_json, quantity};
use crate::error::Failure;
use crate::folder::write_all;
use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::depth::{DepthLayer, Resolved};
use artwork::drawing::Drawing;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use clap::Args;
use language::{Language, say};
use picture::Theme;
use picture::svg::{Colours, write};
use picture::turned::{Hoop, Turned, TurnedHandle, turned};
use quantity::{Diameter, Length, Quantity as _, UnitSystem, known};
use reference::ResistKind;
use serde::Serialize;
use std::path::PathBuf;
use std::process::ExitCode;
use stencil::layers::{LayoutOptions, Stage, StencilLayer, stencil_layers};
use stencil::vessel::frustum::Frustum;
use stencil::vessel::lay::Laying;

#[derive(Debug, Args)]
pub(super) struct DevelopArguments {
    /// An SVG; all that is filled is opened.
    artwork: PathBuf,
    /// Outside diameters at the rim and at the foot, and the upright height: 80mm,60mm,110mm.
    #[arg(long, value_name = "RIM,FOOT,HEIGHT", group = "vessel")]
    cone: Option<String>,
    /// Outside diameter and height: 80mm,110mm.
    #[arg(long, value_name = "DIAMETER,HEIGHT", group = "vessel")]
    cylinder: Option<String>,
    /// Outside diameters of rim and foot, and the height between them; covered in gores.
    #[arg(long, value_name = "RIM,FOOT,HEIGHT", group = "vessel")]
    bowl: Option<String>,
    /// Gores of a bowl. Left out: the fewest that the film takes.
    #[arg(long)]
    gores: Option<usize>,
    /// Strain that the film takes without folds. Soft film 1 to 3 %, stiff film and thick rubber less (common
    /// practice, no source).
    #[arg(long, default_value = "2%")]
    strain: String,
    /// The film's thickness: it lies that much further out.
    #[arg(long, default_value = "0mm")]
    film: String,
    /// From the rim down the side to the artwork's upper edge. Left out: in the middle of the side.
    #[arg(long, value_name = "LENGTH")]
    down: Option<String>,
    /// Down the side, where the artwork keeps its width. Left out: in the artwork's middle.
    #[arg(long, value_name = "LENGTH")]
    true_at: Option<String>,
    /// Width of a handle and where it begins and ends down the side: 16mm,20mm,80mm.
    #[arg(long, value_name = "WIDTH,FROM,TO")]
    handle: Option<String>,
    /// Free room around the handle.
    #[arg(long, default_value = "4mm")]
    clear: String,
    /// Cut the whole sheet's outline too, not the artwork's alone.
    #[arg(long)]
    whole_sheet: bool,
    /// Carved from inside or from behind: mirrored.
    #[arg(long)]
    mirror: bool,
    /// Folder for the files. Left out: only measured.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    forms: FormArguments,
    #[command(flatten)]
    units: UnitsArgument,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Film for a vessel.
#[derive(Debug, Default, Serialize)]
struct DevelopDocument {
    /// "cone", "cylinder" or "bowl".
    vessel: &'static str,
    /// From rim to foot along the glass.
    side_mm: f64,
    /// The flat sheet's rectangle; a bowl's is that of one gore.
    sheet_width_mm: f64,
    sheet_height_mm: f64,
    /// Of a cone's sector; null for the others.
    outer_radius_mm: Option<f64>,
    inner_radius_mm: Option<f64>,
    sector_deg: Option<f64>,
    /// Width on the vessel over width as drawn, along the rim.
    stretch_least: f64,
    stretch_most: f64,
    /// Of a bowl.
    gores: Option<GoresEntry>,
    /// Way around between both sides of the handle's gap, at its middle; null without one.
    free_mm: Option<f64>,
    /// Artwork that lies under the handle.
    under_handle_mm2: f64,
    layers: Vec<LayerEntry>,
    /// The artwork on the turned body.
    picture: Option<String>,
    stops: Vec<String>,
}

#[derive(Debug, Serialize)]
struct GoresEntry {
    count: usize,
    strain_largest: f64,
    strain_mean: f64,
    strain_max: f64,
    holds: bool,
    /// Fewest with which it would; null for a film that takes no strain.
    count_least: Option<usize>,
}

const TOLERANCE_MM: f64 = 0.005;
const NONE: Length = known(Length::mm(0.0));
/// Of a size that film is cut to: a tenth of a millimetre up to a metre.
const DIGITS: usize = 5;

/// What a vessel makes of artwork.
struct Laid {
    document: DevelopDocument,
    sheet: Region,
    cuts: Vec<Ring>,
    body: Shown,
}

/// What the picture needs.
struct Shown {
    /// Flat: x from the middle line, y down from the rim.
    artwork: Region,
    true_radius_mm: f64,
    profile: Box<dyn Fn(f64) -> Hoop>,
    handle: Option<TurnedHandle>,
}

pub(super) fn develop(arguments: &DevelopArguments, reader: Language) -> Result<ExitCode, Failure> {
    let drawing = artwork_file(&arguments.artwork, None)?;
    let art = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
    let around = art.bounds().ok_or_else(|| Failure::NothingDrawn { path: arguments.artwork.clone() })?;
    let mut laid = match &arguments.bowl {
        Some(bowl) => bowl::lay(arguments, bowl, &art, around)?,
        None => straight::lay(arguments, frustum(arguments)?, &art, around)?,
    };
    let making = arguments.forms.making(&::piece::StencilMaking::usual(), ResistKind::CutVinyl, None)?;
    let layer = layer(&drawing, &laid, arguments)?;
    let made = reader.scope(|| make(&[layer], "film", (&making, &arguments.forms.forms()), None))?;
    let (entries, mut files) = told_and_files(made);
    laid.document.stops.extend(entries.iter().filter_map(LayerEntry::stop));
    laid.document.layers = entries;
    if let Some(folder) = &arguments.out {
        files.push(("on-vessel.svg".to_owned(), reader.scope(|| picture_of(&laid, arguments)).into_bytes()));
        laid.document.picture = Some("on-vessel.svg".to_owned());
        let all: Vec<(String, &[u8])> = files.iter().map(|(name, bytes)| (name.clone(), &bytes[..])).collect();
        write_all(folder, &all)?;
    }
    match arguments.json {
        true => print_json(&laid.document)?,
        false => print(&told(&laid.document, arguments.units.system()))?,
    }
    Ok(if laid.document.stops.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(STOPPED) })
}

/// The cone or cylinder that was given.
fn frustum(arguments: &DevelopArguments) -> Result<Frustum, Failure> {
    if let Some(text) = &arguments.cone {
        let [rim, foot, height] = parts("--cone", text, say!("three sizes such as 80mm,60mm,110mm"))?;
        return Ok(Frustum::new(diameter("--cone", rim)?, diameter("--cone", foot)?, quantity("--cone", height)?)?);
    }
    if let Some(text) = &arguments.cylinder {
        let [across, height] = parts("--cylinder", text, say!("two sizes such as 80mm,110mm"))?;
        let across = diameter("--cylinder", across)?;
        return Ok(Frustum::new(across, across, quantity("--cylinder", height)?)?);
    }
    let mend = say!("give --cone RIM,FOOT,HEIGHT, --cylinder DIAMETER,HEIGHT or --bowl RIM,FOOT,HEIGHT");
    Err(Failure::Needed { name: say!(in "what is needed", "a vessel"), mend })
}

/// The artwork as it hangs from the rim, its middle at 0.
fn lifted(art: &Region, laying: &Laying) -> Region {
    art.transform(Affine::translate((-laying.middle.x, laying.down.to_mm() - laying.middle.y)))
}

fn diameter(name: &'static str, text: &str) -> Result<Diameter, Failure> {
    quantity(name, text)
}

/// Values with commas between.
fn parts<'a, const N: usize>(name: &'static str, text: &'a str, wanted: &'static str) -> Result<[&'a str; N], Failure> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    parts.try_into().map_err(|_| Failure::Form { name, given: text.to_owned(), wanted })
}

/// Where the artwork lies down a side.
fn laying(arguments: &DevelopArguments, around: Bounds, side_mm: f64) -> Result<Laying, Failure> {
    let down_mm = match &arguments.down {
        Some(text) => quantity::<Length>("--down", text)?.to_mm(),
        None => 0.5 * (side_mm - around.height_mm()),
    };
    let true_mm = match &arguments.true_at {
        Some(text) => quantity::<Length>("--true-at", text)?.to_mm(),
        None => down_mm + 0.5 * around.height_mm(),
    };
    let middle = Point { x: around.centre().x, y: around.min.y };
    let length = |mm: f64| Length::clamped(mm.max(0.0) * 1e-3);
    Ok(Laying { middle, down: length(down_mm), true_at: length(true_mm) })
}

/// The flat film: marks and weed box stand around all that is cut.
fn layer(drawing: &Drawing, laid: &Laid, arguments: &DevelopArguments) -> Result<StencilLayer, Failure> {
    let name = arguments.artwork.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let all = laid.sheet.union(&Region::from_rings(&laid.cuts, FillRule::NonZero));
    let depth = DepthLayer { name: name.clone(), depth: NONE, region: all };
    let (width_mm, height_mm) = (drawing.width_mm, drawing.height_mm);
    let resolved = Resolved { layers: vec![depth], width_mm, height_mm, notes: Vec::new() };
    let mut layers = stencil_layers(&resolved, &[Stage { name, opens: vec![0] }], NONE, &LayoutOptions::default())
        .map_err(|fault| Failure::Layers(fault.into()))?;
    let layer = StencilLayer { openings: laid.sheet.clone(), cuts: laid.cuts.clone(), ..layers.remove(0) };
    Ok(if arguments.mirror { layer.mirrored(0.0) } else { layer })
}

fn picture_of(laid: &Laid, arguments: &DevelopArguments) -> String {
    let name = arguments.artwork.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let body = Turned {
        name: &name,
        side_mm: laid.document.side_mm,
        profile: &*laid.body.profile,
        artwork: &laid.body.artwork,
        true_radius_mm: laid.body.true_radius_mm,
        handle: laid.body.handle,
    };
    write(&turned(&body, 140.0), Colours::Resolved(Theme::Dark))
}

fn told(document: &DevelopDocument, units: UnitSystem) -> String {
    let size = |mm: f64| fine(mm, units, DIGITS);
    let [side, width, height] = [document.side_mm, document.sheet_width_mm, document.sheet_height_mm].map(size);
    let sheet = match document.vessel {
        "bowl" => say!("A bowl with a side of {side}: flat sheet {width} x {height}"),
        "cone" => say!("A cone with a side of {side}: flat sheet {width} x {height}"),
        _ => say!("A cylinder with a side of {side}: flat sheet {width} x {height}"),
    };
    let sheet = match (document.outer_radius_mm, document.inner_radius_mm, document.sector_deg) {
        (Some(outer), Some(inner), Some(sector)) => {
            say!("{sheet}, a sector of {sector:.3}° between radii {} and {}", size(outer), size(inner))
        }
        _ => sheet,
    };
    let mut lines = vec![
        format!("{sheet}."),
        say!(
            "Artwork along the rim: {:.3} to {:.3} of its drawn width.",
            document.stretch_least,
            document.stretch_most
        ),
    ];
    lines.extend(document.gores.as_ref().map(|gores| {
        say!(
            "{} gores: edges too long by {:.2} % at worst, {:.2} % in the mean; the film takes {:.2} %.",
            gores.count,
            100.0 * gores.strain_largest,
            100.0 * gores.strain_mean,
            100.0 * gores.strain_max
        )
    }));
    lines.extend(
        document.free_mm.map(|free| say!("The handle leaves {} of the way around free.", fine(free, units, 4))),
    );
    let mut text = lines.join("\n") + "\n";
    text.extend(document.layers.iter().map(|layer| layer.told(units)));
    text.extend(document.stops.iter().map(|stop| stop_line(stop)));
    text
}
