//! One recipe at work: from the shop's air to the volume that the jet removes each second.

use crate::calibration::Belief;
use crate::line::air_line;
use crate::model::Recipe;
use crate::refusal::Refusal;
use air::gas::Viscosity;
use air::{AirLine, Stagnation, Steady, Throat, steady};
use carve::grain::{Gas, Grain};
use carve::jet::{Blast, Removal};
use carve::model::Model;
use piece::{Shop, ShopNozzle};
use quantity::{
    AbsolutePressure, Area, Density, Estimate, GAS_CONSTANT_AIR, GaugePressure, Length, MassRate, Quantity, Speed, Time,
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
        material: &'static Material,
        shop: &Shop,
        belief: &Belief,
        spreading: Spreading,
    ) -> Result<Self, Refusal> {
        let jet =
            Jet::new(&recipe.nozzle, recipe.pressure, recipe.standoff, recipe.abrasive, recipe.grit, material, shop)?;
        let pairing = (material, recipe.abrasive);
        let (model, models) = match spreading {
            Spreading::Middle => (belief.middle(pairing), vec![belief.middle(pairing)]),
            Spreading::Whole => belief.models(pairing, SAMPLES),
        };
        let removal = jet.blast.removal(&model)?;
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

/// A nozzle at one setting, before the uncertain model is asked.
pub(crate) struct Jet {
    line: AirLine,
    steady: Steady,
    pub(crate) blast: Blast,
}

impl Jet {
    pub(crate) fn new(
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

pub(crate) fn gas(throat: &Throat) -> Gas {
    Gas {
        speed: throat.speed,
        temperature: throat.temperature,
        density: throat.density,
        viscosity_pa_s: throat.viscosity.to_pascal_seconds(),
    }
}

/// Still air around the piece, with the throat's speed left for the jet to fill in.
pub(crate) fn room(pressure: AbsolutePressure, temperature: quantity::Temperature) -> Result<Gas, Refusal> {
    let t = temperature.to_kelvins();
    Ok(Gas {
        speed: Speed::metres_per_second(0.0)?,
        temperature,
        density: Density::kg_per_cubic_metre(pressure.to_pascals() / (GAS_CONSTANT_AIR * t))?,
        viscosity_pa_s: Viscosity::of_air(temperature).to_pascal_seconds(),
    })
}
