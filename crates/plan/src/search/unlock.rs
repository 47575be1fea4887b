//! When no recipe of the shop holds: the smallest changes of piece or shop with which some do.
//!
//! The recipes that come nearest, one for each set of checks that stops them, are solved for changes that leave no stop:
//! alone, or two or three together. For each answer it is counted how many recipes of the changed shop then hold.

use super::grid::Grid;
use super::said::Known;
use super::{Choice, Field, Options, Tried};
use crate::blast::Spreading;
use crate::calibration::Belief;
use crate::change::set_the_same;
use crate::finding::{Change, Check, Outlay};
use crate::judge::{self, judge};
use crate::remedy::{Buying, Goal, Node, solve};
use piece::Money;
use quantity::Quantity as _;
use rayon::prelude::*;
use rust_decimal::Decimal;
use std::cmp::Ordering;
use std::sync::Arc;

/// Changes with which recipes hold.
#[derive(Debug, Clone)]
pub struct Unlock {
    /// What is changed or bought; empty when a setting between those that were tried is enough.
    pub changes: Vec<Change>,
    /// The largest kind of outlay among them.
    pub outlay: Outlay,
    /// What they cost, where somebody told all their prices.
    pub price: Option<Money>,
    /// Recipes that then hold, at the middle of the model.
    pub recipes: usize,
    /// Of so many that were judged.
    pub of: usize,
    /// A recipe that then holds over the whole spread.
    pub best: Choice,
}

impl Unlock {
    /// Share of the recipes that hold.
    fn share(&self) -> f64 {
        self.recipes as f64 / self.of.max(1) as f64
    }

    /// Price for each recipe that then holds.
    fn price_each(&self) -> Option<Decimal> {
        self.price.map(|price| price.0 / Decimal::from(self.recipes.max(1)))
    }
}

/// Recipes that are solved for.
const NEAREST: usize = 6;
/// Answers that are kept.
const MOST: usize = 8;
/// Recipes of a changed shop that are judged: more are passed over at even strides.
const COUNTED: usize = 3000;

/// The unlocks, the smallest first: by kind of outlay; among those of a kind by price for each recipe unlocked where
/// prices were told, else by how many recipes they unlock; then by time.
pub(super) fn unlocks(field: &Field<'_>, grid: &Grid<'_>, tried: &[Tried], options: &Options<'_>) -> Vec<Unlock> {
    let found: Vec<Vec<Node<'_>>> = nearest(tried).into_par_iter().map(|at| solved(field, grid.recipe(at))).collect();
    let mut nodes: Vec<Node<'_>> = Vec::new();
    for node in found.into_iter().flatten() {
        let same = |known: &Node<'_>| lasting(&known.changes) == lasting(&node.changes);
        match nodes.iter_mut().find(|known| same(known)) {
            Some(known) if node.judged.total() < known.judged.total() => *known = node,
            Some(_) => {}
            None => nodes.push(node),
        }
    }
    let size = |node: &Node<'_>| (outlay(&lasting(&node.changes)), lasting(&node.changes).len());
    nodes.sort_by_key(size);
    nodes.truncate(2 * MOST);
    let mut unlocks: Vec<Unlock> = nodes.iter().filter_map(|node| unlock(field, node, options)).collect();
    unlocks.sort_by(rank);
    let mut kept: Vec<Unlock> = Vec::new();
    for unlock in unlocks {
        // One that does all that another does, and more, is not small.
        if !kept.iter().any(|other| includes(&unlock.changes, &other.changes)) {
            kept.push(unlock);
        }
    }
    kept.truncate(MOST);
    kept
}

/// Whether changes set all that some others set.
fn includes(changes: &[Change], others: &[Change]) -> bool {
    others.iter().all(|other| changes.iter().any(|change| set_the_same(change, other)))
}

