//! A search as programs read it, with its JSON Schema. Units stand in the key names; costs are exact decimals in quotes.

use crate::document::FinishEntry;
use crate::finding::Check;
use crate::model::Recipe;
use crate::remedy_document::{ChangeEntry, change_entry};
use crate::search::{Choice, Role, Search, Unlock};
use crate::search_words as words;
use quantity::{Fraction, UnitSystem};
use schemars::JsonSchema;
use serde::Serialize;

/// What a search found.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SearchDocument {
    /// What this is: "search 1".
    pub sabulo: &'static str,
    /// Name of the piece.
    pub piece: String,
    /// In one sentence.
    pub summary: String,
    /// Recipes judged.
    pub tried: usize,
    /// Recipes that there are.
    pub of: usize,
    /// Recipes that nothing stops, at the middle of the model.
    pub hold: usize,
    /// False when the search was ended before all was judged.
    pub complete: bool,
    /// ISO 4217 code of the costs.
    pub currency: String,
    /// Recipes that no other beats in time, cost and risk at once, the quickest first.
    pub front: Vec<ChoiceEntry>,
    /// The few of them that are worth choosing between.
    pub few: Vec<FewEntry>,
    /// The recipe that the plan uses; null when it cannot be computed.
    pub own: Option<ChoiceEntry>,
    /// When none holds: what stops the recipes.
    pub stopped_by: Vec<StoppedEntry>,
    /// When none holds: changes with which some do, the smallest first.
    pub unlocks: Vec<UnlockEntry>,
    /// By what those are ranked; null when there are none.
    pub ranked_by: Option<String>,
}

/// A recipe with what it comes to.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ChoiceEntry {
    /// Id of the resist.
    pub resist: String,
    /// Id of the abrasive.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Another abrasive for the last stages.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<FinishEntry>,
    /// Name of the nozzle.
    pub nozzle: String,
    /// Its bore.
    pub nozzle_bore_mm: f64,
    /// What the regulator is set to, gauge.
    pub pressure_kpa: f64,
    /// Nozzle to work.
    pub standoff_mm: f64,
    /// Of one piece, at the middle of the model.
    pub time_s: f64,
    /// Of one piece, before margin.
    pub cost: String,
    /// Time as a plan of it has it, laid on the time axis; null but for the few, what the plan uses, and unlocks.
    pub planned_time_s: Option<f64>,
    /// Cost likewise.
    pub planned_cost: Option<String>,
    /// Share of the model's samples under which a check stops it.
    pub risk: f64,
    /// The same by check, the likeliest first.
    pub risks: Vec<RiskEntry>,
    /// Ids of checks that are to be watched.
    pub watched: Vec<&'static str>,
    /// Ids of checks that stop it; empty on a front.
    pub stops: Vec<&'static str>,
}

/// What may stop a recipe.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RiskEntry {
    /// Id of the check.
    pub id: &'static str,
    /// The layer it concerns, when it concerns one.
    pub layer: Option<String>,
    /// Share of the samples under which it stops the piece.
    pub share: f64,
}

/// One of the few.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FewEntry {
    /// What it is best at.
    #[schemars(regex(pattern = "^(quickest|cheapest|surest|balanced)$"))]
    pub role: &'static str,
    /// Its place in the front, from 0.
    pub front: usize,
    /// In words.
    pub what: String,
}

/// What stops recipes.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct StoppedEntry {
    /// Id of the check.
    pub id: &'static str,
    /// The layer it concerns, when it concerns one.
    pub layer: Option<String>,
    /// How many recipes it stops.
    pub recipes: usize,
}

/// Changes with which recipes hold.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct UnlockEntry {
    /// In words.
    pub what: String,
    /// What is changed or bought; empty when a setting between those that were tried is enough.
    pub changes: Vec<ChangeEntry>,
    /// The largest kind of outlay.
    #[schemars(regex(pattern = "^(nothing|consumable|part|machine)$"))]
    pub outlay: &'static str,
    /// What they cost; null where a price is not known.
    pub price: Option<String>,
    /// Recipes that then hold.
    pub recipes: usize,
    /// Of so many that were judged.
    pub of: usize,
    /// One of them.
    pub best: ChoiceEntry,
}

/// The schema of a search, JSON Schema draft 2020-12.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::generate::SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<SearchDocument>()
        .to_value()
}

impl SearchDocument {
    /// What was found for a piece.
    #[must_use]
    pub fn new(piece: &str, search: &Search) -> Self {
        let few = |(place, &(role, front)): (usize, &(Role, usize))| FewEntry {
            role: role_id(role),
            front,
            what: words::few(search, place),
        };
        let stopped =
            |(check, recipes): &(Check, usize)| StoppedEntry { id: check.id(), layer: layer(check), recipes: *recipes };
        Self {
            sabulo: "search 1",
            piece: piece.to_owned(),
            summary: words::summary(search),
            tried: search.tried,
            of: search.of,
            hold: search.hold,
            complete: search.complete,
            currency: search.currency.clone(),
            front: search.front.iter().map(ChoiceEntry::new).collect(),
            few: search.few.iter().enumerate().map(few).collect(),
            own: search.own.as_ref().map(ChoiceEntry::new),
            stopped_by: search.stopped_by.iter().map(stopped).collect(),
            unlocks: search.unlocks.iter().map(|one| UnlockEntry::new(one, &search.currency, search.units)).collect(),
            ranked_by: (!search.unlocks.is_empty()).then(|| words::ranked(&search.unlocks)),
        }
    }
}

impl ChoiceEntry {
    fn new(choice: &Choice) -> Self {
        let Recipe { resist, abrasive, grit, finish, nozzle, pressure, standoff, .. } = &choice.recipe;
        let risk = |(check, share): &(Check, Fraction)| RiskEntry {
            id: check.id(),
            layer: layer(check),
            share: share.to_ratio(),
        };
        Self {
            resist: resist.id.clone(),
            abrasive: abrasive.id.clone(),
            grit: grit.name.clone(),
            finish: finish.as_ref().map(FinishEntry::of),
            nozzle: nozzle.name.clone(),
            nozzle_bore_mm: nozzle.bore.to_mm(),
            pressure_kpa: pressure.to_kpa(),
            standoff_mm: standoff.to_mm(),
            time_s: choice.time.to_seconds(),
            cost: choice.cost.to_string(),
            planned_time_s: choice.planned.map(|(time, _)| time.to_seconds()),
            planned_cost: choice.planned.map(|(_, cost)| cost.to_string()),
            risk: choice.risk.to_ratio(),
            risks: choice.risks.iter().map(risk).collect(),
            watched: choice.watched.iter().map(Check::id).collect(),
            stops: choice.stops.iter().map(Check::id).collect(),
        }
    }
}

impl UnlockEntry {
    fn new(unlock: &Unlock, currency: &str, units: UnitSystem) -> Self {
        Self {
            what: words::unlock(unlock, currency, units),
            changes: unlock.changes.iter().map(|change| change_entry(change, units)).collect(),
            outlay: unlock.outlay.id(),
            price: unlock.price.map(|price| price.to_string()),
            recipes: unlock.recipes,
            of: unlock.of,
            best: ChoiceEntry::new(&unlock.best),
        }
    }
}

const fn role_id(role: Role) -> &'static str {
    match role {
        Role::Quickest => "quickest",
        Role::Cheapest => "cheapest",
        Role::Surest => "surest",
        Role::Balanced => "balanced",
    }
}

fn layer(check: &Check) -> Option<String> {
    match check {
        Check::Opening { layer } | Check::NarrowDepth { layer } => Some(layer.clone()),
        _ => None,
    }
}
