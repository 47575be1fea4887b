//! The stencil of each stage, made from a plan.

use crate::model::Plan;
use crate::words;
use artwork::depth::{DepthLayer, Resolved};
use piece::Side;
use quantity::{Length, Quantity};
use stencil::layers::{LayerError, LayoutOptions, Stage, StencilLayer, stencil_layers};

/// What each stage weeds, in register, mirrored when the piece is carved from the back.
///
/// # Errors
/// [`LayerError`] for a plan whose stages open nothing; a plan of ours has none such.
pub fn stencils(plan: &Plan) -> Result<Vec<StencilLayer>, LayerError> {
    let body = plan.piece.blank.body;
    let layers = plan.layers.iter().map(|layer| DepthLayer {
        name: layer.name.clone(),
        depth: layer.target,
        region: layer.region.clone(),
    });
    let artwork = Resolved {
        layers: layers.collect(),
        width_mm: body.sheet_width_mm(),
        height_mm: body.sheet_height_mm(),
        notes: Vec::new(),
    };
    let stages: Vec<Stage> = plan
        .stages
        .iter()
        .map(|stage| Stage { name: words::stage_opens(plan, stage), opens: stage.opens.clone() })
        .collect();
    let side = match plan.piece.blank.carve_from {
        Side::Front => stencil::layers::Side::Front,
        Side::Back => stencil::layers::Side::Back,
    };
    let options = LayoutOptions { side, ..LayoutOptions::default() };
    stencil_layers(&artwork, &stages, Length::clamped(body.sheet_width_mm() * 1e-3), &options)
}
