//! Every recipe of a shop on a piece: the trade-off of time, cost and risk, and what to buy when none holds.
//!
//! * `grid`: resists, abrasives and grits, nozzles, a ladder of pressures and of standoffs, as one list.
//! * `said`: what the checks say, each asked once for all recipes that share what it hangs on; `flights`: the speeds of
//!   grains likewise.
//! * Here: each recipe is judged at the middle of the model; those that nothing stops are weighed over its whole spread,
//!   the quickest first. One that takes no less time and no less money than another whose risk is the least that any
//!   can have is on no front, and is not weighed: that leaves the front exact.
//! * `front`: what no other beats in all three, and the few of it that are worth choosing between.
//! * `unlock`: when none holds, the smallest changes with which some do.
//!
//! The same input gives the same answer, however many threads work on it. The search can be cancelled at any time; it
//! then answers from what was tried. [`words`](crate::search_words) says it, [`document`](crate::search_document) is
//! for programs.

mod blasts;
mod flights;
mod front;
mod grid;
mod said;
mod scales;
#[cfg(test)]
mod tests;
mod unlock;

pub use front::Role;
pub use unlock::Unlock;

use crate::at_work::Supplies;
use crate::blast::Spreading;
use crate::calibration::Belief;
use crate::finding::{Change, Check};
use crate::judge::{self, Case, Judged, judge, reckoned};
use crate::model::Recipe;
use crate::prepared::{Detail, Prepared};
use crate::recipe;
use crate::refusal::Refusal;
use crate::risk::{self, Shorts, risk};
use crate::sketch::Sketch;
use crate::tally;
use artwork::svg::Drawing;
use blasts::Blasts;
use carve::staging::Stage;
use cost::Terms;
use grid::Grid;
use piece::{Money, OpenRecipe, Piece, Shop};
use quantity::{Fraction, Quantity as _, Time, UnitSystem};
use rayon::prelude::*;
use said::{Known, Said};
use scales::{Best, Scales};
use std::borrow::Cow;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What is searched.
#[derive(Clone, Copy)]
pub struct Options<'a> {
    /// All that the shop owns, or only what the piece leaves open.
    pub within: Within,
    /// How finely the drawing is looked at.
    pub detail: Detail,
    /// Prices of what could be bought, where somebody knows them; the tables hold none.
    pub prices: &'a (dyn Fn(&Change) -> Option<Money> + Sync),
}

impl Default for Options<'_> {
    fn default() -> Self {
        Self { within: Within::Shop, detail: Detail::USUAL, prices: &|_| None }
    }
}

/// How much of the recipe is searched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Within {
    /// All that the shop owns, whatever the piece prescribes.
    Shop,
    /// What the piece leaves open.
    Open,
}

/// Looks on while a search runs.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    /// Whether to stop. Asked often, from several threads.
    pub cancelled: &'a (dyn Fn() -> bool + Sync),
    /// How far it is. Told now and then, from several threads.
    pub progress: &'a (dyn Fn(Progress) + Sync),
}

impl Default for Watch<'_> {
    fn default() -> Self {
        Self { cancelled: &|| false, progress: &|_| {} }
    }
}

/// How far a search is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Recipes judged.
    pub tried: usize,
    /// Of so many.
    pub of: usize,
}

/// What a search found.
#[derive(Debug, Clone)]
pub struct Search {
    /// Recipes judged.
    pub tried: usize,
    /// Recipes that there are.
    pub of: usize,
    /// Recipes that nothing stops, at the middle of the model.
    pub hold: usize,
    /// Whether all was searched; not when it was cancelled.
    pub complete: bool,
    /// Recipes that no other beats in time, cost and risk at once, the quickest first.
    pub front: Vec<Choice>,
    /// The few of them that are worth choosing between, as places in the front, each with what it is best at.
    pub few: Vec<(Role, usize)>,
    /// The recipe that the plan uses: what the piece prescribes, the rest chosen. `None` when it cannot be computed.
    pub own: Option<Choice>,
    /// When none holds: changes with which some do, the smallest first.
    pub unlocks: Vec<Unlock>,
    /// When none holds: what stops them, by how many recipes each stops, the most first.
    pub stopped_by: Vec<(Check, usize)>,
    /// ISO 4217 code of the costs.
    pub currency: String,
    /// Units that the shop reads.
    pub units: UnitSystem,
}

