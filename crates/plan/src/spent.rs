//! Where the time of a piece goes, by the shop's rhythm: an instant answer that the timeline later makes exact.

use crate::blast::Blasting;
use crate::judge::Case;
use crate::refusal::Refusal;
use air::{Hold, LineError};
use carve::jet::Removal;
use carve::staging;
use quantity::{Quantity as _, Time};

/// Where the time of a piece goes, by the shop's rhythm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spent {
    /// Preparing and weeding.
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
        let (share, longest) = match hold {
            Ok(Hold { rhythm, longest_blast, .. }) => (
                rhythm.map_or(0.0, |rhythm| rhythm.rest.to_seconds() / rhythm.blast.to_seconds().max(1e-9)),
                longest_blast.map_or(f64::INFINITY, Time::to_seconds),
            ),
            Err(_) => (0.0, f64::INFINITY),
        };
        let rest = |blast: f64| if blast > longest { (blast - longest) * share } else { 0.0 };
        let weeding: f64 = works.iter().map(|work| work.weed.to_seconds()).sum();
        Self {
            hands: Time::clamped(case.shop.hands.setup.to_seconds() + weeding),
            blast: works.iter().map(|work| work.blast).sum(),
            rest: Time::clamped(works.iter().map(|work| rest(work.blast.to_seconds())).sum()),
            clear: Time::clamped(clear.to_seconds() * works.len() as f64),
        }
    }

    pub(crate) fn total(&self) -> Time {
        [self.hands, self.blast, self.rest, self.clear].into_iter().sum()
    }
}

/// Hand time of one stage.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Work {
    pub weed: Time,
    pub blast: Time,
}

/// Weeding, and blasting by what the jet removes at the middle or under one sample.
///
/// # Errors
/// [`Refusal::Jet`] when the jet removes nothing.
pub(crate) fn works(
    case: &Case<'_>,
    blasting: &Blasting,
    removal: &Removal,
    stages: &[staging::Stage],
) -> Result<Vec<Work>, Refusal> {
    let hands = &case.shop.hands;
    let work = |stage: &staging::Stage| {
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
        Ok(Work { weed: Time::seconds(weed)?, blast: Time::seconds(blast)? })
    };
    stages.iter().map(work).collect()
}
