//! `sabulo expose sheet` and `sabulo expose read`.

use super::log::LogArguments;
use crate::commands::units::{UnitsArgument, fine, length};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::write_file;
use artwork::svg::Fonts;
use clap::Args;
use language::say;
use quantity::{Length, Time, UnitSystem};
use serde::Serialize;
use std::path::PathBuf;
use std::process::ExitCode;
use stencil::exposure::ExposureError;
use stencil::exposure::sheet::{self, SheetReading, ShopFilm};
use stencil::film::{Emulsion, pdf, tiff};
use stencil::halftone::clustered::{Clustered, Dot};
use stencil::halftone::screen::{Halftone, Screening, even};

#[derive(Debug, Args)]
pub(crate) struct SheetArguments {
    /// The sheet: .pdf for any printer, .tif for a film printer.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Dots per inch of a TIFF.
    #[arg(long, default_value_t = 1440.0)]
    dpi: f64,
    /// The film's ink towards the lamp; usually it lies on the resist, printed mirrored.
    #[arg(long)]
    ink_up: bool,
    #[command(flatten)]
    units: UnitsArgument,
}

/// Ruling of the steps' screen in a TIFF: as fine as the wedge.
const STEP_PITCH_MM: f64 = sheet::WEDGE_PITCH_MM;

pub(super) fn sheet(arguments: &SheetArguments) -> Result<ExitCode, Failure> {
    let emulsion = if arguments.ink_up { Emulsion::TowardsLamp } else { Emulsion::TowardsResist };
    let film = sheet::sheet().lettered(&Fonts::bundled())?.film(emulsion);
    let ending = arguments.out.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "pdf" => write_file(&arguments.out, pdf::verified(&film)?.bytes())?,
        "tif" | "tiff" => {
            let bare = even(0.0, film.page.min, 1.0, 1.0);
            let clustered = Clustered { pitch_mm: STEP_PITCH_MM, angle_degrees: 45.0, dot: Dot::RoundBothWays };
            let screening = Screening::Clustered(clustered);
            let none = quantity::known(Length::mm(0.0));
            let halftone = Halftone { tone: &bare, screening, curve: None, least: none };
            write_file(&arguments.out, tiff::verified(&film, arguments.dpi, Some(&halftone))?.bytes())?;
        }
        _ => {
            let given = arguments.out.display().to_string();
            return Err(Failure::Form {
                name: "--out",
                given,
                wanted: say!("a name that ends in .pdf, .tif or .tiff"),
            });
        }
    }
    let told = say!(
        "Written to {}: print it at 100 %, and check that the bar measures {}. Expose, wash out, read: sabulo expose \
         read --help",
        arguments.out.display(),
        bar(arguments.units.system())
    );
    print(&format!("{told}\n"))?;
    Ok(ExitCode::SUCCESS)
}

/// The scale bar as it is lettered, and as a rule in inches reads it.
fn bar(units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => "100 mm".to_owned(),
        UnitSystem::Us => say!("100 mm ({})", fine(100.0, units, 4)),
    }
}

