//! Recipes weighed over the model's whole spread.

use super::flights::Flights;
use super::grid::{Grid, Jet};
use super::said::{Known, OfJet};
use super::{Field, Placed, placed};
use crate::at_work::{AtWork, Finishing};
use crate::blast::{Blasting, Supply, removed};
use crate::calibration::Drawn;
use crate::judge::reckoned;
use crate::model::Recipe;
use crate::refusal::Refusal;
use crate::risk::Shorts;
use piece::Money;
use std::sync::{Arc, OnceLock};
use stencil::choice::{Fit, wear};

/// What weighing shares between recipes.
pub(super) struct Scales<'s, 'a> {
    field: Field<'a>,
    grid: &'s Grid<'a>,
    known: Known,
    /// Which layers stay short, under each set of constants.
    pub shorts: Shorts,
    /// What the belief has drawn for each stock.
    drawn: Vec<Arc<Drawn>>,
    flights: Flights,
    /// Each jet over the spread, once it is asked for.
    jets: Vec<OnceLock<Option<Arc<AtWork>>>>,
}

impl<'s, 'a> Scales<'s, 'a> {
    pub(super) fn new(field: Field<'a>, grid: &'s Grid<'a>) -> Self {
        let material = field.piece.blank.material;
        let drawn: Vec<_> = grid.stocks.iter().map(|stock| field.belief.drawn((material, stock.abrasive))).collect();
        Self {
            known: Known::new(&field, grid),
            shorts: Shorts::new(field.sketch, drawn.iter().map(|drawn| drawn.models.as_slice())),
            flights: Flights::new(grid, &drawn),
            jets: grid.jets.iter().map(|_| OnceLock::new()).collect(),
            drawn,
            field,
            grid,
        }
    }

    /// A recipe over the spread; `None` where something stops it after all.
    pub(super) fn weighed(&self, at: usize, cost: Money) -> Option<Placed> {
        let jet = self.grid.jet_of(at);
        let at_work = self.jets[jet].get_or_init(|| self.at_work(jet).ok().map(Arc::new)).clone()?;
        let case = self.field.case(self.grid.recipe(at));
        let judged = reckoned(&case, Arc::clone(&at_work)).ok()?;
        // Most of those that are left out wear through.
        if wear(judged.wear.used).fit == Fit::Fails {
            return None;
        }
        let said = self.known.said(self.grid, at, &case, &judged, &mut OfJet::new(&case, &at_work).ok()?);
        said.stops.is_empty().then(|| placed(at, &case, &judged, said, cost, &self.shorts))?
    }

    fn at_work(&self, jet: usize) -> Result<AtWork, Refusal> {
        let at = self.grid.jets[jet];
        let (supply, hold) = self.grid.supply(jet).ok_or(Refusal::NoNozzle)?;
        let recipe = self.grid.recipe(self.grid.place(jet, 0));
        let finishing = |(stock, stages): (usize, usize)| {
            Ok::<_, Refusal>(Finishing { blasting: self.blasting(supply, &recipe, Jet { stock, ..at })?, stages })
        };
        let finishing = at.finish.map(finishing).transpose()?;
        Ok(AtWork { blasting: self.blasting(supply, &recipe, at)?, finishing, hold: hold.clone() })
    }

    fn blasting(&self, supply: &Supply, recipe: &Recipe, jet: Jet) -> Result<Blasting, Refusal> {
        let Field { piece, shop, .. } = self.field;
        let (stock, drawn) = (self.grid.stocks[jet.stock], &self.drawn[jet.stock]);
        let material = piece.blank.material;
        let blast = supply.blast(&recipe.nozzle, recipe.standoff, stock.abrasive, stock.grit, material, shop)?;
        let removals = self.flights.removals(self.grid, jet, &blast, &drawn.models)?;
        let samples = removed(&drawn.models, removals);
        Blasting::of(&blast, blast.removal(&drawn.middle)?, samples, drawn, supply, shop)
    }
}
