//! A nozzle at work: the supply that its air comes from, and the blast.

use crate::blast::{Blasting, Spreading, Supply};
use crate::calibration::Belief;
use crate::judge::Case;
use crate::model::Recipe;
use crate::refusal::Refusal;
use air::{Hold, LineError, hold};
use piece::{Piece, Shop, ShopNozzle};
use quantity::{GaugePressure, Quantity as _};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

/// A nozzle's supply at a setting, and what it holds.
pub(crate) type Supplied = (Supply, Result<Hold, LineError>);

/// Supplies of one shop that were computed, by bore, length and discharge of the nozzle and the setting.
#[derive(Debug, Default)]
pub(crate) struct Supplies(Mutex<HashMap<[u64; 4], Arc<Supplied>>>);

impl Supplies {
    /// # Errors
    /// [`Refusal`] when the air line cannot be computed.
    pub(crate) fn of(&self, nozzle: &ShopNozzle, set: GaugePressure, shop: &Shop) -> Result<Arc<Supplied>, Refusal> {
        let key = [nozzle.bore.to_base(), nozzle.length.to_base(), nozzle.discharge, set.to_base()].map(f64::to_bits);
        // A poisoned lock has lost nothing: what is kept was complete when it was put there.
        let known = |supplies: &Self| supplies.0.lock().unwrap_or_else(PoisonError::into_inner).get(&key).cloned();
        if let Some(known) = known(self) {
            return Ok(known);
        }
        let supply = Supply::new(nozzle, set, shop)?;
        let held = hold(&supply.line);
        let supplied = Arc::new((supply, held));
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(key, Arc::clone(&supplied));
        Ok(supplied)
    }
}

/// A nozzle at work, whatever the resist.
#[derive(Debug)]
pub(crate) struct AtWork {
    pub blasting: Blasting,
    pub hold: Result<Hold, LineError>,
}

impl AtWork {
    /// # Errors
    /// [`Refusal`] when the recipe cannot be computed at all.
    pub(crate) fn of(case: &Case<'_>, spreading: Spreading) -> Result<Arc<Self>, Refusal> {
        let supplied = case.supplies.of(&case.recipe.nozzle, case.recipe.pressure, &case.shop)?;
        Self::on(&supplied, &case.recipe, &case.piece, &case.shop, &case.belief, spreading)
    }

    /// The same with a supply, and what it holds, that are known.
    ///
    /// # Errors
    /// [`Refusal`] when the jet cannot be computed.
    pub(crate) fn on(
        (supply, hold): &Supplied,
        recipe: &Recipe,
        piece: &Piece,
        shop: &Shop,
        belief: &Belief,
        spreading: Spreading,
    ) -> Result<Arc<Self>, Refusal> {
        let blasting = Blasting::on(supply, recipe, piece.blank.material, shop, belief, spreading)?;
        Ok(Arc::new(Self { blasting, hold: hold.clone() }))
    }
}
