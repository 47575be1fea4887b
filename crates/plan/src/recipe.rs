//! What is used, where the piece leaves it open: the best of what the shop owns.
//!
//! Every resist, abrasive, nozzle and a ladder of pressures is judged at the middle of the model. The
//! recipe with the fewest stops wins, then the fewest things to watch, then the least time.

use crate::at_work::{AtWork, Supplies};
use crate::blast::Spreading;
use crate::calibration::Belief;
use crate::finding::State;
use crate::judge::{Case, judge_at_work};
use crate::model::Recipe;
use crate::refusal::Refusal;
use crate::sketch::Sketch;
use crate::usual::Usual;
use piece::{Piece, Shop, ShopNozzle, StockedAbrasive};
use quantity::{Estimate, Speed, known};
use rayon::prelude::*;
use reference::Resist;
use std::borrow::Cow;
use std::sync::Arc;

/// The recipe for a piece: what is prescribed, and for the rest the best of the shop.
///
/// # Errors
/// [`Refusal::NoAbrasive`] when every abrasive is refused; the refusal of the best recipe when none
/// can be computed.
pub(crate) fn choose(piece: &Piece, shop: &Shop, sketch: &Sketch, belief: &Arc<Belief>) -> Result<Recipe, Refusal> {
    let resists: Vec<&'static Resist> =
        shop.resists.iter().map(|stock| stock.resist).filter(|resist| suits(piece, resist)).collect();
    let blasts = blasts(piece, shop, resists.first().ok_or(Refusal::NothingOpen)?)?;
    if let ([recipe], [_]) = (blasts.as_slice(), resists.as_slice()) {
        return Ok(recipe.clone());
    }
    let supplies: Arc<Supplies> = Arc::default();
    let start = |blast: &Recipe| Case {
        piece: Cow::Borrowed(piece),
        shop: Cow::Borrowed(shop),
        sketch: Cow::Borrowed(sketch),
        recipe: blast.clone(),
        belief: Arc::clone(belief),
        supplies: Arc::clone(&supplies),
    };
    let scored: Vec<Result<(Score, Recipe), Refusal>> =
        blasts.par_iter().map(|blast| best_resist(&start(blast), &resists)).collect();
    let mut best: Option<(Score, Recipe)> = None;
    let mut refusal = Refusal::NothingOpen;
    for scored in scored {
        match scored {
            Ok(scored) if best.as_ref().is_none_or(|best| scored.0 < best.0) => best = Some(scored),
            Ok(_) => {}
            Err(why) => refusal = why,
        }
    }
    best.map(|(_, recipe)| recipe).ok_or(refusal)
}

fn suits(piece: &Piece, resist: &Resist) -> bool {
    piece.recipe.resist.is_none_or(|given| given.id == resist.id)
}

/// The best resist for one nozzle at work: the blast is computed once for all of them.
fn best_resist(blast: &Case<'_>, resists: &[&'static Resist]) -> Result<(Score, Recipe), Refusal> {
    let at_work = AtWork::of(blast, Spreading::Middle)?;
    let mut best: Option<(Score, Recipe)> = None;
    for &resist in resists {
        let mut case = blast.clone();
        case.recipe.resist = resist;
        let judged = judge_at_work(&case, Arc::clone(&at_work))?;
        let count = |state| judged.findings.iter().filter(|finding| finding.state == state).count();
        let score = (count(State::Stop), count(State::Watch), judged.total().to_seconds());
        if best.as_ref().is_none_or(|best| score < best.0) {
            best = Some((score, case.recipe));
        }
    }
    best.ok_or(Refusal::NothingOpen)
}

/// Stops, watches, seconds.
type Score = (usize, usize, f64);

/// Every abrasive, nozzle and pressure that suits what is prescribed, each with the same resist.
fn blasts(piece: &Piece, shop: &Shop, resist: &'static Resist) -> Result<Vec<Recipe>, Refusal> {
    let (open, usual) = (&piece.recipe, Usual::of(shop));
    let abrasives = abrasives(piece, shop)?;
    let suits = |nozzle: &&ShopNozzle| open.nozzle.as_ref().is_none_or(|given| *given == nozzle.name);
    let pressures = open.pressure.map_or_else(|| usual.tried_pressures(), |given| vec![given]);
    let mut recipes = Vec::new();
    for stock in abrasives {
        for nozzle in shop.nozzles.iter().filter(suits) {
            recipes.extend(pressures.iter().map(|&pressure| Recipe {
                resist,
                abrasive: stock.abrasive,
                grit: stock.grit,
                finish: open.finish,
                nozzle: nozzle.clone(),
                pressure,
                standoff: open.standoff.unwrap_or_else(|| usual.standoff(nozzle)),
                grain_speed: STILL,
            }));
        }
    }
    Ok(recipes)
}

/// The grain's speed is filled in when the recipe is judged.
pub(crate) const STILL: Estimate<Speed> = Estimate::exact(known(Speed::metres_per_second(0.0)));

/// Abrasives of the shop that suit what is prescribed for the first stages and are accepted. One that is given for the
/// last stages is not among them.
pub(crate) fn abrasives<'a>(piece: &Piece, shop: &'a Shop) -> Result<Vec<&'a StockedAbrasive>, Refusal> {
    let open = &piece.recipe;
    let suits = |stock: &&StockedAbrasive| {
        open.abrasive.is_none_or(|given| given.id == stock.abrasive.id)
            && open.grit.is_none_or(|given| given.name == stock.grit.name)
    };
    let (mut accepted, mut why, mut same) = (Vec::new(), None, None);
    for stock in shop.abrasives.iter().filter(suits) {
        if let Some(finish) = open.finish.filter(|finish| finish.is_of(stock.abrasive, stock.grit)) {
            same = Some(Refusal::FinishSame { abrasive: finish.named() });
            continue;
        }
        match safety::refusal::accept_abrasive(stock.abrasive, stock.free_silica) {
            Ok(()) => accepted.push(stock),
            Err(refusal) => why = why.or(Some(refusal)),
        }
    }
    match (accepted.is_empty(), why) {
        (false, _) => Ok(accepted),
        (true, Some(refusal)) => Err(Refusal::Blank(refusal)),
        (true, None) => Err(same.unwrap_or(Refusal::NoAbrasive)),
    }
}
