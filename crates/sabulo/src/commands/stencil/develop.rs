//! `sabulo stencil develop`: artwork on a cone, a cylinder or a bowl as flat film.

use super::document::{LayerEntry, make};
use super::forms::FormArguments;
use crate::commands::plan::STOPPED;
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::{read, write_all};
use artwork::bounds::Bounds;
use artwork::depth::{DepthLayer, Resolved};
use artwork::grid::Point;
use artwork::region::{Region, Ring};
use artwork::svg::{ReadOptions, read_svg};
use artwork::{Affine, drawing::Drawing};
use clap::Args;
use picture::svg::{Colours, write};
use picture::turned::{Hoop, Turned, TurnedHandle, turned};
use picture::Theme;
use quantity::{Diameter, Fraction, Length, Quantity as _, known};
use reference::ResistKind;
use serde::Serialize;
use std::path::PathBuf;
use std::process::ExitCode;
use stencil::layers::{LayoutOptions, Side, Stage, StencilLayer, stencil_layers};
use stencil::vessel::frustum::Frustum;
use stencil::vessel::gores::{Bowl, Gores};
use stencil::vessel::handle::Handle;
use stencil::vessel::lay::{Laying, along_rim, outline};

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
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Film for a vessel.
#[derive(Debug, Serialize)]
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
/// Between gores on the sheet.
const GORE_GAP_MM: f64 = 4.0;
const NONE: Length = known(Length::mm(0.0));

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

pub(super) fn develop(arguments: &DevelopArguments) -> Result<ExitCode, Failure> {
    let drawing = read_svg(&read(&arguments.artwork)?, &ReadOptions::default())
        .map_err(|fault| Failure::Artwork { path: arguments.artwork.clone(), fault: Box::new(fault) })?;
    let art = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
    let around = art.bounds().ok_or_else(|| Failure::NothingDrawn { path: arguments.artwork.clone() })?;
    let mut laid = match (&arguments.bowl, vessel(arguments)?) {
        (Some(bowl), _) => on_bowl(arguments, bowl, &art, around)?,
        (None, side) => on_frustum(arguments, side, &art, around)?,
    };
    let making = arguments.forms.making(&usual_shop(), ResistKind::CutVinyl, None)?;
    let layer = StencilLayer { cuts: laid.cuts.clone(), ..layer(&drawing, &laid.sheet, arguments)? };
    let (entries, mut files) = make(&[layer], "film", &making, None)?;
    laid.document.stops.extend(entries.iter().filter_map(LayerEntry::stop));
    laid.document.layers = entries;
    if let Some(folder) = &arguments.out {
        files.push(("on-vessel.svg".to_owned(), picture_of(&laid, arguments).into_bytes()));
        laid.document.picture = Some("on-vessel.svg".to_owned());
        let all: Vec<(String, &[u8])> = files.iter().map(|(name, bytes)| (name.clone(), &bytes[..])).collect();
        write_all(folder, &all)?;
    }
    match arguments.json {
        true => print_json(&laid.document)?,
        false => print(&told(&laid.document))?,
    }
    Ok(if laid.document.stops.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(STOPPED) })
}

/// The cone or cylinder that was given; for a bowl a stand-in that is not looked at.
fn vessel(arguments: &DevelopArguments) -> Result<Option<Frustum>, Failure> {
    match (&arguments.cone, &arguments.cylinder, &arguments.bowl) {
        (Some(text), _, _) => {
            let [rim, foot, height] = parts("--cone", text, "three sizes such as 80mm,60mm,110mm")?;
            Ok(Some(Frustum::new(diameter("--cone", rim)?, diameter("--cone", foot)?, quantity("--cone", height)?)?))
        }
        (_, Some(text), _) => {
            let [across, height] = parts("--cylinder", text, "two sizes such as 80mm,110mm")?;
            let across = diameter("--cylinder", across)?;
            Ok(Some(Frustum::new(across, across, quantity("--cylinder", height)?)?))
        }
        (_, _, Some(_)) => Ok(None),
        _ => Err(Failure::Needed {
            name: "a vessel",
            mend: "give --cone RIM,FOOT,HEIGHT, --cylinder DIAMETER,HEIGHT or --bowl RIM,FOOT,HEIGHT",
        }),
    }
}

fn diameter(name: &'static str, text: &str) -> Result<Diameter, Failure> {
    quantity(name, text)
}

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