#[derive(Debug, Args)]
pub(crate) struct ReadArguments {
    /// The finest line that is open to the ground, as the sheet names it: 0.16mm.
    #[arg(long)]
    line: String,
    /// The finest wall that stays down.
    #[arg(long)]
    wall: String,
    /// The smallest dot that is open.
    #[arg(long)]
    dot: Option<String>,
    /// A line under the loupe: as the sheet names it and as it washed out, 0.5mm=0.56mm. May be given several times.
    #[arg(long, value_name = "PRINTED=MEASURED")]
    width: Vec<String>,
    #[command(flatten)]
    log: LogArguments,
    #[command(flatten)]
    units: UnitsArgument,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct ReadDocument {
    smallest_line_mm: f64,
    smallest_wall_mm: f64,
    smallest_dot_mm: f64,
    /// How much wider an opening comes out on each edge; null without a measured width.
    gain_mm: Option<f64>,
    gain_mm_low: Option<f64>,
    gain_mm_high: Option<f64>,
    time_s: f64,
    time_s_low: f64,
    time_s_high: f64,
    /// Lines for the shop file.
    shop_toml: String,
}

pub(super) fn read(arguments: &ReadArguments) -> Result<ExitCode, Failure> {
    let log = arguments.log.readings()?;
    let step = *log.last().ok_or(ExposureError::NoReading)?;
    let reading = SheetReading {
        line: quantity("--line", &arguments.line)?,
        wall: quantity("--wall", &arguments.wall)?,
        dot: arguments.dot.as_ref().map(|text| quantity("--dot", text)).transpose()?,
        widths: arguments.width.iter().map(|text| width(text)).collect::<Result<_, _>>()?,
        step,
    };
    let mut shop = sheet::read(&reading, arguments.log.tablet(), arguments.log.want)?;
    // A log says more than its last line.
    shop.time = arguments.log.tablet().from_log(&log, arguments.log.want)?;
    let document = document(&shop, arguments.units.system());
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&document, arguments.units.system()))?,
    }
    Ok(ExitCode::SUCCESS)
}

fn width(text: &str) -> Result<(Length, Length), Failure> {
    let form =
        || Failure::Form { name: "--width", given: text.to_owned(), wanted: say!("two widths such as 0.5mm=0.56mm") };
    let (printed, measured) = text.split_once('=').ok_or_else(form)?;
    Ok((quantity("--width", printed)?, quantity("--width", measured)?))
}

fn document(shop: &ShopFilm, units: UnitSystem) -> ReadDocument {
    let mm = |length: Length| length.to_mm();
    let mut shop_toml = format!("[stencil]\nfilm_finest = \"{}\"\n", filed(mm(shop.smallest_line), units));
    if let Some(gain) = shop.gain_mm {
        let key = if gain.mid() < 0.0 { "film_narrows" } else { "film_widens" };
        shop_toml += &format!("{key} = \"{}\"\n", filed(gain.mid().abs(), units));
    }
    let [time_s_low, time_s, time_s_high] = [shop.time.low(), shop.time.mid(), shop.time.high()].map(Time::to_seconds);
    ReadDocument {
        smallest_line_mm: mm(shop.smallest_line),
        smallest_wall_mm: mm(shop.smallest_wall),
        smallest_dot_mm: mm(shop.smallest_dot),
        gain_mm: shop.gain_mm.map(|gain| gain.mid()),
        gain_mm_low: shop.gain_mm.map(|gain| gain.low()),
        gain_mm_high: shop.gain_mm.map(|gain| gain.high()),
        time_s,
        time_s_low,
        time_s_high,
        shop_toml,
    }
}

/// A shift that may be inwards.
fn signed(mm: f64, units: UnitSystem) -> String {
    let size = length(mm.abs(), units);
    if mm < 0.0 { format!("−{size}") } else { size.to_string() }
}

/// A length as the shop's file has it.
fn filed(mm: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{mm:.3}mm"),
        UnitSystem::Us => format!("{:.2}mil", mm / 0.0254),
    }
}

fn told(document: &ReadDocument, units: UnitSystem) -> String {
    let smallest = say!(
        "Smallest line {}, wall {}, dot {}.",
        length(document.smallest_line_mm, units),
        length(document.smallest_wall_mm, units),
        length(document.smallest_dot_mm, units)
    );
    let edges = match (document.gain_mm, document.gain_mm_low, document.gain_mm_high) {
        (Some(mid), Some(low), Some(high)) => {
            let [low, mid, high] = [low, mid, high].map(|mm| signed(mm, units));
            say!("Each edge moves out by {mid} ({low} to {high}); below 0 it draws in.")
        }
        _ => say!("No width was measured: the gain stays unknown. Measure two lines and give --width.").to_owned(),
    };
    let time = say!("Expose {:.0} s ({:.0}–{:.0} s).", document.time_s, document.time_s_low, document.time_s_high);
    let (filed, lines) = (say!("For the shop file:"), &document.shop_toml);
    format!("{smallest}\n{edges}\n{time}\n\n{filed}\n{lines}{}", super::caution())
}
