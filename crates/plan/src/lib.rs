//! One function from a piece, its drawing and a shop to a plan that holds, or says where it does not.
//!
//! In the order of the work:
//! * `prepared`: the drawing on the blank as layers and cells; `sketch`: the few numbers of it that
//!   judging needs.
//! * `recipe`: what the piece leaves open is chosen from the shop, `usual` settings where none is given; `blast`: that recipe at work, over
//!   the model's spread; `line`: the shop's air line.
//! * `judge`: stages, times and every check; `at_work`, `spent`: the nozzle and the time behind them; `remedy`: changes
//!   that turn a check, each tried; `levers`: which bear on what; `change`: how each is made.
//! * [`search`]: every recipe of the shop by time, cost and risk; `risk`, `tally`: the chance of a stop, the cost;
//!   [`search_document`], [`search_words`]: that as JSON and in words. `narrowing`: what would narrow each number.
//! * [`network`]: the same line with all its parts and stations, for the air's own questions;
//!   [`line_answer`]: all of them at once; [`air_document`]: their answers as JSON and CSV, [`air_words`]: in words; [`sizing`]: from work wanted to a line; [`size_document`]: that as JSON and words.
//! * `safety_checks`: what the crate `safety` says of the case; [`safety_document`]: that as JSON.
//! * `resists`: every resist of the shop under that blast, and why each is used or not; `masking`: what is covered
//!   around the stencil; `gores`: a bowl's film.
//! * `simulate`: the carved surface and what each layer reaches; `timeline`: all on one time axis;
//!   `costing`: what the crate `cost` is told of it.
//! * [`calibration`]: what coupons say of the model, [`calibration_words`]: in words; [`coupon_table`]: coupons as comma-separated values;
//!   [`rate`]: a recipe without a shop; [`logged`]: a depth gauged on a finished piece, as a coupon.
//! * [`carving`]: depths at points and along a section; [`carving_document`]: those as JSON and CSV.
//! * [`model`], [`finding`]: what comes out, as values. [`words`]: as English. [`document`]: as JSON.
//!   [`edit`]: a remedy's change made in a piece file; [`stencils`]: what each stage weeds.
//! * [`drawn`]: what a piece draws from the shop's stock; [`told`]: what a plan said of a run, beside what was logged.
//!   [`worn`]: a nozzle as it may be worn, and its air.
//! * `class_air`: the line behind a class's cabinets; `class_run`: a class with all that is found of it.
//!
//! Comes in resolved: no file, no clock, no random source. Not handled: several nozzles or settings in one piece,
//! shading of a single stage, oblique jets.

pub mod air_document;
pub mod air_words;
mod at_work;
mod blast;
pub mod calibration;
pub mod calibration_document;
pub mod calibration_words;
pub mod carving;
pub mod carving_document;
mod change;
mod class_air;
mod class_run;
mod costing;
mod counted_words;
pub mod coupon_table;
pub mod document;
pub mod drawn;
pub mod edit;
pub mod finding;
mod gores;
mod judge;
mod levers;
mod line;
pub mod line_answer;
pub mod logged;
mod making;
mod masking;
pub mod model;
mod narrowing;
mod narrowing_words;
pub mod network;
mod prepared;
pub mod rate;
mod recipe;
mod refusal;
mod remedy;
mod remedy_document;
mod remedy_words;
mod resists;
mod risk;
mod safety_checks;
pub mod safety_document;
#[cfg(test)]
mod scenes;
pub mod search;
pub mod search_document;
pub mod search_words;
mod simulate;
pub mod size_document;
pub mod sizing;
mod sketch;
mod spent;
mod stencil_document;
mod stencil_words;
mod stencils;
mod tally;
mod timeline;
pub mod told;
mod usual;
pub mod words;
pub mod worn;

