//! What a shop's coupons say of the model's constants, for every pairing of material and abrasive.
//!
//! Without a coupon a pairing is believed as the tables have it: the spreads of the material's and the abrasive's
//! factors join the spread of the absolute level (a product of lognormals adds the squares of its parts' logarithms).
//! With coupons, of whatever pairing, it is the posterior of [`carve::calibrate`]: they share the level and the
//! exponents, and each pairing keeps a factor of its own. The posterior is computed once for a plan.

use crate::blast::{SAMPLES, Supply};
use crate::refusal::Refusal;
use crate::usual::Usual;
use carve::calibrate::{self, CalibrateError, Posterior, ResistReading, ResistState, Setting};
use carve::distance_rule::{DistanceRule, RuleError};
use carve::jet::JetError;
use carve::model::{COUNT, Model, Prior, Shape, Spread};
use language::say;
use piece::{CALIPER, Coupon, ResistAfter, Shop, ShopNozzle};
use quantity::{Area, Estimate, GaugePressure, Length, Time, known};
use reference::{Abrasive, Grit, Material, Resist};
use std::sync::{Arc, OnceLock};

/// A material with an abrasive.
pub type Pairing = (&'static Material, &'static Abrasive);

/// What is believed of the constants in one shop.
#[derive(Debug, Clone, Default)]
pub(crate) struct Belief {
    /// `None` before the first coupon.
    posterior: Option<Posterior>,
    pairings: Vec<Pairing>,
    /// The middle of each pairing's sets of constants, after coupons.
    middles: Vec<Model>,
    /// What a plan draws for each pairing, once it is asked for.
    drawn: Vec<(Pairing, OnceLock<Arc<Drawn>>)>,
}

/// Sets of constants that a plan reckons with, and what follows from them alone.
#[derive(Debug)]
pub(crate) struct Drawn {
    /// The middle set.
    pub middle: Model,
    /// [`SAMPLES`] sets that spread as the belief does.
    pub models: Vec<Model>,
    /// Depth from dose and distance, at the middle.
    pub rule: Result<Arc<DistanceRule>, RuleError>,
}

impl Belief {
    /// A shop's belief over its own pairings with a material.
    ///
    /// # Errors
    /// [`Refusal::Calibration`] when a coupon cannot be computed or contradicts the rest.
    pub(crate) fn of(shop: &Shop, material: &'static Material) -> Result<Self, Refusal> {
        let stocked = shop.abrasives.iter().map(|stock| (material, stock.abrasive));
        Self::over(shop, &gauged(shop), stocked)
    }

    /// A shop's belief over one more pairing.
    ///
    /// # Errors
    /// [`Refusal::Calibration`] when a coupon cannot be computed or contradicts the rest.
    pub(crate) fn with(shop: &Shop, pairing: Pairing) -> Result<Self, Refusal> {
        Self::over(shop, &gauged(shop), std::iter::once(pairing))
    }

    /// The belief after some coupons, for their pairings and some more.
    fn over(shop: &Shop, coupons: &[Coupon], more: impl Iterator<Item = Pairing>) -> Result<Self, Refusal> {
        let mut pairings: Vec<Pairing> = Vec::new();
        for pairing in coupons.iter().map(|coupon| (coupon.material, coupon.abrasive)).chain(more) {
            if place(&pairings, pairing).is_none() {
                pairings.push(pairing);
            }
        }
        let drawn = pairings.iter().map(|&pairing| (pairing, OnceLock::new())).collect();
        if coupons.is_empty() {
            return Ok(Self { drawn, ..Self::default() });
        }
        let spreads = pairings.iter().map(|&pairing| spread(pairing)).collect();
        let readings = coupons.iter().map(|coupon| reading(shop, coupon, &pairings)).collect::<Result<Vec<_>, _>>()?;
        let posterior = calibrate::Calibration::new(Prior::default(), spreads)?.posterior(&readings)?;
        let middles = (0..pairings.len()).map(|pairing| middle(&posterior.samples(pairing, usize::MAX))).collect();
        Ok(Self { posterior: Some(posterior), pairings, middles, drawn })
    }

    /// Whether any coupon has been counted.
    pub(crate) fn has_coupons(&self) -> bool {
        self.posterior.is_some()
    }

