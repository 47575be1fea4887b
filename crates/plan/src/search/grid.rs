//! Everything that a shop can blast a piece with, as one list of recipes.

use crate::at_work::{Supplied, Supplies};
use crate::judge;
use crate::model::Recipe;
use crate::recipe::{self, STILL};
use crate::refusal::Refusal;
use crate::sketch::Sketch;
use crate::usual::Usual;
use piece::{Finish, Piece, Shop, ShopNozzle, StockedAbrasive};
use quantity::{GaugePressure, Length};
use rayon::prelude::*;
use reference::Resist;
use std::sync::Arc;

/// Standoffs that are tried with a nozzle, at most.
pub(super) const RUNGS: usize = 3;

/// The recipes: for each blast every resist.
pub(crate) struct Grid<'a> {
    pub resists: Vec<&'static Resist>,
    pub stocks: Vec<&'a StockedAbrasive>,
    pub jets: Vec<Jet>,
    /// Each nozzle at each pressure.
    pub seats: Vec<Seat<'a>>,
}

/// A nozzle at a pressure, with what the air does there; `None` when no air can flow.
pub(crate) struct Seat<'a> {
    pub nozzle: &'a ShopNozzle,
    pub pressure: GaugePressure,
    pub supply: Option<Arc<Supplied>>,
}

/// A blast, whatever the resist.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Jet {
    /// Its nozzle at its pressure, as a place among all of them.
    pub seat: usize,
    /// Its abrasive, as a place in the stock.
    pub stock: usize,
    /// Its standoff, as a place among those that are tried.
    pub rung: usize,
    /// The abrasive of the last stages where they have their own, as a place in the stock, and how many those are.
    pub finish: Option<(usize, usize)>,
    pub standoff: Length,
}

impl<'a> Grid<'a> {
    /// What the piece leaves open, of what the shop owns.
    ///
    /// # Errors
    /// [`Refusal`] when no abrasive of the shop is accepted.
    pub(crate) fn new(piece: &Piece, shop: &'a Shop, supplies: &Supplies, sketch: &Sketch) -> Result<Self, Refusal> {
        let (open, usual) = (&piece.recipe, Usual::of(shop));
        let mut resists: Vec<&'static Resist> = Vec::new();
        for stock in shop.resists.iter().filter(|stock| open.resist.is_none_or(|given| given.id == stock.resist.id)) {
            if resists.iter().all(|known| known.id != stock.resist.id) {
                resists.push(stock.resist);
            }
        }
        let (stocks, abrasives) = abrasives(piece, shop, judge::stages(sketch)?.len())?;
        let pressures = open.pressure.map_or_else(|| usual.pressures.to_vec(), |given| vec![given]);
        let suits = |nozzle: &&ShopNozzle| open.nozzle.as_ref().is_none_or(|given| *given == nozzle.name);
        let nozzles: Vec<&ShopNozzle> = shop.nozzles.iter().filter(suits).collect();
        let pairs: Vec<_> =
            nozzles.iter().flat_map(|&nozzle| pressures.iter().map(move |&set| (nozzle, set))).collect();
        let seats: Vec<Seat<'_>> = pairs
            .into_par_iter()
            .map(|(nozzle, pressure)| Seat { nozzle, pressure, supply: supplies.of(nozzle, pressure, shop).ok() })
            .collect();
        let mut jets = Vec::new();
        for (seat, at) in seats.iter().enumerate() {
            let standoffs = open.standoff.map_or_else(|| usual.standoffs(at.nozzle).to_vec(), |given| vec![given]);
            for &(stock, finish) in &abrasives {
                let rungs = standoffs.iter().enumerate();
                jets.extend(rungs.map(|(rung, &standoff)| Jet { seat, stock, rung, finish, standoff }));
            }
        }
        Ok(Self { resists, stocks, jets, seats })
    }

    /// How many nozzles at how many pressures.
    pub(crate) fn seat_count(&self) -> usize {
        self.seats.len()
    }

    /// How many jets there could be with one abrasive.
    pub(crate) fn single_count(&self) -> usize {
        self.seats.len() * self.stocks.len() * RUNGS
    }

    /// The place of a jet's own abrasive among those.
    pub(crate) fn single(&self, jet: Jet) -> usize {
        (jet.seat * self.stocks.len() + jet.stock) * RUNGS + jet.rung
    }

    pub(crate) fn len(&self) -> usize {
        self.jets.len() * self.resists.len()
    }

    pub(crate) fn place(&self, jet: usize, resist: usize) -> usize {
        jet * self.resists.len() + resist
    }

    pub(crate) fn jet_of(&self, at: usize) -> usize {
        at / self.resists.len()
    }

    pub(crate) fn resist_of(&self, at: usize) -> usize {
        at % self.resists.len()
    }

    pub(crate) fn supply(&self, jet: usize) -> Option<&Supplied> {
        self.seats[self.jets[jet].seat].supply.as_deref()
    }

    pub(crate) fn recipe(&self, at: usize) -> Recipe {
        let jet = self.jets[self.jet_of(at)];
        let (seat, stock) = (&self.seats[jet.seat], self.stocks[jet.stock]);
        Recipe {
            resist: self.resists[self.resist_of(at)],
            abrasive: stock.abrasive,
            grit: stock.grit,
            finish: jet.finish.map(|(at, stages)| {
                let own = self.stocks[at];
                Finish { abrasive: own.abrasive, grit: own.grit, stages }
            }),
            nozzle: seat.nozzle.clone(),
            pressure: seat.pressure,
            standoff: jet.standoff,
            grain_speed: STILL,
        }
    }
}

/// An abrasive, as a place in the stock, with that of the last stages.
type Abrasives = (usize, Option<(usize, usize)>);

/// The stock, and what of it is tried: each abrasive for all stages; where the piece leaves it open, also each with a
/// finer one from some stage on. A coarser one at the end would take longer and spoil the ground.
fn abrasives<'a>(
    piece: &Piece,
    shop: &'a Shop,
    stages: usize,
) -> Result<(Vec<&'a StockedAbrasive>, Vec<Abrasives>), Refusal> {
    let mut stocks = recipe::abrasives(piece, shop)?;
    let firsts = 0..stocks.len();
    if let Some(finish) = piece.recipe.finish {
        let of_finish =
            |stock: &&StockedAbrasive| stock.abrasive.id == finish.abrasive.id && stock.grit.name == finish.grit.name;
        let at = stocks.iter().position(&of_finish).unwrap_or_else(|| {
            stocks.extend(shop.abrasives.iter().find(of_finish));
            stocks.len() - 1
        });
        let tried = firsts.map(|first| (first, Some((at, finish.stages)))).collect();
        return Ok((stocks, tried));
    }
    let mut tried: Vec<Abrasives> = firsts.clone().map(|first| (first, None)).collect();
    if piece.recipe.abrasive.is_none() && piece.recipe.grit.is_none() {
        let size = |at: usize| stocks[at].grit.d50.value.mid();
        for first in firsts.clone() {
            let finer = firsts.clone().filter(|&last| size(last) < size(first));
            tried.extend(finer.flat_map(|last| (1..stages).map(move |own| (first, Some((last, own))))));
        }
    }
    Ok((stocks, tried))
}
