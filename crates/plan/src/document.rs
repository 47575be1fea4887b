//! `plan.json`: a plan as programs read it, with its JSON Schema.
//!
//! Units stand in the key names, qualifier last (`blast_s_low`). Every number that rests on the
//! uncertain model has its 90 % range beside it.

use crate::finding::{Amount, Check, Finding};
use crate::model::{CostLine, Plan, Stage};
use crate::narrowing_words::NarrowingEntry;
use crate::remedy_document::{NoRemedyEntry, RemedyEntry, remedy_entry};
use crate::stencil_document::{self, MaskingEntry, ResistOptionEntry};
use crate::words;
use piece::{Body, Finish, Side};
use quantity::{Estimate, Quantity, UnitSystem};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// A file of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FileEntry {
    /// Path from the plan's folder.
    pub path: String,
    /// "stencil", "preview", "run_strip" or "job_sheet".
    pub kind: String,
    /// SHA-256 of its bytes, in hexadecimal.
    #[schemars(regex(pattern = "^[0-9a-f]{64}$"))]
    pub sha256: String,
}

/// A plan as programs read it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlanDocument {
    /// What this file is: "plan 1".
    pub sabulo: &'static str,
    /// What is made.
    pub piece: PieceEntry,
    /// In one sentence.
    pub summary: String,
    /// What is used.
    pub recipe: RecipeEntry,
    /// The artwork's depth layers, deepest first.
    pub layers: Vec<LayerEntry>,
    /// In the order in which they are done.
    pub stages: Vec<StageEntry>,
    /// What the air line does.
    pub air: AirEntry,
    /// What the resist takes.
    pub resist: ResistEntry,
    /// Every resist of the shop under this blast: the one used first, then why each other one is not.
    pub resists: Vec<ResistOptionEntry>,
    /// What is covered around the stencil.
    pub masking: MaskingEntry,
    /// Worst first.
    pub findings: Vec<FindingEntry>,
    /// What was done to the artwork while it was read, and what its depths leave covered; doubts first.
    pub notes: Vec<NoteEntry>,
    /// The files written with this plan.
    pub files: Vec<FileEntry>,
    /// Of one piece.
    pub time_s: TimeEntry,
    /// What it costs.
    pub cost: CostEntry,
    /// For each uncertain number the measurement that would narrow it most.
    pub narrowing: Vec<NarrowingEntry>,
    /// What can hurt.
    pub cautions: Vec<CautionEntry>,
}

/// What is made.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PieceEntry {
    /// Its name.
    pub name: String,
    /// For whom.
    pub customer: Option<String>,
    /// How many.
    pub quantity: u32,
    /// Id of the material.
    pub material: String,
    /// "panel" or "tumbler".
    pub shape: &'static str,
    /// Width of the flat sheet that the stencil covers.
    pub width_mm: f64,
    /// Its height.
    pub height_mm: f64,
    /// Of the blank, the wall or the carved ply.
    pub thickness_mm: f64,
    /// "front" or "back".
    pub carve_from: &'static str,
    /// The shop that makes it.
    pub shop: String,
}

/// What is used.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RecipeEntry {
    /// Id of the resist.
    pub resist: String,
    /// Its thickness.
    pub resist_thickness_um: f64,
    /// Id of the abrasive.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Median size of its grains.
    pub grit_um: f64,
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
    /// Of the median grain at the work.
    pub grain_speed_m_s: RangeEntry,
}

/// The abrasive of the last stages.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FinishEntry {
    /// Id.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Median size of its grains.
    pub grit_um: f64,
    /// How many stages, counted from the last.
    pub stages: usize,
}

/// A number with its 90 % range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct RangeEntry {
    /// Middle.
    pub value: f64,
    /// 5th percentile.
    pub low: f64,
    /// 95th percentile.
    pub high: f64,
}

/// A depth layer.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LayerEntry {
    /// Its name.
    pub name: String,
    /// Depth wanted.
    pub target_um: f64,
    /// Open area.
    pub area_mm2: f64,
    /// Depth that its wide parts reach in the forward simulation.
    pub wide_depth_um: RangeEntry,
    /// Share of its area in lines too narrow to come within a tenth of the target.
    pub short_fraction: f64,
    /// The narrowest such place.
    pub shortest: Option<ShortEntry>,
}

/// A place too narrow to reach its depth.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ShortEntry {
    /// From the blank's left edge.
    pub x_mm: f64,
    /// From the blank's top edge.
    pub y_mm: f64,
    /// Width of the opening.
    pub opening_um: f64,
    /// Depth in its middle.
    pub depth_um: f64,
}