/// A recipe with what it comes to.
#[derive(Debug, Clone)]
pub struct Choice {
    /// What is used.
    pub recipe: Recipe,
    /// Of one piece, at the middle of the model, by the shop's rhythm: what is searched by.
    pub time: Time,
    /// Of one piece before margin, likewise.
    pub cost: Money,
    /// Both as a plan of it has them, laid on the time axis: for the few, for what the plan uses, and after an unlock.
    pub planned: Option<(Time, Money)>,
    /// Chance that something stops it: the share of the model's samples under which a check does.
    pub risk: Fraction,
    /// The same by check, the likeliest first.
    pub risks: Vec<(Check, Fraction)>,
    /// Checks that are to be watched.
    pub watched: Vec<Check>,
    /// Checks that stop it: none on a front.
    pub stops: Vec<Check>,
}

/// Searches the recipes of a shop for a piece.
///
/// Cost: one blast at the middle of the model for each nozzle, pressure, grit and standoff; 96 more for each of those
/// that may be on the front. `benches/search.rs` measures it.
///
/// # Errors
/// [`Refusal`] when the piece cannot be planned at all, whatever the recipe.
pub fn search(
    piece: &Piece,
    drawing: &Drawing,
    shop: &Shop,
    options: &Options<'_>,
    watch: &Watch<'_>,
) -> Result<Search, Refusal> {
    let prepared = Prepared::new(piece, drawing, options.detail)?;
    of_sketch(piece, &prepared.sketch, shop, options, watch)
}

/// The same on a piece in few numbers.
pub(crate) fn of_sketch(
    piece: &Piece,
    sketch: &Sketch,
    shop: &Shop,
    options: &Options<'_>,
    watch: &Watch<'_>,
) -> Result<Search, Refusal> {
    let belief = Arc::new(Belief::of(shop, piece.blank.material)?);
    let asked = match options.within {
        Within::Open => Cow::Borrowed(piece),
        Within::Shop => Cow::Owned(Piece { recipe: OpenRecipe::default(), ..piece.clone() }),
    };
    let supplies = Arc::default();
    let stages = judge::stages(sketch)?;
    let field = Field { piece: &asked, shop, sketch, stages: &stages, belief: &belief, supplies: &supplies };
    let grid = Grid::new(&asked, shop, &supplies, sketch)?;
    let known = Known::new(&field, &grid);
    let tried = field.tried(&grid, &known, watch);
    let weighed = field.weighed(&grid, &known, &tried, watch);
    let complete = weighed.complete && tried.len() == grid.len();
    let mut front = front::front(weighed.choices);
    let few = front::few(&front);
    for &(_, at) in &few {
        let choice = &mut front[at].choice;
        choice.planned = field.planned(&choice.recipe);
    }
    let none = front.is_empty() && complete;
    Ok(Search {
        tried: tried.len(),
        of: grid.len(),
        hold: tried.iter().filter(|one| one.holds()).count(),
        complete,
        few,
        own: field.own(piece),
        unlocks: if none { unlock::unlocks(&field, &grid, &tried, options) } else { Vec::new() },
        stopped_by: if none { stopped_by(&tried) } else { Vec::new() },
        front: front.into_iter().map(|placed| placed.choice).collect(),
        currency: shop.rates.currency.clone(),
        units: shop.units,
    })
}

/// What is the same for every recipe.
#[derive(Clone, Copy)]
pub(crate) struct Field<'a> {
    pub piece: &'a Piece,
    pub shop: &'a Shop,
    pub sketch: &'a Sketch,
    /// The order of the work, which no recipe changes.
    pub stages: &'a Arc<[Stage]>,
    pub belief: &'a Arc<Belief>,
    pub supplies: &'a Arc<Supplies>,
}

