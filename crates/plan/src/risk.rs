//! The chance that a recipe comes to a stop after all: under how many of the model's samples any check would stop it.
//!
//! Under a sample the hand blasts until the depth is there, so times, wear and what a day's work brings follow from what
//! the sample's jet removes; by the clock, set for the middle, it would go as deep as that jet goes. A recipe is judged
//! once, and only what hangs on the sample is looked at again.

use crate::at_work::{AtWork, Shares};
use crate::blast::Blasting;
use crate::finding::{Check, State};
use crate::judge::{Case, Judged, air_state, short_state};
use crate::refusal::Refusal;
use crate::safety_checks::{hang_on_time, stops_of_the_day};
use crate::sketch::Sketch;
use crate::spent::{Spent, works};
use carve::distance_rule::DistanceRule;
use carve::jet::Removal;
use carve::model::Model;
use carve::resist;
use carve::staging::Stage;
use quantity::{Estimate, Fraction, Quantity as _, Time};
use reference::tables;
use safety::check::Hazard;
use std::collections::HashMap;
use stencil::choice::{self, Fit};

/// The chance of a stop.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Risk {
    /// Samples under which something stops.
    pub stopped: usize,
    /// Of so many.
    pub of: usize,
    /// Under how many each check stops, the most first.
    pub by: Vec<(Check, usize)>,
}

impl Risk {
    pub(crate) fn share(&self) -> Fraction {
        share(self.stopped, self.of)
    }
}

pub(crate) fn share(part: usize, of: usize) -> Fraction {
    Fraction::clamped(part as f64 / of.max(1) as f64)
}

/// Which layers stay short under a set of constants: that hangs on nothing but the drawing and the slope exponent.
#[derive(Debug, Default)]
pub(crate) struct Shorts {
    by_exponent: HashMap<u64, Vec<Check>>,
    least: usize,
}

impl Shorts {
    /// For a drawing and all lists of constants that will be asked for.
    pub(crate) fn new<'m>(sketch: &Sketch, lists: impl Iterator<Item = &'m [Model]>) -> Self {
        let mut known = Self { by_exponent: HashMap::new(), least: usize::MAX };
        for models in lists {
            for exponent in models.iter().map(|model| model.velocity_exponent) {
                known.by_exponent.entry(exponent.to_bits()).or_insert_with(|| match DistanceRule::new(exponent) {
                    Ok(rule) => short(sketch, &rule),
                    Err(_) => Vec::new(),
                });
            }
            known.least = known.least.min(models.iter().filter(|model| !known.of(model).is_empty()).count());
        }
        known
    }

    /// Samples that stop whatever the recipe is, in the list where they are fewest.
    pub(crate) fn least(&self) -> usize {
        self.least
    }

    fn of(&self, model: &Model) -> &[Check] {
        self.by_exponent.get(&model.velocity_exponent.to_bits()).map_or(&[], Vec::as_slice)
    }
}

fn short(sketch: &Sketch, rule: &DistanceRule) -> Vec<Check> {
    let stops = sketch.layers.iter().filter(|layer| short_state(layer.reach(rule).short_share) == State::Stop);
    stops.map(|layer| Check::NarrowDepth { layer: layer.name.clone() }).collect()
}

/// The chance that a case which holds comes to a stop.
pub(crate) fn risk(case: &Case<'_>, judged: &Judged, shorts: &Shorts) -> Risk {
    let samples = &judged.at_work.blasting.samples;
    let quick = Quick::new(case, judged);
    let under: Vec<Under> = (0..samples.len()).map(|sample| Under::new(case, judged, &quick, sample)).collect();
    let daily = daily(case, judged, &under);
    let mut by: Vec<(Check, usize)> = Vec::new();
    let mut stopped = 0;
    for (at, (model, _)) in samples.iter().enumerate() {
        let before = by.iter().map(|(_, count)| count).sum::<usize>();
        let own = under[at].stops.iter().chain(shorts.of(model)).cloned();
        for check in own.chain(daily[at].iter().map(|&hazard| Check::Safety(hazard))) {
            match by.iter_mut().find(|(known, _)| *known == check) {
                Some((_, count)) => *count += 1,
                None => by.push((check, 1)),
            }
        }
        stopped += usize::from(by.iter().map(|(_, count)| count).sum::<usize>() > before);
    }
    by.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    Risk { stopped, of: samples.len(), by }
}

/// Samples under which a recipe surely stops, by what is quickly known: wear, thickness and layers that stay short.
///
/// `stood`: for the blast of the first stages and that of the last, the dose in metres that the resist stands under each
/// sample, by [`stood`]; one list twice where one abrasive does it all.
pub(crate) fn surely_stopped(
    case: &Case<'_>,
    at_work: &AtWork,
    stages: &[Stage],
    stood: [&[f64]; 2],
    shorts: &Shorts,
) -> usize {
    let doses = at_work.doses(stages);
    let deepest = at_work.of_whole(deepest_mm(case), stages);
    let stops = |sample: &usize| {
        !shorts.of(&at_work.blasting.samples[*sample].0).is_empty()
            || wears_through(doses, stood.map(|stood| stood[*sample]))
            || is_too_deep(case, at_work, deepest, *sample)
    };
    at_work.samples().filter(stops).count()
}

