//! The stencil of each stage, made from a plan: unrolled for a vessel, mirrored when carved from the back.

use crate::model::Plan;
use crate::words;
use artwork::Affine;
use artwork::depth::{DepthLayer, Resolved};
use artwork::grid::Point;
use artwork::region::Region;
use piece::{Body, Side};
use quantity::{Length, Quantity as _};
use stencil::layers::{LayerError, LayoutOptions, Stage, StencilLayer, stencil_layers};
use stencil::vessel::VesselError;
use stencil::vessel::frustum::Frustum;
use stencil::vessel::lay::{Laying, along_rim};

/// Why a plan's stencils cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StencilFault {
    /// A stage opens nothing; a plan of ours has none such.
    #[error(transparent)]
    Layer(#[from] LayerError),
    /// The artwork does not lie on the vessel.
    #[error(transparent)]
    Vessel(#[from] VesselError),
}

/// Furthest that a bent edge leaves the true curve, mm: below a plotter's step.
const TOLERANCE_MM: f64 = 0.005;

/// What each stage weeds, in register: on a vessel as the flat film is cut, mirrored when the piece is carved from the
/// back.
///
/// # Errors
/// [`StencilFault`] for artwork that reaches over a vessel's rim or around it.
pub fn stencils(plan: &Plan) -> Result<Vec<StencilLayer>, StencilFault> {
    let sheet = Sheet::of(plan)?;
    let layers: Result<Vec<DepthLayer>, VesselError> = plan
        .layers
        .iter()
        .map(|layer| {
            Ok(DepthLayer { name: layer.name.clone(), depth: layer.target, region: sheet.laid(&layer.region)? })
        })
        .collect();
    let (width_mm, height_mm) = sheet.size_mm;
    let artwork = Resolved { layers: layers?, width_mm, height_mm, notes: Vec::new() };
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
    Ok(stencil_layers(&artwork, &stages, Length::clamped(width_mm * 1e-3), &options)?)
}

/// The flat film and how artwork comes to lie on it.
struct Sheet {
    size_mm: (f64, f64),
    /// The vessel in the middle of the film, and how much longer that is than the glass around.
    vessel: Option<(Frustum, f64)>,
    body: Body,
}

impl Sheet {
    fn of(plan: &Plan) -> Result<Self, VesselError> {
        let body = plan.piece.blank.body;
        let flat = (body.sheet_width_mm(), body.sheet_height_mm());
        let Body::Tumbler { diameter, foot, height } = body else {
            return Ok(Self { size_mm: flat, vessel: None, body });
        };
        let glass = Frustum::new(diameter, foot, height)?;
        let film = glass.under_film(plan.recipe.resist.thickness.value);
        let half = 0.5 * glass.slant_mm();
        let longer = film.radius_mm(half) / glass.radius_mm(half);
        let size_mm = if body.is_straight() { (longer * flat.0, flat.1) } else { film.sheet_mm() };
        Ok(Self { size_mm, vessel: Some((film, longer)), body })
    }

    fn laid(&self, region: &Region) -> Result<Region, VesselError> {
        let Some((film, longer)) = &self.vessel else { return Ok(region.clone()) };
        // The film's middle lies further out than the glass: what spans an angle there is longer on the film.
        let around = region.transform(Affine::scale_non_uniform(*longer, 1.0));
        if self.body.is_straight() {
            return Ok(around);
        }
        let half = Length::clamped(0.5e-3 * film.slant_mm());
        let middle = Point { x: 0.5 * longer * self.body.sheet_width_mm(), y: 0.0 };
        let laying = Laying { middle, down: Length::clamped(0.0), true_at: half };
        let laid = along_rim(&around, film, &laying, TOLERANCE_MM)?;
        Ok(laid.sheet.transform(Affine::translate((0.5 * self.size_mm.0, 0.0))))
    }
}