fn on_frustum(
    arguments: &DevelopArguments,
    side: Option<Frustum>,
    art: &Region,
    around: Bounds,
) -> Result<Laid, Failure> {
    let glass = side.ok_or(Failure::Needed { name: "a vessel", mend: "give --cone or --cylinder" })?;
    let film = glass.under_film(quantity("--film", &arguments.film)?);
    let laying = laying(arguments, around, glass.slant_mm())?;
    let true_mm = laying.true_at.to_mm();
    let longer = film.radius_mm(true_mm) / glass.radius_mm(true_mm);
    // An angle of the glass is longer on the film, whose middle lies further out.
    let wide = art.transform(about(laying.middle.x, longer));
    let laid = along_rim(&wide, &film, &laying, TOLERANCE_MM)?;
    let handle = handle(arguments)?;
    let whole = arguments.whole_sheet.then(|| match &handle {
        Some(handle) => handle.sheet(&film, TOLERANCE_MM),
        None => outline(&film, TOLERANCE_MM),
    });
    let under = handle.map_or(0.0, |handle| handle.covered(&film, &laid.sheet).to_square_mm());
    let free_mm = handle.map(|handle| handle.free_mm(&glass, 0.5 * (handle.from.to_mm() + handle.to.to_mm())));
    let (width, height) = film.sheet_mm();
    let radii = film.radii_mm();
    let stops = (under > 0.0).then(|| {
        format!("{under:.0} mm² of the artwork lie under the handle; make it narrower or move it away from there")
    });
    let lift = Affine::translate((-laying.middle.x, laying.down.to_mm() - laying.middle.y));
    let profile = move |down_mm: f64| Hoop {
        radius_mm: glass.radius_mm(down_mm),
        down_mm: glass.space_mm(stencil::vessel::frustum::OnSide { azimuth: 0.0, down_mm })[1],
    };
    Ok(Laid {
        document: DevelopDocument {
            vessel: if arguments.cone.is_some() { "cone" } else { "cylinder" },
            side_mm: glass.slant_mm(),
            sheet_width_mm: width,
            sheet_height_mm: height,
            outer_radius_mm: radii.map(|radii| radii.0),
            inner_radius_mm: radii.map(|radii| radii.1),
            sector_deg: radii.map(|_| film.sector().to_degrees()),
            stretch_least: laid.stretch.0,
            stretch_most: laid.stretch.1,
            gores: None,
            free_mm,
            under_handle_mm2: under,
            layers: Vec::new(),
            picture: None,
            stops: stops.into_iter().collect(),
        },
        sheet: laid.sheet,
        cuts: whole.iter().flat_map(Region::rings).cloned().collect(),
        body: Shown {
            artwork: art.transform(lift),
            true_radius_mm: glass.radius_mm(true_mm),
            profile: Box::new(profile),
            handle: handle.map(|handle| TurnedHandle {
                half_mm: 0.5 * handle.width.to_mm() + handle.clear.to_mm(),
                down_mm: (handle.from.to_mm(), handle.to.to_mm()),
            }),
        },
    })
}

fn about(x_mm: f64, scale: f64) -> Affine {
    Affine::translate((x_mm * (1.0 - scale), 0.0)) * Affine::scale_non_uniform(scale, 1.0)
}

fn handle(arguments: &DevelopArguments) -> Result<Option<Handle>, Failure> {
    let Some(text) = &arguments.handle else { return Ok(None) };
    let [width, from, to] = parts("--handle", text, "a width and two heights such as 16mm,20mm,80mm")?;
    Ok(Some(Handle {
        width: quantity("--handle", width)?,
        from: quantity("--handle", from)?,
        to: quantity("--handle", to)?,
        clear: quantity("--clear", &arguments.clear)?,
    }))
}

