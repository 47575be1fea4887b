//! `sabulo stencil halftone`: a photograph into a film of dots.

use crate::commands::plan::STOPPED;
use crate::commands::units::{UnitsArgument, fine, length};
use crate::commands::{column, stop_line};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::{read, write_file};
use artwork::bounds::Bounds;
use artwork::grid::{Field, Grid, Point};
use artwork::load::LoadError;
use artwork::photo::{PhotoOptions, read_photo};
use artwork::region::Region;
use clap::{Args, ValueEnum};
use language::say;
use quantity::{Length, UnitSystem};
use serde::Serialize;
use std::path::PathBuf;
use std::process::ExitCode;
use stencil::film::{Emulsion, FilmSheet, tiff};
use stencil::halftone::clustered::{Clustered, Dot};
use stencil::halftone::diffusion::Kernel;
use stencil::halftone::limits::{dot_mm, least_tone, levels, pitch_mm, ruling_for_tones};
use stencil::halftone::screen::{Halftone, Screening};
use stencil::halftone::tone::ToneCurve;
use stencil::layers::{LayoutOptions, Mark, Side, StencilLayer};

#[derive(Debug, Args)]
pub(super) struct HalftoneArguments {
    /// PNG, JPEG, TIFF or WebP.
    photo: PathBuf,
    /// Lines of dots an inch or a centimetre: 65lpi, 25l/cm.
    #[arg(long, default_value = "65lpi")]
    ruling: String,
    /// The film printer's dots per inch, 300 to 2880.
    #[arg(long, default_value_t = 1440.0)]
    dpi: f64,
    /// How tones become dots.
    #[arg(long, value_enum, default_value_t = Method::Clustered)]
    method: Method,
    /// The rows' angle in degrees.
    #[arg(long, default_value_t = 22.5, allow_hyphen_values = true)]
    angle: f64,
    /// Shape of clustered dots.
    #[arg(long, value_enum, default_value_t = DotName::BothWays)]
    dot: DotName,
    /// Who gets the error of diffusion.
    #[arg(long, value_enum, default_value_t = KernelName::FloydSteinberg)]
    kernel: KernelName,
    /// Every row of diffusion from left to right; usually every other one runs back.
    #[arg(long)]
    one_way: bool,
    /// Width of the picture. Left out: as the file's resolution says.
    #[arg(long, value_name = "WIDTH")]
    width: Option<String>,
    /// The smallest dot, and hole, that film, resist and blast hold.
    #[arg(long, default_value = "0mm")]
    least: String,
    /// The shop's measured tones, asked:printed in percent: 10:14,25:33,50:62,75:85.
    #[arg(long, value_name = "ASKED:PRINTED,…", conflicts_with = "growth")]
    gain: Option<String>,
    /// Instead: how far each dot's edge grows.
    #[arg(long, value_name = "LENGTH")]
    growth: Option<String>,
    /// Light parts of the picture are carved; usually the dark ones are.
    #[arg(long)]
    negative: bool,
    /// The film's ink towards the lamp; usually it lies on the resist, printed mirrored.
    #[arg(long)]
    ink_up: bool,
    /// The film: a 1-bit TIFF. Left out: only reckoned.
    #[arg(long, value_name = "FILE.tif")]
    out: Option<PathBuf>,
    #[command(flatten)]
    units: UnitsArgument,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Method {
    /// Dots on a grid that grow with the tone.
    Clustered,
    /// Equal spots scattered without clumps.
    BlueNoise,
    /// Equal spots, each error handed on.
    Diffusion,
}

impl Method {
    const fn word(self) -> &'static str {
        match self {
            Self::Clustered => "clustered",
            Self::BlueNoise => "blue_noise",
            Self::Diffusion => "diffusion",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum DotName {
    /// Round dots in the lights, round holes in the darks.
    BothWays,
    /// Round dots throughout.
    Round,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum KernelName {
    /// Four neighbours.
    FloydSteinberg,
    /// Twelve neighbours.
    JarvisJudiceNinke,
    /// Twelve, powers of two.
    Stucki,
    /// Seven.
    Burkes,
    /// Ten.
    Sierra,
}

impl KernelName {
    const fn kernel(self) -> Kernel {
        match self {
            Self::FloydSteinberg => Kernel::FLOYD_STEINBERG,
            Self::JarvisJudiceNinke => Kernel::JARVIS_JUDICE_NINKE,
            Self::Stucki => Kernel::STUCKI,
            Self::Burkes => Kernel::BURKES,
            Self::Sierra => Kernel::SIERRA,
        }
    }
}

/// A halftone.
#[derive(Debug, Serialize)]
struct HalftoneDocument {
    method: &'static str,
    width_mm: f64,
    height_mm: f64,
    dpi: f64,
    /// Dots across and down the film, marks and foot included.
    film_width_dots: Option<u32>,
    film_height_dots: Option<u32>,
    /// Of clustered dots; null for scattered spots.
    ruling_lpi: Option<f64>,
    pitch_mm: Option<f64>,
    angle_deg: Option<f64>,
    /// Greys that the printer makes in one dot's cell.
    levels: Option<u64>,
    /// Lightest tone whose dot holds, and as far from black the darkest.
    tone_least: f64,
    /// Diameter of that dot.
    dot_least_mm: f64,
    /// Highest ruling that holds tones from 10 to 90 % with the smallest dot; null without a smallest dot.
    ruling_lpi_max: Option<f64>,
    path: Option<String>,
    notes: Vec<String>,
    stops: Vec<String>,
}

/// Tones that a photograph needs to look like one. Judgement.
const TONE_NEEDED: f64 = 0.1;
/// Fewest greys that show no steps. Common practice, no source.
const LEVELS_FEW: u64 = 65;

pub(super) fn halftone(arguments: &HalftoneArguments) -> Result<ExitCode, Failure> {
    let least: Length = quantity("--least", &arguments.least)?;
    let pitch = pitch(&arguments.ruling)?;
    let curve = curve(arguments, pitch)?;
    let tone = tones(arguments)?;
    let screening = screening(arguments, pitch);
    let mut document = document(arguments, &tone, pitch, least);
    if document.stops.is_empty()
        && let Some(path) = &arguments.out
    {
        let sheet = sheet(&tone, arguments.ink_up);
        let tone = if arguments.ink_up { tone } else { mirrored(tone, &sheet) };
        let halftone = Halftone { tone: &tone, screening, curve: curve.as_ref(), least };
        let film = tiff::verified(&sheet, arguments.dpi, Some(&halftone))?;
        (document.film_width_dots, document.film_height_dots) = (Some(film.size.0), Some(film.size.1));
        document.path = Some(path.display().to_string());
        write_file(path, film.bytes())?;
    }
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&document, arguments.units.system()))?,
    }
    Ok(if document.stops.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(STOPPED) })
}