    /// What a plan draws for a pairing; kept for those that the belief was made for.
    pub(crate) fn drawn(&self, pairing: Pairing) -> Arc<Drawn> {
        let draw = || {
            let (_, models) = self.models(pairing, SAMPLES);
            let middle = self.middle(pairing);
            Arc::new(Drawn { middle, models, rule: DistanceRule::new(middle.velocity_exponent).map(Arc::new) })
        };
        let known = self.drawn.iter().find(|(have, _)| have.0.id == pairing.0.id && have.1.id == pairing.1.id);
        known.map_or_else(draw, |(_, kept)| Arc::clone(kept.get_or_init(draw)))
    }

    /// The middle set of constants for a pairing, and `n` sets that spread as the belief does.
    pub(crate) fn models(&self, pairing: Pairing, n: usize) -> (Model, Vec<Model>) {
        match (&self.posterior, place(&self.pairings, pairing)) {
            (Some(posterior), Some(place)) => (self.middles[place], posterior.samples(place, n)),
            _ => {
                let factors = [pairing.0.erosion_factor.value, pairing.1.erosion_factor.value];
                let prior = widened(&Prior::default(), &factors);
                (prior.mid(), prior.samples(n))
            }
        }
    }

    /// The middle set of constants alone.
    pub(crate) fn middle(&self, pairing: Pairing) -> Model {
        place(&self.pairings, pairing).map_or_else(|| Prior::default().mid(), |place| self.middles[place])
    }
}

fn place(pairings: &[Pairing], wanted: Pairing) -> Option<usize> {
    pairings.iter().position(|have| have.0.id == wanted.0.id && have.1.id == wanted.1.id)
}

/// Logarithmic standard deviation of a pairing's factor.
fn spread((material, abrasive): Pairing) -> f64 {
    // The width of a 90 % interval in standard deviations.
    const WIDTH: f64 = 3.29;
    let deviation = |factor: &Estimate<f64>| (factor.high() / factor.low()).ln() / WIDTH;
    deviation(&material.erosion_factor.value).hypot(deviation(&abrasive.erosion_factor.value))
}

/// Each constant's median over some sets.
fn middle(models: &[Model]) -> Model {
    let numbers: Vec<[f64; COUNT]> = models.iter().map(Model::to_numbers).collect();
    let median = |i: usize| {
        let mut values: Vec<f64> = numbers.iter().map(|numbers| numbers[i]).collect();
        quantity::percentiles(&mut values)[1]
    };
    // Medians of values in range are in range.
    Model::from_numbers(std::array::from_fn(median)).unwrap_or_else(|_| Prior::default().mid())
}

fn widened(prior: &Prior, factors: &[Estimate<f64>]) -> Prior {
    let mut wide = *prior;
    let level = wide.spreads[0];
    let side = |first: f64, others: fn(&Estimate<f64>) -> f64| {
        let squares: f64 = factors.iter().map(|factor| others(factor).ln().powi(2)).sum();
        (first.ln().powi(2) + squares).sqrt().exp()
    };
    wide.spreads[0] = Spread {
        low: level.mid / side(level.mid / level.low, |factor| factor.mid() / factor.low()),
        mid: level.mid,
        high: level.mid * side(level.high / level.mid, |factor| factor.high() / factor.mid()),
        shape: Shape::Lognormal,
    };
    wide
}

/// The coupons of a shop file whose nozzle the shop still has.
fn gauged(shop: &Shop) -> Vec<Coupon> {
    shop.coupons.iter().filter(|coupon| shop.nozzle(&coupon.nozzle).is_some()).cloned().collect()
}

fn reading(shop: &Shop, coupon: &Coupon, pairings: &[Pairing]) -> Result<calibrate::Coupon, Refusal> {
    let nozzle = shop.nozzle(&coupon.nozzle).ok_or(Refusal::NoNozzle)?;
    let blasted = Blasted {
        pairing: (coupon.material, coupon.abrasive),
        grit: coupon.grit,
        nozzle,
        pressure: coupon.pressure,
        standoff: coupon.standoff,
        opening: coupon.opening,
    };
    let setting = blasted.setting(shop, pairings)?;
    Ok(calibrate::Coupon {
        setting,
        time: coupon.time,
        depth: coupon.depth,
        gauge: coupon.gauge,
        resist: coupon.resist.map(worn),
    })
}

