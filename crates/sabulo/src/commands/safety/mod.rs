//! `sabulo safety`: what can hurt, held against named limits.

mod clear;
mod dust;
mod noise;
mod piece;
mod plate;

use crate::error::Failure;
use clap::{Args, Subcommand};
use std::process::ExitCode;

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct SafetyArguments {
    #[command(subcommand)]
    command: Option<SafetyCommand>,
    #[command(flatten)]
    piece: piece::PieceArguments,
}

#[derive(Debug, Subcommand)]
enum SafetyCommand {
    /// Dusts that a blank and an abrasive free, their limits, and a shift's exposure from measured levels.
    Dust(Box<dust::DustArguments>),
    /// How long the door stays shut, and the air that a cabinet's collector has to move.
    Clear(Box<clear::ClearArguments>),
    /// The dose of a day's noise, by OSHA and by NIOSH.
    Noise(noise::NoiseArguments),
    /// Stress and sinking of a pane, beside what evenly frosted glass is allowed.
    Plate(Box<plate::PlateArguments>),
}

/// Something is over its limit, for scripts.
const STOPPED: u8 = 3;

pub(crate) fn safety(arguments: &SafetyArguments) -> Result<ExitCode, Failure> {
    match &arguments.command {
        None => piece::check(&arguments.piece),
        Some(SafetyCommand::Dust(arguments)) => dust::dust(arguments),
        Some(SafetyCommand::Clear(arguments)) => clear::clear(arguments),
        Some(SafetyCommand::Noise(arguments)) => noise::noise(arguments),
        Some(SafetyCommand::Plate(arguments)) => plate::plate(arguments),
    }
}

/// 3 when something stops, else 0.
fn code(stops: bool) -> ExitCode {
    if stops { ExitCode::from(STOPPED) } else { ExitCode::SUCCESS }
}

/// What a span is written as: a value, an @ and a time, such as `96dBA@2h`.
fn span<V: quantity::Quantity>(name: &'static str, text: &str) -> Result<(V, quantity::Time), Failure> {
    let (value, time) = text.split_once('@').ok_or_else(|| Failure::Span { name, given: text.to_owned() })?;
    Ok((crate::commands::quantity(name, value)?, crate::commands::quantity(name, time)?))
}