/// Millimetres from dot to dot.
fn pitch(text: &str) -> Result<f64, Failure> {
    let wanted = say!("a ruling such as 65lpi or 25l/cm, 5 to 300 lines an inch");
    let lower = text.trim().to_lowercase();
    let number = |ending: &str| lower.strip_suffix(ending).and_then(|number| number.trim().parse::<f64>().ok());
    let lpi = number("lpi").or_else(|| number("l/in")).or_else(|| number("l/cm").map(|per_cm| 2.54 * per_cm));
    lpi.filter(|lpi| (5.0..=300.0).contains(lpi)).map(pitch_mm).ok_or_else(|| Failure::Form {
        name: "--ruling",
        given: text.to_owned(),
        wanted,
    })
}

fn curve(arguments: &HalftoneArguments, pitch_mm: f64) -> Result<Option<ToneCurve>, Failure> {
    if let Some(text) = &arguments.growth {
        let growth: Length = quantity("--growth", text)?;
        let curve = ToneCurve::of_growth(pitch_mm, growth.to_mm());
        return curve.map(Some).map_err(|fault| Failure::Tone { name: "--growth", fault });
    }
    let Some(text) = &arguments.gain else { return Ok(None) };
    let pair = |pair: &str| {
        let (asked, printed) = pair.split_once(':')?;
        Some((asked.trim().parse::<f64>().ok()? / 100.0, printed.trim().parse::<f64>().ok()? / 100.0))
    };
    let points: Option<Vec<(f64, f64)>> = text.split(',').map(pair).collect();
    let wanted = say!("pairs of percent such as 10:14,50:62");
    let points = points.ok_or_else(|| Failure::Form { name: "--gain", given: text.clone(), wanted })?;
    ToneCurve::new(&points).map(Some).map_err(|fault| Failure::Tone { name: "--gain", fault })
}

