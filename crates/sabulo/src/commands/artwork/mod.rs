//! `sabulo artwork`: what a customer brought, read, judged and mended.

mod batch;
mod document;
mod judged;

use crate::error::Failure;
use clap::{Args, Subcommand};
use language::Language;
use std::process::ExitCode;

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct ArtworkArguments {
    #[command(subcommand)]
    command: Option<ArtworkCommand>,
    #[command(flatten)]
    judged: Option<judged::JudgedArguments>,
}

#[derive(Debug, Subcommand)]
enum ArtworkCommand {
    /// One drawing for each row of a table of names.
    Batch(batch::BatchArguments),
}

pub(crate) fn artwork(arguments: &ArtworkArguments, reader: Language) -> Result<ExitCode, Failure> {
    match (&arguments.command, &arguments.judged) {
        (Some(ArtworkCommand::Batch(arguments)), _) => batch::make(arguments),
        (None, Some(arguments)) => judged::judge(arguments, reader),
        (None, None) => Err(Failure::NoArtwork),
    }
}
