//! What all questions about a shop's line have in common: the shop, its stations, where answers go.

use crate::commands::{print, quantity};
use crate::error::Failure;
use crate::folder::{read_text, write_file};
use clap::Args;
use picture::Scene;
use picture::Theme;
use picture::svg::{self, Colours};
use piece::{Shop, ShopStation, read_shop};
use plan::line_answer::{LineAnswer, Look, ask};
use plan::network;
use quantity::GaugePressure;
use std::path::{Path, PathBuf};

/// Which line, with what on it.
#[derive(Debug, Args)]
pub(crate) struct Asked {
    /// The shop file.
    #[arg(long, value_name = "FILE", default_value = "shop.toml")]
    shop: PathBuf,
    /// One nozzle of the shop on one station, instead of the shop's stations.
    #[arg(long, value_name = "NAME")]
    nozzle: Option<String>,
    /// What every regulator is set to, such as 40psi or 2.5bar.
    #[arg(long, allow_hyphen_values = true)]
    pressure: Option<String>,
}

/// Where an answer goes besides words.
#[derive(Debug, Args)]
pub(crate) struct Pictured {
    /// Write the picture as SVG, to a file or, without one, to the output.
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-")]
    svg: Option<PathBuf>,
}

/// A shop with what is on its line.
pub(crate) struct Line {
    pub(crate) shop: Shop,
    pub(crate) stations: Vec<ShopStation>,
    file: PathBuf,
}

impl Asked {
    pub(crate) fn line(&self) -> Result<Line, Failure> {
        let shop = read_shop(&read_text(&self.shop)?, &self.shop.display().to_string())?;
        let set: Option<GaugePressure> = self.pressure.as_ref().map(|text| quantity("--pressure", text)).transpose()?;
        let mut stations = match (&self.nozzle, shop.stations.is_empty()) {
            (None, false) => shop.stations.clone(),
            (name, _) => {
                let nozzle = match name {
                    Some(name) => shop.nozzle(name).ok_or_else(|| unknown(&shop, name))?,
                    None => &shop.nozzles[0],
                };
                vec![network::station(&shop, nozzle, set.ok_or(Failure::NoPressure)?)]
            }
        };
        if let Some(set) = set {
            stations.iter_mut().for_each(|station| station.pressure = set);
        }
        Ok(Line { shop, stations, file: self.shop.clone() })
    }
}

fn unknown(shop: &Shop, name: &str) -> Failure {
    let known = shop.nozzles.iter().map(|nozzle| nozzle.name.as_str()).collect::<Vec<_>>().join(", ");
    Failure::NoNozzle { given: name.to_owned(), known }
}

impl Line {
    pub(crate) fn ask(&self, look: &Look) -> Result<LineAnswer, Failure> {
        ask(&self.shop, &self.stations, look)
            .map_err(|fault| Failure::Refused { path: self.file.clone(), fault: Box::new(fault) })
    }
}

impl Pictured {
    /// Whether a picture is wanted.
    pub(crate) const fn asked(&self) -> bool {
        self.svg.is_some()
    }

    /// Whether the picture went to the output, so that nothing else should.
    pub(crate) fn write(&self, scene: impl FnOnce() -> Scene) -> Result<bool, Failure> {
        let Some(path) = &self.svg else { return Ok(false) };
        let text = svg::write(&scene(), Colours::Resolved(Theme::Light));
        if path == Path::new("-") {
            print(&text)?;
            return Ok(true);
        }
        write_file(path, text.as_bytes())?;
        Ok(false)
    }
}

/// Writes comma-separated values; says whether they went to the output.
pub(crate) fn write_csv(path: &Path, text: &str) -> Result<bool, Failure> {
    if path == Path::new("-") {
        print(text)?;
        return Ok(true);
    }
    write_file(path, text.as_bytes())?;
    Ok(false)
}
