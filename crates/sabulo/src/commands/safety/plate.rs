//! `sabulo safety plate`: a pane under load. A screening, never a design.

use super::code;
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::{Args, ValueEnum};
use language::say;
use quantity::show::{Show as _, significant};
use quantity::{Length, Time, UnitSystem};
use reference::{AreaLoad, Force, tables};
use safety::plate::{At, Bending, Held, Pane, Pressing, bend, own_weight};
use safety::strength::{Duration, LoadStress, Screened, notch, screen};
use serde::Serialize;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct PlateArguments {
    /// Left to right.
    #[arg(long)]
    width: String,
    /// Top to bottom.
    #[arg(long)]
    height: String,
    /// Of the pane, or of the carved ply of a laminate.
    #[arg(long)]
    thickness: String,
    /// The glass, such as float_glass or borosilicate.
    #[arg(long, default_value = "float_glass")]
    material: String,
    /// How its edges are held.
    #[arg(long, value_enum, default_value_t = Support::FourSides)]
    supports: Support,
    /// Wind on all of it, such as 0.8kPa or 15psf. Reckoned as 10 minutes.
    #[arg(long)]
    wind: Option<String>,
    /// What stands on all of it for good.
    #[arg(long)]
    load: Option<String>,
    /// A person's push, such as 500N or 100lbf. Reckoned as 30 seconds.
    #[arg(long)]
    push: Option<String>,
    /// Edge of the square that the push acts on.
    #[arg(long, default_value = "100mm")]
    patch: String,
    /// It lies flat: its own weight bends it.
    #[arg(long)]
    flat: bool,
    /// The deepest carving.
    #[arg(long, default_value = "0mm")]
    depth: String,
    /// Radius at the root of a sharp line, to tell how many times it multiplies stress.
    #[arg(long)]
    root: Option<String>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
#[value(rename_all = "snake_case")]
enum Support {
    FourSides,
    FourClamped,
    LeftAndRight,
    TopAndBottom,
}

/// What programs read.
#[derive(Debug, Serialize)]
struct PlateReport {
    poisson: f64,
    modulus_gpa: f64,
    loads: Vec<LoadReport>,
    depth_mm: f64,
    /// As if all of the face were carved to the depth, all loads brought to the duration of the one that uses most.
    stress_mpa: f64,
    /// What evenly frosted annealed glass is allowed under it.
    allowed_mpa: f64,
    used: f64,
    deepest_mm: f64,
    sinking_mm: f64,
    /// Half of what is left: beyond it linear theory overstates stress.
    sinking_mm_max: f64,
    notch_factor: Option<f64>,
    note: &'static str,
}

#[derive(Debug, Serialize)]
struct LoadReport {
    load: &'static str,
    stress_mpa: f64,
    at: At,
    sinking_mm: f64,
}

fn note() -> &'static str {
    say!(
        "Screening only. Blasting roughens and thins the glass; published strength tables leave blasted glass \
                    out, and sharp corners and V bottoms multiply stress several times. Not a design: needs a licensed \
                    engineer, safety glazing or a test panel."
    )
}

pub(super) fn plate(arguments: &PlateArguments) -> Result<ExitCode, Failure> {
    let report = report(arguments)?;
    match arguments.json {
        true => print_json(&report)?,
        false => print(&told(&report))?,
    }
    Ok(code(report.used > 1.0))
}