fn worn((resist, state): (&Resist, ResistAfter)) -> ResistReading {
    let as_new = carve::resist::Resist { thickness: resist.thickness.value, selectivity: resist.selectivity.value };
    let state = match state {
        ResistAfter::Sound => ResistState::Sound,
        ResistAfter::Failed => ResistState::Failed,
        ResistAfter::Worn(lost) => ResistState::Worn(lost),
    };
    ResistReading { resist: as_new, state }
}

/// How a square opening is blasted.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Blasted<'a> {
    pub pairing: Pairing,
    pub grit: &'static Grit,
    pub nozzle: &'a ShopNozzle,
    pub pressure: GaugePressure,
    pub standoff: Length,
    pub opening: Length,
}

impl Blasted<'_> {
    pub(crate) fn setting(&self, shop: &Shop, pairings: &[Pairing]) -> Result<Setting, Refusal> {
        let (material, abrasive) = self.pairing;
        let supply = Supply::new(self.nozzle, self.pressure, shop)?;
        let blast = supply.blast(self.nozzle, self.standoff, abrasive, self.grit, material, shop)?;
        // The hand sweeps the opening and one footprint around it: the hand's doing, so the middle one.
        let footprint = blast.removal(&Prior::default().mid())?.footprint_radius;
        let edge = self.opening.to_metres() + 2.0 * footprint.to_metres();
        Ok(Setting {
            blast,
            swept: Area::square_metres(edge * edge)?,
            on_target: shop.hands.on_target,
            opening: self.opening,
            pairing: place(pairings, self.pairing).unwrap_or(0),
        })
    }
}

