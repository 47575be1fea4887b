//! One recipe at work: from the shop's air to the volume that the jet removes each second.

use crate::line::air_line;
use crate::model::Recipe;
use crate::refusal::Refusal;
use air::gas::Viscosity;
use air::{AirLine, Stagnation, Steady, Throat, steady};
use carve::grain::{Gas, Grain};
use carve::jet::{Blast, Removal};
use carve::model::{Model, Prior, Shape, Spread};
use piece::{Coupon, Shop, ShopNozzle};
use quantity::{
    AbsolutePressure, Area, Density, Estimate, GAS_CONSTANT_AIR, GaugePressure, Length, MassRate, Quantity,
    SpecificErosion, Speed, Time,
};
use rayon::prelude::*;
use reference::{Abrasive, Grit, Material};

/// Sets of constants that a full plan draws. 5th and 95th percentiles of 96 samples lie within 0.1
/// standard deviations of the distribution's own.
pub(crate) const SAMPLES: usize = 96;

/// A jet on a target, at the middle of the model and over its spread.
#[derive(Debug, Clone)]
pub(crate) struct Blasting {
    /// The air line.
    pub line: AirLine,
    /// Its balance while the receiver is full.
    pub steady: Steady,
    /// The middle of the model.
    pub model: Model,
    /// What the jet removes there.
    pub removal: Removal,
    /// The model's samples with what the jet removes under each.
    pub samples: Vec<(Model, Removal)>,
    /// Abrasive leaving the nozzle.
    pub grit_rate: MassRate,
    /// Share of the jet that falls inside the swept area.
    on_target: f64,
}

/// How much of the model's spread is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Spreading {
    /// The middle alone: for searching.
    Middle,
    /// [`SAMPLES`] sets of constants: for what is shown.
    Whole,
}

impl Blasting {
    /// The recipe on a material in a shop.
    ///
    /// # Errors
    /// [`Refusal`] when the air line or the jet cannot be computed.
    pub(crate) fn new(
        recipe: &Recipe,
        material: &Material,
        shop: &Shop,
        spreading: Spreading,
    ) -> Result<Self, Refusal> {
        let jet =
            Jet::new(&recipe.nozzle, recipe.pressure, recipe.standoff, recipe.abrasive, recipe.grit, material, shop)?;
        let belief = Belief::new(recipe, material, shop)?;
        let model = belief.told(belief.prior.mid())?;
        let removal = jet.blast.removal(&model)?;
        let models = match spreading {
            Spreading::Middle => vec![model],
            Spreading::Whole => {
                belief.prior.samples(SAMPLES).into_iter().map(|model| belief.told(model)).collect::<Result<_, _>>()?
            }
        };
        let under = |model: Model| Ok((model, jet.blast.removal(&model)?));
        let samples = models.into_par_iter().map(under).collect::<Result<_, Refusal>>()?;
        let (line, steady, grit_rate) = (jet.line, jet.steady, jet.blast.grit_rate);
        Ok(Self { line, steady, model, removal, samples, grit_rate, on_target: shop.hands.on_target.to_ratio() })
    }

    /// Seconds for a wide opening to gain `dose` while `swept` is blasted evenly, at the middle.
    ///
    /// # Errors
    /// [`Refusal::Jet`] when the jet removes nothing.
    pub(crate) fn seconds(&self, dose: Length, swept: Area) -> Result<f64, Refusal> {
        Ok(self.removal.time_for(dose, swept)?.to_seconds() / self.on_target)
    }

    /// How fast the jet removes under each sample, over the middle.
    pub(crate) fn rate_factors(&self) -> Vec<f64> {
        let rate = |removal: &Removal| removal.volume_rate.to_cubic_mm_per_second();
        self.samples.iter().map(|(_, removal)| rate(removal) / rate(&self.removal)).collect()
    }

    /// Speed of the median grain at the work.
    pub(crate) fn grain_speed(&self) -> Result<Estimate<Speed>, Refusal> {
        let speed = |(_, removal): &(Model, Removal)| removal.grain_speed.to_metres_per_second();
        Ok(Estimate::from_samples(&mut self.samples.iter().map(speed).collect::<Vec<_>>())?)
    }

    /// A time at the middle of the model as a range: a slower jet needs longer.
    pub(crate) fn time_range(&self, mid_seconds: f64) -> Estimate<Time> {
        let mut times: Vec<f64> = self.rate_factors().iter().map(|factor| mid_seconds / factor.max(1e-6)).collect();
        about(mid_seconds, &mut times)
    }

    /// A depth at the middle of the model as a range: a faster jet goes deeper in the same time.
    pub(crate) fn depth_range(&self, mid: Length) -> Estimate<Length> {
        let mut depths: Vec<f64> = self.rate_factors().iter().map(|factor| mid.to_metres() * factor).collect();
        about(mid.to_metres(), &mut depths)
    }
}

/// The range of some samples about the value at the middle of the model. The samples' own median may
/// lie a little beside it: the model is not linear in its constants.
fn about<Q: Quantity>(mid: f64, samples: &mut [f64]) -> Estimate<Q> {
    let [low, _, high] = quantity::percentiles(samples);
    let (low, mid, high) = (Q::clamped(low.min(mid)), Q::clamped(mid), Q::clamped(high.max(mid)));
    Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid))
}

/// What the handbook and the shop's coupons together say of this pairing.
///
/// Without a coupon of the same material, abrasive and grit, the spreads of the material's and the
/// abrasive's factors join the spread of the absolute level: a product of lognormals adds the squares
/// of its parts' logarithms.
struct Belief {
    prior: Prior,
    coupons: Vec<(Jet, Coupon)>,
    on_target: f64,
}

