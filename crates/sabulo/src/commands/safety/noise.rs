//! `sabulo safety noise`: a day's dose.

use super::{code, span};
use crate::commands::{print, print_json};
use crate::error::Failure;
use clap::Args;
use language::say;
use quantity::Time;
use quantity::show::{clock, significant};
use reference::{SoundLevel, tables};
use safety::noise::{Rule, wants_both};
use serde::Serialize;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct NoiseArguments {
    /// A level at the ear and how long: 96dBA@2h. Given again for each span of the day.
    #[arg(required = true, value_name = "LEVEL@TIME")]
    span: Vec<String>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// What programs read. The two doses are not comparable numbers.
#[derive(Debug, Serialize)]
struct NoiseReport {
    osha: DoseReport,
    niosh: DoseReport,
    loudest_dba: f64,
    /// Above the level at which nobody is exposed, however short the time.
    over_ceiling: bool,
    protectors: u8,
}

#[derive(Debug, Serialize)]
struct DoseReport {
    dose: f64,
    average_dba: f64,
    /// How long the loudest level alone fills the dose.
    loudest_s_max: f64,
}

pub(super) fn noise(arguments: &NoiseArguments) -> Result<ExitCode, Failure> {
    let day: Vec<(SoundLevel, Time)> =
        arguments.span.iter().map(|text| span("LEVEL@TIME", text)).collect::<Result<_, _>>()?;
    let loudest = day.iter().map(|(level, _)| *level).fold(day[0].0, |a, b| if b > a { b } else { a });
    let of = |rule: Rule| -> Result<DoseReport, Failure> {
        let dose = rule.dose(&day)?;
        let average_dba = rule.average(dose).to_dba();
        Ok(DoseReport { dose, average_dba, loudest_s_max: rule.allowed(loudest).to_seconds() })
    };
    let (osha, niosh) = (of(Rule::Osha)?, of(Rule::Niosh)?);
    let limits = &tables().limits;
    let protectors = match () {
        () if wants_both(loudest) => 2,
        () if osha.average_dba >= limits.noise_action.value.to_dba() => 1,
        () => 0,
    };
    let over_ceiling = loudest > limits.noise_ceiling.value;
    let report = NoiseReport { osha, niosh, loudest_dba: loudest.to_dba(), over_ceiling, protectors };
    match arguments.json {
        true => print_json(&report)?,
        false => print(&told(&report))?,
    }
    Ok(code(report.osha.dose > 1.0 || report.over_ceiling))
}

fn told(report: &NoiseReport) -> String {
    let line = |name: &str, dose: &DoseReport, source: &str| {
        say!(
            "{name}: {} % of a day's dose, {} dBA over 8 h; {} dBA alone fills it in {} [{source}]",
            significant(dose.dose * 100.0, 3),
            significant(dose.average_dba, 3),
            significant(report.loudest_dba, 3),
            clock(
                Time::seconds(dose.loudest_s_max.min(1e8))
                    .unwrap_or_else(|_| Time::seconds(0.0).expect("zero is a time"))
            ),
        )
    };
    let ears = match report.protectors {
        2 => say!("Wear plugs and muffs together."),
        1 => say!("Hearing conservation begins at 85 dBA over 8 h: wear plugs or muffs."),
        _ => say!("Under 85 dBA over 8 h."),
    };
    let mut lines = vec![
        line("OSHA", &report.osha, say!("29 CFR 1910.95 App A; levels under 80 dBA left out")),
        line("NIOSH", &report.niosh, "NIOSH 98-126"),
        say!("The two doses are not the same number.").to_owned(),
    ];
    lines.extend(report.over_ceiling.then(|| say!("stop: nobody is exposed above 115 dBA.").to_owned()));
    lines.push(ears.to_owned());
    lines.join("\n") + "\n"
}
