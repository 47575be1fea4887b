//! Speeds of grains under the model's samples, each flown once for all jets that share it.
//!
//! A lone grain leaves the nozzle as the nozzle, its air, the grain and its drag have it; how it arrives hangs on the
//! loading and the standoff besides. So standoffs share what leaves, and abrasives of one size and density share both.

use super::grid::{Grid, Jet, RUNGS};
use crate::calibration::Drawn;
use carve::jet::{Blast, JetError, Removal};
use carve::model::Model;
use quantity::Speed;
use std::sync::{Arc, OnceLock};

type Flown = OnceLock<Result<Vec<Speed>, JetError>>;

/// What was flown so far.
pub(super) struct Flights {
    /// For each stock the first whose grains fly alike.
    alike: Vec<usize>,
    /// By seat and stock.
    exits: Vec<Flown>,
    /// By seat, stock and standoff.
    arrivals: Vec<Flown>,
}

impl Flights {
    /// * `drawn`: what the belief has drawn for each stock.
    pub(super) fn new(grid: &Grid<'_>, drawn: &[Arc<Drawn>]) -> Self {
        let stocks = &grid.stocks;
        let fly_alike = |a: usize, b: usize| {
            let grain = |at: usize| (stocks[at].grit.d50.value.mid(), stocks[at].abrasive.grain_density.value);
            let moves = |model: &Model| (model.drag_factor, model.loading);
            grain(a) == grain(b) && drawn[a].models.iter().map(moves).eq(drawn[b].models.iter().map(moves))
        };
        let first = |at: usize| (0..at).find(|&other| fly_alike(other, at)).unwrap_or(at);
        let none = |count: usize| (0..count).map(|_| OnceLock::new()).collect();
        let pairs = grid.seat_count() * stocks.len();
        Self { alike: (0..stocks.len()).map(first).collect(), exits: none(pairs), arrivals: none(pairs * RUNGS) }
    }

    /// What a jet's blast removes under each of the samples.
    ///
    /// # Errors
    /// [`JetError`] when it cannot be computed.
    pub(super) fn removals(
        &self,
        grid: &Grid<'_>,
        jet: Jet,
        blast: &Blast,
        models: &[Model],
    ) -> Result<Vec<Removal>, JetError> {
        let pair = jet.seat * grid.stocks.len() + self.alike[jet.stock];
        // Nothing in here waits for another thread's work, so whoever waits for a flight waits for its arithmetic alone.
        let exits = self.exits[pair].get_or_init(|| blast.exits(models)).as_ref().map_err(|error| *error)?;
        let arrivals = self.arrivals[pair * RUNGS + jet.rung].get_or_init(|| blast.arrivals(models, exits));
        let arrivals = arrivals.as_ref().map_err(|error| *error)?;
        models.iter().zip(arrivals).map(|(model, &speed)| blast.removal_at(model, speed)).collect()
    }
}