/// Of each set of stops the recipe that is to be watched least and takes the least time; the fewest stops first.
fn nearest(tried: &[Tried]) -> Vec<usize> {
    let mut kept: Vec<(Vec<Check>, &Tried)> = Vec::new();
    for one in tried.iter().filter(|one| !one.holds()) {
        let stops: Vec<Check> = one.stops.iter().cloned().chain(one.worn.then_some(Check::ResistWear)).collect();
        let better = |other: &Tried| (one.watched, one.time.to_base()) < (other.watched, other.time.to_base());
        match kept.iter_mut().find(|(known, _)| *known == stops) {
            Some((_, best)) if better(best) => *best = one,
            Some(_) => {}
            None => kept.push((stops, one)),
        }
    }
    kept.sort_by_key(|(stops, _)| stops.len());
    kept.into_iter().take(NEAREST).map(|(_, one)| one.at).collect()
}

/// Changes with which a recipe holds, looked for at the middle and kept where they hold over the spread.
fn solved<'a>(field: &Field<'a>, recipe: crate::model::Recipe) -> Vec<Node<'a>> {
    let case = field.case(recipe);
    let Ok(judged) = judge(&case, Spreading::Middle) else { return Vec::new() };
    let start = Node { changes: Vec::new(), case, judged, spreading: Spreading::Middle };
    let goal = Goal::nothing_stops();
    let reached = solve(&start, &goal, 3, Buying::Always).reached.into_iter();
    let whole = reached.filter_map(|node| {
        let judged = judge(&node.case, Spreading::Whole).ok()?;
        goal.is_reached(&judged).then_some(Node { judged, spreading: Spreading::Whole, ..node })
    });
    whole.collect()
}

/// Changes that stay when the recipe is chosen anew.
fn lasting(changes: &[Change]) -> Vec<&Change> {
    let of_the_recipe = |change: &&Change| {
        matches!(
            change,
            Change::Pressure(_)
                | Change::Standoff(_)
                | Change::Nozzle(_)
                | Change::Resist(_)
                | Change::Abrasive(..)
                | Change::Finish(..)
        )
    };
    changes.iter().filter(|change| !of_the_recipe(change)).collect()
}

fn outlay(changes: &[&Change]) -> Outlay {
    changes.iter().map(|change| change.outlay()).max().unwrap_or(Outlay::Nothing)
}

fn unlock(field: &Field<'_>, node: &Node<'_>, options: &Options<'_>) -> Option<Unlock> {
    let (piece, shop, sketch) = (&*node.case.piece, &*node.case.shop, &*node.case.sketch);
    let belief = Arc::new(Belief::of(shop, piece.blank.material).ok()?);
    let supplies = Arc::default();
    let stages = judge::stages(sketch).ok()?;
    let changed = Field { piece, shop, sketch, stages: &stages, belief: &belief, supplies: &supplies };
    let mut grid = Grid::new(field.piece, shop, &supplies, sketch).ok()?;
    let stride = grid.len().div_ceil(COUNTED).max(1);
    grid.jets = grid.jets.into_iter().step_by(stride).collect();
    let known = Known::new(&changed, &grid);
    let tried = changed.tried(&grid, &known, &super::Watch::default());
    let changes: Vec<Change> = lasting(&node.changes).into_iter().cloned().collect();
    let prices: Option<Vec<Money>> = changes
        .iter()
        .map(|change| if change.outlay() == Outlay::Nothing { Some(Money::ZERO) } else { (options.prices)(change) })
        .collect();
    Some(Unlock {
        outlay: outlay(&changes.iter().collect::<Vec<_>>()),
        price: prices.map(|prices| prices.into_iter().sum()),
        recipes: tried.iter().filter(|one| one.holds()).count(),
        of: tried.len(),
        best: changed.choice(node.case.recipe.clone())?,
        changes,
    })
}

fn rank(a: &Unlock, b: &Unlock) -> Ordering {
    let by_worth = match (a.price_each(), b.price_each()) {
        (Some(a), Some(b)) => a.cmp(&b),
        _ => b.share().total_cmp(&a.share()),
    };
    let by_time = a.best.time.to_base().total_cmp(&b.best.time.to_base());
    a.outlay.cmp(&b.outlay).then(a.changes.len().cmp(&b.changes.len())).then(by_worth).then(by_time)
}
