//! The carved surface, and what each layer reaches in it.

use crate::judge::Judged;
use crate::model::{LayerPlan, Reach, Relief, ShortSpot};
use crate::prepared::{Detail, Prepared};
use crate::refusal::Refusal;
use crate::sketch::SketchLayer;
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Mask};
use carve::distance_rule::DistanceRule;
use carve::height_field::{self, Opening, SolveOptions};
use carve::quick::{self, QuickStage};
use carve::staging::{self, Layer, Stage};
use carve::{coverage, model::Model};
use piece::Piece;
use quantity::{Diameter, Fraction, Length, Quantity};

/// The surface and the layers that make it.
pub(crate) struct Carved {
    pub relief: Relief,
    pub layers: Vec<LayerPlan>,
}

/// Carves the piece with its stages at the middle of the model. `size`: of the median grain.
///
/// # Errors
/// [`Refusal`] when the solver gives up.
pub(crate) fn carve(
    prepared: &Prepared,
    judged: &Judged,
    piece: &Piece,
    size: Diameter,
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
    let layers = layer_plans(prepared, judged, &depth, &rule)?;
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
fn opened_count(stage: &Stage) -> usize {
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
    let each = each.map(|((mask, edge), stage)| Opening { mask, edge: Some(edge), dose: stage.dose });
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
    let plan = |(index, reached): (usize, &staging::Reach)| {
        let (layer, sketch) = (&prepared.layers[index], &prepared.sketch.layers[index]);
        let lines = sketch.reach(rule);
        let deepest = reached.flat.unwrap_or_else(|| deepest(depth, prepared, index));
        LayerPlan {
            name: layer.name.clone(),
            target: layer.depth,
            area: layer.region.area(),
            region: layer.region.clone(),
            reach: Reach {
                wide: judged.at_work.blasting.depth_range(deepest),
                has_flat: reached.flat.is_some(),
                short: Fraction::clamped(lines.short_share),
                worst: worst(rule, sketch),
            },
        }
    };
    Ok(reached.iter().enumerate().map(plan).collect())
}

/// The deepest place of a layer that has no flat ground.
fn deepest(depth: &Field<f32>, prepared: &Prepared, index: usize) -> Length {
    let cells = depth.values.iter().zip(&prepared.layer.values);
    let own = cells.filter(|&(_, &layer)| usize::from(layer) == index + 1).map(|(&depth, _)| f64::from(depth));
    Length::clamped(own.fold(0.0, f64::max) * 1e-3)
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
