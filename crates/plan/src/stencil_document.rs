//! The resists and the cover of a plan as programs read them.

use crate::document::{FindingEntry, finding_entry};
use crate::model::{Plan, ResistOption};
use crate::words;
use artwork::bounds::Bounds;
use schemars::JsonSchema;
use serde::Serialize;
use stencil::masking::Cover;

/// A resist of the shop under the plan's blast.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ResistOptionEntry {
    /// Its id.
    pub id: String,
    /// Whether the plan uses it.
    pub chosen: bool,
    /// "holds", "watch" or "stop"; what stops rules it out.
    #[schemars(regex(pattern = "^(holds|watch|stop)$"))]
    pub level: &'static str,
    /// Why it is used, or why not.
    pub why: String,
    /// Blasting time to its permitted wear.
    pub life_s: f64,
    /// 5th percentile.
    pub life_s_low: f64,
    /// 95th percentile.
    pub life_s_high: f64,
    /// Total time with it less the plan's.
    pub time_s: f64,
    /// Numbers against limits: openings, walls, wear, width.
    pub findings: Vec<FindingEntry>,
}

/// What is covered around the stencil.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct MaskingEntry {
    /// The sheet of resist on the carved face: left, top, right, bottom.
    pub stencil_mm: [f64; 4],
    /// How far past it direct hits come.
    pub reach_mm: f64,
    /// The carved face that the stencil leaves bare.
    pub exposed_mm2: f64,
    /// Tape, laps included.
    pub tape_mm: f64,
    /// Strips that take direct hits: left, top, right, bottom.
    pub near_mm: Vec<[f64; 4]>,
    /// In the order in which it is covered.
    pub covers: Vec<CoverEntry>,
}

/// A part of the blank that wants a cover.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CoverEntry {
    /// Which.
    pub part: &'static str,
    /// How much of it.
    pub area_mm2: f64,
    /// With what, and why.
    pub with: String,
}

pub(crate) fn resists(plan: &Plan) -> Vec<ResistOptionEntry> {
    plan.resists.iter().map(|option| resist(plan, option)).collect()
}

fn resist(plan: &Plan, option: &ResistOption) -> ResistOptionEntry {
    ResistOptionEntry {
        id: option.resist.id.clone(),
        chosen: option.chosen,
        level: option.state.id(),
        why: words::resist_option(option, plan.units),
        life_s: option.life.mid().to_seconds(),
        life_s_low: option.life.low().to_seconds(),
        life_s_high: option.life.high().to_seconds(),
        time_s: option.extra_s,
        findings: option.findings.iter().map(|finding| finding_entry(finding, plan.units)).collect(),
    }
}

pub(crate) fn masking(plan: &Plan) -> MaskingEntry {
    let corners = |b: Bounds| [b.min.x, b.min.y, b.max.x, b.max.y];
    let cover = |cover: &Cover| CoverEntry {
        part: words::cover_part(cover),
        area_mm2: cover.area().to_square_mm(),
        with: words::cover_with(cover).to_owned(),
    };
    let masking = &plan.masking;
    MaskingEntry {
        stencil_mm: corners(masking.stencil),
        reach_mm: masking.reach.to_mm(),
        exposed_mm2: masking.exposed.to_square_mm(),
        tape_mm: masking.tape.to_mm(),
        near_mm: masking.near.iter().copied().map(corners).collect(),
        covers: masking.covers.iter().filter(|cover| cover.area().to_square_mm() > 0.0).map(cover).collect(),
    }
}