fn report(arguments: &PlateArguments) -> Result<PlateReport, Failure> {
    let pane = pane(arguments)?;
    let depth: Length = quantity("--depth", &arguments.depth)?;
    let held = match arguments.supports {
        Support::FourSides => Held::FourSides,
        Support::FourClamped => Held::FourClamped,
        Support::LeftAndRight => Held::LeftAndRight,
        Support::TopAndBottom => Held::TopAndBottom,
    };
    let pressing = pressing(arguments, &pane)?;
    let bent = pressing.iter().map(|(name, duration, pressing)| Ok((*name, *duration, bend(&pane, held, *pressing)?)));
    let bent: Vec<(&'static str, Duration, Bending)> = bent.collect::<Result<_, Failure>>()?;
    let loads: Vec<LoadStress> =
        bent.iter().map(|(_, duration, bent)| LoadStress { stress: bent.stress, duration: *duration }).collect();
    let screened: Screened = screen(&loads, depth, pane.thickness).ok_or(Failure::NoPane)?;
    let left = pane.thickness.to_mm() - depth.to_mm();
    let softer = (pane.thickness.to_mm() / left).powi(3);
    let root: Option<Length> = arguments.root.as_ref().map(|text| quantity("--root", text)).transpose()?;
    Ok(PlateReport {
        poisson: pane.poisson,
        modulus_gpa: pane.modulus.to_gpa(),
        depth_mm: depth.to_mm(),
        stress_mpa: screened.stress.to_mpa(),
        allowed_mpa: screened.allowed.to_mpa(),
        used: screened.used,
        deepest_mm: screened.deepest.to_mm(),
        sinking_mm: bent.iter().map(|(.., bent)| bent.sinking.to_mm() * softer).sum(),
        sinking_mm_max: tables().limits.plate_linear.value.to_ratio() * left,
        notch_factor: root.map(|root| notch(depth, root)),
        loads: bent
            .iter()
            .map(|(load, _, bent)| LoadReport {
                load,
                stress_mpa: bent.stress.to_mpa(),
                at: bent.at,
                sinking_mm: bent.sinking.to_mm(),
            })
            .collect(),
        note: note(),
    })
}

fn pane(arguments: &PlateArguments) -> Result<Pane, Failure> {
    let unknown = |fault| Failure::UnknownRow { name: "--material", fault: Box::new(fault) };
    let material = tables().material(&arguments.material).map_err(unknown)?;
    let (Some(modulus), Some(poisson)) = (&material.modulus, &material.poisson) else {
        return Err(Failure::NoStrength { material: material.name.shown().to_owned() });
    };
    Ok(Pane {
        width: quantity("--width", &arguments.width)?,
        height: quantity("--height", &arguments.height)?,
        thickness: quantity("--thickness", &arguments.thickness)?,
        modulus: modulus.value,
        poisson: poisson.value,
    })
}

fn pressing(arguments: &PlateArguments, pane: &Pane) -> Result<Vec<(&'static str, Duration, Pressing)>, Failure> {
    let limits = &tables().limits;
    let area = |name, text: &Option<String>| -> Result<Option<AreaLoad>, Failure> {
        text.as_ref().map(|text| quantity(name, text)).transpose()
    };
    let of = |time: Time| Duration::Of(time);
    let mut pressing = Vec::new();
    if arguments.flat {
        let material = tables().material(&arguments.material);
        let own = material.map(|material| own_weight(material.density.value, pane.thickness));
        pressing.extend(own.map(|own| ("own weight", Duration::Lasting, Pressing::Even(own))));
    }
    let lasting = area("--load", &arguments.load)?;
    pressing.extend(lasting.map(|load| ("load", Duration::Lasting, Pressing::Even(load))));
    let wind = area("--wind", &arguments.wind)?;
    pressing.extend(wind.map(|load| ("wind", of(limits.wind_duration.value), Pressing::Even(load))));
    let push: Option<Force> = arguments.push.as_ref().map(|text| quantity("--push", text)).transpose()?;
    let edge: Length = quantity("--patch", &arguments.patch)?;
    pressing.extend(push.map(|force| ("push", of(limits.push_duration.value), Pressing::Patch { force, edge })));
    if pressing.is_empty() { Err(Failure::NoLoad) } else { Ok(pressing) }
}

/// What a load is called, for people.
fn named(load: &'static str) -> &'static str {
    match load {
        "own weight" => say!("own weight"),
        "wind" => say!("wind"),
        "push" => say!(in "a load", "push"),
        _ => say!(in "a load", "load"),
    }
}

fn told(report: &PlateReport) -> String {
    let mm =
        |mm: f64| Length::mm(mm.max(0.0)).map_or_else(|_| String::new(), |l| l.show(UnitSystem::Metric).to_string());
    let mut lines: Vec<String> = Vec::new();
    for load in &report.loads {
        let (name, stress, sinks) = (named(load.load), significant(load.stress_mpa, 3), mm(load.sinking_mm));
        lines.push(match load.at {
            At::Middle => say!("{name}: {stress} MPa in the uncarved pane, in the middle; it sinks {sinks}"),
            At::FreeEdge => {
                say!("{name}: {stress} MPa in the uncarved pane, at the middle of a free edge; it sinks {sinks}")
            }
            At::ClampedEdge => {
                say!("{name}: {stress} MPa in the uncarved pane, at the middle of a clamped edge; it sinks {sinks}")
            }
        });
    }
    let word = if report.used > 1.0 { say!(in "a pane", "stop") } else { say!(in "a pane", "screened") };
    lines.push(say!(
        "{word}: carved {} all over, {} MPa beside {} MPa for even frosting ({} %) [EN 16612, k_sp and γ from memory]",
        mm(report.depth_mm),
        significant(report.stress_mpa, 3),
        significant(report.allowed_mpa, 3),
        significant(report.used * 100.0, 3)
    ));
    lines.push(match report.deepest_mm {
        deepest if deepest > 0.0 => say!("The two meet at {} deep.", mm(deepest)),
        _ => say!("Uncarved it is over already.").to_owned(),
    });
    if report.sinking_mm > report.sinking_mm_max {
        lines.push(say!(
            "ask: carved it sinks {}; beyond {} this theory overstates stress and says nothing of fixing.",
            mm(report.sinking_mm),
            mm(report.sinking_mm_max)
        ));
    }
    lines.extend(report.notch_factor.map(|times| {
        say!(
            "A line with that root multiplies stress up to {} times (Inglis, from memory): not in the number above.",
            significant(times, 2)
        )
    }));
    lines.push(say!(
        "E {} GPa, ν {}. {}",
        significant(report.modulus_gpa, 2),
        significant(report.poisson, 2),
        report.note
    ));
    lines.join("\n") + "\n"
}
