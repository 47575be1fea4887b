//! Recipes to choose between, prices, and a class.

use super::frame::Frame;

/// The recipes that are worth choosing between.
#[derive(Debug, Clone)]
pub(crate) struct RecipesPage {
    pub frame: Frame,
    pub name: String,
    /// Address of the plan.
    pub piece: String,
    pub found: FoundRecipes,
}

/// What a search found.
#[derive(Debug, Clone)]
pub(crate) struct FoundRecipes {
    pub summary: String,
    pub few: Vec<FoundRecipe>,
    /// The recipe that the plan uses.
    pub own: Option<String>,
    /// What stops them, when none holds.
    pub stopped_by: Option<String>,
    pub unlocks: Vec<String>,
    /// By what those are ranked.
    pub ranked: String,
}

/// A recipe with the plan page that tries it.
#[derive(Debug, Clone)]
pub(crate) struct FoundRecipe {
    pub words: String,
    pub address: String,
}

/// The price page.
#[derive(Debug, Clone)]
pub(crate) struct PricePage {
    pub frame: Frame,
    pub name: String,
    /// Addresses of the plan, the quote as a sheet and as a table.
    pub piece: String,
    pub sheet: String,
    pub table: String,
    /// As typed.
    pub quantities: String,
    pub rush: String,
    pub offer: Result<PriceTold, String>,
}

/// What is asked, and what it costs.
#[derive(Debug, Clone)]
pub(crate) struct PriceTold {
    pub currency: String,
    pub tax_name: String,
    pub offers: Vec<Offer>,
    /// The quantity that the lines are of.
    pub of: u32,
    pub lines: Vec<(String, String)>,
    pub each: String,
    /// What spoils pieces, and how often.
    pub causes: Vec<String>,
}

/// What is asked at a quantity.
#[derive(Debug, Clone)]
pub(crate) struct Offer {
    pub quantity: String,
    pub each: String,
    pub net: String,
    pub tax: String,
    pub gross: String,
    pub cost: String,
    pub left: String,
}

/// A class in the shop at work.
#[derive(Debug, Clone)]
pub(crate) struct ClassPage {
    pub frame: Frame,
    pub shop: String,
    pub text: String,
    pub told: Result<ClassTold, Vec<String>>,
}

/// A class that was run.
#[derive(Debug, Clone)]
pub(crate) struct ClassTold {
    pub holds: bool,
    pub lines: Vec<String>,
    /// The rotation, as SVG.
    pub chart: String,
}
