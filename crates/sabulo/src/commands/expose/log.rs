//! Readings of a step tablet, given one by one or as a table.

use crate::commands::quantity;
use crate::error::Failure;
use crate::folder::read_text;
use clap::Args;
use language::say;
use std::path::{Path, PathBuf};
use stencil::exposure::tablet::{Reading, StepTablet};

#[derive(Debug, Args)]
pub(crate) struct LogArguments {
    /// How long a tablet was exposed; with --held for each.
    #[arg(long, value_name = "TIME")]
    exposed: Vec<String>,
    /// The last step that held through washout, from 1; a half for one that is half gone.
    #[arg(long, value_name = "STEP")]
    held: Vec<f64>,
    /// Readings as CSV: a line of time and step for each, such as 60s,5.
    #[arg(long, value_name = "FILE")]
    log: Option<PathBuf>,
    /// The step to hold.
    #[arg(long, default_value_t = 7.0)]
    pub(super) want: f64,
    /// Density from one step to the next.
    #[arg(long, default_value_t = 0.15)]
    step: f64,
}

impl LogArguments {
    pub(super) fn tablet(&self) -> StepTablet {
        StepTablet { step: self.step }
    }

    /// All readings, in the order given.
    pub(super) fn readings(&self) -> Result<Vec<Reading>, Failure> {
        if self.exposed.len() != self.held.len() {
            return Err(Failure::Needed {
                name: say!(in "what is needed", "a reading"),
                mend: say!("give one --held for each --exposed"),
            });
        }
        let mut readings = self.log.as_deref().map_or(Ok(Vec::new()), table)?;
        for (exposed, &held) in self.exposed.iter().zip(&self.held) {
            readings.push(Reading { exposed: quantity("--exposed", exposed)?, held });
        }
        Ok(readings)
    }
}

/// Lines of time and step; a head without a number is passed over, and so are empty lines.
fn table(path: &Path) -> Result<Vec<Reading>, Failure> {
    let text = read_text(path)?;
    let mut readings = Vec::new();
    for (i, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        let (time, step) = line.split_once(',').unwrap_or((line, ""));
        match (quantity("--log", time.trim()), step.trim().parse::<f64>()) {
            (Ok(exposed), Ok(held)) => readings.push(Reading { exposed, held }),
            _ if i == 0 && !line.contains(|c: char| c.is_ascii_digit()) => {}
            _ => {
                return Err(Failure::Line {
                    path: path.to_owned(),
                    line: i + 1,
                    wanted: say!("a time and a step, such as 60s,5"),
                });
            }
        }
    }
    Ok(readings)
}
