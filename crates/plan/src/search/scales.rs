//! Recipes weighed over the model's whole spread.

use super::blasts::Blasts;
use super::grid::{Grid, Jet};
use super::said::Known;
use super::{Field, Placed, placed};
use crate::blast::Blasting;
use crate::judge::reckoned;
use crate::risk::{self, Shorts, surely_stopped};
use piece::Money;
use quantity::Quantity as _;
use std::sync::{Arc, OnceLock};
use stencil::choice::{Fit, wear};

/// What weighing shares between recipes.
pub(super) struct Scales<'s, 'a> {
    field: Field<'a>,
    grid: &'s Grid<'a>,
    known: &'s Known,
    /// Which layers stay short, under each set of constants.
    pub shorts: Shorts,
    blasts: Blasts<'s, 'a>,
    /// What each resist stands of each blast, by the blast's place and then the resist's.
    stood: Vec<OnceLock<Vec<f64>>>,
}

/// What was weighed so far and no other beats, in time, cost and samples that stop.
#[derive(Debug, Default)]
pub(super) struct Best(Vec<(f64, Money, usize)>);

impl Best {
    pub(super) fn add(&mut self, placed: &Placed) {
        let (time, cost, stopped) = (placed.choice.time.to_base(), placed.choice.cost, placed.stopped);
        if !self.beats(time, cost, stopped) {
            self.0.retain(|known| !(time <= known.0 && cost <= known.1 && stopped <= known.2));
            self.0.push((time, cost, stopped));
        }
    }

    /// Whether one of them is no worse in all, and better in time or cost.
    pub(super) fn beats(&self, time: f64, cost: Money, stopped: usize) -> bool {
        let no_worse = |known: &&(f64, Money, usize)| known.0 <= time && known.1 <= cost && known.2 <= stopped;
        self.0.iter().filter(no_worse).any(|known| known.0 < time || known.1 < cost)
    }
}

impl<'s, 'a> Scales<'s, 'a> {
    pub(super) fn new(field: Field<'a>, grid: &'s Grid<'a>, known: &'s Known) -> Self {
        let blasts = Blasts::over_spread(field, grid);
        let shorts = Shorts::new(field.sketch, blasts.drawn.iter().map(|drawn| drawn.models.as_slice()));
        let stood = (0..grid.single_count() * grid.resists.len()).map(|_| OnceLock::new()).collect();
        Self { known, shorts, blasts, field, grid, stood }
    }

    /// A recipe over the spread; `None` where something stops it after all, or where it cannot be on the front because
    /// one of the `best` beats it however few of its samples stop.
    pub(super) fn weighed(&self, at: usize, time: f64, cost: Money, best: &Best) -> Option<Placed> {
        let at_work = self.blasts.at_work(self.grid.jet_of(at))?;
        let case = self.field.case(self.grid.recipe(at));
        let stood = |stock: usize, blasting: &Blasting| -> &[f64] {
            let jet = Jet { stock, ..self.grid.jets[self.grid.jet_of(at)] };
            let place = self.grid.single(jet) * self.grid.resists.len() + self.grid.resist_of(at);
            self.stood[place].get_or_init(|| risk::stood(&case, blasting))
        };
        let jet = self.grid.jets[self.grid.jet_of(at)];
        let first = stood(jet.stock, &at_work.blasting);
        let last = jet.finish.zip(at_work.finishing.as_ref());
        let last = last.map_or(first, |((last, _), own)| stood(last, &own.blasting));
        if best.beats(time, cost, surely_stopped(&case, &at_work, self.field.stages, [first, last], &self.shorts)) {
            return None;
        }
        let judged = reckoned(&case, Arc::clone(&at_work), Arc::clone(self.field.stages)).ok()?;
        // Most of those that are left out wear through.
        if wear(judged.wear.used).fit == Fit::Fails {
            return None;
        }
        let said = self.known.said(
            self.grid,
            at,
            &case,
            &judged,
            &mut self.known.of_jet(&case, &at_work, self.field.stages),
        )?;
        said.stops.is_empty().then(|| placed(at, &case, &judged, said, cost, &self.shorts))?
    }
}
