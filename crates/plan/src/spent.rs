//! Where the time of a piece goes, by the shop's rhythm: an instant answer that the timeline later makes exact.

use crate::at_work::AtWork;
use crate::judge::Case;
use crate::refusal::Refusal;
use crate::timeline::BEFORE;
use air::{Hold, LineError};
use carve::staging;
use quantity::{Quantity as _, Time};

/// Where the time of a piece goes, by the shop's rhythm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spent {
    /// Preparing, weeding and changing the abrasive.
    pub hands: Time,
    /// Nozzle open.
    pub blast: Time,
    /// Waiting for the air.
    pub rest: Time,
    /// Waiting for the dust.
    pub clear: Time,
}

impl Spent {
    pub(crate) fn new(case: &Case<'_>, works: &[Work], hold: &Result<Hold, LineError>, clear: Time) -> Self {
        let setup = case.shop.hands.setup.to_seconds();
        let weeding: f64 = works.iter().map(|work| work.weed.to_seconds() + work.refill.to_seconds()).sum();
        let blast: f64 = works.iter().map(|work| work.blast.to_seconds()).sum();
        let clear = clear.to_seconds() * works.len() as f64;
        // What goes by before the last blast; the compressors may cool meanwhile.
        let before = BEFORE * setup + weeding + blast + clear * (1.0 - 1.0 / works.len().max(1) as f64);
        let rest = match hold {
            Ok(hold) => for_air(hold, works).max(for_duty(case, hold, blast) - before),
            Err(_) => 0.0,
        };
        Self {
            hands: Time::clamped(setup + weeding),
            blast: Time::clamped(blast),
            rest: Time::clamped(rest),
            clear: Time::clamped(clear),
        }
    }

    pub(crate) fn total(&self) -> Time {
        [self.hands, self.blast, self.rest, self.clear].into_iter().sum()
    }
}

/// Rests for the receiver to fill, by the rhythm that can go on all day.
fn for_air(hold: &Hold, works: &[Work]) -> f64 {
    let (Some(longest), Some(rhythm)) = (hold.longest_blast, hold.rhythm) else { return 0.0 };
    let share = rhythm.rest.to_seconds() / rhythm.blast.to_seconds().max(1e-9);
    works.iter().map(|work| (work.blast.to_seconds() - longest.to_seconds()).max(0.0) * share).sum()
}

/// The least time in which the compressors give a blast its air and keep to their duty.
fn for_duty(case: &Case<'_>, hold: &Hold, blast: f64) -> f64 {
    let duty = case.shop.compressors.iter().map(|one| one.duty.to_ratio()).fold(1.0, f64::min);
    let busy = blast * hold.demand.to_kg_per_second() / hold.available.to_kg_per_second().max(1e-12);
    if hold.rhythm.is_some() { busy / duty.max(1e-3) } else { 0.0 }
}

/// Hand time of one stage.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Work {
    /// Changing the abrasive before it; zero in most.
    pub refill: Time,
    pub weed: Time,
    pub blast: Time,
}

/// Weeding, and blasting by what the jet removes at the middle or under one of the model's samples.
///
/// # Errors
/// [`Refusal::Jet`] when the jet removes nothing.
pub(crate) fn works(
    case: &Case<'_>,
    at_work: &AtWork,
    sample: Option<usize>,
    stages: &[staging::Stage],
) -> Result<Vec<Work>, Refusal> {
    let hands = &case.shop.hands;
    let changed = at_work.finishing.as_ref().map(|finishing| stages.len().saturating_sub(finishing.stages));
    let work = |(at, stage): (usize, &staging::Stage)| {
        let blasting = at_work.of_stage(at, stages.len());
        let removal = sample.map_or(&blasting.removal, |sample| &blasting.samples[sample].1);
        let opened = stage.opens.iter().filter_map(|&index| case.sketch.layers.get(index));
        let weed: f64 = opened
            .map(|layer| match case.recipe.resist.weeding {
                // A film is washed out, not weeded; later stages are uncovered by lifting its cover.
                None => layer.parts as f64 * hands.weed_s_per_part,
                Some(_) => layer.edge_m * hands.weed_s_per_m + layer.parts as f64 * hands.weed_s_per_part,
            })
            .sum();
        let swept = case.sketch.swept(stage, removal.footprint_radius);
        let blast = blasting.seconds(removal, stage.dose, swept)?;
        let refill = if changed == Some(at) { hands.change_abrasive } else { Time::clamped(0.0) };
        Ok(Work { refill, weed: Time::seconds(weed)?, blast: Time::seconds(blast)? })
    };
    stages.iter().enumerate().map(work).collect()
}