/// Coupons that say nothing usable.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CalibrationError {
    /// There is none.
    #[error("{}", say!("there is no coupon in it, nor in the shop file; blast one and write a row for it"))]
    None,
    /// The shop or a coupon's blast.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A coupon's blast, or what it says.
    #[error(transparent)]
    Calibrate(#[from] CalibrateError),
    /// A setting that could be tried next.
    #[error("{}", say!("next coupon: {fault}", fault = _0))]
    Jet(#[from] JetError),
}

/// What coupons have told, and what would tell most next.
#[derive(Debug, Clone)]
pub struct Calibrated {
    /// In their order: those of the shop file first.
    pub coupons: Vec<Told>,
    /// How far the worst coupon lies from the best constants, in standard deviations; above 3, look at it again.
    pub misfit: f64,
    /// Share of the prior's samples that still count.
    pub effective_share: f64,
    /// The coupon that would narrow most, if any can be blasted.
    pub next: Option<Next>,
}

/// One coupon.
#[derive(Debug, Clone)]
pub struct Told {
    /// What was blasted.
    pub coupon: Coupon,
    /// Depth expected before any coupon.
    pub before: Estimate<Length>,
    /// Depth expected after all of them.
    pub after: Estimate<Length>,
}

impl Told {
    /// Widths of the two intervals as high over low, before and after.
    #[must_use]
    pub fn widths(&self) -> [f64; 2] {
        [self.before, self.after].map(|depth| depth.high().to_mm() / depth.low().to_mm().max(1e-6))
    }
}

/// A coupon worth blasting.
#[derive(Debug, Clone)]
pub struct Next {
    /// What to blast; its depth is what is expected at the middle.
    pub coupon: Coupon,
    /// The setting whose depth is least sure now, and which that coupon would narrow.
    pub unsure: Coupon,
    /// Width of that interval now, as high over low.
    pub width: f64,
    /// Expected width afterwards over the width now, as logarithms.
    pub narrows_to: f64,
}

/// Sets the model's constants by a shop's coupons and some more.
///
/// Cost: about 30 ms for each coupon, and half a second for the search of the next one.
///
/// # Errors
/// [`CalibrationError`] for no coupon, one that cannot be computed, or one that contradicts the rest.
pub fn calibrate(shop: &Shop, more: &[Coupon]) -> Result<Calibrated, CalibrationError> {
    let coupons: Vec<Coupon> = gauged(shop).into_iter().chain(more.iter().cloned()).collect();
    let materials = distinct(coupons.iter().map(|coupon| coupon.material));
    let stocked = materials.iter().flat_map(|&material| shop.abrasives.iter().map(move |s| (material, s.abrasive)));
    let belief = Belief::over(shop, &coupons, stocked)?;
    let Some(posterior) = &belief.posterior else { return Err(CalibrationError::None) };
    let spreads = belief.pairings.iter().map(|&pairing| spread(pairing)).collect();
    let prior = calibrate::Calibration::new(Prior::default(), spreads)?.posterior(&[])?;
    let told = |coupon: &Coupon| -> Result<Told, CalibrationError> {
        let reading = reading(shop, coupon, &belief.pairings)?;
        Ok(Told {
            coupon: coupon.clone(),
            before: prior.depth(&reading.setting, reading.time)?,
            after: posterior.depth(&reading.setting, reading.time)?,
        })
    };
    let told = coupons.iter().map(told).collect::<Result<Vec<_>, _>>()?;
    let next = next(shop, &belief, posterior, &materials)?;
    Ok(Calibrated { coupons: told, misfit: posterior.misfit(), effective_share: posterior.effective_share(), next })
}

fn distinct(materials: impl Iterator<Item = &'static Material>) -> Vec<&'static Material> {
    let mut all: Vec<&'static Material> = Vec::new();
    for material in materials {
        if all.iter().all(|have| have.id != material.id) {
            all.push(material);
        }
    }
    all
}

/// A coupon is blasted deep enough to be gauged. Judgement.
pub(crate) const DEPTH: Length = known(Length::mm(1.0));
/// A coupon is not blasted for longer. Judgement.
pub(crate) const LONGEST: Time = known(Time::minutes(10.0));

/// Of all that the shop stocks: the setting that is least sure, and the coupon that would narrow it most.
fn next(
    shop: &Shop,
    belief: &Belief,
    posterior: &Posterior,
    materials: &[&'static Material],
) -> Result<Option<Next>, CalibrationError> {
    let usual = Usual::of(shop);
    let mut candidates: Vec<(Coupon, Setting)> = Vec::new();
    for (&material, stock) in materials.iter().flat_map(|m| shop.abrasives.iter().map(move |stock| (m, stock))) {
        let pressures = |nozzle| usual.coupon_pressures.map(|pressure| (nozzle, pressure));
        for (nozzle, pressure) in shop.nozzles.iter().flat_map(pressures) {
            let pairing = (material, stock.abrasive);
            let (standoff, opening) = (usual.coupon_standoff, usual.coupon_opening);
            let blasted = Blasted { pairing, grit: stock.grit, nozzle, pressure, standoff, opening };
            // What the shop's air cannot blast is no candidate.
            let Ok(setting) = blasted.setting(shop, &belief.pairings) else { continue };
            let Ok(time) = middle_time(belief, &setting, pairing) else { continue };
            if time <= LONGEST {
                candidates.push((coupon(&blasted, time), setting));
            }
        }
    }
    let settings: Vec<(Setting, Time)> = candidates.iter().map(|(coupon, setting)| (*setting, coupon.time)).collect();
    let mut unsure = (0.0, 0);
    for (i, (setting, time)) in settings.iter().enumerate() {
        let depth = posterior.depth(setting, *time)?;
        let width = depth.high().to_mm() / depth.low().to_mm().max(1e-6);
        if width > unsure.0 {
            unsure = (width, i);
        }
    }
    let Some((setting, time)) = settings.get(unsure.1) else { return Ok(None) };
    let telling = posterior.most_telling(&settings, (setting, *time), CALIPER)?;
    Ok(telling.first().map(|best| Next {
        coupon: candidates[best.candidate].0.clone(),
        unsure: candidates[unsure.1].0.clone(),
        width: unsure.0,
        narrows_to: best.narrows_to,
    }))
}

/// Whole seconds until the opening's middle is a millimetre deep, at the middle of the belief.
fn middle_time(belief: &Belief, setting: &Setting, pairing: Pairing) -> Result<Time, JetError> {
    let rate = setting.blast.removal(&belief.middle(pairing))?.dose_rate(setting.swept)?.to_metres_per_second();
    let seconds = DEPTH.to_metres() / (rate * setting.on_target.to_ratio()).max(1e-12);
    Ok(Time::seconds(seconds.ceil())?)
}

fn coupon(blasted: &Blasted<'_>, time: Time) -> Coupon {
    Coupon {
        material: blasted.pairing.0,
        abrasive: blasted.pairing.1,
        grit: blasted.grit,
        nozzle: blasted.nozzle.name.clone(),
        pressure: blasted.pressure,
        standoff: blasted.standoff,
        opening: blasted.opening,
        time,
        depth: DEPTH,
        gauge: CALIPER,
        resist: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHOP: &str = include_str!("../../../examples/shop.toml");

    fn shop(coupons: &[(&str, &str, &str, f64)]) -> Shop {
        let row = |(material, abrasive, grit, depth_mm): &(&str, &str, &str, f64)| {
            format!(
                "\n[[coupon]]\nmaterial = \"{material}\"\nabrasive = \"{abrasive}\"\ngrit = \"{grit}\"\n\
                 nozzle = \"carver\"\npressure = \"2.5bar\"\nstandoff = \"120mm\"\nopening = \"25mm\"\n\
                 time = \"60s\"\ndepth = \"{depth_mm}mm\"\n"
            )
        };
        let text = SHOP.to_owned() + &coupons.iter().map(row).collect::<String>();
        piece::read_shop(&text, "shop.toml").unwrap_or_else(|faults| panic!("{faults}"))
    }

    fn pairing(material: &str, abrasive: &str) -> Pairing {
        let tables = reference::tables();
        (tables.material(material).unwrap(), tables.abrasive(abrasive).unwrap())
    }

    /// 95th over 5th percentile of the reference erosion.
    fn width(belief: &Belief, pairing: Pairing) -> f64 {
        let (_, models) = belief.models(pairing, 96);
        let mut levels: Vec<f64> = models.iter().map(|model| model.erosion_ref.to_cubic_mm_per_gram()).collect();
        let [low, _, high] = quantity::percentiles(&mut levels);
        high / low
    }

    #[test]
    fn without_a_coupon_the_middle_and_the_samples_are_the_handbook_s() {
        let glass = pairing("float_glass", "white_alumina");
        let belief = Belief::of(&shop(&[]), glass.0).unwrap();
        let (middle, models) = belief.models(glass, 96);
        assert_eq!((middle, belief.middle(glass)), (Prior::default().mid(), Prior::default().mid()));
        let factors = [glass.0.erosion_factor.value, glass.1.erosion_factor.value];
        assert_eq!(models, widened(&Prior::default(), &factors).samples(96));
    }

    #[test]
    fn a_coupon_of_one_grit_narrows_another_and_of_one_abrasive_another() {
        let (alumina, carbide) = (pairing("float_glass", "white_alumina"), pairing("float_glass", "silicon_carbide"));
        let before = Belief::of(&shop(&[]), alumina.0).unwrap();
        let after = Belief::of(&shop(&[("float_glass", "white_alumina", "F150", 0.8)]), alumina.0).unwrap();
        let widths = [alumina, carbide].map(|pairing| (width(&before, pairing), width(&after, pairing)));
        println!("high over low before and after, alumina and carbide: {widths:.2?}");
        for (before, after) in widths {
            assert!(after < 0.7 * before, "{before} {after}");
        }
        assert!(widths[0].1 <= widths[1].1, "its own abrasive is surer than another");
    }

    #[test]
    fn contradicting_coupons_are_named() {
        let coupons = [0.8, 0.8, 0.8, 40.0].map(|depth| ("float_glass", "white_alumina", "F150", depth));
        match Belief::of(&shop(&coupons), pairing("float_glass", "white_alumina").0) {
            Err(refusal) => assert!(refusal.to_string().contains("coupon 4"), "{refusal}"),
            Ok(belief) => assert!(belief.posterior.unwrap().misfit() > 3.0, "the misfit tells it"),
        }
    }

    #[test]
    fn the_next_coupon_is_one_that_the_shop_can_blast_and_it_narrows() {
        let shop = shop(&[("float_glass", "white_alumina", "F150", 0.8)]);
        let answer = calibrate(&shop, &[]).unwrap();
        let [before, after] = answer.coupons[0].widths();
        println!("{before:.2} to {after:.2}; next {:?}", answer.next.as_ref().map(|next| next.narrows_to));
        assert!(after < 0.5 * before);
        let next = answer.next.unwrap();
        assert!(shop.nozzle(&next.coupon.nozzle).is_some() && next.narrows_to < 1.0 && next.coupon.time <= LONGEST);
        assert!(matches!(calibrate(&piece::read_shop(SHOP, "shop.toml").unwrap(), &[]), Err(CalibrationError::None)));
    }
}
