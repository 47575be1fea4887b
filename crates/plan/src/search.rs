//! Every recipe of a shop on a piece: the trade-off of time, cost and risk, and what to buy when none holds.
//!
//! * `grid`: resists, abrasives and grits, nozzles, a ladder of pressures and of standoffs, as one list.
//! * Here: each recipe is judged at the middle of the model; those that nothing stops are weighed over its whole spread,
//!   the quickest first. One that takes no less time and no less money than another whose risk is the least that any
//!   can have is on no front, and is not weighed: that leaves the front exact.
//! * `front`: what no other beats in all three, and the few of it that are worth choosing between.
//! * `unlock`: when none holds, the smallest changes with which some do.
//!
//! The same input gives the same answer, however many threads work on it. The search can be cancelled at any time; it
//! then answers from what was tried. [`words`](crate::search_words) says it, [`document`](crate::search_document) is
//! for programs.

mod front;
mod grid;
#[cfg(test)]
mod tests;
mod unlock;

pub use front::Role;
pub use unlock::Unlock;

use crate::at_work::{AtWork, Supplies};
use crate::blast::Spreading;
use crate::calibration::Belief;
use crate::finding::{Change, Check, State};
use crate::judge::{Case, Judged, judge, judge_at_work};
use crate::model::Recipe;
use crate::prepared::{Detail, Prepared};
use crate::recipe;
use crate::refusal::Refusal;
use crate::risk::{self, Shorts, risk};
use crate::sketch::Sketch;
use crate::tally;
use artwork::svg::Drawing;
use grid::Grid;
use piece::{Money, OpenRecipe, Piece, Shop};
use quantity::{Fraction, Quantity as _, Time, UnitSystem};
use rayon::prelude::*;
use std::borrow::Cow;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

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
    /// Of one piece, at the middle of the model, by the shop's rhythm; a plan lays it on the time axis exactly.
    pub time: Time,
    /// Of one piece before margin, likewise.
    pub cost: Money,
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
/// Cost: about 50 µs a recipe and 2.5 ms for each blast that is weighed over the spread, over all cores.
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
    let field = Field { piece: &asked, shop, sketch, belief: &belief, supplies: &supplies };
    let grid = Grid::new(&asked, shop, &supplies)?;
    let tried = field.tried(&grid, watch);
    let weighed = field.weighed(&grid, &tried, watch);
    let complete = weighed.complete && tried.len() == grid.len();
    let front = front::front(weighed.choices);
    let none = front.is_empty() && complete;
    Ok(Search {
        tried: tried.len(),
        of: grid.len(),
        hold: tried.iter().filter(|one| one.holds()).count(),
        complete,
        few: front::few(&front),
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

/// Recipes that are weighed between two looks at what is sure already. Larger weighs some in vain.
const BATCH: usize = 32;

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
    fn tried(&self, grid: &Grid<'a>, watch: &Watch<'_>) -> Vec<Tried> {
        let done = AtomicUsize::new(0);
        let of = grid.len();
        let blast = |jet: usize| {
            if (watch.cancelled)() {
                return Vec::new();
            }
            let tried = self.tried_at(grid, jet);
            let before = done.fetch_add(1, Ordering::Relaxed);
            if before % TELL_EVERY == 0 {
                (watch.progress)(Progress { tried: ((before + 1) * grid.resists.len()).min(of), of });
            }
            tried
        };
        (0..grid.jets.len()).into_par_iter().map(blast).collect::<Vec<_>>().concat()
    }

    fn tried_at(&self, grid: &Grid<'a>, jet: usize) -> Vec<Tried> {
        let at_work = self.at_work(grid, jet, Spreading::Middle);
        let one = |resist: usize| {
            let at = grid.place(jet, resist);
            let judged = at_work.as_ref().and_then(|at_work| {
                let case = self.case(grid.recipe(at));
                judge_at_work(&case, Arc::clone(at_work)).ok().map(|judged| (case, judged))
            });
            match judged {
                Some((case, judged)) => tried(at, &case, &judged),
                None => Tried {
                    at,
                    time: Time::clamped(0.0),
                    cost: None,
                    stops: vec![Check::AirHolds],
                    worn: false,
                    watched: 0,
                },
            }
        };
        (0..grid.resists.len()).map(one).collect()
    }

    fn at_work(&self, grid: &Grid<'a>, jet: usize, spreading: Spreading) -> Option<Arc<AtWork>> {
        let recipe = grid.recipe(grid.place(jet, 0));
        let supply = grid.supply(jet)?;
        AtWork::on(supply, &recipe, self.piece, self.shop, self.belief, spreading).ok()
    }

    /// Those that nothing stops, weighed over the spread, but for those that cannot be on the front.
    fn weighed(&self, grid: &Grid<'a>, tried: &[Tried], watch: &Watch<'_>) -> Weighed {
        let mut candidates: Vec<(&Tried, Money)> =
            tried.iter().filter(|one| one.stops.is_empty()).filter_map(|one| Some((one, one.cost?))).collect();
        candidates.sort_by(|(a, a_cost), (b, b_cost)| {
            a.time.to_seconds().total_cmp(&b.time.to_seconds()).then(a_cost.cmp(b_cost)).then(a.at.cmp(&b.at))
        });
        let shorts = self.shorts(grid);
        let least = shorts.least();
        let whole: Vec<OnceLock<Option<Arc<AtWork>>>> = grid.jets.iter().map(|_| OnceLock::new()).collect();
        let weigh = |(one, cost): &(&Tried, Money)| {
            let jet = grid.jet_of(one.at);
            let at_work = whole[jet].get_or_init(|| self.at_work(grid, jet, Spreading::Whole)).clone()?;
            let case = self.case(grid.recipe(one.at));
            let judged = judge_at_work(&case, at_work).ok()?;
            placed(one.at, &case, &judged, *cost, &shorts).filter(|placed| placed.choice.stops.is_empty())
        };
        let mut choices: Vec<Placed> = Vec::new();
        // The cheapest of those whose risk is the least that any can have; all of them are as quick as what follows.
        let mut sure: Option<Money> = None;
        let mut complete = true;
        for batch in candidates.chunks(BATCH) {
            // What is known then of the quickest is an answer already.
            if (watch.cancelled)() && !choices.is_empty() {
                complete = false;
                break;
            }
            let open: Vec<_> = batch.iter().filter(|(_, cost)| sure.is_none_or(|sure| *cost < sure)).collect();
            let weighed: Vec<Option<Placed>> = open.into_par_iter().map(weigh).collect();
            for placed in weighed.into_iter().flatten() {
                if placed.stopped == least && sure.is_none_or(|sure| placed.choice.cost < sure) {
                    sure = Some(placed.choice.cost);
                }
                choices.push(placed);
            }
        }
        Weighed { choices, complete: complete && !(watch.cancelled)() }
    }

    fn shorts(&self, grid: &Grid<'a>) -> Shorts {
        let material = self.piece.blank.material;
        let drawn: Vec<_> = grid.stocks.iter().map(|stock| self.belief.drawn((material, stock.abrasive))).collect();
        Shorts::new(self.sketch, drawn.iter().map(|drawn| drawn.models.as_slice()))
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
        placed(0, &case, &judged, tally::cost(&case, &judged)?, &shorts).map(|placed| placed.choice)
    }
}

fn tried(at: usize, case: &Case<'_>, judged: &Judged) -> Tried {
    let of_state = |state| judged.findings.iter().filter(move |finding| finding.state == state);
    let stops: Vec<Check> =
        of_state(State::Stop).map(|one| one.check.clone()).filter(|check| *check != Check::ResistWear).collect();
    let worn = of_state(State::Stop).any(|one| one.check == Check::ResistWear);
    let cost = if stops.is_empty() { tally::cost(case, judged) } else { None };
    Tried { at, time: judged.total(), cost, stops, worn, watched: of_state(State::Watch).count() }
}

fn placed(at: usize, case: &Case<'_>, judged: &Judged, cost: Money, shorts: &Shorts) -> Option<Placed> {
    let of_state = |state| {
        let findings = judged.findings.iter().filter(move |finding| finding.state == state);
        findings.map(|finding| finding.check.clone()).collect::<Vec<Check>>()
    };
    let risk = risk(case, judged, shorts);
    let grain_speed = judged.at_work.blasting.grain_speed().ok()?;
    let choice = Choice {
        recipe: Recipe { grain_speed, ..case.recipe.clone() },
        time: judged.total(),
        cost,
        risk: risk.share(),
        risks: risk.by.iter().map(|(check, count)| (check.clone(), risk::share(*count, risk.of))).collect(),
        watched: of_state(State::Watch),
        stops: of_state(State::Stop),
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
