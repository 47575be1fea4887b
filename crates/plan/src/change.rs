//! A change made in a case, as the editor makes it in the files: the case is then judged as if it had been so written.

use crate::calibration::Belief;
use crate::edit::{bought_nozzle, power_for, wider};
use crate::finding::Change;
use crate::judge::Case;
use piece::{Body, Finish, Money, Shop, ShopNozzle, StockedAbrasive, StockedResist};
use quantity::{Diameter, Length, Quantity as _};
use reference::tables;
use safety::check::Mend;
use std::sync::Arc;

/// Whether a change leaves the nozzle's work as it is: then it need not be computed again.
pub(crate) const fn keeps_blast(change: &Change) -> bool {
    !matches!(
        change,
        Change::Pressure(_)
            | Change::Standoff(_)
            | Change::Nozzle(_)
            | Change::Abrasive(..)
            | Change::Finish(..)
            | Change::Safety(Mend::CutOut(_))
            | Change::Delivered(..)
            | Change::BuyAbrasive(..)
            | Change::BuyNozzle(_)
            | Change::Hose(_)
            | Change::Receiver(_)
            | Change::Compressor(_)
    )
}

/// Whether two changes set the same thing.
pub(crate) fn set_the_same(a: &Change, b: &Change) -> bool {
    use Change::{Abrasive, BuyAbrasive, BuyNozzle, BuyResist, Depth, Finish, LayerDepth, Nozzle, Resist, Safety};
    match (a, b) {
        (Resist(_) | BuyResist(_), Resist(_) | BuyResist(_))
        | (Abrasive(..) | BuyAbrasive(..) | Finish(..), Abrasive(..) | BuyAbrasive(..) | Finish(..))
        | (Nozzle(_) | BuyNozzle(_), Nozzle(_) | BuyNozzle(_))
        | (Depth(_), Depth(_) | LayerDepth(..))
        | (LayerDepth(..), Depth(_)) => true,
        (LayerDepth(a, _), LayerDepth(b, _)) => a == b,
        (Safety(a), Safety(b)) => a.key() == b.key(),
        _ => std::mem::discriminant(a) == std::mem::discriminant(b),
    }
}

/// The case with one change made; `None` when the change cannot be made.
pub(crate) fn changed<'a>(case: &Case<'a>, change: &Change) -> Option<Case<'a>> {
    let mut case = case.clone();
    match change {
        Change::Pressure(pressure) => case.recipe.pressure = *pressure,
        Change::Standoff(standoff) => case.recipe.standoff = *standoff,
        Change::Nozzle(name) => case.recipe.nozzle = case.shop.nozzle(name)?.clone(),
        Change::Resist(id) => {
            case.recipe.resist = case.shop.resists.iter().find(|stock| stock.resist.id == *id)?.resist;
        }
        Change::Abrasive(id, grit) => {
            let mut stock = case.shop.abrasives.iter();
            let stock = stock.find(|stock| stock.abrasive.id == *id && stock.grit.name == *grit)?;
            case.recipe = case.recipe.with_abrasive(stock.abrasive, stock.grit);
        }
        Change::Finish(id, grit, stages) => {
            let mut stock = case.shop.abrasives.iter();
            let stock = stock.find(|stock| stock.abrasive.id == *id && stock.grit.name == *grit)?;
            case.recipe.finish = Some(Finish { abrasive: stock.abrasive, grit: stock.grit, stages: *stages });
        }
        Change::Depth(depth) => case.sketch.to_mut().limit_depth(*depth),
        Change::LayerDepth(name, depth) => case.sketch.to_mut().set_depth(name, *depth)?,
        Change::Width(width) => {
            let body: Body = case.piece.blank.body;
            case.sketch.to_mut().set_width(*width, (body.sheet_width_mm(), body.sheet_height_mm()))?;
        }
        Change::BlankThickness(thickness) => case.piece.to_mut().blank.thickness = *thickness,
        Change::Collector(flow) => case.shop.to_mut().cabinet.collector = Some(*flow),
        Change::Safety(mend) => mend.make(case.shop.to_mut(), Some(case.piece.to_mut())),
        Change::Gores(count) => case.piece.to_mut().blank.gores = Some(*count),
        _ => case = fitted(case, change)?,
    }
    if is_of_the_air(change) {
        case.supplies = Arc::default();
    }
    reread_coupons(&mut case, change)?;
    Some(case)
}

/// Whether a change is one of the shop's air line.
const fn is_of_the_air(change: &Change) -> bool {
    matches!(
        change,
        Change::Safety(Mend::CutOut(_))
            | Change::Delivered(..)
            | Change::Hose(_)
            | Change::Receiver(_)
            | Change::Compressor(_)
    )
}

/// What coupons say rests on the pressure that their nozzle saw, and a bought grit is a pairing of its own.
fn reread_coupons(case: &mut Case<'_>, change: &Change) -> Option<()> {
    let rests_on_it = is_of_the_air(change) || matches!(change, Change::BuyAbrasive(..));
    if rests_on_it && case.belief.has_coupons() {
        case.belief = Arc::new(Belief::of(&case.shop, case.piece.blank.material).ok()?);
    }
    Some(())
}

fn fitted<'a>(mut case: Case<'a>, change: &Change) -> Option<Case<'a>> {
    match change {
        Change::Delivered(name, flow) => {
            case.shop.to_mut().compressors.iter_mut().find(|one| one.name == *name)?.free_air = *flow;
        }
        Change::BuyResist(id) => case.recipe.resist = stock_resist(case.shop.to_mut(), id)?,
        Change::BuyAbrasive(id, grit) => {
            let (abrasive, grit) = (tables().abrasive(id).ok()?, tables().grit(grit).ok()?);
            let bought = StockedAbrasive { abrasive, grit, free_silica: None, turns: None, price_per_kg: Money::ZERO };
            case.shop.to_mut().abrasives.push(bought);
            case.recipe = case.recipe.with_abrasive(abrasive, grit);
        }
        Change::BuyNozzle(bore) => case.recipe.nozzle = stock_nozzle(case.shop.to_mut(), *bore)?,
        Change::Hose(bore) => case.shop.to_mut().hose.bore = *bore,
        Change::Receiver(volume) => case.shop.to_mut().receiver = *volume,
        Change::Compressor(flow) => {
            let first = case.shop.to_mut().compressors.first_mut()?;
            first.power = power_for(first.power, first.free_air, *flow);
            first.free_air = *flow;
        }
        _ => return None,
    }
    Some(case)
}

fn stock_resist(shop: &mut Shop, id: &str) -> Option<&'static reference::Resist> {
    let resist = tables().resist(id).ok()?;
    let width = shop.resists.iter().map(|stock| stock.width).fold(Length::clamped(0.0), wider);
    shop.resists.push(StockedResist { resist, width, price_per_m2: Money::ZERO });
    Some(resist)
}

fn stock_nozzle(shop: &mut Shop, bore: Diameter) -> Option<ShopNozzle> {
    let near = |nozzle: &&ShopNozzle| ((nozzle.bore.to_base() - bore.to_base()).abs() * 1e9) as u64;
    let like = shop.nozzles.iter().min_by_key(near)?.clone();
    let bought = ShopNozzle { name: bought_nozzle(bore, shop.units), bore, ..like };
    shop.nozzles.push(bought.clone());
    Some(bought)
}
