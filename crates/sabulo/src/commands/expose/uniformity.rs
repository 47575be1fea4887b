//! `sabulo expose uniformity`.

use crate::commands::plan::STOPPED;
use crate::commands::units::{UnitsArgument, length, place};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::say;
use plan::{State, words};
use quantity::{Fraction, Length, UnitSystem};
use serde::Serialize;
use std::process::ExitCode;
use stencil::exposure::source::Source;

#[derive(Debug, Args)]
pub(crate) struct UniformityArguments {
    /// Width and height of the bed, or of what is exposed on it: 400mm,300mm.
    #[arg(long, value_name = "WIDTH,HEIGHT")]
    bed: String,
    /// Lamp above the film.
    #[arg(long, value_name = "LENGTH")]
    height: String,
    /// One small lamp.
    #[arg(long, group = "lamp")]
    point: bool,
    /// Parallel tubes: from one to the next, lit length, how many: 50mm,600mm,8.
    #[arg(long, value_name = "PITCH,LENGTH,COUNT", group = "lamp")]
    tubes: Option<String>,
    /// A grid of LEDs: from one to the next, columns, rows: 25mm,16,12.
    #[arg(long, value_name = "PITCH,COLUMNS,ROWS", group = "lamp")]
    leds: Option<String>,
    /// 0 for a bulb, 1 for a flat emitter or bare LED, more for lenses: ln(1/2)/ln(cos of the half angle).
    #[arg(long)]
    lobe: Option<f64>,
    /// Least over greatest light that will do.
    #[arg(long, default_value = "80%")]
    least: String,
    #[command(flatten)]
    units: UnitsArgument,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct UniformityDocument {
    height_mm: f64,
    least_over_most: f64,
    least_over_most_min: f64,
    /// Where it is weakest, from the bed's middle.
    weakest_mm: [f64; 2],
    mean_over_middle: f64,
    holds: bool,
    /// Lowest height from which it would hold; null when it holds, or none up to ten times the bed does.
    height_mm_min: Option<f64>,
    /// Factor on the time when the lamp is brought to that height.
    time_factor: Option<f64>,
}

pub(super) fn uniformity(arguments: &UniformityArguments) -> Result<ExitCode, Failure> {
    let [width, height] = sizes(&arguments.bed)?;
    let source = source(arguments)?;
    let least: Fraction = quantity("--least", &arguments.least)?;
    let above: Length = quantity("--height", &arguments.height)?;
    let found = source.uniformity(width, height)?;
    let holds = found.least_over_most >= least.to_ratio();
    let remedy = if holds { None } else { lowest(&source, (width, height), least.to_ratio())? };
    let document = UniformityDocument {
        height_mm: above.to_mm(),
        least_over_most: found.least_over_most,
        least_over_most_min: least.to_ratio(),
        weakest_mm: [found.weakest.x, found.weakest.y],
        mean_over_middle: found.mean_over_middle,
        holds,
        height_mm_min: remedy,
        time_factor: remedy.map(|mm| source.time_factor(mm)).transpose()?,
    };
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&document, arguments.units.system()))?,
    }
    Ok(if holds { ExitCode::SUCCESS } else { ExitCode::from(STOPPED) })
}

fn sizes(text: &str) -> Result<[f64; 2], Failure> {
    let wanted = say!("two sizes such as 400mm,300mm");
    let form = || Failure::Form { name: "--bed", given: text.to_owned(), wanted };
    let (width, height) = text.split_once(',').ok_or_else(form)?;
    let [width, height]: [Length; 2] = [quantity("--bed", width.trim())?, quantity("--bed", height.trim())?];
    Ok([width.to_mm(), height.to_mm()])
}