/// One stage.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct StageEntry {
    /// From 1.
    pub order: usize,
    /// Names of the layers weeded before it.
    pub opens: Vec<String>,
    /// Depth that a wide opening gains in it.
    pub dose_um: f64,
    /// Weeding.
    pub weed_s: f64,
    /// Nozzle open.
    pub blast_s: f64,
    /// Resting for the air.
    pub wait_s: f64,
    /// Depth of each open layer's wide parts when it ends.
    pub depth_um: BTreeMap<String, RangeEntry>,
}

/// What the air line does.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AirEntry {
    /// What the nozzle takes, at 70 °F and 14.7 psia.
    pub demand_scfm: f64,
    /// What the compressors deliver, likewise.
    pub available_scfm: f64,
    /// What the nozzle sees, gauge.
    pub nozzle_pressure_kpa: f64,
    /// From a full receiver until the pressure falls; null without end.
    pub longest_blast_s: Option<f64>,
    /// From there to a full receiver.
    pub recovery_s: f64,
    /// Share of the work's time that the compressor runs.
    pub duty: f64,
    /// Largest share that it may.
    pub duty_max: f64,
}

/// What the resist takes.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ResistEntry {
    /// Blasting time to its permitted wear.
    pub life_s: f64,
    /// 5th percentile.
    pub life_s_low: f64,
    /// 95th percentile.
    pub life_s_high: f64,
    /// Share of the permitted wear that the plan uses.
    pub used_fraction: f64,
    /// 5th percentile.
    pub used_fraction_low: f64,
    /// 95th percentile.
    pub used_fraction_high: f64,
}

/// One thing that was checked.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FindingEntry {
    /// Id of the check.
    pub id: &'static str,
    /// The layer it concerns, when it concerns one.
    pub layer: Option<String>,
    /// "holds", "watch" or "stop".
    #[schemars(regex(pattern = "^(holds|watch|stop)$"))]
    pub level: &'static str,
    /// In words.
    pub what: String,
    /// The number found; null for a yes or no, and where it is not known.
    pub value: Option<AmountEntry>,
    /// What it is held against; null likewise.
    pub limit: Option<AmountEntry>,
    /// Where the limit comes from.
    pub source: String,
    /// Where on the blank, worst first, as [x, y] in millimetres.
    pub places_mm: Vec<[f64; 2]>,
    /// The nearest change that turns it; null when it holds or none was found.
    pub remedy: Option<RemedyEntry>,
    /// Further changes.
    pub other_remedies: Vec<RemedyEntry>,
    /// Why there is none, when it does not hold and has none; else null.
    pub no_remedy: Option<NoRemedyEntry>,
}

/// A number of any kind.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AmountEntry {
    /// Its unit: "um", "s", "kPa", "scfm", "m3_min" or "1"; of a check of safety also "ug_m3", "m_s", "1_min", "mm",
    /// "m2", "MPa", "dBA" or "kg".
    pub unit: &'static str,
    /// Middle.
    pub value: f64,
    /// 5th percentile.
    pub low: f64,
    /// 95th percentile.
    pub high: f64,
}

/// Time for one piece.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TimeEntry {
    /// Preparing, weeding, finishing.
    pub hands: f64,
    /// Nozzle open.
    pub blast: f64,
    /// 5th percentile.
    pub blast_low: f64,
    /// 95th percentile.
    pub blast_high: f64,
    /// Resting and clearing.
    pub wait: f64,
    /// All of it.
    pub total: f64,
}

/// What it costs. Amounts are exact decimals in quotes.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CostEntry {
    /// ISO 4217 code.
    pub currency: String,
    /// Line by line, for one piece.
    pub lines: BTreeMap<&'static str, String>,
    /// One piece, before margin.
    pub each: String,
    /// 5th percentile, by the blasting time.
    pub each_low: String,
    /// 95th percentile.
    pub each_high: String,
    /// The order, with margin.
    pub price: String,
}

/// Something about the artwork.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NoteEntry {
    /// "watch" when what is carved may not be what was meant, else "holds".
    #[schemars(regex(pattern = "^(holds|watch)$"))]
    pub level: &'static str,
    /// In words.
    pub what: String,
}

/// What can hurt.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CautionEntry {
    /// The step of the work that it belongs to.
    pub step: safety::caution::Step,
    /// Whether it is acknowledged before the nozzle opens for the first time.
    pub before_start: bool,
    /// The hazard.
    pub hazard: String,
    /// The harm.
    pub harm: String,
    /// What to do.
    pub act: String,
    /// Where that comes from.
    pub source: String,
}

