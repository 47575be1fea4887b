//! `sabulo stencil`: a piece's layers into files; film for vessels; halftones; batches of names.

mod develop;
mod document;
mod forms;
mod halftone;
mod names;
mod nest;
mod piece;

use crate::error::Failure;
use clap::{Args, Subcommand};
use language::Language;
use std::process::ExitCode;

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct StencilArguments {
    #[command(subcommand)]
    command: Option<StencilCommand>,
    #[command(flatten)]
    piece: piece::PieceArguments,
}

#[derive(Debug, Subcommand)]
enum StencilCommand {
    /// Lay artwork on a cone, a cylinder or a bowl: the flat film, its strain, and how it looks on the vessel.
    Develop(develop::DevelopArguments),
    /// Screen a photograph into a film positive.
    Halftone(halftone::HalftoneArguments),
    /// Stencil files for a whole batch: a folder of drawings, or a template and a table of names.
    Names(names::NamesArguments),
    /// Lay drawings close together on remnants, sheets and the roll.
    Nest(nest::NestArgs),
}

pub(crate) fn stencil(arguments: &StencilArguments, reader: Language) -> Result<ExitCode, Failure> {
    match &arguments.command {
        Some(StencilCommand::Develop(arguments)) => develop::develop(arguments, reader),
        Some(StencilCommand::Halftone(arguments)) => halftone::halftone(arguments),
        Some(StencilCommand::Names(arguments)) => names::names(arguments, reader),
        Some(StencilCommand::Nest(arguments)) => nest::run(arguments, reader),
        None => piece::piece(&arguments.piece, reader),
    }
}
