//! `sabulo air moisture`: water along the line.

use super::asked::{Asked, Line, write_csv};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use air::damp::Dampness;
use clap::Args;
use language::say;
use plan::air_document::MoistureDocument;
use plan::air_words;
use plan::line_answer::Look;
use quantity::show::{Show as _, clock, significant};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct MoistureArguments {
    #[command(flatten)]
    asked: Asked,
    /// Pressure of the receivers; the cut-in when left out.
    #[arg(long, allow_hyphen_values = true)]
    receiver: Option<String>,
    /// Share of the time that the compressors run: one that never rests sends hotter, wetter air. As the
    /// stations' times make it when left out.
    #[arg(long)]
    running: Option<String>,
    /// Temperature around pipes and hoses; the site's when left out.
    #[arg(long, allow_hyphen_values = true)]
    room: Option<String>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
    /// Write the parts as comma-separated values, to a file or, without one, to the output.
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-")]
    csv: Option<PathBuf>,
}

pub(super) fn moisture(arguments: &MoistureArguments) -> Result<ExitCode, Failure> {
    let line = arguments.asked.line()?;
    let receiver = arguments.receiver.as_ref().map(|text| quantity("--receiver", text)).transpose()?;
    let running = arguments.running.as_ref().map(|text| quantity("--running", text)).transpose()?;
    let room = arguments.room.as_ref().map(|text| quantity("--room", text)).transpose()?;
    let damp = line.ask(&Look { receiver, running, room, ..Look::default() })?.damp;
    let document = MoistureDocument::from(&damp);
    if let Some(path) = &arguments.csv
        && write_csv(path, &document.csv())?
    {
        return Ok(ExitCode::SUCCESS);
    }
    match arguments.json {
        true => print_json(&document)?,
        false => print(&told(&line, &damp, &document))?,
    }
    Ok(ExitCode::SUCCESS)
}

fn told(line: &Line, damp: &Dampness, document: &MoistureDocument) -> String {
    let units = line.shop.units;
    let mut lines = vec![say!(
        "{} g of water an hour is drawn in, {} g an hour stays in the line.",
        significant(document.drawn_in_g_per_h, 3),
        significant(document.condensate_g_per_h, 3)
    )];
    for (part, entry) in damp.parts.iter().zip(&document.parts) {
        let dew = part.dew_point.map_or_else(|| "—".to_owned(), |at| at.show(units).to_string());
        let line = say!(
            "  {:<28} {:>8}, dew point {:>8}, collects {} g/h",
            air_words::part(&part.part),
            part.temperature.show(units).to_string(),
            dew,
            significant(entry.collects_g_per_h, 3)
        );
        lines.push(match part.drain_every {
            Some(every) => say!("{line}, drain every {}", clock(every)),
            None => line,
        });
    }
    let stations = damp.stations.iter();
    lines.extend(stations.map(|station| format!("{}: {}", station.station, air_words::moisture(station, units))));
    lines.extend(damp.oil.iter().map(|risk| format!("{}: {}", air_words::part(&risk.part), air_words::oil(risk.why))));
    lines.join("\n") + "\n"
}
