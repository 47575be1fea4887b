//! `sabulo expose`: photo resist under light.

mod log;
mod sheet;
mod tablet;
mod time;
mod uniformity;

use crate::error::Failure;
use clap::Subcommand;
use language::say;
use std::process::ExitCode;

#[derive(Debug, Subcommand)]
pub(crate) enum ExposeCommand {
    /// How long: from irradiance, distance and the film's thickness, corrected by logged readings.
    Time(Box<time::TimeArguments>),
    /// How long: from the last step of a tablet that held.
    #[command(alias = "step")]
    Tablet(tablet::TabletArguments),
    /// How even the light is over the bed, and the height from which it is even enough.
    Uniformity(uniformity::UniformityArguments),
    /// A sheet to print as a film: lines, walls, dots, holes, tones, steps.
    Sheet(sheet::SheetArguments),
    /// What a washed-out sheet says: the shop's smallest line, its gain, its time.
    Read(Box<sheet::ReadArguments>),
}

pub(crate) fn expose(command: &ExposeCommand) -> Result<ExitCode, Failure> {
    match command {
        ExposeCommand::Time(arguments) => time::time(arguments),
        ExposeCommand::Tablet(arguments) => tablet::tablet(arguments),
        ExposeCommand::Uniformity(arguments) => uniformity::uniformity(arguments),
        ExposeCommand::Sheet(arguments) => sheet::sheet(arguments),
        ExposeCommand::Read(arguments) => sheet::read(arguments),
    }
}

/// What the lamp does to eyes and skin, in words.
fn caution() -> String {
    let words = plan::words::caution(&safety::caution::lamp());
    say!("Caution: {} {} {} [{}]", words.hazard, words.harm, words.act, words.source) + "\n"
}
