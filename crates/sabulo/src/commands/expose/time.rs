//! `sabulo expose time`.

use super::log::LogArguments;
use crate::commands::units::{UnitsArgument, length};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::{say, say_count};
use quantity::show::significant;
use quantity::{Dose, Irradiance, Length, Quantity as _, Time, UnitSystem};
use serde::Serialize;
use std::process::ExitCode;
use stencil::exposure::corrected::{COMPUTED_FACTOR, corrected};
use stencil::exposure::dose::{self, WorkingCurve, reciprocity_factor};
use stencil::exposure::sharp::{edge_shift, half_angle, narrowest_line};
use stencil::exposure::source::Source;

#[derive(Debug, Args)]
pub(crate) struct TimeArguments {
    /// What a meter reads at the film, in the resist's own band: 8mW/cm2.
    #[arg(long)]
    irradiance: String,
    /// The dose that the film wants, as its maker says: 360mJ/cm2.
    #[arg(long, conflicts_with_all = ["film", "penetration", "critical"])]
    dose: Option<String>,
    /// Instead: the film's thickness, with --penetration and --critical from a step tablet.
    #[arg(long, requires = "penetration", requires = "critical")]
    film: Option<String>,
    /// Depth in which the light falls to a third (1/e).
    #[arg(long)]
    penetration: Option<String>,
    /// Dose at which the film's face just hardens.
    #[arg(long)]
    critical: Option<String>,
    /// Lamp to film where the meter was read, with --distance.
    #[arg(long, requires = "distance")]
    measured_at: Option<String>,
    /// Lamp to film in use. Inverse square: a lamp that is small against it.
    #[arg(long, requires = "measured_at")]
    distance: Option<String>,
    /// Density of the film's clear parts, in the resist's band.
    #[arg(long, default_value_t = 0.0)]
    base_density: f64,
    /// Schwarzschild's exponent; 1 adds up light evenly.
    #[arg(long, default_value_t = 1.0)]
    exponent: f64,
    /// Diameter of the lamp: how far light walks under edges is told too. Needs --distance or --measured-at.
    #[arg(long)]
    lamp: Option<String>,
    /// Air between film and resist.
    #[arg(long, default_value = "0mm")]
    gap: String,
    /// Thickness of the resist, for light under edges; --film when that is given.
    #[arg(long)]
    resist: Option<String>,
    #[command(flatten)]
    log: LogArguments,
    #[command(flatten)]
    units: UnitsArgument,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct TimeDocument {
    irradiance_mw_cm2: f64,
    dose_mj_cm2: f64,
    /// By dose over irradiance alone.
    computed_s: f64,
    time_s: f64,
    time_s_low: f64,
    time_s_high: f64,
    /// Over the computed time.
    factor_by_readings: f64,
    readings: usize,
    /// Share of what is known that the readings bring.
    readings_share: f64,
    /// Density that the film's black needs over its clear; null without the film's working curve.
    film_density_min: Option<f64>,
    /// How far light walks under an edge; null without --lamp.
    edge_shift_um: Option<f64>,
    narrowest_line_um: Option<f64>,
    narrows: String,
}

/// For an uneven lamp and one stop too much.
const DENSITY_SPARE: f64 = 0.6;
/// Refractive index of photopolymers, about. Source: handbook order of magnitude (from memory).
const INDEX: f64 = 1.5;

pub(super) fn time(arguments: &TimeArguments) -> Result<ExitCode, Failure> {
    let read: Irradiance = quantity("--irradiance", &arguments.irradiance)?;
    let curve = curve(arguments)?;
    let dose = needed(arguments, curve)?;
    let (irradiance, factor) = at_film(arguments, read)?;
    let plain = dose::time(dose, irradiance, arguments.base_density)?;
    let computed = Time::clamped(plain.to_seconds() * factor);
    let readings = arguments.log.readings()?;
    let found = corrected(computed, arguments.log.tablet(), &readings, arguments.log.want)?;
    let shift = shift(arguments)?;
    let document = TimeDocument {
        irradiance_mw_cm2: irradiance.to_milliwatts_per_square_cm(),
        dose_mj_cm2: dose.to_millijoules_per_square_cm(),
        computed_s: computed.to_seconds(),
        time_s: found.time.mid().to_seconds(),
        time_s_low: found.time.low().to_seconds(),
        time_s_high: found.time.high().to_seconds(),
        factor_by_readings: found.factor,
        readings: readings.len(),
        readings_share: found.by_readings,
        film_density_min: curve.map(|curve| curve.density_needed(dose) + DENSITY_SPARE),
        edge_shift_um: shift.map(|(shift, _)| shift.to_um()),
        narrowest_line_um: shift.map(|(_, line)| line.to_um()),
        narrows: narrows(readings.len()),
    };
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&document, arguments.units.system()))?,
    }
    Ok(ExitCode::SUCCESS)
}

