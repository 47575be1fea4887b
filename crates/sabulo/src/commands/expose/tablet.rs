//! `sabulo expose tablet`.

use super::log::LogArguments;
use crate::commands::{print, print_json};
use crate::error::Failure;
use clap::Args;
use quantity::show::significant;
use serde::Serialize;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct TabletArguments {
    #[command(flatten)]
    log: LogArguments,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct TabletDocument {
    want: f64,
    readings: usize,
    /// How much less light each step passes.
    step_factor: f64,
    time_s: f64,
    time_s_low: f64,
    time_s_high: f64,
}

pub(super) fn tablet(arguments: &TabletArguments) -> Result<ExitCode, Failure> {
    let (log, tablet) = (arguments.log.readings()?, arguments.log.tablet());
    let time = tablet.from_log(&log, arguments.log.want)?;
    let document = TabletDocument {
        want: arguments.log.want,
        readings: log.len(),
        step_factor: tablet.factor(),
        time_s: time.mid().to_seconds(),
        time_s_low: time.low().to_seconds(),
        time_s_high: time.high().to_seconds(),
    };
    let number = |value: f64| significant(value, 3);
    match arguments.json {
        true => print_json(&document)?,
        false => print(&format!(
            "To hold step {}: {} s ({}–{} s), from {} readings; each step passes {} times less light.\n{}",
            document.want,
            number(document.time_s),
            number(document.time_s_low),
            number(document.time_s_high),
            document.readings,
            number(document.step_factor),
            super::caution()
        ))?,
    }
    Ok(ExitCode::SUCCESS)
}