/// A recipe judged at the middle of the model.
#[derive(Debug, Clone)]
pub(crate) struct Tried {
    /// Its place in the grid.
    pub at: usize,
    pub time: Time,
    /// Of those that nothing certain stops.
    pub cost: Option<Money>,
    /// What stops it, wear of the resist aside: that hangs on the spread.
    pub stops: Vec<Check>,
    /// Whether the resist wears through.
    pub worn: bool,
    pub watched: usize,
}

impl Tried {
    pub(crate) fn holds(&self) -> bool {
        self.stops.is_empty() && !self.worn
    }
}

/// A recipe weighed over the whole spread.
#[derive(Debug, Clone)]
pub(crate) struct Placed {
    /// Its place in the grid: of equals the first is kept.
    pub at: usize,
    /// Samples under which something stops it.
    pub stopped: usize,
    pub choice: Choice,
}

struct Weighed {
    choices: Vec<Placed>,
    complete: bool,
}

/// Recipes that are weighed between two looks at what is sure already, to begin with and at most. Larger weighs some in
/// vain; with smaller ones the cores wait for one another.
const BATCH: usize = 32;
const BATCH_MAX: usize = 512;

/// Blasts between two tellings of the progress.
const TELL_EVERY: usize = 16;

impl<'a> Field<'a> {
    fn case(&self, recipe: Recipe) -> Case<'a> {
        Case {
            piece: Cow::Borrowed(self.piece),
            shop: Cow::Borrowed(self.shop),
            sketch: Cow::Borrowed(self.sketch),
            recipe,
            belief: Arc::clone(self.belief),
            supplies: Arc::clone(self.supplies),
        }
    }

    /// Every recipe judged at the middle, in the grid's order; those whose blast cannot be computed are stopped by
    /// the air.
    fn tried(&self, grid: &Grid<'a>, known: &Known, watch: &Watch<'_>) -> Vec<Tried> {
        let blasts = Blasts::at_middle(*self, grid);
        let terms = Terms::of(&self.shop.rates);
        let done = AtomicUsize::new(0);
        let of = grid.len();
        let blast = |jet: usize| {
            if (watch.cancelled)() {
                return Vec::new();
            }
            let tried = self.tried_at(&blasts, grid, jet, known, &terms);
            let before = done.fetch_add(1, Ordering::Relaxed);
            if before.is_multiple_of(TELL_EVERY) {
                (watch.progress)(Progress { tried: ((before + 1) * grid.resists.len()).min(of), of });
            }
            tried
        };
        (0..grid.jets.len()).into_par_iter().map(blast).collect::<Vec<_>>().concat()
    }

    fn tried_at(
        &self,
        blasts: &Blasts<'_, 'a>,
        grid: &Grid<'a>,
        jet: usize,
        known: &Known,
        terms: &Terms,
    ) -> Vec<Tried> {
        let mut case = self.case(grid.recipe(grid.place(jet, 0)));
        let at_work = blasts.at_work(jet);
        let mut worked = at_work.map(|at_work| (known.of_jet(&case, &at_work, self.stages), at_work));
        let mut one = |resist: usize| {
            let at = grid.place(jet, resist);
            case.recipe.resist = grid.resists[resist];
            let tried = worked.as_mut().and_then(|(of_jet, at_work)| {
                let judged = reckoned(&case, Arc::clone(at_work), Arc::clone(self.stages)).ok()?;
                let said = known.said(grid, at, &case, &judged, of_jet)?;
                Some(tried(at, &case, &judged, said, terms))
            });
            tried.unwrap_or_else(|| Tried {
                at,
                time: Time::clamped(0.0),
                cost: None,
                stops: vec![Check::AirHolds],
                worn: false,
                watched: 0,
            })
        };
        (0..grid.resists.len()).map(&mut one).collect()
    }

    /// Those that nothing stops, weighed over the spread, but for those that cannot be on the front.
    fn weighed(&self, grid: &Grid<'a>, known: &Known, tried: &[Tried], watch: &Watch<'_>) -> Weighed {
        let mut candidates: Vec<(&Tried, Money)> =
            tried.iter().filter(|one| one.stops.is_empty()).filter_map(|one| Some((one, one.cost?))).collect();
        candidates.sort_by(|(a, a_cost), (b, b_cost)| {
            a.time.to_seconds().total_cmp(&b.time.to_seconds()).then(a_cost.cmp(b_cost)).then(a.at.cmp(&b.at))
        });
        let scales = Scales::new(*self, grid, known);
        let (mut choices, mut best): (Vec<Placed>, Best) = Default::default();
        let least = scales.shorts.least();
        let mut complete = true;
        let (mut rest, mut batch) = (candidates.as_slice(), BATCH);
        while !rest.is_empty() {
            // What is known then of the quickest is an answer already.
            if (watch.cancelled)() && !choices.is_empty() {
                complete = false;
                break;
            }
            let (some, after) = rest.split_at(batch.min(rest.len()));
            let may = |(one, cost): &&(&Tried, Money)| !best.beats(one.time.to_base(), *cost, least);
            let weighed: Vec<Option<Placed>> = some
                .par_iter()
                .filter(may)
                .map(|(one, cost)| scales.weighed(one.at, one.time.to_base(), *cost, &best))
                .collect();
            for placed in weighed.into_iter().flatten() {
                best.add(&placed);
                choices.push(placed);
            }
            (rest, batch) = (after, (2 * batch).min(BATCH_MAX));
        }
        Weighed { choices, complete: complete && !(watch.cancelled)() }
    }

    /// The recipe that the plan uses.
    fn own(&self, piece: &Piece) -> Option<Choice> {
        let recipe = recipe::choose(piece, self.shop, self.sketch, self.belief).ok()?;
        self.choice(recipe)
    }

    /// A recipe weighed by itself.
    fn choice(&self, recipe: Recipe) -> Option<Choice> {
        let case = self.case(recipe);
        let judged = judge(&case, Spreading::Whole).ok()?;
        let models: Vec<_> = judged.at_work.blasting.samples.iter().map(|(model, _)| *model).collect();
        let shorts = Shorts::new(self.sketch, std::iter::once(models.as_slice()));
        let said = Said::of(judged.findings.iter().cloned());
        let choice = placed(0, &case, &judged, said, tally::cost(&case, &judged)?, &shorts)?.choice;
        Some(Choice { planned: tally::exact(&case, &judged), ..choice })
    }

    fn planned(&self, recipe: &Recipe) -> Option<(Time, Money)> {
        let case = self.case(recipe.clone());
        let judged = judge(&case, Spreading::Middle).ok()?;
        tally::exact(&case, &judged)
    }
}

