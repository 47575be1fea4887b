//! For each uncertain number of a plan the coupon or measurement that would narrow it most.
//!
//! With logarithms taken as jointly normal over the belief's samples, readings `y` with noise `N` leave
//! `var - c' (Y + N)^-1 c` of a number's variance: `c` its covariances with them, `Y` theirs among one another. Exact
//! for a linear model; the tests hold it against the posterior of coupons that were really added.

use crate::at_work::{AtWork, Shares};
use crate::blast::{Blasting, Spreading};
use crate::calibration::{DEPTH, LONGEST};
use crate::coupon_table::same;
use crate::finding::{Amount, Check};
use crate::judge::{Case, Judged};
use crate::usual::Usual;
use carve::calibrate::{SCATTER, WORN_SCATTER};
use carve::jet::Removal;
use carve::model::Model;
use carve::resist;
use piece::{CALIPER, Coupon, Money, ResistAfter};
use quantity::{Area, Estimate, GaugePressure, Length, Quantity as _, Time};
use rust_decimal::prelude::ToPrimitive as _;

/// What would narrow a number most.
#[derive(Debug, Clone)]
pub struct Narrowing {
    /// Which number.
    pub number: Number,
    /// Its interval now: 95th over 5th percentile.
    pub width: f64,
    /// What to do.
    pub by: Measurement,
    /// The interval to be expected afterwards, likewise.
    pub narrows_to: f64,
}

/// An uncertain number of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Number {
    /// Time with the nozzle open.
    BlastTime,
    /// Depth after the planned times.
    Depth,
    /// Share of the resist's permitted wear that is used, and with it its life.
    ResistWear,
    /// Speed of the grains at the work.
    GrainSpeed,
    /// Cost of one piece.
    Cost,
    /// What a compressor delivers.
    Delivered(String),
}

/// Something to be measured.
#[derive(Debug, Clone)]
pub enum Measurement {
    /// Blast a coupon and gauge its depth; its `depth` is what is to be expected. With a resist: gauge what that lost,
    /// too.
    Coupon(Coupon),
    /// Time how long a compressor takes to fill the receiver.
    FillReceiver(String),
}

impl Measurement {
    fn is(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Coupon(one), Self::Coupon(other)) => same(one, other),
            (Self::FillReceiver(one), Self::FillReceiver(other)) => one == other,
            _ => false,
        }
    }
}

/// A measurement with all that it narrows.
#[derive(Debug, Clone)]
pub struct Worth<'a> {
    /// What to do.
    pub by: &'a Measurement,
    /// The numbers, and by how much each.
    pub narrows: Vec<&'a Narrowing>,
}

/// The measurements that a plan's numbers ask for, each once, in the order of the numbers.
#[must_use]
pub fn worth_making(narrowings: &[Narrowing]) -> Vec<Worth<'_>> {
    let mut all: Vec<Worth<'_>> = Vec::new();
    for one in narrowings {
        match all.iter_mut().find(|worth| worth.by.is(&one.by)) {
            Some(worth) => worth.narrows.push(one),
            None => all.push(Worth { by: &one.by, narrows: vec![one] }),
        }
    }
    all
}

/// The coupons among them.
#[must_use]
pub fn coupons_worth_blasting(narrowings: &[Narrowing]) -> Vec<&Coupon> {
    let all = worth_making(narrowings).into_iter();
    all.filter_map(|worth| match worth.by {
        Measurement::Coupon(coupon) => Some(coupon),
        Measurement::FillReceiver(_) => None,
    })
    .collect()
}

/// Logarithmic standard deviation of a delivery timed by stopwatch and gauge. Judgement.
const FILLING: f64 = 0.03;

/// A normal distribution's 90 % interval in standard deviations.
const INTERVAL: f64 = 3.29;

/// Share of a resist's thickness that a coupon wears away, so that it can be gauged. Judgement.
const WORN_SHARE: f64 = 0.4;

