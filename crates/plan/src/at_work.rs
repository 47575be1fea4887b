//! A nozzle at work: the supply that its air comes from, and the blast.

use crate::blast::{Blasting, Spreading, Supply, about};
use crate::calibration::Belief;
use crate::judge::Case;
use crate::model::Recipe;
use crate::refusal::Refusal;
use air::{Hold, LineError, hold};
use carve::staging;
use piece::{Finish, Piece, Shop, ShopNozzle};
use quantity::{Estimate, GaugePressure, Length, Quantity as _, Time};
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
    /// From the first stage on.
    pub blasting: Arc<Blasting>,
    /// In the last stages, where those have an abrasive of their own. The air is the same.
    pub finishing: Option<Finishing>,
    pub hold: Result<Hold, LineError>,
}

/// The last stages with an abrasive of their own.
#[derive(Debug, Clone)]
pub(crate) struct Finishing {
    pub blasting: Arc<Blasting>,
    /// How many.
    pub stages: usize,
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
        let material = piece.blank.material;
        let blasting = Arc::new(Blasting::on(supply, recipe, material, shop, belief, spreading)?);
        let finishing = |finish: Finish| {
            let recipe = recipe.with_abrasive(finish.abrasive, finish.grit);
            let blasting = Arc::new(Blasting::on(supply, &recipe, material, shop, belief, spreading)?);
            Ok::<_, Refusal>(Finishing { blasting, stages: finish.stages })
        };
        let finishing = recipe.finish.map(finishing).transpose()?;
        Ok(Arc::new(Self { blasting, finishing, hold: hold.clone() }))
    }

    /// The blast of a stage, counted from 0, of so many.
    pub(crate) fn of_stage(&self, stage: usize, count: usize) -> &Blasting {
        let finishing = self.finishing.as_ref().filter(|finishing| stage + finishing.stages >= count);
        finishing.map_or(&self.blasting, |finishing| &finishing.blasting)
    }

    /// What is told stage by stage, added up for each of the two blasts.
    pub(crate) fn shares(&self, stages: &[f64]) -> Shares {
        let own = self.finishing.as_ref().map_or(0, |finishing| finishing.stages);
        let (first, last) = stages.split_at(stages.len().saturating_sub(own));
        Shares { first: first.iter().sum(), last: last.iter().sum() }
    }

    /// Seconds at the middle as the range of their sum: a slower jet needs longer.
    pub(crate) fn time_range(&self, seconds: Shares) -> Estimate<Time> {
        let under = |sample| self.summed(seconds, sample, |seconds, factor| seconds / factor.max(1e-6));
        about(seconds.sum(), &mut self.samples().map(under).collect::<Vec<_>>())
    }

    /// Metres gained at the middle as the range of their sum: a faster jet goes deeper in the same time.
    pub(crate) fn depth_range(&self, metres: Shares) -> Estimate<Length> {
        let under = |sample| self.depth_under(metres, sample);
        about(metres.sum(), &mut self.samples().map(under).collect::<Vec<_>>())
    }

    /// What is gained under a sample in the time in which so much is at the middle.
    pub(crate) fn depth_under(&self, depth: Shares, sample: usize) -> f64 {
        self.summed(depth, sample, |depth, factor| depth * factor)
    }

    /// The model's samples that both blasts were computed for.
    pub(crate) fn samples(&self) -> std::ops::Range<usize> {
        0..self.blasting.samples.len()
    }

    /// Depth of the blast that is in [`Blasting::removal`]: in a test one of its samples, else just what is wanted.
    pub(crate) fn depth_at_middle(&self, depth: Shares) -> f64 {
        let factor = |blasting: &Blasting| blasting.rate_factor(&blasting.removal);
        let last = self.finishing.as_ref().map_or(0.0, |own| depth.last * factor(&own.blasting));
        depth.first * factor(&self.blasting) + last
    }

    /// What wide ground that is open from the first stage gains, in metres.
    pub(crate) fn doses(&self, stages: &[staging::Stage]) -> Shares {
        self.shares(&stages.iter().map(|stage| stage.dose.to_metres()).collect::<Vec<_>>())
    }

    /// A depth in millimetres that is gained in all stages.
    pub(crate) fn of_whole(&self, deepest_mm: f64, stages: &[staging::Stage]) -> Shares {
        let last = 1e3 * self.doses(stages).last;
        Shares { first: deepest_mm - last, last }
    }

    fn summed(&self, shares: Shares, sample: usize, under: impl Fn(f64, f64) -> f64) -> f64 {
        let factor = |blasting: &Blasting| blasting.rate_factor_of(sample);
        let last = self.finishing.as_ref().map_or(0.0, |own| under(shares.last, factor(&own.blasting)));
        under(shares.first, factor(&self.blasting)) + last
    }
}

/// What falls to the blast of the first stages, and to that of the last where those have an abrasive of their own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Shares {
    pub first: f64,
    pub last: f64,
}

impl Shares {
    pub(crate) fn sum(self) -> f64 {
        self.first + self.last
    }
}
