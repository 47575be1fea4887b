//! `sabulo stencil`: files that cut, expose and open the resist.

mod nest;

use crate::error::Failure;
use clap::Subcommand;
use std::process::ExitCode;

#[derive(Debug, Subcommand)]
pub(crate) enum StencilCommand {
    /// Lay drawings close together on remnants, sheets and the roll.
    Nest(nest::NestArgs),
}

pub(crate) fn stencil(command: &StencilCommand) -> Result<ExitCode, Failure> {
    match command {
        StencilCommand::Nest(arguments) => nest::run(arguments),
    }
}
