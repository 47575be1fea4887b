//! `sabulo safety dust`: what is freed, its limits, a shift's exposure.

use super::{code, span};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::{Args, ValueEnum};
use language::say;
use quantity::show::significant;
use quantity::{Fraction, Quantity as _, Time};
use reference::{Concentration, Respirator, tables};
use safety::check::words::agent;
use safety::dust::{Agent, Dust, carrying, eight_hour_average, factor_needed, freed, lead_limit};
use serde::Serialize;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct DustArguments {
    /// The blank's material, such as granite or lead_crystal.
    #[arg(long)]
    material: String,
    /// The abrasive, such as white_alumina. One that is not listed needs --free-silica.
    #[arg(long, default_value = "white_alumina")]
    abrasive: String,
    /// Free crystalline silica on the data sheet of the bag in use. From 1% on it is refused.
    #[arg(long)]
    free_silica: Option<String>,
    /// Respirable dust where one breathes, and how long: 400ug/m3@2h. Given again for each span of the day.
    #[arg(long, value_name = "LEVEL@TIME")]
    span: Vec<String>,
    /// Length of the shift, for limits that depend on it.
    #[arg(long, default_value = "8h")]
    shift: String,
    /// The respirator worn.
    #[arg(long, value_enum)]
    respirator: Option<Worn>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Classes of respirator, as they are written.
#[derive(Debug, Clone, Copy, ValueEnum)]
#[value(rename_all = "snake_case")]
enum Worn {
    HalfMask,
    FullFace,
    LooseFitting,
    Hood,
    HoodTested,
    FullFaceAirline,
}

impl Worn {
    const fn class(self) -> Respirator {
        match self {
            Self::HalfMask => Respirator::HalfMask,
            Self::FullFace => Respirator::FullFace,
            Self::LooseFitting => Respirator::LooseFitting,
            Self::Hood => Respirator::Hood,
            Self::HoodTested => Respirator::HoodTested,
            Self::FullFaceAirline => Respirator::FullFaceAirline,
        }
    }
}

/// What programs read.
#[derive(Debug, Serialize)]
struct DustReport {
    material: String,
    abrasive: String,
    free_silica_max: f64,
    respirable_average_ug_m3: Option<f64>,
    respirator_factor: Option<f64>,
    agents: Vec<AgentReport>,
}

/// One agent. The average counts all of the dust as if it were of this origin.
#[derive(Debug, Serialize)]
struct AgentReport {
    agent: Agent,
    share_max: Option<f64>,
    limit_ug_m3: f64,
    action_ug_m3: Option<f64>,
    source: String,
    dust_at_limit_ug_m3: Option<f64>,
    dust_at_action_ug_m3: Option<f64>,
    average_ug_m3: Option<f64>,
    standing: &'static str,
    factor_needed: Option<f64>,
    respirator_needed: Option<Respirator>,
}

pub(super) fn dust(arguments: &DustArguments) -> Result<ExitCode, Failure> {
    let report = report(arguments)?;
    match arguments.json {
        true => print_json(&report)?,
        false => print(&told(&report))?,
    }
    Ok(code(report.agents.iter().any(|agent| agent.standing == "stop")))
}

fn report(arguments: &DustArguments) -> Result<DustReport, Failure> {
    let unknown = |name| move |fault| Failure::UnknownRow { name, fault: Box::new(fault) };
    let material = tables().material(&arguments.material).map_err(unknown("--material"))?;
    let on_sheet: Option<Fraction> =
        arguments.free_silica.as_ref().map(|text| quantity("--free-silica", text)).transpose()?;
    let shift: Time = quantity("--shift", &arguments.shift)?;
    let spans: Vec<(Concentration, Time)> =
        arguments.span.iter().map(|text| span("--span", text)).collect::<Result<_, _>>()?;
    let average = if spans.is_empty() { None } else { Some(eight_hour_average(&spans)?) };
    let listed = tables().abrasive(&arguments.abrasive);
    let (dusts, name, share) = match listed {
        Ok(abrasive) => {
            safety::refusal::accept_abrasive(abrasive, on_sheet)?;
            let share = on_sheet.unwrap_or(abrasive.free_silica_max.value);
            (freed(material, abrasive), abrasive.name.shown().to_owned(), share)
        }
        // An abrasive that no table knows is accepted on its sheet alone, and its dust has no limit of its own.
        Err(_) => {
            safety::refusal::accept_free_silica(&arguments.abrasive, on_sheet)?;
            let plain = tables().abrasive("glass_bead").map_err(unknown("--abrasive"))?;
            let share = on_sheet.unwrap_or(Fraction::clamped(1.0));
            (freed(material, plain), arguments.abrasive.clone(), share)
        }
    };
    let worn = arguments.respirator.map(|mask| mask.class().factor());
    Ok(DustReport {
        material: material.name.shown().to_owned(),
        abrasive: name,
        free_silica_max: share.to_ratio(),
        respirable_average_ug_m3: average.map(Concentration::to_ug_per_m3),
        respirator_factor: worn,
        agents: dusts.iter().map(|dust| agent_report(dust, average, shift, worn)).collect(),
    })
}

fn agent_report(dust: &Dust, average: Option<Concentration>, shift: Time, worn: Option<f64>) -> AgentReport {
    let limit = if dust.agent == Agent::Lead { lead_limit(shift) } else { dust.limit.value };
    let action = dust.action.map(|action| action.value);
    let share = dust.share.map(|share| share.high);
    let enough = |level| share.and_then(|share| carrying(level, share)).map(Concentration::to_ug_per_m3);
    let exposed =
        average.zip(share).map(|(dust, share)| Concentration::clamped(dust.to_mg_per_m3() * share.to_ratio()));
    let needed = exposed.and_then(|exposed| factor_needed(exposed, limit).ok());
    let standing = match (exposed, needed) {
        (Some(exposed), _) if exposed <= action.unwrap_or(limit) => "within",
        (Some(exposed), _) if exposed <= limit => "ask",
        (Some(_), Some(needed)) if worn.is_some_and(|worn| worn >= needed) => "ask",
        (Some(_), _) => "stop",
        (None, _) => "not told",
    };
    AgentReport {
        agent: dust.agent,
        share_max: share.map(Fraction::to_ratio),
        limit_ug_m3: limit.to_ug_per_m3(),
        action_ug_m3: action.map(Concentration::to_ug_per_m3),
        source: dust.limit.source.to_string(),
        dust_at_limit_ug_m3: enough(limit),
        dust_at_action_ug_m3: action.and_then(enough),
        average_ug_m3: exposed.map(Concentration::to_ug_per_m3),
        standing,
        factor_needed: needed,
        respirator_needed: needed.filter(|needed| *needed > 1.0).and_then(class),
    }
}

/// What an agent's standing is called, for people.
fn standing(word: &'static str) -> &'static str {
    match word {
        "within" => say!(in "a limit", "within"),
        "ask" => say!(in "a limit", "ask"),
        "stop" => say!(in "a limit", "stop"),
        _ => say!(in "a limit", "not told"),
    }
}

fn class(factor: f64) -> Option<Respirator> {
    Respirator::ALL.into_iter().find(|class| class.factor() >= factor)
}

fn told(report: &DustReport) -> String {
    let mut lines = vec![say!(
        "{} carved with {} (free silica up to {} %):",
        report.material,
        report.abrasive,
        significant(report.free_silica_max * 100.0, 2)
    )];
    if let Some(average) = report.respirable_average_ug_m3 {
        lines.push(say!("  respirable dust, average over 8 h: {} µg/m³", significant(average, 3)));
    }
    for one in &report.agents {
        let (name, limit) = (agent(one.agent), significant(one.limit_ug_m3, 3));
        let limit = match one.action_ug_m3 {
            Some(level) => say!("{name}: limit {limit}, action level {} µg/m³", significant(level, 3)),
            None => say!("{name}: limit {limit} µg/m³"),
        };
        let found = match (one.average_ug_m3, one.dust_at_action_ug_m3.or(one.dust_at_limit_ug_m3)) {
            (Some(average), _) => say!("over the shift {}", significant(average, 3)),
            (None, Some(enough)) => say!("{} µg/m³ of this dust carries it", significant(enough, 3)),
            (None, None) => {
                say!("its share in the dust is not known: treat it as the worst until it is tested").to_owned()
            }
        };
        let worn = match (one.factor_needed, one.respirator_needed) {
            (Some(needed), Some(class)) => {
                format!("; {}", say!("factor {} is needed: {}", significant(needed, 3), class.name()))
            }
            _ => String::new(),
        };
        lines.push(format!("  {:<9}{limit}; {found}{worn} [{}]", standing(one.standing), one.source));
    }
    lines.push(say!("Only a measurement tells what is breathed; exhaust comes before a respirator.").to_owned());
    lines.join("\n") + "\n"
}