/// Shares of black: what is to be carved.
fn tones(arguments: &HalftoneArguments) -> Result<Field<f32>, Failure> {
    let usual = PhotoOptions::default();
    let photo = read_photo(&read(&arguments.photo)?, usual.dpi, &usual.limits).map_err(|fault| Failure::Artwork {
        path: arguments.photo.clone(),
        fault: LoadError::Photo(Box::new(fault)),
    })?;
    let mut tone = photo.tone;
    if let Some(text) = &arguments.width {
        let width: Length = quantity("--width", text)?;
        if width.to_mm() <= 0.0 {
            return Err(Failure::Needed { name: "--width", mend: say!("a width above zero, such as 200mm") });
        }
        tone.grid.cell = width.to_mm() / tone.grid.width.max(1) as f64;
    }
    if !arguments.negative {
        tone.values.iter_mut().for_each(|white| *white = 1.0 - *white);
    }
    Ok(tone)
}

fn screening(arguments: &HalftoneArguments, pitch_mm: f64) -> Screening {
    match arguments.method {
        Method::Clustered => Screening::Clustered(Clustered {
            pitch_mm,
            angle_degrees: arguments.angle,
            dot: match arguments.dot {
                DotName::BothWays => Dot::RoundBothWays,
                DotName::Round => Dot::Round,
            },
        }),
        Method::BlueNoise => Screening::BlueNoise,
        Method::Diffusion => Screening::Diffusion { kernel: arguments.kernel.kernel(), serpentine: !arguments.one_way },
    }
}

/// Size of the picture.
fn size_mm(tone: &Field<f32>) -> (f64, f64) {
    (tone.grid.width as f64 * tone.grid.cell, tone.grid.height as f64 * tone.grid.cell)
}

fn document(arguments: &HalftoneArguments, tone: &Field<f32>, pitch_mm: f64, least: Length) -> HalftoneDocument {
    let (width_mm, height_mm) = size_mm(tone);
    let clustered = arguments.method == Method::Clustered;
    let lpi = 25.4 / pitch_mm;
    let least_mm = least.to_mm().max(25.4 / arguments.dpi);
    let tone_least = if clustered { least_tone(least_mm, pitch_mm) } else { 0.0 };
    let greys = levels(arguments.dpi, lpi);
    let ruling_lpi_max = (least.to_mm() > 0.0).then(|| ruling_for_tones(TONE_NEEDED, least.to_mm()));
    let mut notes = Vec::new();
    if clustered && greys < LEVELS_FEW {
        notes.push(say!("{greys} greys at this ruling and resolution: steps will show; lower the ruling"));
    }
    let stops = ruling_lpi_max.filter(|most| clustered && lpi > *most).map(|most| {
        say!(
            "{lpi:.0} lpi holds tones from {:.0} % only with a smallest dot of {}; take {:.0} lpi or less, or \
             scattered spots",
            100.0 * tone_least,
            length(least_mm, arguments.units.system()),
            most.floor()
        )
    });
    HalftoneDocument {
        method: arguments.method.word(),
        width_mm,
        height_mm,
        dpi: arguments.dpi,
        film_width_dots: None,
        film_height_dots: None,
        ruling_lpi: clustered.then_some(lpi),
        pitch_mm: clustered.then_some(pitch_mm),
        angle_deg: clustered.then_some(arguments.angle),
        levels: clustered.then_some(greys),
        tone_least,
        dot_least_mm: if clustered { dot_mm(tone_least, pitch_mm) } else { least_mm },
        ruling_lpi_max,
        path: None,
        notes,
        stops: stops.into_iter().collect(),
    }
}

