//! A remedy's changes made in the files that a person keeps.

use crate::finding::{Change, Remedy};
use crate::model::Recipe;
use language::Language;
use piece::piece_file::{DepthPart, FinishPart, PieceFile};
use piece::shop_file::{AbrasivePart, NozzlePart, ResistPart, ShopFile};
use quantity::show::bore;
use quantity::{Diameter, FreeFlow, Length, Power, Quantity as _, UnitSystem};

/// Makes all changes of a remedy.
///
/// A remedy was computed for a recipe: what the piece file leaves open is written into it, so that the next plan does
/// not choose another.
///
/// Returns `false`, and changes nothing, when a file has nothing that a change speaks of.
pub fn apply_all(remedy: &Remedy, recipe: &Recipe, piece: &mut PieceFile, shop: &mut ShopFile) -> bool {
    let (mut changed_piece, mut changed_shop) = (piece.clone(), shop.clone());
    pin(recipe, &mut changed_piece);
    let made = remedy.changes.iter().all(|change| apply(change, &mut changed_piece, &mut changed_shop));
    if made {
        (*piece, *shop) = (changed_piece, changed_shop);
    }
    made
}

/// Writes a recipe into a piece file.
pub fn pin(recipe: &Recipe, piece: &mut PieceFile) {
    piece.recipe.resist = Some(recipe.resist.id.clone());
    piece.recipe.abrasive = Some(recipe.abrasive.id.clone());
    piece.recipe.grit = Some(recipe.grit.name.clone());
    piece.recipe.nozzle = Some(recipe.nozzle.name.clone());
    piece.recipe.pressure = Some(recipe.pressure);
    piece.recipe.standoff = Some(recipe.standoff);
    piece.recipe.finish = recipe.finish.map(|finish| FinishPart {
        abrasive: finish.abrasive.id.clone(),
        grit: finish.grit.name.clone(),
        stages: finish.stages as u32,
    });
}

/// Makes a change in a piece file, or in the shop file where it is the shop's.
///
/// Returns `false`, and changes nothing, when the file has nothing that the change speaks of.
pub fn apply(change: &Change, piece: &mut PieceFile, shop: &mut ShopFile) -> bool {
    match change {
        Change::Pressure(pressure) => piece.recipe.pressure = Some(*pressure),
        Change::Standoff(standoff) => piece.recipe.standoff = Some(*standoff),
        Change::Nozzle(name) => piece.recipe.nozzle = Some(name.clone()),
        Change::Resist(id) => piece.recipe.resist = Some(id.clone()),
        Change::Abrasive(id, grit) => {
            piece.recipe.abrasive = Some(id.clone());
            piece.recipe.grit = Some(grit.clone());
            piece.recipe.finish = None;
        }
        Change::Finish(id, grit, stages) => {
            let (abrasive, grit) = (id.clone(), grit.clone());
            piece.recipe.finish = Some(FinishPart { abrasive, grit, stages: *stages as u32 });
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
        _ => return fit(change, piece, shop),
    }
    true
}

/// What is written down or bought for the shop.
fn fit(change: &Change, piece: &mut PieceFile, shop: &mut ShopFile) -> bool {
    match change {
        Change::Delivered(name, flow) => {
            let found = shop.compressor.iter_mut().find(|compressor| compressor.name == *name);
            return found.map(|compressor| compressor.free_air = *flow).is_some();
        }
        Change::BuyResist(id) => {
            // As wide as the widest that it has; what it costs is not known.
            let widest = shop.resist.iter().map(|part| part.width).fold(Length::clamped(0.0), wider);
            shop.resist.push(ResistPart { kind: id.clone(), width: widest, price_per_m2: piece::Money::ZERO });
            piece.recipe.resist = Some(id.clone());
        }
        Change::BuyAbrasive(id, grit) => {
            let (kind, grit) = (id.clone(), grit.clone());
            piece.recipe.abrasive = Some(kind.clone());
            piece.recipe.grit = Some(grit.clone());
            piece.recipe.finish = None;
            shop.abrasive.push(AbrasivePart {
                kind,
                grit,
                free_silica: None,
                turns: None,
                price_per_kg: piece::Money::ZERO,
            });
        }
        Change::BuyNozzle(bore) => {
            let near = |part: &&NozzlePart| ((part.bore.to_base() - bore.to_base()).abs() * 1e9) as u64;
            let Some(like) = shop.nozzle.iter().min_by_key(near).cloned() else { return false };
            let name = bought_nozzle(*bore, shop.units);
            piece.recipe.nozzle = Some(name.clone());
            shop.nozzle.push(NozzlePart { name, bore: *bore, ..like });
        }
        Change::Hose(bore) => shop.hose.bore = *bore,
        Change::Receiver(volume) => shop.receiver.volume = *volume,
        Change::Compressor(flow) => {
            let Some(first) = shop.compressor.first_mut() else { return false };
            first.power = power_for(first.power, first.free_air, *flow);
            first.free_air = *flow;
        }
        _ => return false,
    }
    true
}

/// Of two lengths the greater.
pub(crate) fn wider(a: Length, b: Length) -> Length {
    if b > a { b } else { a }
}

/// What a nozzle is called that was bought. A name in the shop's file is the same whoever reads it.
pub(crate) fn bought_nozzle(of: Diameter, units: UnitSystem) -> String {
    Language::English.scope(|| format!("new, {}", bore(of, units)).replace('\u{202f}', " "))
}

/// The power of a compressor of another flow: as much for each litre as the old one takes.
pub(crate) fn power_for(power: Power, old: FreeFlow, new: FreeFlow) -> Power {
    Power::clamped(power.to_base() * new.to_base() / old.to_base().max(f64::MIN_POSITIVE))
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
