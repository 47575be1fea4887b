//! `sabulo air`: compressed air by itself.

pub(crate) mod asked;
mod line;
mod moisture;
mod nozzle;
mod run;

use crate::error::Failure;
use clap::Subcommand;
use std::process::ExitCode;

#[derive(Debug, Subcommand)]
pub(crate) enum AirCommand {
    /// What a nozzle takes, with clean air.
    Nozzle(nozzle::NozzleArguments),
    /// The shop's line in balance: the pressure at every part, and what each of them takes.
    Line(line::LineArguments),
    /// The shop's line in time, with valves opened and closed.
    Run(run::RunArguments),
    /// Water along the shop's line, from the inlet to the nozzle.
    Moisture(moisture::MoistureArguments),
}

pub(crate) fn air(command: &AirCommand) -> Result<ExitCode, Failure> {
    match command {
        AirCommand::Nozzle(arguments) => nozzle::nozzle_flow(arguments),
        AirCommand::Line(arguments) => line::line(arguments),
        AirCommand::Run(arguments) => run::run(arguments),
        AirCommand::Moisture(arguments) => moisture::moisture(arguments),
    }
}
