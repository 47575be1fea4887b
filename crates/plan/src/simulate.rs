//! The carved surface, and what each layer reaches in it.

use crate::judge::Judged;
use crate::model::{LayerPlan, Reach, Recipe, Relief, ShortSpot};
use crate::prepared::{Detail, Prepared};
use crate::refusal::Refusal;
use crate::sketch::SketchLayer;
use artwork::depth::DepthLayer;
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Mask};
use carve::distance_rule::DistanceRule;
use carve::height_field::{self, Opening, SolveOptions};
use carve::quick::{self, QuickStage};
use carve::staging::Stage;
use carve::{coverage, model::Model};
use piece::Piece;
use quantity::{Fraction, Length, Quantity};
use rayon::prelude::*;

/// The surface and the layers that make it.
pub(crate) struct Carved {
    pub relief: Relief,
    pub layers: Vec<LayerPlan>,
}

/// Carves the piece with its stages at the middle of the model.
///
/// # Errors
/// [`Refusal`] when the solver gives up.
pub(crate) fn carve(
    prepared: &Prepared,
    judged: &Judged,
    piece: &Piece,
    recipe: &Recipe,
    detail: Detail,
) -> Result<Carved, Refusal> {
    let exponent = judged.at_work.blasting.model.velocity_exponent;
    let rule = DistanceRule::new(exponent)?;
    let masks: Vec<Mask> = judged.stages.iter().map(|stage| prepared.opened(opened_count(stage))).collect();
    let edges: Vec<Field<f32>> = masks.iter().map(|mask| distance(mask, Side::Open, Beyond::Edge)).collect();
    let depth = match detail {
        Detail::Instant | Detail::Fine { .. } => closed_form(&edges, &judged.stages, &rule)?,
        Detail::Solved { .. } => solved(&masks, &edges, &judged.stages, exponent)?,
    };
    // All ground is blasted in the last stage, and looks like it.
    let (_, grit) = recipe.abrasive_of(judged.stages.len() - 1, judged.stages.len());
    let size = grit.d50.value.mid();
    let layers = layer_plans(prepared, judged, &depth, &rule);
    let models: Vec<Model> = judged.at_work.blasting.samples.iter().map(|(model, _)| *model).collect();
    let relief = Relief {
        depth_mm: depth,
        layer: prepared.layer.clone(),
        body: piece.blank.body,
        thickness: piece.blank.thickness,
        side: piece.blank.carve_from,
        roughness: coverage::roughness(size, &models)?.mid(),
    };
    Ok(Carved { relief, layers })
}

/// Layers are sorted deepest first, so a stage opens all up to its last.
pub(crate) fn opened_count(stage: &Stage) -> usize {
    stage.opens.iter().max().map_or(0, |last| last + 1)
}

fn closed_form(edges: &[Field<f32>], stages: &[Stage], rule: &DistanceRule) -> Result<Field<f32>, Refusal> {
    let each = edges.iter().zip(stages).map(|(distance, stage)| QuickStage { distance, dose: stage.dose });
    Ok(quick::depths(rule, &each.collect::<Vec<_>>())?)
}

/// With the distances to the edge the solver takes the closed form wherever that is exact, and marches
/// only where a later stage opens ground beside what is carved.
fn solved(masks: &[Mask], edges: &[Field<f32>], stages: &[Stage], exponent: f64) -> Result<Field<f32>, Refusal> {
    let each = masks.iter().zip(edges).zip(stages);
    let each = each.map(|((mask, edge), stage)| Opening { mask, edge: Some(edge), dose: stage.dose, flux: None });
    let options = SolveOptions::new(exponent);
    Ok(height_field::carve(&each.collect::<Vec<_>>(), &options, &height_field::carry_on)?)
}