fn source(arguments: &UniformityArguments) -> Result<Source, Failure> {
    let height: Length = quantity("--height", &arguments.height)?;
    let height_mm = height.to_mm();
    if let Some(text) = &arguments.tubes {
        let [pitch, length, count] = three("--tubes", text)?;
        let (pitch, length): (Length, Length) = (quantity("--tubes", pitch)?, quantity("--tubes", length)?);
        let (pitch_mm, length_mm) = (pitch.to_mm(), length.to_mm());
        return Ok(Source::Tubes { height_mm, pitch_mm, length_mm, count: whole("--tubes", count)? });
    }
    if let Some(text) = &arguments.leds {
        let [pitch, columns, rows] = three("--leds", text)?;
        let pitch: Length = quantity("--leds", pitch)?;
        let (columns, rows) = (whole("--leds", columns)?, whole("--leds", rows)?);
        let lobe = arguments.lobe.unwrap_or(1.0);
        return Ok(Source::Leds { height_mm, pitch_mm: pitch.to_mm(), columns, rows, lobe });
    }
    match arguments.point {
        true => Ok(Source::Point { height_mm, lobe: arguments.lobe.unwrap_or(0.0) }),
        false => Err(Failure::Needed {
            name: say!(in "what is needed", "a lamp"),
            mend: say!("give --point, --tubes or --leds"),
        }),
    }
}

fn three<'a>(name: &'static str, text: &'a str) -> Result<[&'a str; 3], Failure> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let wanted = say!("three values with commas between");
    parts.try_into().map_err(|_| Failure::Form { name, given: text.to_owned(), wanted })
}

/// Lamps along one side of an array that are summed at most.
const LAMPS_MAX: usize = 1000;

fn whole(name: &'static str, text: &str) -> Result<usize, Failure> {
    let wanted = say!("a whole number from 1 to 1000");
    let number = text.parse::<usize>().ok().filter(|n| (1..=LAMPS_MAX).contains(n));
    number.ok_or_else(|| Failure::Form { name, given: text.to_owned(), wanted })
}

/// The lowest height from which the light is even enough, to a thousandth of the bed; looked for from a hundredth of
/// the bed's longer side to ten times it. Over an array evenness may fall again far up: the first that holds is told.
fn lowest(source: &Source, (width, height): (f64, f64), least: f64) -> Result<Option<f64>, Failure> {
    let side = width.max(height);
    let holds = |mm: f64| Ok::<_, Failure>(source.at_height(mm).uniformity(width, height)?.least_over_most >= least);
    let mut below = 0.01 * side;
    if holds(below)? {
        return Ok(Some(below));
    }
    let mut above = below;
    loop {
        above *= 1.2;
        if above > 10.0 * side {
            return Ok(None);
        }
        if holds(above)? {
            break;
        }
        below = above;
    }
    while above - below > 1e-3 * side {
        let middle = 0.5 * (below + above);
        if holds(middle)? { above = middle } else { below = middle }
    }
    Ok(Some(above))
}

fn told(document: &UniformityDocument, units: UnitSystem) -> String {
    let [x, y] = document.weakest_mm;
    let state = words::state(if document.holds { State::Holds } else { State::Stop });
    let found = say!(
        "From {} the weakest place of the bed gets {:.0} % of the strongest, {:.0} % are wanted; it lies {} from the \
         middle. The bed's mean is {:.0} % of its middle.",
        length(document.height_mm, units),
        100.0 * document.least_over_most,
        100.0 * document.least_over_most_min,
        place(x, y, units),
        100.0 * document.mean_over_middle
    );
    let mend = match (document.holds, document.height_mm_min, document.time_factor) {
        (false, Some(mm), Some(factor)) => {
            Some(say!("Bring the lamp to {}: it holds there; expose {factor:.2} times as long.", length(mm, units)))
        }
        (false, ..) => {
            Some(say!("No height up to ten times the bed does it: more or wider lamps are wanted.").to_owned())
        }
        _ => None,
    };
    let mend = mend.map(|mend| format!("{:8}{mend}\n", "")).unwrap_or_default();
    let left_out =
        say!("Walls, reflectors and the lamp's own shadow are left out: a tablet in each corner tells what they do.");
    format!("{state:<8}{found}\n{mend}{left_out}\n")
}
