//! The carved surface, and what each layer reaches in it.

use crate::judge::Judged;
use crate::model::{LayerPlan, Reach, Relief, ShortSpot};
use crate::prepared::{Detail, Prepared};
use crate::refusal::Refusal;
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Mask, Point};
use carve::distance_rule::DistanceRule;
use carve::height_field::{self, Opening, SolveOptions};
use carve::quick::{self, QuickStage};
use carve::staging::{self, Layer, Stage};
use carve::{coverage, model::Model};
use piece::Piece;
use quantity::{Diameter, Estimate, Fraction, Length, Quantity};

/// The surface and the layers that make it.
pub(crate) struct Carved {
    pub relief: Relief,
    pub layers: Vec<LayerPlan>,
}

/// Carves the piece with its stages at the middle of the model. `size`: of the median grain.
///
/// # Errors
/// [`Refusal`] when the solver gives up.
pub(crate) fn carve(prepared: &Prepared, judged: &Judged, piece: &Piece, size: Diameter, detail: Detail) -> Result<Carved, Refusal> {
    let exponent = judged.blasting.model.velocity_exponent;
    let rule = DistanceRule::new(exponent)?;
    let masks: Vec<Mask> = judged.stages.iter().map(|stage| prepared.opened(opened_count(stage))).collect();
    let depth = match detail {
        Detail::Instant => instant(&masks, &judged.stages, &rule)?,
        Detail::Full { .. } => solved(&masks, &judged.stages, exponent)?,
    };
    let layers = layer_plans(prepared, judged, &depth, &rule)?;
    let models: Vec<Model> = judged.blasting.samples.iter().map(|(model, _)| *model).collect();
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
fn opened_count(stage: &Stage) -> usize {
    stage.opens.iter().max().map_or(0, |last| last + 1)
}

fn instant(masks: &[Mask], stages: &[Stage], rule: &DistanceRule) -> Result<Field<f32>, Refusal> {
    let distances: Vec<Field<f32>> = masks.iter().map(|mask| distance(mask, Side::Open, Beyond::Edge)).collect();
    let each = distances.iter().zip(stages).map(|(distance, stage)| QuickStage { distance, dose: stage.dose });
    Ok(quick::depths(rule, &each.collect::<Vec<_>>())?)
}

fn solved(masks: &[Mask], stages: &[Stage], exponent: f64) -> Result<Field<f32>, Refusal> {
    let each = masks.iter().zip(stages).map(|(mask, stage)| Opening { mask, edge: None, dose: stage.dose });
    let options = SolveOptions::new(exponent);
    Ok(height_field::carve(&each.collect::<Vec<_>>(), &options, &height_field::carry_on)?)
}

fn layer_plans(
    prepared: &Prepared,
    judged: &Judged,
    depth: &Field<f32>,
    rule: &DistanceRule,
) -> Result<Vec<LayerPlan>, Refusal> {
    let masks = prepared.masks.iter().zip(&prepared.layers);
    let layers: Vec<Layer<'_>> = masks.map(|(mask, layer)| Layer { mask, target: layer.depth }).collect();
    let reached = staging::reach(depth, &layers, &judged.stages, rule)?;
    let factors = judged.blasting.rate_factors();
    let plan = |(index, reached): (usize, &staging::Reach)| {
        let (layer, sketch) = (&prepared.layers[index], &prepared.sketch.layers[index]);
        let lines = sketch.reach(rule);
        let deepest = reached.flat.unwrap_or_else(|| deepest(depth, prepared, index));
        let mut wide: Vec<f64> = factors.iter().map(|factor| factor * deepest.to_metres()).collect();
        Ok(LayerPlan {
            name: layer.name.clone(),
            target: layer.depth,
            area: layer.region.area(),
            region: layer.region.clone(),
            reach: Reach {
                wide: Estimate::from_samples(&mut wide)?,
                has_flat: reached.flat.is_some(),
                short: Fraction::clamped(lines.short_share),
                worst: worst(depth, &lines.places, sketch),
            },
        })
    };
    reached.iter().enumerate().map(plan).collect()
}

/// The deepest place of a layer that has no flat ground.
fn deepest(depth: &Field<f32>, prepared: &Prepared, index: usize) -> Length {
    let cells = depth.values.iter().zip(&prepared.layer.values);
    let own = cells.filter(|&(_, &layer)| usize::from(layer) == index + 1).map(|(&depth, _)| f64::from(depth));
    Length::clamped(own.fold(0.0, f64::max) * 1e-3)
}

/// The narrowest line that stays short, with the depth of its middle in the carved field.
fn worst(depth: &Field<f32>, places: &[Point], sketch: &crate::sketch::SketchLayer) -> Option<ShortSpot> {
    let at = *places.first()?;
    let width_mm = sketch.narrow.iter().find(|line| line.at == at)?.width_mm;
    let carved = around(depth, at).into_iter().map(f64::from).fold(0.0, f64::max);
    Some(ShortSpot { at, opening: Length::clamped(width_mm * 1e-3), depth: Length::clamped(carved * 1e-3) })
}

/// The depths at a place and beside it: the middle of a line lies between cells.
fn around(depth: &Field<f32>, at: Point) -> Vec<f32> {
    let step = [-1.0, 0.0, 1.0].map(|cells| cells * depth.grid.cell);
    let near = step.iter().flat_map(|&dx| step.iter().map(move |&dy| Point { x: at.x + dx, y: at.y + dy }));
    near.filter_map(|point| depth.at(point)).collect()
}
