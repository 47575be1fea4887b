//! `sabulo air run`: the line in time.

use super::asked::{Asked, Line, Pictured, write_csv};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::say;
use picture::air::{AirOptions, course};
use plan::air_document::{CourseDocument, EventEntry};
use plan::air_words;
use plan::line_answer::{LineAnswer, Look};
use quantity::show::{clock, significant};
use quantity::{Quantity as _, Time};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct RunArguments {
    #[command(flatten)]
    asked: Asked,
    /// How long each station blasts at a time, such as 120s; each station's own when left out.
    #[arg(long)]
    on: Option<String>,
    /// How long it rests in between.
    #[arg(long)]
    off: Option<String>,
    /// How long to follow it.
    #[arg(long = "for", default_value = "30min")]
    for_: String,
    /// Time between samples; a six-hundredth of the whole when left out.
    #[arg(long)]
    every: Option<String>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
    /// Write the samples as comma-separated values, to a file or, without one, to the output.
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    pictured: Pictured,
}

pub(super) fn run(arguments: &RunArguments) -> Result<ExitCode, Failure> {
    let mut line = arguments.asked.line()?;
    let time = |name, text: &Option<String>| text.as_ref().map(|text| quantity(name, text)).transpose();
    let (on, off): (Option<Time>, Option<Time>) = (time("--on", &arguments.on)?, time("--off", &arguments.off)?);
    for station in &mut line.stations {
        (station.on, station.off) = (on.unwrap_or(station.on), off.unwrap_or(station.off));
    }
    let for_: Time = quantity("--for", &arguments.for_)?;
    let answer = line.ask(&Look { for_, every: time("--every", &arguments.every)?, ..Look::default() })?;
    let pictured = AirOptions { units: line.shop.units, ..AirOptions::default() };
    if arguments.pictured.write(|| course(&answer.network, &answer.course, &pictured))? {
        return Ok(ExitCode::SUCCESS);
    }
    let document = CourseDocument::new(&answer, line.shop.rates.energy_per_kwh);
    if let Some(path) = &arguments.csv
        && write_csv(path, &document.csv())?
    {
        return Ok(ExitCode::SUCCESS);
    }
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&line, &answer, &document))?,
    }
    Ok(ExitCode::SUCCESS)
}

/// What an event is called, for people.
fn happening(event: &'static str) -> &'static str {
    match event {
        "valve_opened" => say!("valve opened"),
        "valve_closed" => say!("valve closed"),
        "pressure_lost" => say!("pressure lost"),
        "pressure_regained" => say!("pressure regained"),
        "low_pressure_trip" => say!("low pressure trip"),
        "compressor_started" => say!("compressor started"),
        "compressor_stopped" => say!("compressor stopped"),
        "duty_reached" => say!("duty reached"),
        "cooled_down" => say!("cooled down"),
        other => other,
    }
}

fn told(line: &Line, answer: &LineAnswer, document: &CourseDocument) -> String {
    let event = |entry: &EventEntry| {
        let at = clock(Time::clamped(entry.t_s));
        format!("{at:>12}  {:<20} {}", happening(entry.event), air_words::part(&entry.part))
    };
    let mut lines: Vec<String> = document.events.iter().map(event).collect();
    let longest = answer.longest_blast.map_or_else(|| say!("without end").to_owned(), clock);
    lines.push(say!("From full receivers a blast of all stations holds {longest}."));
    for (name, machine) in answer.network.compressors().zip(&answer.course.machines) {
        lines.push(say!(
            "{name}: runs {:.0} % of the time, starts {} times, at most {:.0} % of its duty limit.",
            machine.share.to_percent(),
            machine.starts,
            100.0 * machine.warmest
        ));
    }
    lines.push(say!(
        "Energy {} kWh, {} {}; {} g of water an hour to drain.",
        significant(document.energy_kwh, 3),
        language::number(document.energy_cost.to_string()),
        line.shop.rates.currency,
        significant(document.condensate_g_per_h, 3),
    ));
    lines.join("\n") + "\n"
}
