//! A class with all that is found of it: how it comes out, what would end it on time, what to buy, who is where when.

use crate::class_air::{ClassAirError, class_supply};
use class::change::{Prices, Search, search};
use class::{Class, ClassError, Outcome, Rotation, Running, Shopping, Supply, rotation, shopping, simulate};
use piece::Shop;

/// Cabinets that changes may add.
const MORE_CABINETS: usize = 3;

/// What was found of a class.
#[derive(Debug, Clone)]
pub struct ClassRun {
    /// How it comes out, over the replications.
    pub outcome: Outcome,
    /// Changes that were tried, when it does not end on time.
    pub search: Option<Search>,
    /// What to buy.
    pub shopping: Shopping,
    /// Who is where when.
    pub rotation: Rotation,
}

/// Why a class cannot be run.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ClassRunError {
    /// The class itself.
    #[error(transparent)]
    Class(#[from] ClassError),
    /// The rotation.
    #[error(transparent)]
    Queue(#[from] class::queue::QueueError),
    /// The shop's air.
    #[error(transparent)]
    Air(#[from] ClassAirError),
}

/// Runs a class in a shop. The same seed gives the same students.
///
/// # Errors
/// [`ClassRunError`] for a class that cannot be simulated, or air that serves no cabinet.
pub fn class_run(class: &Class, shop: &Shop, running: Running) -> Result<ClassRun, ClassRunError> {
    let supply = supply(class, shop)?;
    let outcome = simulate(class, supply.as_ref(), running)?;
    let prices = Prices { labour_per_hour: shop.rates.labour_per_hour };
    let search = match outcome.holds {
        true => None,
        false => Some(search(class, supply.as_ref(), prices, running)?),
    };
    let shopping = shopping(class, shop, supply.as_ref(), &outcome);
    let rotation = rotation(class, supply.as_ref())?;
    Ok(ClassRun { outcome, search, shopping, rotation })
}

/// The air behind the cabinets; `None` for a class without any.
fn supply(class: &Class, shop: &Shop) -> Result<Option<Supply>, ClassAirError> {
    let nozzle = shop.nozzle(&class.blast.nozzle).filter(|_| class.cabinets() > 0);
    nozzle.map(|nozzle| class_supply(shop, nozzle, class.blast.pressure, class.cabinets() + MORE_CABINETS)).transpose()
}