fn on_bowl(arguments: &DevelopArguments, text: &str, art: &Region, around: Bounds) -> Result<Laid, Failure> {
    let [rim, foot, height] = parts("--bowl", text, "three sizes such as 160mm,60mm,70mm")?;
    let bowl = Bowl::new(diameter("--bowl", rim)?, diameter("--bowl", foot)?, quantity("--bowl", height)?)?;
    let limit: Fraction = quantity("--strain", &arguments.strain)?;
    // Three show what the fewest would be.
    let fewest = Gores::new(bowl, 3)?.check(limit).least_count;
    let count = arguments.gores.or(fewest).unwrap_or(36);
    let gores = Gores::new(bowl, count)?;
    let check = gores.check(limit);
    let laying = laying(arguments, around, bowl.side_mm())?;
    let laid = gores.lay(art, laying.middle, laying.down, laying.true_at, TOLERANCE_MM)?;
    let one = gores.outline(TOLERANCE_MM);
    let gore = Bounds::around(one.0.iter().copied()).unwrap_or(Bounds::from_size(1.0, 1.0));
    // From left to right as they lie on the bowl; the first gore is the artwork's middle.
    let from_left = (count / 2 + 1..count).chain(0..=count / 2);
    let used: Vec<&Region> = from_left.map(|i| &laid[i]).filter(|region| !region.is_empty()).collect();
    let place = |i: usize| Affine::translate((i as f64 * (gore.width_mm() + GORE_GAP_MM), 0.0));
    let moved: Vec<Region> = used.iter().enumerate().map(|(i, region)| region.transform(place(i))).collect();
    let cuts = (0..used.len()).map(|i| moved_ring(&one, i as f64 * (gore.width_mm() + GORE_GAP_MM)));
    let stops = (!check.holds).then(|| gore_stop(&gores, limit, check.least_count));
    let true_mm = laying.true_at.to_mm();
    let radii = [laying.down.to_mm(), laying.down.to_mm() + around.height_mm()].map(|down| bowl.radius_mm(down));
    let true_radius_mm = bowl.radius_mm(true_mm);
    let stretch = radii.map(|radius| radius / true_radius_mm);
    let widest = stretch.into_iter().fold(1.0, f64::max);
    Ok(Laid {
        document: DevelopDocument {
            vessel: "bowl",
            side_mm: bowl.side_mm(),
            sheet_width_mm: gore.width_mm(),
            sheet_height_mm: gore.height_mm(),
            outer_radius_mm: None,
            inner_radius_mm: None,
            sector_deg: None,
            stretch_least: stretch.into_iter().fold(1.0, f64::min),
            stretch_most: widest,
            gores: Some(GoresEntry {
                count,
                strain_largest: gores.largest_strain(),
                strain_mean: gores.mean_strain(),
                strain_max: limit.to_ratio(),
                holds: check.holds,
                count_least: check.least_count,
            }),
            free_mm: None,
            under_handle_mm2: 0.0,
            layers: Vec::new(),
            picture: None,
            stops: stops.into_iter().collect(),
        },
        sheet: Region::union_of(&moved),
        cuts: cuts.collect(),
        body: Shown {
            artwork: art.transform(Affine::translate((-laying.middle.x, laying.down.to_mm() - laying.middle.y))),
            true_radius_mm,
            profile: Box::new(move |down_mm| Hoop {
                radius_mm: bowl.radius_mm(down_mm),
                down_mm: bowl.upright_mm(down_mm),
            }),
            handle: None,
        },
    })
}

fn moved_ring(ring: &Ring, by_mm: f64) -> Ring {
    Ring(ring.0.iter().map(|p| Point { x: p.x + by_mm, y: p.y }).collect())
}

fn gore_stop(gores: &Gores, limit: Fraction, least: Option<usize>) -> String {
    let mend = match least {
        Some(least) => format!("take {least} gores"),
        None => "a film that takes no strain covers no bowl; take small patches or a softer film".to_owned(),
    };
    format!(
        "the gores' edges are {:.2} % too long at worst, the film takes {:.2} %: it would fold; {mend}",
        100.0 * gores.largest_strain(),
        limit.to_percent()
    )
}

fn layer(drawing: &Drawing, sheet: &Region, arguments: &DevelopArguments) -> Result<StencilLayer, Failure> {
    let name = arguments.artwork.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let depth = DepthLayer { name: name.clone(), depth: NONE, region: sheet.clone() };
    let resolved = Resolved {
        layers: vec![depth],
        width_mm: drawing.width_mm,
        height_mm: drawing.height_mm,
        notes: Vec::new(),
    };
    let side = if arguments.mirror { Side::Back } else { Side::Front };
    let options = LayoutOptions { side, ..LayoutOptions::default() };
    let mut layers = stencil_layers(&resolved, &[Stage { name, opens: vec![0] }], NONE, &options)
        .map_err(|fault| Failure::Layers(fault.into()))?;
    Ok(layers.remove(0))
}

/// What a shop that says nothing does.
fn usual_shop() -> ::piece::StencilMaking {
    ::piece::StencilMaking::usual()
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

fn told(document: &DevelopDocument) -> String {
    let mut text = format!(
        "A {} with a side of {:.2} mm: flat sheet {:.2} x {:.2} mm",
        document.vessel, document.side_mm, document.sheet_width_mm, document.sheet_height_mm
    );
    if let (Some(outer), Some(inner), Some(sector)) =
        (document.outer_radius_mm, document.inner_radius_mm, document.sector_deg)
    {
        text += &format!(", a sector of {sector:.3}° between radii {outer:.2} and {inner:.2} mm");
    }
    text += &format!(
        ".\nArtwork along the rim: {:.3} to {:.3} of its drawn width.\n",
        document.stretch_least, document.stretch_most
    );
    if let Some(gores) = &document.gores {
        text += &format!(
            "{} gores: edges too long by {:.2} % at worst, {:.2} % in the mean; the film takes {:.2} %.\n",
            gores.count,
            100.0 * gores.strain_largest,
            100.0 * gores.strain_mean,
            100.0 * gores.strain_max
        );
    }
    if let Some(free) = document.free_mm {
        text += &format!("The handle leaves {free:.1} mm of the way around free.\n");
    }
    text.extend(document.layers.iter().map(LayerEntry::told));
    text.extend(document.stops.iter().map(|stop| format!("stop   {stop}\n")));
    text
}