/// What would narrow each uncertain number of a judged case; `cost`: of one piece.
pub(crate) fn narrowings(case: &Case<'_>, judged: &Judged, cost: Estimate<Money>) -> Vec<Narrowing> {
    let blasting = &judged.at_work.blasting;
    let candidates = candidates(case, blasting);
    let logs = |value: &dyn Fn(&(Model, Removal)) -> f64| -> Vec<f64> {
        blasting.samples.iter().map(|sample| value(sample).max(1e-12).ln()).collect()
    };
    let rate = logs(&|(_, removal)| removal.volume_rate.to_cubic_mm_per_second());
    let wear = logs(&|(model, removal)| resist::selectivity(model, &stock(case), removal.grain_speed));
    let speed = logs(&|(_, removal)| removal.grain_speed.to_metres_per_second());
    let time = judged.blast_time();
    let depth = judged.at_work.depth_range(Shares { first: DEPTH.to_metres(), last: 0.0 });
    let used = judged.wear.used;
    let numbers = [
        (Number::BlastTime, ratio(time.low().to_seconds(), time.high().to_seconds()), &rate),
        (Number::Depth, ratio(depth.low().to_mm(), depth.high().to_mm()), &rate),
        (Number::ResistWear, ratio(used.low(), used.high()), &wear),
        (Number::GrainSpeed, interval(&speed), &speed),
    ];
    let narrowed = numbers.into_iter().filter_map(|(number, width, logs)| {
        let (candidate, left) = best(&candidates, logs)?;
        let by = Measurement::Coupon(candidate.coupon.clone());
        Some(Narrowing { number, width, by, narrows_to: width.powf(left) })
    });
    let mut found: Vec<Narrowing> = narrowed.collect();
    found.extend(of_cost(&found, time, cost));
    found.extend(judged.findings.iter().filter_map(|finding| match (&finding.check, finding.value) {
        (Check::CompressorPlate { compressor }, Amount::FreeAir(likely)) => Some(of_plate(compressor, likely)),
        _ => None,
    }));
    // What is known exactly needs no measuring.
    found.retain(|one| one.width > 1.005);
    found
}

fn ratio(low: f64, high: f64) -> f64 {
    high / low.max(1e-12)
}

fn interval(logs: &[f64]) -> f64 {
    let [low, _, high] = quantity::percentiles(&mut logs.to_vec());
    (high - low).exp()
}

/// The cost goes with the blasting time, in a straight line through its two ends.
fn of_cost(found: &[Narrowing], time: Estimate<Time>, cost: Estimate<Money>) -> Option<Narrowing> {
    let of_time = found.iter().find(|one| one.number == Number::BlastTime)?;
    let [low, mid, high] = [time.low(), time.mid(), time.high()].map(Time::to_seconds);
    let [cost_low, cost_high] = [cost.low().0.to_f64()?, cost.high().0.to_f64()?];
    let slope = (cost_high - cost_low) / (high - low).max(1e-9);
    let left = of_time.narrows_to.ln() / of_time.width.ln().max(1e-12);
    let at = |end: f64| cost_low + slope * (mid * (end / mid).powf(left) - low);
    let (width, narrows_to) = (ratio(cost_low, cost_high), ratio(at(low), at(high)));
    Some(Narrowing { number: Number::Cost, width, by: of_time.by.clone(), narrows_to })
}

/// Timing a fill is good to [`FILLING`]; what is likely already counts as much as it is sure.
fn of_plate(compressor: &str, likely: Estimate<quantity::FreeFlow>) -> Narrowing {
    let width = ratio(likely.low().to_base(), likely.high().to_base());
    let now = width.ln() / INTERVAL;
    let after = (1.0 / (now.powi(-2) + FILLING.powi(-2))).sqrt();
    Narrowing {
        number: Number::Delivered(compressor.to_owned()),
        width,
        by: Measurement::FillReceiver(compressor.to_owned()),
        narrows_to: (after * INTERVAL).exp(),
    }
}

/// A coupon with the logarithms of what it would read under each sample, and the variance of each reading.
struct Candidate {
    coupon: Coupon,
    readings: Vec<(Vec<f64>, f64)>,
}

/// Coupons with the plan's own nozzle and grit: at its pressure, with and without a look at the resist, and at others.
fn candidates(case: &Case<'_>, blasting: &Blasting) -> Vec<Candidate> {
    let own = case.recipe.pressure;
    let mut all = vec![depth_coupon(case, blasting, own), resist_coupon(case, blasting, own)];
    let away = |pressure: &GaugePressure| (pressure.to_bar() / own.to_bar() - 1.0).abs() > 0.2;
    for pressure in Usual::of(&case.shop).coupon_pressures.into_iter().filter(away) {
        let mut other = case.clone();
        other.recipe.pressure = pressure;
        // What the shop's air cannot blast is no candidate.
        let at_work = AtWork::of(&other, Spreading::Whole);
        if let Ok(at_work) = at_work {
            all.push(depth_coupon(&other, &at_work.blasting, pressure));
        }
    }
    all.into_iter().flatten().collect()
}

