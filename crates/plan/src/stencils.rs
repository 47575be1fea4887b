//! The stencil of each stage, made from a plan: unrolled for a vessel, in gores for a bowl, mirrored when carved from the back.

use crate::gores;
use crate::model::{LayerPlan, Plan};
use crate::words;
use artwork::Affine;
use artwork::depth::{DepthLayer, Resolved};
use artwork::grid::Point;
use artwork::region::{Region, Ring};
use piece::{Body, Side};
use quantity::{Length, Quantity as _};
use stencil::layers::{LayerError, LayoutOptions, Stage, StencilLayer, stencil_layers_cut};
use stencil::vessel::VesselError;
use stencil::vessel::frustum::Frustum;
use stencil::vessel::gore_sheet::GoreSheet;
use stencil::vessel::gores::Gores;
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
    let Film { regions, cuts, size_mm: (width_mm, height_mm) } = match bowl(plan)? {
        Some(film) => film,
        None => unrolled(plan)?,
    };
    let layer =
        |(layer, region): (&LayerPlan, Region)| DepthLayer { name: layer.name.clone(), depth: layer.target, region };
    let layers = plan.layers.iter().zip(regions).map(layer).collect();
    let artwork = Resolved { layers, width_mm, height_mm, notes: Vec::new() };
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
    Ok(stencil_layers_cut(&artwork, &stages, Length::clamped(width_mm * 1e-3), &cuts, &options)?)
}

/// Flat film.
struct Film {
    /// One for each of the plan's layers.
    regions: Vec<Region>,
    /// What is cut besides.
    cuts: Vec<Ring>,
    size_mm: (f64, f64),
}

/// Film for a panel, a cylinder or a cone, in one piece.
fn unrolled(plan: &Plan) -> Result<Film, VesselError> {
    let sheet = Sheet::of(plan)?;
    let regions = plan.layers.iter().map(|layer| sheet.laid(&layer.region)).collect::<Result<_, _>>()?;
    Ok(Film { regions, cuts: Vec::new(), size_mm: sheet.size_mm })
}

/// Film for a bowl, in gores side by side; `None` for what is no bowl.
fn bowl(plan: &Plan) -> Result<Option<Film>, VesselError> {
    let Some((glass, gores, _)) = gores::gores(&plan.piece.blank, plan.recipe.resist)? else { return Ok(None) };
    // The film's middle lies further out than the glass: all of it is that much larger.
    let film = glass.under_film(plan.recipe.resist.thickness.value);
    let larger = film.side_mm() / glass.side_mm();
    let on_film = Gores::new(film, gores.count())?;
    let middle = Point { x: 0.5 * larger * plan.piece.blank.body.sheet_width_mm(), y: 0.0 };
    let half = Length::clamped(0.5e-3 * film.side_mm());
    let lay = |layer: &LayerPlan| {
        let region = layer.region.transform(Affine::scale(larger));
        on_film.lay(&region, middle, Length::clamped(0.0), half, TOLERANCE_MM)
    };
    let laid = plan.layers.iter().map(lay).collect::<Result<Vec<_>, _>>()?;
    let sheet = GoreSheet::of(&on_film, &laid, TOLERANCE_MM);
    let regions = laid.iter().map(|layer| sheet.sheet(layer)).collect();
    Ok(Some(Film { regions, cuts: sheet.cuts(), size_mm: sheet.size_mm() }))
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