/// The dose in metres that a recipe's resist stands of a blast, under each of the model's samples.
pub(crate) fn stood(case: &Case<'_>, blasting: &Blasting) -> Vec<f64> {
    let stock = stock(case);
    let stands = |(model, removal): &(Model, Removal)| {
        resist::permissible_dose(model, &stock, removal.grain_speed).to_metres().max(1e-12)
    };
    blasting.samples.iter().map(stands).collect()
}

fn wears_through(doses: Shares, [first, last]: [f64; 2]) -> bool {
    let after = if doses.last > 0.0 { doses.last / last } else { 0.0 };
    choice::wear_fit(Estimate::exact(doses.first / first + after)) == Fit::Fails
}

fn stock(case: &Case<'_>) -> resist::Resist {
    resist::Resist { thickness: case.recipe.resist.thickness.value, selectivity: case.recipe.resist.selectivity.value }
}

fn deepest_mm(case: &Case<'_>) -> f64 {
    case.sketch.layers.iter().map(|layer| layer.target.to_mm()).fold(0.0, f64::max)
}

/// What is the same under every sample, or quickly known of each.
struct Quick {
    doses: Shares,
    deepest_mm: Shares,
    stood: [Vec<f64>; 2],
}

impl Quick {
    fn new(case: &Case<'_>, judged: &Judged) -> Self {
        let at_work = &judged.at_work;
        let first = stood(case, &at_work.blasting);
        let last = at_work.finishing.as_ref().map_or_else(|| first.clone(), |own| stood(case, &own.blasting));
        Self {
            doses: at_work.doses(&judged.stages),
            deepest_mm: at_work.of_whole(deepest_mm(case), &judged.stages),
            stood: [first, last],
        }
    }
}

/// A case under one sample.
struct Under {
    stops: Vec<Check>,
    nozzle_open: Time,
    making: Time,
}

impl Under {
    fn new(case: &Case<'_>, judged: &Judged, quick: &Quick, sample: usize) -> Self {
        Self::computed(case, judged, quick, sample)
            // A jet that removes nothing never gets there.
            .unwrap_or_else(|_| Self {
                stops: vec![Check::AirHolds],
                nozzle_open: judged.spent.blast,
                making: judged.total(),
            })
    }

    fn computed(case: &Case<'_>, judged: &Judged, quick: &Quick, sample: usize) -> Result<Self, Refusal> {
        let at_work = &judged.at_work;
        let works = works(case, at_work, Some(sample), &judged.stages)?;
        let mut stops = Vec::new();
        if wears_through(quick.doses, [quick.stood[0][sample], quick.stood[1][sample]]) {
            stops.push(Check::ResistWear);
        }
        if is_too_deep(case, at_work, quick.deepest_mm, sample) {
            stops.push(Check::Thickness);
        }
        let needed = works.iter().map(|work| work.blast.to_seconds()).fold(0.0, f64::max);
        if air_state(&at_work.hold, needed).0 == State::Stop {
            stops.push(Check::AirHolds);
        }
        let spent = Spent::new(case, &works, &at_work.hold, judged.clear);
        Ok(Self { stops, nozzle_open: spent.blast, making: spent.total() })
    }
}

fn is_too_deep(case: &Case<'_>, at_work: &AtWork, deepest_mm: Shares, sample: usize) -> bool {
    let depth = (at_work.depth_under(deepest_mm, sample) / case.piece.blank.thickness.to_mm()).min(1.0);
    depth > tables().limits.carve_depth_stop.value.to_ratio()
}

/// What a day's work stops, for each sample.
///
/// Every such check compares a number that is linear in the time blasted with a limit: where both ends of that time
/// stop the same, so does all between them.
fn daily(case: &Case<'_>, judged: &Judged, under: &[Under]) -> Vec<Vec<Hazard>> {
    if !hang_on_time(&case.shop) {
        return vec![Vec::new(); under.len()];
    }
    let (shift, quantity) = (&case.shop.shift, case.piece.quantity);
    let blasted = |one: &Under| {
        safety::exposure::Day::of_pieces(shift, one.nozzle_open, one.making, quantity).blasting.to_seconds()
    };
    let stops = |one: &Under| stops_of_the_day(case, judged, one.nozzle_open, one.making);
    let least = under.iter().min_by(|a, b| blasted(a).total_cmp(&blasted(b)));
    let most = under.iter().max_by(|a, b| blasted(a).total_cmp(&blasted(b)));
    let ends = least.zip(most).map(|(least, most)| (stops(least), stops(most)));
    match ends {
        Some((least, most)) if least == most => vec![most; under.len()],
        _ => under.iter().map(stops).collect(),
    }
}