pub use class_air::{ClassAirError, class_cautions, class_supply};
pub use class_run::{ClassRun, ClassRunError, class_run};
pub use finding::{Amount, Change, Check, Finding, Mark, NoRemedy, Outlay, Remedy, State, Turned};
pub use making::Making;
pub use model::{
    Act, AirLane, AirPlan, Consumable, ConsumableAmount, ConsumableKind, Cost, CostKind, CostLine, DepthLine,
    HandBlock, LayerPlan, Notes, Plan, Reach, Recipe, Relief, ResistOption, ResistPlan, RunStrip, ShortSpot, Stage,
    Times,
};
pub use narrowing::{Measurement, Narrowing, Number, Worth, coupons_worth_blasting, worth_making};
pub use narrowing_words::NarrowingEntry;
pub use prepared::{Detail, placed};
pub use refusal::Refusal;
pub use remedy_document::{ChangeEntry, NoRemedyEntry, RemedyEntry, TurnedEntry};
pub use stencils::{StencilFault, stencils};

use artwork::svg::Drawing;
use blast::Spreading;
use calibration::Belief;
use costing::Usage;
use judge::{Case, Judged, judge, located};
use piece::{Piece, Shop};
use prepared::Prepared;
use quantity::{Estimate, Fraction, Length, Quantity, Time};
use spent::Work;
use std::borrow::Cow;
use std::sync::Arc;
use timeline::{Pace, StageWork, Timeline, lay};

/// Plans a piece in a shop.
///
/// # Errors
/// [`Refusal`] when it cannot be planned at all: a blank that must not be carved, artwork that does not
/// fit, depths that match nothing. What can be planned but should not be done is a [`Finding`].
pub fn plan(piece: &Piece, drawing: &Drawing, shop: &Shop, detail: Detail) -> Result<Plan, Refusal> {
    let prepared = Prepared::new(piece, drawing, detail)?;
    let belief = Arc::new(Belief::of(shop, piece.blank.material)?);
    let recipe = recipe::choose(piece, shop, &prepared.sketch, &belief)?;
    let case = Case {
        piece: Cow::Borrowed(piece),
        shop: Cow::Borrowed(shop),
        sketch: Cow::Borrowed(&prepared.sketch),
        recipe,
        belief,
        supplies: Arc::default(),
    };
    let mut judged = judge(&case, Spreading::Whole)?;
    let first = judged.clone();
    let (carved, ()) = rayon::join(
        || simulate::carve(&prepared, &first, piece, &case.recipe, detail),
        || remedy::fill(&case, &mut judged, Spreading::Whole),
    );
    let carved = carved?;
    let Laid { timeline, pace, times, usage } = laid(&case, &judged)?;
    let consumables = costing::consumables(&usage, &case.recipe, shop);
    let depths: Vec<Estimate<Length>> = carved.layers.iter().map(|layer| layer.reach.wide).collect();
    let work = costing::work(&usage, &consumables, &depths, piece, shop);
    let resists = resists::options(&case, &judged)?;
    let cost = costing::costs(&work, piece, shop);
    let narrowing = narrowing::narrowings(&case, &judged, cost.each);
    let masking = masking::plan(piece, &prepared, judged.at_work.blasting.removal.footprint_radius);
    let findings = located(&case, &judged.at_work.blasting.rule, std::mem::take(&mut judged.findings));
    let strip =
        timeline.strip(&judged.at_work.blasting.line, &judged.stages, &carved.layers, judged.wear.used.mid(), pace);
    Ok(Plan {
        piece: piece.clone(),
        shop: shop.name.clone(),
        units: shop.units,
        recipe: Recipe { grain_speed: judged.at_work.blasting.grain_speed()?, ..case.recipe.clone() },
        stages: stages(&case.recipe, &judged, &timeline),
        air: air_plan(&judged, &timeline, shop),
        resist: ResistPlan { life: resists::life(&judged), used: judged.wear.used },
        resists,
        masking,
        strip,
        consumables,
        time: times,
        cost,
        narrowing,
        work,
        cautions: safety_checks::cautions_of(&case.recipe, piece, shop, &judged),
        safety: safety_checks::checks(&case, &judged),
        relief: carved.relief,
        layers: carved.layers,
        findings: findings.into_iter().filter(safety_checks::is_worth_a_finding).collect(),
        notes: prepared.notes,
    })
}

/// A judged case on the time axis, and what is then counted.
pub(crate) struct Laid {
    timeline: Timeline,
    pace: Pace,
    pub times: Times,
    pub usage: Usage,
}