fn narrows(readings: usize) -> String {
    match readings {
        0 => say!(
            "A computed time is good to a factor of {COMPUTED_FACTOR} (judgement): expose a step tablet and give \
             --exposed and --held."
        ),
        _ => say!("More readings of the same lamp and film narrow it; read again as the lamp ages.").to_owned(),
    }
}

fn curve(arguments: &TimeArguments) -> Result<Option<WorkingCurve>, Failure> {
    match (&arguments.penetration, &arguments.critical) {
        (Some(penetration), Some(critical)) => Ok(Some(WorkingCurve {
            penetration: quantity("--penetration", penetration)?,
            critical: quantity("--critical", critical)?,
        })),
        _ => Ok(None),
    }
}

fn needed(arguments: &TimeArguments, curve: Option<WorkingCurve>) -> Result<Dose, Failure> {
    match (&arguments.dose, &arguments.film, curve) {
        (Some(text), _, _) => quantity("--dose", text),
        (None, Some(film), Some(curve)) => Ok(curve.through(quantity("--film", film)?)?),
        _ => Err(Failure::Needed {
            name: say!(in "what is needed", "a dose"),
            mend: say!("give --dose 360mJ/cm2, or --film 4mil --penetration 40um --critical 10mJ/cm2"),
        }),
    }
}

/// The irradiance at the distance in use, and what a film that does not add up light evenly makes of the change.
fn at_film(arguments: &TimeArguments, read: Irradiance) -> Result<(Irradiance, f64), Failure> {
    let (Some(from), Some(to)) = (&arguments.measured_at, &arguments.distance) else { return Ok((read, 1.0)) };
    let [from, to]: [Length; 2] = [quantity("--measured-at", from)?, quantity("--distance", to)?];
    let lamp = Source::Point { height_mm: from.to_mm(), lobe: 0.0 };
    let weaker = lamp.time_factor(to.to_mm())?;
    let irradiance = Irradiance::clamped(read.to_base() / weaker);
    Ok((irradiance, reciprocity_factor(1.0 / weaker, arguments.exponent) / weaker))
}

fn shift(arguments: &TimeArguments) -> Result<Option<(Length, Length)>, Failure> {
    let Some(lamp) = &arguments.lamp else { return Ok(None) };
    let distance = arguments.distance.as_ref().or(arguments.measured_at.as_ref());
    let (Some(distance), Some(resist)) = (distance, arguments.resist.as_ref().or(arguments.film.as_ref())) else {
        let mend = say!("give --measured-at and --distance, and --resist or --film with the thickness");
        return Err(Failure::Needed { name: say!("--lamp: a distance and a thickness"), mend });
    };
    let [lamp, distance, gap, resist]: [Length; 4] = [
        quantity("--lamp", lamp)?,
        quantity("--distance", distance)?,
        quantity("--gap", &arguments.gap)?,
        quantity("--resist", resist)?,
    ];
    let radius = Length::clamped(0.5 * lamp.to_metres());
    let shift = edge_shift(half_angle(radius, distance), gap, resist, INDEX);
    Ok(Some((shift, narrowest_line(shift, Length::clamped(0.0), resist))))
}

fn told(document: &TimeDocument, units: UnitSystem) -> String {
    let number = |value: f64| significant(value, 3);
    let [mid, low, high] = [document.time_s, document.time_s_low, document.time_s_high].map(number);
    let mut lines = vec![
        say!(
            "{} mJ/cm² at {} mW/cm²: {} s computed.",
            number(document.dose_mj_cm2),
            number(document.irradiance_mw_cm2),
            number(document.computed_s)
        ),
        match document.readings {
            0 => say!("Expose {mid} s ({low}–{high} s)."),
            n => say_count!(
                n,
                "Expose {mid} s ({low}–{high} s), {n} reading, {factor} times the computed.",
                "Expose {mid} s ({low}–{high} s), {n} readings, {factor} times the computed.",
                factor = number(document.factor_by_readings)
            ),
        },
        document.narrows.clone(),
    ];
    if let Some(density) = document.film_density_min {
        lines.push(say!("The film's black wants a density of {density:.2} over its clear, in the resist's band."));
    }
    if let (Some(shift), Some(line)) = (document.edge_shift_um, document.narrowest_line_um) {
        let [shift, line] = [shift, line].map(|um| length(um * 1e-3, units));
        lines.push(say!("Light walks {shift} under each edge; draw no line below {line}."));
    }
    lines.join("\n") + "\n" + &super::caution()
}
