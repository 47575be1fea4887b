//! Blasts of a search, each computed once for all recipes that share it.

use super::Field;
use super::flights::Flights;
use super::grid::{Grid, Jet};
use crate::at_work::{AtWork, Finishing};
use crate::blast::{Blasting, removed};
use crate::calibration::Drawn;
use std::sync::{Arc, OnceLock};

/// Blasts at the middle of the model, or over its spread.
pub(super) struct Blasts<'s, 'a> {
    field: Field<'a>,
    grid: &'s Grid<'a>,
    /// What the belief has drawn for each stock.
    pub drawn: Vec<Arc<Drawn>>,
    /// Over the spread: the speeds of grains.
    flights: Option<Flights>,
    /// By the place of a jet that has one abrasive.
    each: Vec<OnceLock<Option<Arc<Blasting>>>>,
}

impl<'s, 'a> Blasts<'s, 'a> {
    pub(super) fn at_middle(field: Field<'a>, grid: &'s Grid<'a>) -> Self {
        let material = field.piece.blank.material;
        let drawn = grid.stocks.iter().map(|stock| field.belief.drawn((material, stock.abrasive))).collect();
        let each = (0..grid.single_count()).map(|_| OnceLock::new()).collect();
        Self { field, grid, drawn, flights: None, each }
    }

    pub(super) fn over_spread(field: Field<'a>, grid: &'s Grid<'a>) -> Self {
        let middle = Self::at_middle(field, grid);
        Self { flights: Some(Flights::new(grid, &middle.drawn)), ..middle }
    }

    /// A jet at work; `None` where its blast cannot be computed.
    pub(super) fn at_work(&self, jet: usize) -> Option<Arc<AtWork>> {
        let at = self.grid.jets[jet];
        let (_, hold) = self.grid.supply(jet)?;
        let blasting = self.blasting(at)?;
        let finishing = match at.finish {
            Some((stock, stages)) => Some(Finishing { blasting: self.blasting(Jet { stock, ..at })?, stages }),
            None => None,
        };
        Some(Arc::new(AtWork { blasting, finishing, hold: hold.clone() }))
    }

    /// The blast of a jet's own abrasive.
    fn blasting(&self, jet: Jet) -> Option<Arc<Blasting>> {
        self.each[self.grid.single(jet)].get_or_init(|| self.computed(jet).map(Arc::new)).clone()
    }

    fn computed(&self, jet: Jet) -> Option<Blasting> {
        let Field { piece, shop, .. } = self.field;
        let (seat, stock, drawn) = (&self.grid.seats[jet.seat], self.grid.stocks[jet.stock], &self.drawn[jet.stock]);
        let (supply, _) = seat.supply.as_deref()?;
        let material = piece.blank.material;
        let blast = supply.blast(seat.nozzle, jet.standoff, stock.abrasive, stock.grit, material, shop).ok()?;
        let middle = blast.removal(&drawn.middle).ok()?;
        let samples = match &self.flights {
            None => vec![(drawn.middle, middle)],
            Some(flights) => removed(&drawn.models, flights.removals(self.grid, jet, &blast, &drawn.models).ok()?),
        };
        Blasting::of(&blast, middle, samples, drawn, supply, shop).ok()
    }
}
