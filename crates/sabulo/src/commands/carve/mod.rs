//! `sabulo carve`: the carving model by itself.

mod asked;
mod calibrate;
mod ground;
mod rate;
mod stages;

use crate::error::Failure;
use clap::{Args, Subcommand};
use std::process::ExitCode;

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct CarveArguments {
    #[command(subcommand)]
    command: Option<CarveCommand>,
    #[command(flatten)]
    piece: ground::PieceArguments,
}

#[derive(Debug, Subcommand)]
enum CarveCommand {
    /// How fast a recipe removes, with its range and the constant that it hangs on most.
    Rate(rate::RateArguments),
    /// Depths to stages: their order, and seconds at the nozzle.
    Stages(Box<stages::StagesArguments>),
    /// What coupons say of the model's constants, and which coupon would tell most next.
    Calibrate(calibrate::CalibrateArguments),
}

pub(crate) fn carve(arguments: &CarveArguments) -> Result<ExitCode, Failure> {
    match &arguments.command {
        None => ground::carve(&arguments.piece),
        Some(CarveCommand::Rate(arguments)) => rate::rate(arguments),
        Some(CarveCommand::Stages(arguments)) => stages::stages(arguments),
        Some(CarveCommand::Calibrate(arguments)) => calibrate::calibrate(arguments),
    }
}
