//! Sabulo on the command line: `sabulo` alone opens the app, each part stands alone beside it.
//!
//! Exit codes: 0 done, 1 bad input, 2 bad usage, 3 planned with a finding that stops.

mod commands;
mod demo;
mod error;
mod folder;

use clap::{Parser, Subcommand};
use error::Failure;
use std::process::ExitCode;

/// Plans, proves and helps to run sand-carving work.
#[derive(Debug, Parser)]
#[command(name = "sabulo", version, about, long_about = None, after_help = EXIT_CODES)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
}

const EXIT_CODES: &str = "Without a command the app opens, on this computer only.\n\
Exit codes: 0 done, 1 bad input, 2 bad usage, 3 planned with a finding that stops.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Plan a piece: findings, stages, stencils, preview, run strip and job sheet.
    Plan(commands::plan::PlanArguments),
    /// Judge a drawing or a photograph of one, mark its faults, mend it; or letter a batch of names.
    Artwork(Box<commands::artwork::ArtworkArguments>),
    /// Compressed air by itself.
    #[command(subcommand)]
    Air(commands::air::AirCommand),
    /// The carving model by itself: a piece's ground, a recipe's rate, stages, coupons.
    Carve(Box<commands::carve::CarveArguments>),
    /// Stencils into files for the cutter and the film printer; film for vessels, halftones, batches of names.
    Stencil(Box<commands::stencil::StencilArguments>),
    /// Photo resist under light: time, step tablet, evenness, calibration sheet.
    #[command(subcommand)]
    Expose(Box<commands::expose::ExposeCommand>),
    /// Size a line for work wanted, or map what a shop's line runs.
    Size(Box<commands::size::SizeArguments>),
    /// What can hurt: dust, air, noise, pressure, strength, held against named limits.
    Safety(Box<commands::safety::SafetyArguments>),
    /// Price a piece over quantities, with rush and tax, and write the quote.
    Quote(commands::quote::QuoteArguments),
    /// Many names as one order: recipe, nested sheets, labels, evenings.
    Batch(Box<commands::batch::BatchArguments>),
    /// Simulate a class: waiting, hours, air, what to buy, who is where when.
    Class(commands::class::ClassArguments),
    /// A cabinet card, or a shop's specification, as a PDF.
    #[command(subcommand)]
    Paper(Box<commands::paper::PaperCommand>),
    /// Open the app: pages on this computer, and with --lan on tablets that are paired.
    Serve(commands::serve::ServeArguments),
    /// Back up what the app keeps and put it back; hand pieces and shops on and bring them in.
    Keep(commands::keep::KeepArguments),
    /// Print the JSON Schema of a file type.
    Schema(commands::schema::SchemaArguments),
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let done = match arguments.command {
        None => commands::serve::serve(&commands::serve::ServeArguments::default()),
        Some(Command::Plan(arguments)) => commands::plan::plan(&arguments),
        Some(Command::Artwork(arguments)) => commands::artwork::artwork(&arguments),
        Some(Command::Air(command)) => commands::air::air(&command),
        Some(Command::Carve(arguments)) => commands::carve::carve(&arguments),
        Some(Command::Stencil(arguments)) => commands::stencil::stencil(&arguments),
        Some(Command::Expose(command)) => commands::expose::expose(&command),
        Some(Command::Size(arguments)) => commands::size::run(&arguments),
        Some(Command::Safety(arguments)) => commands::safety::safety(&arguments),
        Some(Command::Quote(arguments)) => commands::quote::quote(&arguments),
        Some(Command::Batch(arguments)) => commands::batch::batch(&arguments),
        Some(Command::Paper(command)) => commands::paper::paper(&command),
        Some(Command::Class(arguments)) => commands::class::class(&arguments),
        Some(Command::Serve(arguments)) => commands::serve::serve(&arguments),
        Some(Command::Keep(arguments)) => commands::keep::keep(&arguments),
        Some(Command::Schema(arguments)) => commands::schema::schema(&arguments),
    };
    match done {
        Ok(code) => code,
        // Whoever reads our output may stop reading; that is not an error.
        Err(Failure::Print(fault)) if fault.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("sabulo: {failure}");
            ExitCode::from(1)
        }
    }
}
