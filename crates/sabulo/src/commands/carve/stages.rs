//! `sabulo carve stages`: depths to stages, in order, with seconds at the nozzle.

use super::asked::{RecipeArguments, load, load_shop};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::say;
use plan::carving::{PieceStage, stages as piece_stages};
use plan::carving_document::StageEntry;
use plan::rate::{Flat, flat_stages};
use quantity::show::{Show as _, clock};
use quantity::{Area, Fraction, Length, UnitSystem};
use serde::Serialize;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct StagesArguments {
    /// A piece file: its own layers, recipe and swept areas.
    #[arg(conflicts_with_all = ["depth", "area"], required_unless_present = "depth")]
    piece: Option<PathBuf>,
    /// Depth of a layer; give one for each.
    #[arg(long)]
    depth: Vec<String>,
    /// Area of a layer, in the same order.
    #[arg(long)]
    area: Vec<String>,
    /// Share of the blast that lands on the swept area, of layers without a piece.
    #[arg(long, default_value = "75%")]
    on_target: String,
    #[command(flatten)]
    recipe: RecipeArguments,
    /// The shop file. With a piece and left out: shop.toml beside it, or in the folder above.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Stages as programs read them.
#[derive(Debug, Serialize)]
struct StagesDocument {
    /// In the order of the work.
    stages: Vec<StageEntry>,
    /// At the nozzle, at the middle of the model.
    blast_s: f64,
}

pub(super) fn stages(arguments: &StagesArguments) -> Result<ExitCode, Failure> {
    let (stages, units) = match &arguments.piece {
        Some(path) => {
            let loaded = load(path, arguments.shop.as_deref())?;
            let (_, stages) = piece_stages(&loaded.piece, &loaded.drawing, &loaded.shop)
                .map_err(|fault| Failure::Refused { path: path.clone(), fault: Box::new(fault) })?;
            (stages, loaded.shop.units)
        }
        None => flat(arguments)?,
    };
    match arguments.json {
        true => {
            let entries = stages.iter().enumerate().map(|(i, stage)| StageEntry::new(i + 1, stage));
            print_json(&StagesDocument { stages: entries.collect(), blast_s: blast_s(&stages) })?;
        }
        false => print(&told(&stages, units))?,
    }
    Ok(ExitCode::SUCCESS)
}

/// Layers given as depths and areas: each is called by its depth.
fn flat(arguments: &StagesArguments) -> Result<(Vec<PieceStage>, UnitSystem), Failure> {
    let (depths, areas) = (arguments.depth.len(), arguments.area.len());
    if depths != areas {
        return Err(Failure::Areas { depths, areas });
    }
    let layer = |(depth, area): (&String, &String)| {
        Ok(Flat { depth: quantity::<Length>("--depth", depth)?, area: quantity::<Area>("--area", area)? })
    };
    let layers = arguments.depth.iter().zip(&arguments.area).map(layer).collect::<Result<Vec<_>, Failure>>()?;
    let on_target: Fraction = quantity("--on-target", &arguments.on_target)?;
    let shop = arguments.shop.as_deref().map(load_shop).transpose()?;
    let units = shop.as_ref().map_or(UnitSystem::Metric, |shop| shop.units);
    let stages = flat_stages(&arguments.recipe.recipe()?, &layers, on_target, shop.as_ref())?;
    let named = stages.into_iter().map(|stage| PieceStage {
        opens: stage.opens.iter().map(|&layer| say!("layer {}", layer + 1)).collect(),
        depths: stage.opens.iter().map(|&layer| layers[layer].depth).collect(),
        dose: stage.dose,
        blast: stage.blast,
    });
    Ok((named.collect(), units))
}

fn blast_s(stages: &[PieceStage]) -> f64 {
    stages.iter().map(|stage| stage.blast.mid().to_seconds()).sum()
}

fn told(stages: &[PieceStage], units: UnitSystem) -> String {
    let line = |(i, stage): (usize, &PieceStage)| {
        let opens =
            stage.opens.iter().zip(&stage.depths).map(|(name, depth)| format!("{name} ({})", depth.show(units)));
        let [low, mid, high] = [stage.blast.low(), stage.blast.mid(), stage.blast.high()].map(clock);
        say!(
            "Stage {}: weed {}, blast {mid} ({low} to {high}), {} deeper",
            i + 1,
            opens.collect::<Vec<_>>().join(say!(" and ")),
            stage.dose.show(units),
        ) + "\n"
    };
    let total = clock(quantity::Quantity::clamped(blast_s(stages)));
    stages.iter().enumerate().map(line).collect::<String>() + &say!("{total} at the nozzle, rests left out.") + "\n"
}