/// The schema of `plan.json`, JSON Schema draft 2020-12.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::generate::SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<PlanDocument>()
        .to_value()
}

impl PlanDocument {
    /// A plan and the files written with it.
    #[must_use]
    pub fn new(plan: &Plan, files: Vec<FileEntry>) -> Self {
        Self {
            sabulo: "plan 1",
            piece: piece_entry(plan),
            summary: words::sentence(plan),
            recipe: recipe_entry(plan),
            layers: layer_entries(plan),
            stages: plan.stages.iter().map(|stage| stage_entry(plan, stage)).collect(),
            air: air_entry(plan),
            resist: resist_entry(plan),
            notes: note_entries(plan),
            resists: stencil_document::resists(plan),
            masking: stencil_document::masking(plan),
            findings: plan.findings.iter().map(|finding| finding_entry(finding, plan.units)).collect(),
            files,
            time_s: TimeEntry {
                hands: plan.time.hands.to_seconds(),
                blast: plan.time.blast.mid().to_seconds(),
                blast_low: plan.time.blast.low().to_seconds(),
                blast_high: plan.time.blast.high().to_seconds(),
                wait: plan.time.wait.to_seconds(),
                total: plan.time.total.to_seconds(),
            },
            cost: cost_entry(plan),
            narrowing: plan.narrowing.iter().map(|one| NarrowingEntry::new(one, plan.units)).collect(),
            cautions: plan.cautions.iter().map(caution_entry).collect(),
        }
    }
}

fn piece_entry(plan: &Plan) -> PieceEntry {
    let blank = &plan.piece.blank;
    PieceEntry {
        name: plan.piece.name.clone(),
        customer: plan.piece.customer.clone(),
        quantity: plan.piece.quantity,
        material: blank.material.id.clone(),
        shape: match blank.body {
            Body::Panel { .. } => "panel",
            Body::Tumbler { .. } => "tumbler",
            Body::Bowl { .. } => "bowl",
        },
        width_mm: blank.body.sheet_width_mm(),
        height_mm: blank.body.sheet_height_mm(),
        thickness_mm: blank.thickness.to_mm(),
        carve_from: match blank.carve_from {
            Side::Front => "front",
            Side::Back => "back",
        },
        shop: plan.shop.clone(),
    }
}

impl FinishEntry {
    /// The abrasive of the last stages.
    #[must_use]
    pub fn of(finish: &Finish) -> Self {
        Self {
            abrasive: finish.abrasive.id.clone(),
            grit: finish.grit.name.clone(),
            grit_um: finish.grit.d50.value.mid().to_um(),
            stages: finish.stages,
        }
    }
}

fn recipe_entry(plan: &Plan) -> RecipeEntry {
    let recipe = &plan.recipe;
    RecipeEntry {
        resist: recipe.resist.id.clone(),
        resist_thickness_um: recipe.resist.thickness.value.to_um(),
        abrasive: recipe.abrasive.id.clone(),
        grit: recipe.grit.name.clone(),
        grit_um: recipe.grit.d50.value.mid().to_um(),
        finish: recipe.finish.as_ref().map(FinishEntry::of),
        nozzle: recipe.nozzle.name.clone(),
        nozzle_bore_mm: recipe.nozzle.bore.to_mm(),
        pressure_kpa: recipe.pressure.to_kpa(),
        standoff_mm: recipe.standoff.to_mm(),
        grain_speed_m_s: range(recipe.grain_speed, 1.0),
    }
}

fn layer_entries(plan: &Plan) -> Vec<LayerEntry> {
    let entries = plan.layers.iter().map(|layer| LayerEntry {
        name: layer.name.clone(),
        target_um: layer.target.to_um(),
        area_mm2: layer.area.to_square_mm(),
        wide_depth_um: range(layer.reach.wide, 1e6),
        short_fraction: layer.reach.short.to_ratio(),
        shortest: layer.reach.worst.map(|spot| ShortEntry {
            x_mm: spot.at.x,
            y_mm: spot.at.y,
            opening_um: spot.opening.to_um(),
            depth_um: spot.depth.to_um(),
        }),
    });
    entries.collect()
}

fn stage_entry(plan: &Plan, stage: &Stage) -> StageEntry {
    let name = |index: usize| plan.layers.get(index).map(|layer| layer.name.clone()).unwrap_or_default();
    StageEntry {
        order: stage.order,
        opens: stage.opens.iter().map(|&index| name(index)).collect(),
        dose_um: stage.dose.to_um(),
        weed_s: stage.weed.to_seconds(),
        blast_s: stage.blast.to_seconds(),
        wait_s: stage.wait.to_seconds(),
        depth_um: stage.depth.iter().map(|&(index, depth)| (name(index), range(depth, 1e6))).collect(),
    }
}

