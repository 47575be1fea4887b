//! `sabulo air line`: the pressure ladder.

use super::asked::{Asked, Line, Pictured};
use crate::commands::column;
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::say;
use picture::air::{AirOptions, ladder};
use plan::air_document::LadderDocument;
use plan::line_answer::{LineAnswer, Look};
use plan::{air_words, words};
use quantity::show::{Show as _, air_flow};
use quantity::{GaugePressure, Quantity as _};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct LineArguments {
    #[command(flatten)]
    asked: Asked,
    /// Pressure of the last receiver; the cut-in when left out.
    #[arg(long, allow_hyphen_values = true)]
    receiver: Option<String>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    pictured: Pictured,
}

pub(super) fn line(arguments: &LineArguments) -> Result<ExitCode, Failure> {
    let line = arguments.asked.line()?;
    let receiver = arguments.receiver.as_ref().map(|text| quantity("--receiver", text)).transpose()?;
    let answer = line.ask(&Look { receiver, ..Look::default() })?;
    let options = AirOptions { units: line.shop.units, ..AirOptions::default() };
    if arguments.pictured.write(|| ladder(&answer.ladder, &options))? {
        return Ok(ExitCode::SUCCESS);
    }
    match arguments.json {
        true => print_json(&LadderDocument::new(&answer.ladder, answer.receiver))?,
        false => print(&told(&line, &answer))?,
    }
    Ok(ExitCode::SUCCESS)
}

fn told(line: &Line, answer: &LineAnswer) -> String {
    let (units, receiver) = (line.shop.units, answer.receiver);
    let mut lines = vec![say!("Receiver at {}, all stations blasting:", receiver.show(units))];
    let unit = GaugePressure::rung(receiver.to_base(), units);
    let told = |pressure: f64| {
        format!(
            "{} {}",
            language::number(format!("{:.*}", if unit.unit == "bar" { 2 } else { 1 }, pressure / unit.factor)),
            unit.unit
        )
    };
    for rung in &answer.ladder.rungs {
        let line = say!(
            "  {:<28} {:>9} -> {:>9}   takes {:>9}   {}",
            air_words::part(&rung.part),
            told(rung.inlet.to_base()),
            told(rung.outlet.to_base()),
            told(rung.loss_pa()),
            air_flow(rung.flow, units)
        );
        lines.push(if rung.choked { say!("{line}, choked") } else { line });
    }
    for station in &answer.ladder.stations {
        let name = &station.station;
        let (nozzle, flow) = (station.nozzle.show(units), air_flow(station.flow, units));
        let from = station.holds_from.show(units);
        lines.push(match station.holds {
            true => say!(
                "{name}: {nozzle} at the nozzle, {flow}; the regulator holds; it holds from {from} in the receiver."
            ),
            false => say!(
                "{name}: {nozzle} at the nozzle, {flow}; the regulator is fully open and holds nothing; it holds from \
                 {from} in the receiver."
            ),
        });
    }
    for (state, finding) in answer.findings(&line.shop) {
        let (title, why) = air_words::finding(answer, &line.shop, &finding);
        lines.push(format!("{} {title}. {why}", column(words::state(state))));
    }
    lines.join("\n") + "\n"
}
