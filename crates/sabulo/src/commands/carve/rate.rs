//! `sabulo carve rate`: how fast a recipe removes.

use super::asked::{RecipeArguments, load_shop};
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::say;
use plan::rate::{Rate, RateDocument, Recipe, rate as rate_of};
use plan::words::ranged;
use quantity::UnitSystem;
use quantity::show::{Show as _, air_flow, bore, significant};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct RateArguments {
    #[command(flatten)]
    recipe: RecipeArguments,
    /// All that is blasted evenly.
    #[arg(long, default_value = "50cm2")]
    area: String,
    /// A shop file: its coupons narrow the range.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

pub(super) fn rate(arguments: &RateArguments) -> Result<ExitCode, Failure> {
    let recipe = arguments.recipe.recipe()?;
    let shop = arguments.shop.as_deref().map(load_shop).transpose()?;
    let rate = rate_of(&recipe, quantity("--area", &arguments.area)?, shop.as_ref())?;
    match arguments.json {
        true => print_json(&RateDocument::new(&recipe, &rate))?,
        false => print(&told(&recipe, &rate, shop.map_or(UnitSystem::Metric, |shop| shop.units)))?,
    }
    Ok(ExitCode::SUCCESS)
}

fn told(recipe: &Recipe, rate: &Rate, units: UnitSystem) -> String {
    let removal = rate.removal_mm3_s;
    let [low, mid, high] = [removal.low(), removal.mid(), removal.high()].map(|value| significant(value, 3));
    let mut lines = vec![
        say!(
            "{} {} through a {} bore at {} (at the nozzle), {} from {}:",
            recipe.abrasive.name,
            recipe.grit.name,
            bore(recipe.bore, units),
            recipe.pressure.show(units),
            recipe.standoff.show(units),
            recipe.material.name,
        ),
        say!("  removes {mid} mm³/s ({low}–{high})"),
        say!("  {} deeper each minute over {}", ranged(rate.minute, units), rate.swept.show(units)),
        say!(
            "  grains arrive at {}, footprint of {} radius",
            ranged(rate.grain_speed, units),
            ranged(rate.footprint, units)
        ),
        say!("  takes {} of air and {} of abrasive", air_flow(rate.air, units), rate.grit.show(UnitSystem::Metric)),
    ];
    let told = rate.shares.iter().filter(|share| share.share >= 0.02).take(3);
    let told: Vec<String> = told.map(|share| format!("{} {:.0} %", share.name, 100.0 * share.share)).collect();
    if !told.is_empty() {
        lines.push(say!("  the range hangs on: {} (shares of its variance)", told.join(", ")));
    }
    lines.push(say!("Ranges are the model's 90 %; a coupon narrows them: sabulo carve calibrate.").to_owned());
    lines.join("\n") + "\n"
}
