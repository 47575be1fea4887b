//! `sabulo expose tablet`.

use super::log::LogArguments;
use crate::commands::{print, print_json};
use crate::error::Failure;
use clap::Args;
use language::say_count;
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
        false => {
            let told = say_count!(
                document.readings,
                "To hold step {want}: {mid} s ({low}–{high} s), from {n} reading; each step passes \
                 {less} times less light.",
                "To hold step {want}: {mid} s ({low}–{high} s), from {n} readings; each step passes \
                 {less} times less light.",
                want = language::number(document.want.to_string()),
                mid = number(document.time_s),
                low = number(document.time_s_low),
                high = number(document.time_s_high),
                n = document.readings,
                less = number(document.step_factor)
            );
            print(&format!("{told}\n{}", super::caution()))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}