/// 95th percentile over the median after one coupon, less one. Judgement (carving-physics.md 1.6: 15-20 %).
const COUPON_SPREAD: f64 = 0.18;

impl Belief {
    fn new(recipe: &Recipe, material: &Material, shop: &Shop) -> Result<Self, Refusal> {
        let mut coupons = Vec::new();
        for coupon in &shop.coupons {
            let same = coupon.material.id == material.id
                && coupon.abrasive.id == recipe.abrasive.id
                && coupon.grit.name == recipe.grit.name;
            if let (true, Some(nozzle)) = (same, shop.nozzle(&coupon.nozzle)) {
                let Coupon { material, abrasive, grit, pressure, standoff, .. } = coupon;
                let jet = Jet::new(nozzle, *pressure, *standoff, abrasive, grit, material, shop)?;
                coupons.push((jet, coupon.clone()));
            }
        }
        let prior = match coupons.len() {
            0 => widened(&Prior::default(), &[material.erosion_factor.value, recipe.abrasive.erosion_factor.value]),
            n => Prior::default().calibrated(1.0, 1.0 + COUPON_SPREAD / (n as f64).sqrt())?,
        };
        Ok(Self { prior, coupons, on_target: shop.hands.on_target.to_ratio() })
    }

    /// A set of constants after the coupons have spoken: its level is moved so that, with its own
    /// exponents and drag, it gives the depths that were gauged. What is then left of the spread is the
    /// coupon's own, and what the exponents do between the coupon's blast and this one.
    fn told(&self, model: Model) -> Result<Model, Refusal> {
        if self.coupons.is_empty() {
            return Ok(model);
        }
        let level = self.prior.mid().erosion_ref;
        let noise = model.erosion_ref.to_cubic_metres_per_kg() / level.to_cubic_metres_per_kg();
        let at_level = Model { erosion_ref: level, ..model };
        let logs = self.coupons.iter().map(|(jet, coupon)| Ok(self.ratio(jet, coupon, &at_level)?.ln()));
        let mean = logs.sum::<Result<f64, Refusal>>()? / self.coupons.len() as f64;
        Ok(Model {
            erosion_ref: SpecificErosion::clamped(level.to_cubic_metres_per_kg() * mean.exp() * noise),
            ..model
        })
    }

    /// Gauged depth over the depth that a set of constants expects.
    fn ratio(&self, jet: &Jet, coupon: &Coupon, model: &Model) -> Result<f64, Refusal> {
        let removal = jet.blast.removal(model)?;
        // The hand sweeps the opening and one footprint around it: the hand's doing, so the middle one.
        let footprint = jet.blast.removal(&self.prior.mid())?.footprint_radius;
        let edge = coupon.opening.to_metres() + 2.0 * footprint.to_metres();
        let rate = removal.dose_rate(Area::square_metres(edge * edge)?)?.to_metres_per_second();
        let expected = rate * coupon.time.to_seconds() * self.on_target;
        Ok(coupon.depth.to_metres() / expected.max(1e-12))
    }
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

/// A nozzle at one setting, before the uncertain model is asked.
struct Jet {
    line: AirLine,
    steady: Steady,
    blast: Blast,
}

impl Jet {
    fn new(
        nozzle: &ShopNozzle,
        set: GaugePressure,
        standoff: Length,
        abrasive: &Abrasive,
        grit: &Grit,
        material: &Material,
        shop: &Shop,
    ) -> Result<Self, Refusal> {
        let line = air_line(shop, nozzle, set)?;
        let full = shop.compressors.iter().map(|compressor| compressor.cut_out).fold(set, pick_higher);
        let steady = steady(&line, full)?;
        let site = line.site;
        let pressure = AbsolutePressure::from_gauge(steady.nozzle_gauge, site.pressure)?;
        let throat = Throat::of(Stagnation { pressure, temperature: site.temperature }, site.pressure)?;
        let blast = Blast {
            gas: gas(&throat),
            room: room(site.pressure, site.temperature)?,
            bore: nozzle.bore,
            bore_length: nozzle.length,
            standoff,
            grain: Grain { size: grit.d50.value.mid(), density: abrasive.grain_density.value },
            grit_rate: steady.flow.scaled(shop.loading)?,
            air_rate: steady.flow,
            angle_deg: 90.0,
            target_factor: material.erosion_factor.value.mid(),
            abrasive_factor: abrasive.erosion_factor.value.mid(),
        };
        Ok(Self { line, steady, blast })
    }
}

fn pick_higher(a: GaugePressure, b: GaugePressure) -> GaugePressure {
    if b > a { b } else { a }
}

fn gas(throat: &Throat) -> Gas {
    Gas {
        speed: throat.speed,
        temperature: throat.temperature,
        density: throat.density,
        viscosity_pa_s: throat.viscosity.to_pascal_seconds(),
    }
}

/// Still air around the piece, with the throat's speed left for the jet to fill in.
fn room(pressure: AbsolutePressure, temperature: quantity::Temperature) -> Result<Gas, Refusal> {
    let t = temperature.to_kelvins();
    Ok(Gas {
        speed: Speed::metres_per_second(0.0)?,
        temperature,
        density: Density::kg_per_cubic_metre(pressure.to_pascals() / (GAS_CONSTANT_AIR * t))?,
        viscosity_pa_s: Viscosity::of_air(temperature).to_pascal_seconds(),
    })
}
