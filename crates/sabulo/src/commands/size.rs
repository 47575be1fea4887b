//! `sabulo size`: from work wanted to the smallest line that holds it, or from a shop to what it runs.

use super::air::asked::{Pictured, write_csv};
use super::units::Units;
use super::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::read_text;
use air::map::RunMap;
use air::size::Sizing;
use clap::{ArgGroup, Args, ValueEnum};
use picture::air::{AirOptions, NozzleMark, capacity};
use piece::{CompressorKind, Shop, read_shop};
use plan::air_document::MapDocument;
use plan::line_answer::{MAP_HORIZON, what_runs, widest};
use plan::network::{network, stations};
use plan::size_document::SizingDocument;
use plan::sizing::{Wanted, runs};
use quantity::{Diameter, GaugePressure, UnitSystem, known};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
#[command(group(ArgGroup::new("asked").args(["bore", "shop"]).required(true)))]
pub(crate) struct SizeArguments {
    #[command(flatten)]
    wanted: WantedArguments,
    /// Units to print in.
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
    /// A shop file: map what it runs, pressure by bore.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["pressure", "on", "growth", "stations", "hose", "loss", "kind", "loading", "altitude_m", "units"])]
    shop: Option<PathBuf>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
    /// Write the map as comma-separated values, to a file or, without one, to the output.
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-", requires = "shop")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    pictured: Pictured,
}

/// Work that is wanted of a line.
#[derive(Debug, Args)]
pub(crate) struct WantedArguments {
    /// Nozzle bore of the work wanted, such as 1/8in.
    #[arg(long, requires = "pressure")]
    pub(super) bore: Option<String>,
    /// Pressure at the nozzle, such as 40psi.
    #[arg(long, requires = "bore", allow_hyphen_values = true)]
    pressure: Option<String>,
    /// Blasting in each ten minutes, such as 6min.
    #[arg(long, default_value = "5min")]
    on: String,
    /// Room to grow: so much more air than today.
    #[arg(long, default_value = "20%")]
    growth: String,
    /// Stations that blast at the same time.
    #[arg(long, default_value_t = 1)]
    stations: usize,
    /// Length of each station's hose.
    #[arg(long, default_value = "8m")]
    hose: String,
    /// Most pressure that hose and regulator may take.
    #[arg(long, default_value = "0.3bar")]
    loss: String,
    /// How the compressor is built.
    #[arg(long, value_enum, default_value_t = Kind::TwoStage)]
    kind: Kind,
    /// Abrasive for each mass of air; none errs on the side of too much air.
    #[arg(long, default_value_t = 0.0)]
    loading: f64,
    /// Metres above the sea.
    #[arg(long, default_value_t = 0.0, allow_hyphen_values = true)]
    altitude_m: f64,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Kind {
    Diaphragm,
    SmallPiston,
    SingleStage,
    TwoStage,
    Screw,
}

pub(crate) fn run(arguments: &SizeArguments) -> Result<ExitCode, Failure> {
    match &arguments.shop {
        Some(path) => {
            let shop = read_shop(&read_text(path)?, &path.display().to_string())?;
            let map = map(&shop).map_err(|fault| Failure::Refused { path: path.clone(), fault: Box::new(fault) })?;
            what_it_runs(arguments, &shop, &map)
        }
        None => what_it_takes(arguments),
    }
}

/// What some work takes, in words: the work first, then a line for each part.
pub(super) fn sized(arguments: &WantedArguments, units: UnitSystem) -> Result<String, Failure> {
    let (work, sizing) = wanted(arguments)?.sized()?;
    Ok(plan::size_document::told(&work, &sizing, units).to_string())
}

fn what_it_takes(arguments: &SizeArguments) -> Result<ExitCode, Failure> {
    let (work, sizing) = wanted(&arguments.wanted)?.sized()?;
    let units = arguments.units.system();
    if arguments.pictured.write(|| picture_of(&sizing, work.bore, units))? {
        return Ok(ExitCode::SUCCESS);
    }
    match arguments.json {
        true => print_json(&SizingDocument::from(&sizing))?,
        false => print(&plan::size_document::told(&work, &sizing, units).to_string())?,
    }
    Ok(ExitCode::SUCCESS)
}

fn wanted(arguments: &WantedArguments) -> Result<Wanted, Failure> {
    let text = |given: &Option<String>| given.clone().unwrap_or_default();
    Ok(Wanted {
        bore: quantity("--bore", &text(&arguments.bore))?,
        pressure: quantity("--pressure", &text(&arguments.pressure))?,
        on: quantity("--on", &arguments.on)?,
        growth: quantity("--growth", &arguments.growth)?,
        stations: arguments.stations,
        hose: quantity("--hose", &arguments.hose)?,
        loss_max: quantity("--loss", &arguments.loss)?,
        kind: match arguments.kind {
            Kind::Diaphragm => CompressorKind::Diaphragm,
            Kind::SmallPiston => CompressorKind::SmallPiston,
            Kind::SingleStage => CompressorKind::SingleStage,
            Kind::TwoStage => CompressorKind::TwoStage,
            Kind::Screw => CompressorKind::Screw,
        },
        loading: arguments.loading,
        altitude_m: arguments.altitude_m,
    })
}

/// What the line made of the sizes runs.
fn picture_of(sizing: &Sizing, bore: Diameter, units: UnitSystem) -> picture::Scene {
    let wanted = NozzleMark { name: "wanted".to_owned(), bore };
    capacity(&runs(sizing, bore), &[wanted], &AirOptions { units, ..AirOptions::default() })
}

fn map(shop: &Shop) -> Result<RunMap, plan::Refusal> {
    // Which nozzle is on it does not matter: the map tries every bore.
    let on_line = stations(shop, &shop.nozzles[0], known(GaugePressure::bar(1.0)));
    Ok(what_runs(&network(shop, &on_line)?, widest(shop))?)
}

fn what_it_runs(arguments: &SizeArguments, shop: &Shop, map: &RunMap) -> Result<ExitCode, Failure> {
    let document = MapDocument::new(map, MAP_HORIZON);
    let marks = || shop.nozzles.iter().map(|nozzle| NozzleMark { name: nozzle.name.clone(), bore: nozzle.bore });
    let options = AirOptions { units: shop.units, ..AirOptions::default() };
    let drawn = || capacity(map, &marks().collect::<Vec<_>>(), &options);
    let mut written = arguments.pictured.write(drawn)?;
    if let Some(path) = &arguments.csv {
        written |= write_csv(path, &document.csv())?;
    }
    match (written, arguments.json) {
        (true, _) => {}
        (_, true) => print_json(&document)?,
        _ => print(&plan::size_document::map_told(map, shop))?,
    }
    Ok(ExitCode::SUCCESS)
}
