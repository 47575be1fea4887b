//! What the carving questions have in common: a piece with its drawing and shop, a recipe, numbers in words.

use crate::commands::{artwork_file, quantity};
use crate::error::Failure;
use crate::folder::read_text;
use air::Loading;
use artwork::drawing::Drawing;
use clap::Args;
use piece::{Piece, Shop, read_piece, read_shop};
use plan::rate::Recipe;
use reference::{Unknown, tables};
use std::path::{Path, PathBuf};

/// A piece with all that its file names.
pub(super) struct Loaded {
    pub(super) piece: Piece,
    pub(super) drawing: Drawing,
    pub(super) shop: Shop,
}

/// Reads a piece file, its drawing, and the shop file: the one named, or shop.toml beside the piece or above it.
pub(super) fn load(path: &Path, shop: Option<&Path>) -> Result<Loaded, Failure> {
    let found = match shop {
        Some(shop) => shop.to_owned(),
        None => near(path).ok_or_else(|| Failure::NoShop { piece: path.to_owned() })?,
    };
    let shop = load_shop(&found)?;
    let piece = read_piece(&read_text(path)?, &path.display().to_string(), &shop)?;
    let drawing = artwork_file(&path.with_file_name(&piece.artwork), None)?;
    Ok(Loaded { piece, drawing, shop })
}

pub(super) fn load_shop(path: &Path) -> Result<Shop, Failure> {
    Ok(read_shop(&read_text(path)?, &path.display().to_string())?)
}

fn near(piece: &Path) -> Option<PathBuf> {
    let beside = piece.parent()?;
    [beside.to_owned(), beside.join("..")].iter().map(|folder| folder.join("shop.toml")).find(|path| path.is_file())
}

/// A recipe without a shop around it.
#[derive(Debug, Args)]
pub(super) struct RecipeArguments {
    /// What is carved, such as float_glass.
    #[arg(long, default_value = "float_glass")]
    material: String,
    /// With what, such as white_alumina.
    #[arg(long, default_value = "white_alumina")]
    abrasive: String,
    /// How coarse, such as F150.
    #[arg(long, default_value = "F150")]
    grit: String,
    /// Bore of the nozzle, such as 2.4mm or 3/32in.
    #[arg(long, default_value = "2.4mm")]
    bore: String,
    /// Length of its straight bore.
    #[arg(long, default_value = "30mm")]
    length: String,
    /// Pressure at the nozzle, such as 40psi or 2.5bar.
    #[arg(long, default_value = "2.5bar", allow_hyphen_values = true)]
    pressure: String,
    /// Nozzle to work.
    #[arg(long, default_value = "120mm")]
    standoff: String,
    /// Mass of abrasive for each mass of air, 0 to 3.
    #[arg(long, default_value_t = 1.0, allow_hyphen_values = true)]
    loading: f64,
}

impl RecipeArguments {
    pub(super) fn recipe(&self) -> Result<Recipe, Failure> {
        let unknown = |name| move |fault: Unknown| Failure::UnknownRow { name, fault: Box::new(fault) };
        let tables = tables();
        Ok(Recipe {
            material: tables.material(&self.material).map_err(unknown("--material"))?,
            abrasive: tables.abrasive(&self.abrasive).map_err(unknown("--abrasive"))?,
            grit: tables.grit(&self.grit).map_err(unknown("--grit"))?,
            bore: quantity("--bore", &self.bore)?,
            bore_length: quantity("--length", &self.length)?,
            pressure: quantity("--pressure", &self.pressure)?,
            standoff: quantity("--standoff", &self.standoff)?,
            loading: Loading::new(self.loading)?,
        })
    }
}