/// The picture's film: marks around it, scale bar and tablet below.
fn sheet(tone: &Field<f32>, ink_up: bool) -> FilmSheet {
    let (width, height) = size_mm(tone);
    let usual = LayoutOptions::default();
    let picture = Bounds::from_size(width, height);
    let reach_mm = usual.mark.to_mm();
    let centres = picture.grown(usual.clear.to_mm() + reach_mm);
    let corners = [(centres.min.x, centres.min.y), (centres.max.x, centres.min.y), (centres.min.x, centres.max.y)];
    let layer = StencilLayer {
        stage: 1,
        stages: 1,
        name: "halftone".to_owned(),
        side: Side::Front,
        openings: Region::default(),
        marks: corners.map(|(x, y)| Mark { centre: Point { x, y }, reach_mm }).to_vec(),
        cuts: Vec::new(),
        weed_box: picture.grown(usual.border_mm()),
    };
    FilmSheet::of(&layer, if ink_up { Emulsion::TowardsLamp } else { Emulsion::TowardsResist })
}

/// Left for right, in its place on a film that was mirrored about its middle.
fn mirrored(mut tone: Field<f32>, sheet: &FilmSheet) -> Field<f32> {
    let (width, _) = size_mm(&tone);
    tone.values.chunks_mut(tone.grid.width.max(1)).for_each(<[f32]>::reverse);
    let left = 2.0 * sheet.page.centre().x - (tone.grid.origin.x + width);
    Field { grid: Grid { origin: Point { x: left, ..tone.grid.origin }, ..tone.grid }, values: tone.values }
}

/// What a method is called, for people.
fn named(method: &'static str) -> &'static str {
    match method {
        "clustered" => say!(in "a screen", "clustered"),
        "blue_noise" => say!(in "a screen", "blue noise"),
        _ => say!(in "a screen", "diffusion"),
    }
}

/// Rows of dots, as either side of the ocean counts them.
fn ruling(lpi: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => say!("{lpi:.1} lines an inch"),
        UnitSystem::Metric => say!("{:.1} lines a centimetre ({lpi:.1} an inch)", lpi / 2.54),
    }
}

fn told(document: &HalftoneDocument, units: UnitSystem) -> String {
    let size = say!(
        "{} x {} at {} dpi, {}",
        fine(document.width_mm, units, 4),
        fine(document.height_mm, units, 4),
        language::number(document.dpi.to_string()),
        named(document.method)
    );
    let size = match (document.ruling_lpi, document.pitch_mm, document.levels) {
        (Some(lpi), Some(pitch), Some(levels)) => {
            say!("{size}: {}, {} from dot to dot, {levels} greys", ruling(lpi, units), length(pitch, units))
        }
        _ => size,
    };
    let least = say!(
        "The lightest tone that holds is {:.1} %, a dot of {}.",
        100.0 * document.tone_least,
        length(document.dot_least_mm, units)
    );
    let mut text = format!("{size}.\n{least}\n");
    text.extend(document.notes.iter().map(|note| format!("{} {note}\n", column(say!("note")))));
    text.extend(document.stops.iter().map(|stop| stop_line(stop)));
    if let (Some(path), Some(width), Some(height)) =
        (&document.path, document.film_width_dots, document.film_height_dots)
    {
        text += &say!("Written to {path}: {width} x {height} dots, read back.");
        text.push('\n');
    }
    text
}
