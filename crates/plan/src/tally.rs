//! What a judged case costs, by the shop's rhythm: the instant answer that the timeline later makes exact.

use crate::costing::{self, Usage};
use crate::judge::{Case, Judged};
use crate::model::{Act, HandBlock};
use crate::refusal::Refusal;
use crate::sketch::Sketch;
use crate::spent::Spent;
use cost::Terms;
use piece::Money;
use quantity::{Area, Quantity as _, Time};

/// Resist is cut with this much around the artwork, for the tape. Common practice, no source.
const STENCIL_MARGIN_MM: f64 = 15.0;

/// Resist for one stencil.
///
/// # Errors
/// [`Refusal::Range`] for a stencil larger than any.
pub(crate) fn resist_area(sketch: &Sketch) -> Result<Area, Refusal> {
    let side = |mm: f64| mm + 2.0 * STENCIL_MARGIN_MM;
    Ok(Area::square_mm(side(sketch.stencil_width_mm) * side(sketch.stencil_height_mm))?)
}

/// Cost of one piece at the middle of the model, before margin and before what the piece's own risk spoils: that is
/// weighed beside it. `None` when it cannot be counted.
pub(crate) fn cost(case: &Case<'_>, judged: &Judged) -> Option<Money> {
    cost_by(&Terms::of(&case.shop.rates), case, judged)
}

/// The same by terms that were read off the shop's rates before.
pub(crate) fn cost_by(terms: &Terms, case: &Case<'_>, judged: &Judged) -> Option<Money> {
    Some(counted(terms, case, &usage(case, judged).ok()?))
}

/// Time and cost of one piece as a plan has them, laid on the time axis; `None` when it cannot be.
pub(crate) fn exact(case: &Case<'_>, judged: &Judged) -> Option<(Time, Money)> {
    let laid = crate::laid(case, judged).ok()?;
    Some((laid.times.total, counted(&Terms::of(&case.shop.rates), case, &laid.usage)))
}

fn counted(terms: &Terms, case: &Case<'_>, usage: &Usage) -> Money {
    let used = costing::consumables(usage, &case.recipe, &case.shop);
    let work = costing::work(usage, &used, &[], &case.piece, &case.shop);
    let work = cost::Work { risk: cost::Risk { causes: Vec::new() }, ..work };
    // The blast as long as at the middle: an offer's own cost of one piece.
    cost::costed(&work, terms, case.piece.quantity, 1.0).each
}

/// What is counted. The compressors run for as long as they need for the air that was blasted, no longer than the work.
fn usage(case: &Case<'_>, judged: &Judged) -> Result<Usage, Refusal> {
    let Spent { blast, rest, clear, .. } = judged.spent;
    let (blasting, total) = (&judged.at_work.blasting, judged.total());
    let site = &blasting.line.site;
    let supply = air::compressor::all_running(&blasting.line.compressors, site).to_kg_per_second();
    let share = blasting.steady.flow.to_kg_per_second() / supply.max(1e-12);
    let busy = Time::clamped((blast.to_seconds() * share).min(total.to_seconds()));
    Ok(Usage {
        resist: resist_area(&case.sketch)?,
        grit_rate: blasting.grit_rate,
        blast: judged.blast_time(),
        finishing: judged.finishing_share(),
        hands: blocks(&judged.spent),
        ran: vec![busy; blasting.line.compressors.len()],
        resist_used: judged.wear.used,
        collector: blast + rest + clear,
    })
}

/// What hands do, one kind after the other: their sums are what is counted.
fn blocks(spent: &Spent) -> Vec<HandBlock> {
    let kinds =
        [(Act::Prepare, spent.hands), (Act::Blast, spent.blast), (Act::Rest, spent.rest), (Act::Clear, spent.clear)];
    let mut from = Time::clamped(0.0);
    let block = |(act, length)| {
        let to = from + length;
        HandBlock { act, stage: 1, from: std::mem::replace(&mut from, to), to }
    };
    kinds.into_iter().map(block).collect()
}