/// A millimetre deep, or as deep as it gets in the longest time.
fn depth_coupon(case: &Case<'_>, blasting: &Blasting, pressure: GaugePressure) -> Option<Candidate> {
    let (time, depth) = blasted(case, blasting, DEPTH)?;
    let coupon = coupon(case, pressure, time, depth);
    Some(Candidate { readings: vec![depth_reading(blasting, depth)], coupon })
}

/// Until a share of the resist is worn, so that what it lost can be gauged beside the depth.
fn resist_coupon(case: &Case<'_>, blasting: &Blasting, pressure: GaugePressure) -> Option<Candidate> {
    let stock = stock(case);
    let selectivity = resist::selectivity(&blasting.model, &stock, blasting.removal.grain_speed);
    let wanted = Length::clamped(WORN_SHARE * stock.thickness.to_metres() * selectivity);
    let (time, depth) = blasted(case, blasting, wanted)?;
    let worn = Length::clamped(depth.to_metres() / selectivity.max(1e-3));
    let resists = blasting
        .samples
        .iter()
        .map(|(model, removal)| resist::selectivity(model, &stock, removal.grain_speed).max(1e-3).ln());
    let readings = vec![depth_reading(blasting, depth), (resists.collect(), WORN_SCATTER.powi(2))];
    let resist = Some((case.recipe.resist, ResistAfter::Worn(worn)));
    Some(Candidate { coupon: Coupon { resist, ..coupon(case, pressure, time, depth) }, readings })
}

fn stock(case: &Case<'_>) -> resist::Resist {
    let resist = case.recipe.resist;
    resist::Resist { thickness: resist.thickness.value, selectivity: resist.selectivity.value }
}

/// Whole seconds until a coupon's middle is so deep, and how deep it then is; no longer than a coupon is blasted.
fn blasted(case: &Case<'_>, blasting: &Blasting, wanted: Length) -> Option<(Time, Length)> {
    let opening = Usual::of(&case.shop).coupon_opening;
    let edge = opening.to_metres() + 2.0 * blasting.removal.footprint_radius.to_metres();
    let swept = Area::square_metres(edge * edge).ok()?;
    let seconds = blasting.seconds(&blasting.removal, wanted, swept).ok()?;
    let whole = seconds.ceil().clamp(1.0, LONGEST.to_seconds());
    Some((Time::clamped(whole), Length::clamped(wanted.to_metres() * whole / seconds.max(1e-9))))
}

fn depth_reading(blasting: &Blasting, depth: Length) -> (Vec<f64>, f64) {
    let rate = |(_, removal): &(Model, Removal)| removal.volume_rate.to_cubic_mm_per_second().max(1e-12).ln();
    (blasting.samples.iter().map(rate).collect(), SCATTER * SCATTER + gauged(depth))
}

/// Variance that the caliper adds to the logarithm of a length.
fn gauged(length: Length) -> f64 {
    (CALIPER.to_metres() / length.to_metres().max(1e-9)).powi(2)
}

fn coupon(case: &Case<'_>, pressure: GaugePressure, time: Time, depth: Length) -> Coupon {
    Coupon {
        material: case.piece.blank.material,
        abrasive: case.recipe.abrasive,
        grit: case.recipe.grit,
        nozzle: case.recipe.nozzle.name.clone(),
        pressure,
        standoff: case.recipe.standoff,
        opening: Usual::of(&case.shop).coupon_opening,
        time,
        depth,
        gauge: CALIPER,
        resist: None,
    }
}