/// Lays a judged case on the time axis.
///
/// # Errors
/// [`Refusal`] when the line cannot be run at all.
pub(crate) fn laid(case: &Case<'_>, judged: &Judged) -> Result<Laid, Refusal> {
    let works: Vec<StageWork> =
        judged.works.iter().map(|&Work { refill, weed, blast }| StageWork { refill, weed, blast }).collect();
    let pace = Pace {
        setup: case.shop.hands.setup,
        clear: judged.clear,
        dust: judged.clearing.map(|_| dust_constant(&case.shop)),
    };
    let timeline = lay(&works, pace, &judged.at_work.blasting.line)?;
    let times = times(judged, &timeline);
    let usage = usage(case, judged, &timeline, times)?;
    Ok(Laid { timeline, pace, times, usage })
}

/// `K V / Q` of the cabinet, the time in which dust falls to 37 %.
fn dust_constant(shop: &Shop) -> Time {
    let mixing = reference::tables().limits.clearing_mixing.value;
    let flow = shop.cabinet.collector.map_or(f64::INFINITY, |flow| flow.to_cubic_metres_per_second());
    Time::clamped(mixing * shop.cabinet.volume.to_cubic_metres() / flow)
}

fn times(judged: &Judged, timeline: &Timeline) -> Times {
    Times {
        hands: timeline.spent(&[Act::Prepare, Act::Refill, Act::Weed, Act::Finish], None),
        blast: judged.blast_time(),
        blast_with: judged.blast_times(),
        wait: timeline.spent(&[Act::Rest, Act::Clear], None),
        total: timeline.length(),
    }
}

fn stages(recipe: &Recipe, judged: &Judged, timeline: &Timeline) -> Vec<Stage> {
    let stage = |(index, stage): (usize, &carve::staging::Stage)| {
        let order = index + 1;
        let done = &judged.stages[..order];
        let open = done.iter().enumerate().flat_map(|(at, opened)| opened.opens.iter().map(move |&layer| (at, layer)));
        let (abrasive, grit) = recipe.abrasive_of(index, judged.stages.len());
        Stage {
            order,
            abrasive,
            grit,
            opens: stage.opens.clone(),
            dose: stage.dose,
            weed: timeline.spent(&[Act::Weed], Some(order)),
            blast: timeline.spent(&[Act::Blast], Some(order)),
            wait: timeline.spent(&[Act::Rest], Some(order)),
            depth: open.map(|(opened, layer)| (layer, judged.gained(opened..order))).collect(),
        }
    };
    judged.stages.iter().enumerate().map(stage).collect()
}

fn air_plan(judged: &Judged, timeline: &Timeline, shop: &Shop) -> AirPlan {
    let steady = &judged.at_work.blasting.steady;
    let hold = judged.at_work.hold.as_ref().ok();
    let supply =
        air::compressor::all_running(&judged.at_work.blasting.line.compressors, &judged.at_work.blasting.line.site);
    AirPlan {
        demand: hold.map_or(steady.flow, |hold| hold.demand),
        available: hold.map_or(supply, |hold| hold.available),
        nozzle_pressure: hold.map_or(steady.nozzle_gauge, |hold| hold.nozzle),
        longest_blast: match hold {
            Some(hold) => hold.longest_blast,
            None => Some(Time::clamped(0.0)),
        },
        recovery: hold.map_or(Time::clamped(0.0), |hold| hold.recovery),
        duty: timeline.duty(),
        duty_limit: Fraction::clamped(shop.compressors.iter().map(|c| c.duty.to_ratio()).fold(1.0, f64::min)),
    }
}

fn usage(case: &Case<'_>, judged: &Judged, timeline: &Timeline, times: Times) -> Result<Usage, Refusal> {
    Ok(Usage {
        resist: tally::resist_area(&case.sketch)?,
        grit_rate: judged.at_work.blasting.grit_rate,
        blast: times.blast,
        finishing: judged.finishing_share(),
        hands: timeline.blocks.clone(),
        ran: timeline.trace.ran.clone(),
        resist_used: judged.wear.used,
        collector: timeline.spent(&[Act::Blast, Act::Rest, Act::Clear], None),
    })
}
