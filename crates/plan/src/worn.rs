//! A nozzle of the shop as it may be worn by now, and what that takes of the shop's air.

use crate::class_air::{ClassAirError, class_supply};
use piece::{Shop, ShopNozzle};
use quantity::{Diameter, Estimate, GaugePressure, MassRate, OutOfRange};
use reference::{Abrasive, tables};
use stock::Movement;
use stock::wear::{Event, Wear, wear};

/// A nozzle, worn.
#[derive(Debug)]
pub struct Worn {
    /// How it stands.
    pub wear: Wear,
    /// What it takes; or why the line cannot hold it.
    pub air: Result<WornAir, ClassAirError>,
}

/// Air at one setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WornAir {
    /// Setting of the regulator.
    pub set: GaugePressure,
    /// With the bore that it may have by now.
    pub takes: Estimate<MassRate>,
    /// With the bore of a new one.
    pub new: MassRate,
    /// What the compressors give that are switched on.
    pub gives: MassRate,
}

/// How a nozzle of the shop stands by its ledger.
///
/// * `ledger`: what happened to it, in order. * `next`: what goes through it from now on. * `set`: for the air.
///
/// # Errors
/// [`OutOfRange`] when its bore grows past all measure.
pub fn worn(
    shop: &Shop,
    nozzle: &ShopNozzle,
    ledger: &[Movement<Event>],
    next: &Abrasive,
    set: GaugePressure,
) -> Result<Worn, OutOfRange> {
    // An abrasive that the tables do not know any more wears as the next one does.
    let life = |id: &str| nozzle.life_with(tables().abrasive(id).unwrap_or(next));
    let wear = wear(ledger, nozzle.bore, &life, nozzle.life_with(next))?;
    let air = air(shop, nozzle, &wear, set);
    Ok(Worn { wear, air })
}

fn air(shop: &Shop, nozzle: &ShopNozzle, wear: &Wear, set: GaugePressure) -> Result<WornAir, ClassAirError> {
    // The line finds a nozzle by its name in the shop: there it has the other bore.
    let with = |bore: Diameter| {
        let nozzle = ShopNozzle { bore, ..nozzle.clone() };
        class_supply(&Shop { nozzles: vec![nozzle.clone()], ..shop.clone() }, &nozzle, set, 1)
    };
    let bore = wear.bore;
    let (low, mid, high, new) = (with(bore.low())?, with(bore.mid())?, with(bore.high())?, with(wear.new)?);
    let takes = Estimate::new(low.each(), mid.each(), high.each()).unwrap_or(Estimate::exact(mid.each()));
    Ok(WornAir { set, takes, new: new.each(), gives: mid.given() })
}