fn layer_plans(prepared: &Prepared, judged: &Judged, depth: &Field<f32>, rule: &DistanceRule) -> Vec<LayerPlan> {
    let grounds = grounds(depth, &prepared.layer, &doses(prepared.layers.len(), &judged.stages));
    let plan = |(index, (layer, (sketch, ground))): (usize, (&DepthLayer, (&SketchLayer, &Ground)))| LayerPlan {
        name: layer.name.clone(),
        target: layer.depth,
        area: layer.region.area(),
        region: layer.region.clone(),
        reach: Reach {
            wide: judged.depth_of(index, ground.depth()),
            has_flat: ground.flat > 0,
            short: Fraction::clamped(sketch.reach(rule).short_share),
            worst: worst(rule, sketch),
        },
    };
    prepared.layers.iter().zip(prepared.sketch.layers.iter().zip(&grounds)).enumerate().map(plan).collect()
}

/// All that each layer is blasted, in millimetres: from the stage that opens it to the last.
fn doses(count: usize, stages: &[Stage]) -> Vec<f32> {
    let opens = |layer: usize| stages.iter().position(|stage| stage.opens.contains(&layer)).unwrap_or(stages.len());
    let dose = |layer: usize| stages[opens(layer)..].iter().map(|stage| stage.dose.to_mm()).sum::<f64>() as f32;
    (0..count).map(dose).collect()
}

/// One layer's cells in a carved field.
#[derive(Debug, Clone, Copy, Default)]
struct Ground {
    /// Cells out of reach of every wall.
    flat: usize,
    /// The sum of their depths, in millimetres.
    flat_mm: f64,
    /// Depth of the deepest cell, in millimetres.
    deepest_mm: f32,
}

/// Depths within this share of a layer's dose count as its flat ground: the solver's own accuracy.
const FLAT: f32 = 0.01;

impl Ground {
    fn add(&mut self, depth_mm: f32, dose_mm: f32) {
        self.deepest_mm = self.deepest_mm.max(depth_mm);
        if (depth_mm - dose_mm).abs() <= FLAT * dose_mm {
            self.flat += 1;
            self.flat_mm += f64::from(depth_mm);
        }
    }

    fn with(self, other: &Self) -> Self {
        Self {
            flat: self.flat + other.flat,
            flat_mm: self.flat_mm + other.flat_mm,
            deepest_mm: self.deepest_mm.max(other.deepest_mm),
        }
    }

    /// Mean depth of the flat ground; where a layer has none, its deepest place.
    fn depth(&self) -> Length {
        let mm = if self.flat > 0 { self.flat_mm / self.flat as f64 } else { f64::from(self.deepest_mm) };
        Length::clamped(mm * 1e-3)
    }
}

/// Every layer's ground, in one pass over the field. `doses`: of each layer, in millimetres.
fn grounds(depth: &Field<f32>, layer: &Field<u8>, doses: &[f32]) -> Vec<Ground> {
    let width = depth.grid.width.max(1);
    let none = || vec![Ground::default(); doses.len()];
    let row = |mut grounds: Vec<Ground>, (depths, layers): (&[f32], &[u8])| {
        for (&depth, &layer) in depths.iter().zip(layers) {
            if let Some(index) = usize::from(layer).checked_sub(1) {
                grounds[index].add(depth, doses[index]);
            }
        }
        grounds
    };
    let both =
        |one: Vec<Ground>, other: Vec<Ground>| one.iter().zip(&other).map(|(one, other)| one.with(other)).collect();
    depth.values.par_chunks(width).zip(layer.values.par_chunks(width)).fold(none, row).reduce(none, both)
}

/// The narrowest line that stays short, with the depth of its middle by the closed form: on a line of
/// few cells that is nearer to the truth than the grid.
fn worst(rule: &DistanceRule, sketch: &SketchLayer) -> Option<ShortSpot> {
    let at = *sketch.short_places(rule).first()?;
    let width_mm = sketch.narrow.iter().find(|line| line.at == at)?.width_mm;
    let opening = Length::clamped(width_mm * 1e-3);
    let half = Length::clamped(0.5e-3 * width_mm);
    Some(ShortSpot { at, opening, depth: rule.depth(half, sketch.target) })
}
