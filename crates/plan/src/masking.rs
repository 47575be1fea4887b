//! What is covered around the stencil, for a plan.

use crate::prepared::Prepared;
use artwork::bounds::Bounds;
use artwork::region::Region;
use piece::{Body, Piece, Side};
use quantity::{Length, Quantity as _};
use stencil::layers::LayoutOptions;
use stencil::masking::{Face, MaskingPlan, masking};

/// The cover of the carved face, as the carver sees it: mirrored when carved from the back.
pub(crate) fn plan(piece: &Piece, prepared: &Prepared, footprint: Length) -> MaskingPlan {
    let body = piece.blank.body;
    let around = prepared.layers.iter().filter_map(|layer| Region::bounds(&layer.region)).reduce(Bounds::with);
    let around = around.unwrap_or(Bounds::from_size(0.0, 0.0)).grown(LayoutOptions::default().border_mm());
    let stencil = match piece.blank.carve_from {
        Side::Front => around,
        Side::Back => mirrored(around, body.sheet_width_mm()),
    };
    masking(face(piece), stencil, footprint)
}

fn mirrored(b: Bounds, width_mm: f64) -> Bounds {
    let mut flipped = b;
    (flipped.min.x, flipped.max.x) = (width_mm - b.max.x, width_mm - b.min.x);
    flipped
}

fn face(piece: &Piece) -> Face {
    match piece.blank.body {
        Body::Panel { width, height } => Face::Panel { width, height, thickness: piece.blank.thickness },
        Body::Tumbler { .. } | Body::Bowl { .. } => {
            let body = piece.blank.body;
            let around = |down_mm: f64| Length::clamped(body.around_mm(down_mm) * 1e-3);
            let side = body.sheet_height_mm();
            let length = |mm: f64| Length::clamped(mm * 1e-3);
            Face::Vessel {
                around: length(body.sheet_width_mm()),
                side: length(side),
                rim: around(0.0),
                foot: around(side),
            }
        }
    }
}
