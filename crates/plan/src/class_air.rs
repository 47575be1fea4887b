//! The shop's air behind a class's cabinets, and what can hurt in it.

use crate::network::{network, station};
use crate::refusal::Refusal;
use air::Network;
use class::supply::{Supply, SupplyError};
use class::{Class, StationKind};
use piece::{Shop, ShopNozzle, ShopStation};
use quantity::GaugePressure;
use safety::caution::{Caution, Facts, cautions};

/// Why the shop's line cannot serve a class.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ClassAirError {
    /// The line itself.
    #[error("{0}")]
    Line(#[from] Refusal),
    /// Too little of it.
    #[error(transparent)]
    Supply(#[from] SupplyError),
}

/// The line with 1 to `cabinets` alike cabinets on it, each with the shop's own regulator and hose.
///
/// # Errors
/// [`ClassAirError`] for a line through which no air can flow, or one that cannot hold a single nozzle.
pub fn class_supply(
    shop: &Shop,
    nozzle: &ShopNozzle,
    set: GaugePressure,
    cabinets: usize,
) -> Result<Supply, ClassAirError> {
    let one = station(shop, nozzle, set);
    let named = |n: usize| ShopStation { name: format!("cabinet {n}"), ..one.clone() };
    let with = |count: usize| network(shop, &(1..=count).map(named).collect::<Vec<_>>());
    let networks: Vec<Network> = (1..=cabinets.max(1)).map(with).collect::<Result<_, _>>()?;
    Ok(Supply::of(&networks)?)
}

/// What can hurt in a class, chosen for its stations and the shop.
#[must_use]
pub fn class_cautions(class: &Class, shop: &Shop) -> Vec<Caution> {
    let has = |kind: StationKind| class.stations.iter().any(|station| station.kind == kind);
    cautions(&Facts {
        material: class.blast.material,
        abrasive: class.blast.abrasive,
        collector: shop.cabinet.collector.is_some(),
        door_wait: shop.enclosure.door_wait,
        photo_resist: has(StationKind::Exposure) || has(StationKind::Washout),
        pressure_vessel: true,
        supplied_air: shop.protection.air.is_some()
            || shop.protection.respirator.is_some_and(reference::Respirator::is_supplied),
        noise: shop.shift.noise_blasting,
        entered: shop.enclosure.kind.is_entered(),
        mass: None,
        sealed: false,
        place: None,
    })
}
