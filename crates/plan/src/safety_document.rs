//! The checks of safety as programs read them, units beside the numbers.

use crate::document::CautionEntry;
use crate::model::Plan;
use language::say;
use quantity::{Quantity as _, UnitSystem};
use safety::caution::Caution;
use safety::check::{Checked, Hazard, Standing, Value, words};
use schemars::JsonSchema;
use serde::Serialize;

/// Every check of a piece in a shop.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SafetyDocument {
    /// What this file is: "safety 1".
    pub sabulo: &'static str,
    /// The piece's name.
    pub piece: String,
    /// The shop's name.
    pub shop: String,
    /// What was said of whom, and who has the last word.
    pub note: &'static str,
    /// Everything that was checked, worst first.
    pub checks: Vec<CheckEntry>,
    /// What can hurt, in the order of the work.
    pub cautions: Vec<CautionEntry>,
}

/// One check.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CheckEntry {
    /// Its id.
    pub id: Hazard,
    /// "within", "screened", "not_told", "ask" or "stop".
    pub standing: Standing,
    /// In words.
    pub what: String,
    /// The number against its limit, and what it means.
    pub why: String,
    /// The number found; null for a yes or no, and where it is not known.
    pub value: Option<NumberEntry>,
    /// What it is held against.
    pub limit: Option<NumberEntry>,
    /// Where the limit comes from.
    pub source: String,
    /// The key of the shop or piece file that would tell what is not told.
    pub key: Option<&'static str>,
    /// Changes that better it, the nearest first.
    pub mends: Vec<MendEntry>,
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NumberEntry {
    /// Its unit: "ug_m3", "m3_min", "m_s", "1_min", "kPa", "s", "mm", "m2", "MPa", "dBA", "kg" or "1".
    pub unit: &'static str,
    /// The number.
    pub value: f64,
}

/// A change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MendEntry {
    /// In words.
    pub change: String,
    /// The key that it sets.
    pub sets: &'static str,
}

/// Who has the last word.
#[must_use]
pub fn note() -> &'static str {
    say!(
        "Compared with named limits, no more: exposure can only be measured, the strength of a carved pane only tested. \
         Local code and licensed practice have the last word."
    )
}

/// The schema of this document, JSON Schema draft 2020-12.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::generate::SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<SafetyDocument>()
        .to_value()
}

impl SafetyDocument {
    /// The checks of a plan.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        let checks = worst_first(&plan.safety);
        Self {
            sabulo: "safety 1",
            piece: plan.piece.name.clone(),
            shop: plan.shop.clone(),
            note: note(),
            checks: checks.into_iter().map(|checked| entry(checked, plan.units)).collect(),
            cautions: cautions(&plan.cautions),
        }
    }
}

/// The checks, worst first; among equals in the order of the hazards.
#[must_use]
pub fn worst_first(checks: &[Checked]) -> Vec<&Checked> {
    let mut sorted: Vec<&Checked> = checks.iter().collect();
    sorted.sort_by_key(|checked| std::cmp::Reverse(checked.standing));
    sorted
}

fn cautions(cautions: &[Caution]) -> Vec<CautionEntry> {
    cautions.iter().map(crate::document::caution_entry).collect()
}

fn entry(checked: &Checked, units: UnitSystem) -> CheckEntry {
    let said = words::words(checked, units);
    let mends = checked.mends.iter().zip(said.mends);
    CheckEntry {
        id: checked.hazard,
        standing: checked.standing,
        what: said.title,
        why: said.why,
        value: checked.value.map(number),
        limit: checked.limit.map(number),
        source: said.source,
        key: words::key(checked.hazard).filter(|_| checked.standing == Standing::NotTold),
        mends: mends.map(|(mend, change)| MendEntry { change, sets: mend.key() }).collect(),
    }
}

/// A number as programs read it.
#[must_use]
pub fn number(value: Value) -> NumberEntry {
    let (unit, value) = match value {
        Value::Concentration(dust) => ("ug_m3", dust.to_ug_per_m3()),
        Value::Flow(flow) => ("m3_min", flow.to_cubic_metres_per_minute()),
        Value::Speed(speed) => ("m_s", speed.to_metres_per_second()),
        Value::Changes(changes) => ("1_min", changes.to_per_minute()),
        Value::Pressure(pressure) => ("kPa", pressure.to_kpa()),
        Value::Time(time) => ("s", time.to_seconds()),
        Value::Length(length) => ("mm", length.to_mm()),
        Value::Bore(bore) => ("mm", bore.to_mm()),
        Value::Area(area) => ("m2", area.to_square_metres()),
        Value::Stress(stress) => ("MPa", stress.to_mpa()),
        Value::Level(level) => ("dBA", level.to_dba()),
        Value::Mass(mass) => ("kg", mass.to_kilograms()),
        Value::Share(share) => ("1", share.to_base()),
        Value::Ratio(number) | Value::Number(number) => ("1", number),
        // A kind that is added without a unit here fails the document's test.
        _ => ("", f64::NAN),
    };
    NumberEntry { unit, value }
}
