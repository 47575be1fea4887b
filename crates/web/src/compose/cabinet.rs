//! The plan as a helper at the cabinet needs it: one stage at a time, and what the timer counts.

use crate::planner::Question;
use crate::view::{CabinetLayer, CabinetPage, CabinetStage, Setting};
use language::say;
use plan::{Act, Plan, Stage, State, words};
use quantity::show::{Show, bore, clock};
use serde::Serialize;

/// What the timer follows, as its script reads it.
#[derive(Debug, Serialize)]
struct Run {
    piece: i64,
    revision: u32,
    log: String,
    stages: Vec<RunStage>,
}

#[derive(Debug, Serialize)]
struct RunStage {
    stage: usize,
    parts: Vec<Part>,
}

/// A stretch in which one thing is done.
#[derive(Debug, Serialize)]
struct Part {
    act: &'static str,
    seconds: f64,
}

/// The page of a plan; `back` says whether its reader may go to the plan.
pub(crate) fn cabinet(question: &Question, plan: &Plan, back: bool) -> CabinetPage {
    let id = question.stored.id;
    let run = Run {
        piece: id.0,
        revision: question.stored.revision,
        log: format!("/api/pieces/{id}/logs"),
        stages: plan.stages.iter().map(|stage| RunStage { stage: stage.order, parts: parts(plan, stage) }).collect(),
    };
    CabinetPage {
        name: plan.piece.name.clone(),
        back: back.then(|| format!("/piece/{id}")),
        stops: stops(plan),
        cautions: super::findings::before_start(plan),
        stages: plan.stages.iter().map(|stage| shown(question, plan, stage)).collect(),
        layers: plan.layers.iter().map(|layer| layer_of(plan, layer)).collect(),
        unit: super::seen::length_unit(plan.units),
        run: serde_json::to_string(&run).unwrap_or_default(),
    }
}

fn stops(plan: &Plan) -> Vec<String> {
    let stopping = plan.findings.iter().filter(|finding| finding.state == State::Stop);
    stopping.map(|finding| words::finding(finding, plan.units).title).collect()
}

/// What the nozzle and the door do in a stage, in order.
fn parts(plan: &Plan, stage: &Stage) -> Vec<Part> {
    let part = |block: &plan::HandBlock| {
        let act = match block.act {
            Act::Blast => "blast",
            Act::Rest => "rest",
            Act::Clear => "clear",
            Act::Prepare | Act::Refill | Act::Weed | Act::Finish => return None,
        };
        Some(Part { act, seconds: (block.to.to_seconds() - block.from.to_seconds()).round() })
    };
    plan.strip.hands.iter().filter(|block| block.stage == stage.order).filter_map(part).collect()
}

/// What is set, with the abrasive that is in the pot.
fn settings(plan: &Plan, abrasive: String) -> Vec<Setting> {
    let recipe = &plan.recipe;
    let setting = |name: &'static str, value: String| Setting { name, value };
    vec![
        setting(say!("regulator"), recipe.pressure.show(plan.units).to_string()),
        setting(say!("nozzle"), format!("{}, {}", recipe.nozzle.name, bore(recipe.nozzle.bore, plan.units))),
        setting(say!("standoff"), recipe.standoff.show(plan.units).to_string()),
        setting(say!("abrasive"), abrasive),
    ]
}

fn shown(question: &Question, plan: &Plan, stage: &Stage) -> CabinetStage {
    let gauge = |(layer, depth): &(usize, quantity::Estimate<quantity::Length>)| {
        plan.layers.get(*layer).map(|layer| (layer.name.clone(), depth.show(plan.units)))
    };
    CabinetStage {
        order: stage.order,
        opens: words::stage_opens(plan, stage),
        refill: words::stage_refill(plan, stage),
        settings: settings(plan, format!("{} {}", stage.abrasive.name, stage.grit.name)),
        picture: question.full_address(&format!("/stages/{}", stage.order)),
        blast: clock(stage.blast),
        gauge: stage.depth.iter().filter_map(gauge).collect(),
    }
}

fn layer_of(plan: &Plan, layer: &plan::LayerPlan) -> CabinetLayer {
    CabinetLayer { name: layer.name.clone(), target: layer.target.show_digits(plan.units, 2).to_string() }
}