fn tried(at: usize, case: &Case<'_>, judged: &Judged, said: Said, terms: &Terms) -> Tried {
    let watched = said.watched.len();
    let mut stops = said.stops;
    let all = stops.len();
    stops.retain(|check| *check != Check::ResistWear);
    let worn = stops.len() < all;
    let cost = if stops.is_empty() { tally::cost_by(terms, case, judged) } else { None };
    Tried { at, time: judged.total(), cost, stops, worn, watched }
}

fn placed(at: usize, case: &Case<'_>, judged: &Judged, said: Said, cost: Money, shorts: &Shorts) -> Option<Placed> {
    let risk = risk(case, judged, shorts);
    let grain_speed = judged.at_work.blasting.grain_speed().ok()?;
    let choice = Choice {
        recipe: Recipe { grain_speed, ..case.recipe.clone() },
        time: judged.total(),
        cost,
        planned: None,
        risk: risk.share(),
        risks: risk.by.iter().map(|(check, count)| (check.clone(), risk::share(*count, risk.of))).collect(),
        watched: said.watched,
        stops: said.stops,
    };
    Some(Placed { at, stopped: risk.stopped, choice })
}

/// How many recipes each check stops, the most first.
fn stopped_by(tried: &[Tried]) -> Vec<(Check, usize)> {
    let mut counts: Vec<(Check, usize)> = Vec::new();
    let worn = Check::ResistWear;
    for check in tried.iter().flat_map(|one| one.stops.iter().chain(one.worn.then_some(&worn))) {
        match counts.iter_mut().find(|(known, _)| known == check) {
            Some((_, count)) => *count += 1,
            None => counts.push((check.clone(), 1)),
        }
    }
    counts.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    counts
}
