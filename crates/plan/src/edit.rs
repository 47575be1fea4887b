//! A remedy's change made in the files that a person keeps.

use crate::finding::Change;
use piece::piece_file::{DepthPart, PieceFile};
use piece::shop_file::ShopFile;
use quantity::Length;

/// Makes a change in a piece file, or in the shop file where it is the shop's.
///
/// Returns `false`, and changes nothing, when the file has nothing that the change speaks of.
pub fn apply(change: &Change, piece: &mut PieceFile, shop: &mut ShopFile) -> bool {
    match change {
        Change::Pressure(pressure) => piece.recipe.pressure = Some(*pressure),
        Change::Nozzle(name) => piece.recipe.nozzle = Some(name.clone()),
        Change::Resist(id) => piece.recipe.resist = Some(id.clone()),
        Change::Abrasive(id, grit) => {
            piece.recipe.abrasive = Some(id.clone());
            piece.recipe.grit = Some(grit.clone());
        }
        Change::Depth(depth) => limit(&mut piece.depth, *depth),
        Change::LayerDepth(name, depth) => return set(&mut piece.depth, name, *depth),
        Change::Width(width) => {
            piece.artwork.width = Some(*width);
            piece.artwork.height = None;
            // A place that suited the old size need not suit the new one.
            piece.artwork.left = None;
            piece.artwork.top = None;
        }
        Change::BlankThickness(thickness) => piece.blank.thickness = *thickness,
        Change::Collector(flow) => shop.cabinet.collector = Some(*flow),
        Change::Safety(mend) => mend.write(shop, Some(piece)),
        Change::Gores(count) => piece.blank.gores = u32::try_from(*count).ok(),
    }
    true
}

fn limit(parts: &mut [DepthPart], depth: Length) {
    for part in parts.iter_mut().filter(|part| part.depth > depth) {
        part.depth = depth;
    }
}

fn set(parts: &mut [DepthPart], name: &str, depth: Length) -> bool {
    let named = |part: &&mut DepthPart| part.layer.as_deref() == Some(name) || part.colour.as_deref() == Some(name);
    parts.iter_mut().find(named).map(|part| part.depth = depth).is_some()
}