fn air_entry(plan: &Plan) -> AirEntry {
    let air = &plan.air;
    AirEntry {
        demand_scfm: air.demand.to_scfm(),
        available_scfm: air.available.to_scfm(),
        nozzle_pressure_kpa: air.nozzle_pressure.to_kpa(),
        longest_blast_s: air.longest_blast.map(quantity::Time::to_seconds),
        recovery_s: air.recovery.to_seconds(),
        duty: air.duty.to_ratio(),
        duty_max: air.duty_limit.to_ratio(),
    }
}

fn resist_entry(plan: &Plan) -> ResistEntry {
    let (life, used) = (plan.resist.life, plan.resist.used);
    ResistEntry {
        life_s: life.mid().to_seconds(),
        life_s_low: life.low().to_seconds(),
        life_s_high: life.high().to_seconds(),
        used_fraction: used.mid(),
        used_fraction_low: used.low(),
        used_fraction_high: used.high(),
    }
}

pub(crate) fn finding_entry(finding: &Finding, units: UnitSystem) -> FindingEntry {
    let mut remedies = finding.remedies.iter().map(|remedy| remedy_entry(remedy, units));
    FindingEntry {
        id: finding.check.id(),
        layer: match &finding.check {
            Check::Opening { layer } | Check::NarrowDepth { layer } => Some(layer.clone()),
            _ => None,
        },
        level: finding.state.id(),
        what: words::finding(finding, units).title,
        value: amount_entry(&finding.value),
        limit: amount_entry(&finding.limit),
        source: finding.source.to_string(),
        places_mm: finding.places.iter().map(|place| [place.x, place.y]).collect(),
        remedy: remedies.next(),
        other_remedies: remedies.collect(),
        no_remedy: finding.no_remedy.map(NoRemedyEntry::new),
    }
}

pub(crate) fn amount_entry(amount: &Amount) -> Option<AmountEntry> {
    if let Amount::Safety(value) = amount {
        let number = value.map(crate::safety_document::number)?;
        return Some(AmountEntry { unit: number.unit, value: number.value, low: number.value, high: number.value });
    }
    let entry = |unit, values: [f64; 3]| AmountEntry { unit, low: values[0], value: values[1], high: values[2] };
    Some(match amount {
        Amount::Length(range) => entry("um", numbers(*range, |length| length.to_um())),
        Amount::Time(range) => entry("s", numbers(*range, |time| time.to_seconds())),
        Amount::Pressure(range) => entry("kPa", numbers(*range, |pressure| pressure.to_kpa())),
        Amount::Air(range) => entry("scfm", numbers(*range, |flow| flow.to_scfm())),
        Amount::FreeAir(range) => entry("m3_min", numbers(*range, |flow| flow.to_cubic_metres_per_minute())),
        Amount::Share(range) => entry("1", numbers(*range, |share| share.to_ratio())),
        Amount::Ratio(range) => entry("1", numbers(*range, |ratio| ratio)),
        Amount::Safety(_) => return None,
    })
}

fn numbers<T: Copy + PartialOrd>(range: Estimate<T>, number: impl Fn(T) -> f64) -> [f64; 3] {
    [number(range.low()), number(range.mid()), number(range.high())]
}

fn range<Q: Quantity>(range: Estimate<Q>, per_base: f64) -> RangeEntry {
    let [low, value, high] = numbers(range, |quantity| quantity.to_base() * per_base);
    RangeEntry { value, low, high }
}

fn cost_entry(plan: &Plan) -> CostEntry {
    let cost = &plan.cost;
    let line = |line: &CostLine| (words::cost_kind(line.what), line.amount.to_string());
    CostEntry {
        currency: cost.currency.clone(),
        lines: cost.lines.iter().map(line).collect(),
        each: cost.each.mid().to_string(),
        each_low: cost.each.low().to_string(),
        each_high: cost.each.high().to_string(),
        price: cost.price.to_string(),
    }
}

fn note_entries(plan: &Plan) -> Vec<NoteEntry> {
    let entry = |note: words::NoteWords| NoteEntry { level: note.state.id(), what: note.words };
    words::artwork_notes(plan).into_iter().map(entry).collect()
}

pub(crate) fn caution_entry(caution: &safety::Caution) -> CautionEntry {
    let words = words::caution(caution);
    CautionEntry {
        step: caution.step,
        before_start: caution.step.is_before_start(),
        hazard: words.hazard,
        harm: words.harm,
        act: words.act,
        source: words.source,
    }
}
