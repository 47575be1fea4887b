//! Sabulo on the command line: `sabulo` alone opens the app, each part stands alone beside it.
//!
//! Exit codes: 0 done, 1 bad input, 2 bad usage, 3 planned with a finding that stops.

mod commands;
mod demo;
mod error;
mod folder;

use clap::{ArgMatches, CommandFactory as _, FromArgMatches as _, Parser, Subcommand, ValueEnum};
use error::Failure;
use language::Language;
use std::process::ExitCode;

/// Plans, proves and helps to run sand-carving work.
#[derive(Debug, Parser)]
#[command(name = "sabulo", version, about, long_about = None, after_help = EXIT_CODES)]
struct Arguments {
    /// Language of what people read: sentences, papers, pictures. What programs read, such as JSON, CSV and plan.json,
    /// is in English whatever is asked for here; the app's pages follow the browser.
    #[arg(long, global = true, value_enum, default_value_t = Spoken::En)]
    language: Spoken,
    #[command(subcommand)]
    command: Option<Command>,
}

/// A language that can be asked for. Not taken from the environment: a script gets the same words everywhere.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Spoken {
    En,
    De,
    /// For tests: English between marks.
    #[value(name = "en-XA", hide = true)]
    Marked,
}

impl Spoken {
    const fn language(self) -> Language {
        match self {
            Self::En => Language::English,
            Self::De => Language::German,
            Self::Marked => Language::Marked,
        }
    }
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
    let matches = Arguments::command().get_matches();
    let arguments = Arguments::from_arg_matches(&matches).unwrap_or_else(|fault| fault.exit());
    let reader = arguments.language.language();
    // A program reads the answer then, and words that were made on the way to it are in it.
    let answer = if prints_json(&matches) { Language::English } else { reader };
    answer.scope(|| run(arguments.command, reader))
}

/// Whether a command was asked for JSON.
fn prints_json(matches: &ArgMatches) -> bool {
    let asked = matches.try_get_one::<bool>("json").ok().flatten().is_some_and(|asked| *asked);
    asked || matches.subcommand().is_some_and(|(_, inner)| prints_json(inner))
}

/// Does what was asked for. Papers and pictures that lie beside an answer for programs are for the reader.
fn run(command: Option<Command>, reader: Language) -> ExitCode {
    let done = match command {
        None => commands::serve::serve(&commands::serve::ServeArguments::default()),
        Some(Command::Plan(arguments)) => commands::plan::plan(&arguments, reader),
        Some(Command::Artwork(arguments)) => commands::artwork::artwork(&arguments, reader),
        Some(Command::Air(command)) => commands::air::air(&command),
        Some(Command::Carve(arguments)) => commands::carve::carve(&arguments),
        Some(Command::Stencil(arguments)) => commands::stencil::stencil(&arguments, reader),
        Some(Command::Expose(command)) => commands::expose::expose(&command),
        Some(Command::Size(arguments)) => commands::size::run(&arguments),
        Some(Command::Safety(arguments)) => commands::safety::safety(&arguments),
        Some(Command::Quote(arguments)) => commands::quote::quote(&arguments, reader),
        Some(Command::Batch(arguments)) => commands::batch::batch(&arguments, reader),
        Some(Command::Paper(command)) => commands::paper::paper(&command),
        Some(Command::Class(arguments)) => commands::class::class(&arguments, reader),
        Some(Command::Serve(arguments)) => commands::serve::serve(&arguments),
        Some(Command::Keep(arguments)) => commands::keep::keep(&arguments),
        Some(Command::Schema(arguments)) => commands::schema::schema(&arguments),
    };
    match done {
        Ok(code) => code,
        // Whoever reads our output may stop reading; that is not an error.
        Err(Failure::Print(fault)) if fault.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("sabulo: {}", reader.scope(|| failure.to_string()));
            ExitCode::from(1)
        }
    }
}
