//! Everything that a shop can blast a piece with, as one list of recipes.

use crate::at_work::{Supplied, Supplies};
use crate::model::Recipe;
use crate::recipe::{self, FAR, NEAR, STILL, WIDE_BORE_MM};
use crate::refusal::Refusal;
use piece::{Piece, Shop, ShopNozzle, StockedAbrasive};
use quantity::{GaugePressure, Length, Quantity as _, UnitSystem, known};
use rayon::prelude::*;
use reference::Resist;
use std::sync::Arc;

/// Pressures that are tried, as a regulator's gauge is read. Common practice, no source.
const BARS: [GaugePressure; 8] = [
    known(GaugePressure::bar(1.0)),
    known(GaugePressure::bar(1.5)),
    known(GaugePressure::bar(2.0)),
    known(GaugePressure::bar(2.5)),
    known(GaugePressure::bar(3.0)),
    known(GaugePressure::bar(3.5)),
    known(GaugePressure::bar(4.0)),
    known(GaugePressure::bar(5.0)),
];
const PSI: [GaugePressure; 8] = [
    known(GaugePressure::psi(15.0)),
    known(GaugePressure::psi(20.0)),
    known(GaugePressure::psi(25.0)),
    known(GaugePressure::psi(30.0)),
    known(GaugePressure::psi(40.0)),
    known(GaugePressure::psi(50.0)),
    known(GaugePressure::psi(60.0)),
    known(GaugePressure::psi(70.0)),
];

/// Standoffs that are tried, as shares of the bore's usual one. Nearer, stripes show. Common practice, no source.
const STANDOFFS: [f64; 3] = [2.0 / 3.0, 1.0, 4.0 / 3.0];

/// The recipes: for each blast every resist.
pub(crate) struct Grid<'a> {
    pub resists: Vec<&'static Resist>,
    pub stocks: Vec<&'a StockedAbrasive>,
    pub jets: Vec<Jet>,
    /// Each nozzle at each pressure.
    seats: Vec<Seat<'a>>,
}

/// A nozzle at a pressure, with what the air does there; `None` when no air can flow.
struct Seat<'a> {
    nozzle: &'a ShopNozzle,
    pressure: GaugePressure,
    supply: Option<Arc<Supplied>>,
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
    standoff: Length,
}

/// Standoffs that are tried with a nozzle, at most.
pub(super) const RUNGS: usize = STANDOFFS.len();

impl<'a> Grid<'a> {
    /// What the piece leaves open, of what the shop owns.
    ///
    /// # Errors
    /// [`Refusal`] when no abrasive of the shop is accepted.
    pub(crate) fn new(piece: &Piece, shop: &'a Shop, supplies: &Supplies) -> Result<Self, Refusal> {
        let open = &piece.recipe;
        let mut resists: Vec<&'static Resist> = Vec::new();
        for stock in shop.resists.iter().filter(|stock| open.resist.is_none_or(|given| given.id == stock.resist.id)) {
            if resists.iter().all(|known| known.id != stock.resist.id) {
                resists.push(stock.resist);
            }
        }
        let stocks = recipe::abrasives(piece, shop)?;
        let pressures = open.pressure.map_or_else(|| ladder(shop.units).to_vec(), |given| vec![given]);
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
            let standoffs = open.standoff.map_or_else(|| standoffs(at.nozzle).to_vec(), |given| vec![given]);
            for stock in 0..stocks.len() {
                let rungs = standoffs.iter().enumerate();
                jets.extend(rungs.map(|(rung, &standoff)| Jet { seat, stock, rung, standoff }));
            }
        }
        Ok(Self { resists, stocks, jets, seats })
    }

    /// How many nozzles at how many pressures.
    pub(crate) fn seat_count(&self) -> usize {
        self.seats.len()
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
            nozzle: seat.nozzle.clone(),
            pressure: seat.pressure,
            standoff: jet.standoff,
            grain_speed: STILL,
        }
    }
}

pub(super) const fn ladder(units: UnitSystem) -> [GaugePressure; 8] {
    match units {
        UnitSystem::Metric => BARS,
        UnitSystem::Us => PSI,
    }
}

pub(super) fn standoffs(nozzle: &ShopNozzle) -> [Length; 3] {
    let usual = if nozzle.bore.to_mm() < WIDE_BORE_MM { NEAR } else { FAR };
    STANDOFFS.map(|share| Length::clamped(share * usual.to_base()))
}