/// The candidate that leaves least of a number's spread, and what share it leaves.
fn best<'c>(candidates: &'c [Candidate], number: &[f64]) -> Option<(&'c Candidate, f64)> {
    let left = candidates.iter().map(|candidate| (candidate, left(number, &candidate.readings)));
    left.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Standard deviation that one or two readings leave, over that before them.
fn left(number: &[f64], readings: &[(Vec<f64>, f64)]) -> f64 {
    let variance = covariance(number, number).max(1e-18);
    let told = match readings {
        [] => 0.0,
        [(one, noise)] => covariance(number, one).powi(2) / (covariance(one, one) + noise),
        [(one, noise), (two, other), ..] => {
            let (c, d) = (covariance(number, one), covariance(number, two));
            let (a, b, cross) = (covariance(one, one) + noise, covariance(two, two) + other, covariance(one, two));
            (c * c * b - 2.0 * c * d * cross + d * d * a) / (a * b - cross * cross).max(1e-18)
        }
    };
    (1.0 - told / variance).clamp(0.0, 1.0).sqrt()
}

fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
    let (mean_a, mean_b) = (mean(a), mean(b));
    a.iter().zip(b).map(|(a, b)| (a - mean_a) * (b - mean_b)).sum::<f64>() / (a.len() as f64 - 1.0).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::Belief;
    use crate::judge::judge;
    use crate::prepared::{Detail, Prepared};
    use crate::recipe;
    use crate::scenes::Scene;
    use std::borrow::Cow;
    use std::sync::Arc;

    /// A scene with nothing wrong with it, its belief and its recipe.
    fn with_case<T>(coupons: Vec<Coupon>, ask: impl FnOnce(&Case<'_>, &Judged) -> T) -> T {
        let scene = Scene::plain();
        let (piece, mut shop) = scene.resolved().unwrap();
        shop.coupons = coupons;
        let prepared = Prepared::new(&piece, &scene.drawing, Detail::Instant).unwrap();
        let belief = Arc::new(Belief::of(&shop, piece.blank.material).unwrap());
        let recipe = recipe::choose(&piece, &shop, &prepared.sketch, &belief).unwrap();
        let case = Case {
            piece: Cow::Borrowed(&piece),
            shop: Cow::Borrowed(&shop),
            sketch: Cow::Borrowed(&prepared.sketch),
            recipe,
            belief,
            supplies: Arc::default(),
        };
        let judged = judge(&case, Spreading::Whole).unwrap();
        ask(&case, &judged)
    }

    fn found(coupons: Vec<Coupon>) -> Vec<Narrowing> {
        let cost = Estimate::new(10, 14, 30).unwrap();
        let cost = [cost.low(), cost.mid(), cost.high()].map(|one| Money(rust_decimal::Decimal::from(one)));
        let cost = Estimate::new(cost[0], cost[1], cost[2]).unwrap();
        with_case(coupons, |case, judged| narrowings(case, judged, cost))
    }

    fn of(found: &[Narrowing], number: &Number) -> Narrowing {
        found.iter().find(|one| one.number == *number).unwrap().clone()
    }

    /// The coupon as it would come out if the depth, and what the resist lost, were so many times what is expected.
    fn read(by: &Measurement, deeper: f64) -> Coupon {
        let Measurement::Coupon(coupon) = by else { panic!("a coupon") };
        Coupon { depth: Length::clamped(coupon.depth.to_metres() * deeper), ..coupon.clone() }
    }

    #[test]
    fn a_coupon_that_was_really_added_narrows_as_was_expected() {
        let before = found(Vec::new());
        for number in [Number::BlastTime, Number::ResistWear] {
            let expected = of(&before, &number);
            // Over what the coupon might show: a width that hangs little on it.
            let after: Vec<f64> =
                [0.6, 1.0, 1.6].map(|deeper| of(&found(vec![read(&expected.by, deeper)]), &number).width.ln()).to_vec();
            let mean = (after.iter().sum::<f64>() / after.len() as f64).exp();
            println!("{number:?}: {:.2} now, {:.2} expected, {mean:.2} found", expected.width, expected.narrows_to);
            assert!(expected.narrows_to < 0.7 * expected.width, "{number:?} is hardly narrowed");
            assert!((mean.ln() / expected.narrows_to.ln() - 1.0).abs() < 0.25, "{number:?}: {after:?}");
        }
    }

    #[test]
    fn wear_asks_for_a_look_at_the_resist_and_time_does_not() {
        let found = found(Vec::new());
        let looked_at = |number| match of(&found, &number).by {
            Measurement::Coupon(coupon) => coupon.resist.is_some(),
            Measurement::FillReceiver(_) => false,
        };
        assert!(looked_at(Number::ResistWear));
        assert!(found.iter().all(|one| one.narrows_to <= one.width && one.narrows_to >= 1.0), "{found:?}");
        assert!(of(&found, &Number::Cost).narrows_to < of(&found, &Number::Cost).width);
    }

    #[test]
    fn two_readings_of_one_normal_number_leave_what_the_textbook_says() {
        // A number of variance 1 read twice with noise 1 each: 1/(1 + 1 + 1) is left.
        let number: Vec<f64> = (0..4000).map(|i| f64::from(i % 97) - 48.0).collect();
        let variance = covariance(&number, &number);
        let readings = vec![(number.clone(), variance), (number.clone(), variance)];
        assert!((left(&number, &readings).powi(2) - 1.0 / 3.0).abs() < 1e-6);
        assert!((left(&number, &readings[..1]).powi(2) - 0.5).abs() < 1e-6);
    }
}
