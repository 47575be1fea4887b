//! One recipe at work: from the shop's air to the volume that the jet removes each second.

use crate::calibration::{Belief, Drawn};
use crate::line::air_line;
use crate::model::Recipe;
use crate::refusal::Refusal;
use air::gas::Viscosity;
use air::{AirLine, Stagnation, Steady, Throat, steady};
use carve::distance_rule::DistanceRule;
use carve::grain::{Gas, Grain};
use carve::jet::{Blast, Removal};
use carve::model::Model;
use piece::{Shop, ShopNozzle};
use quantity::{
    AbsolutePressure, Area, Density, Estimate, GAS_CONSTANT_AIR, GaugePressure, Length, MassRate, Quantity, Speed,
};
use reference::{Abrasive, Grit, Material};
use std::sync::Arc;

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
    /// What the stage times are set for: that of the middle.
    pace: Removal,
    /// Depth from dose and distance at the middle.
    pub rule: Arc<DistanceRule>,
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
    /// The first few of them: for tests of many shops.
    #[cfg(test)]
    Some(usize),
}

impl Blasting {
    /// The recipe on a material, from a supply.
    ///
    /// # Errors
    /// [`Refusal`] when the jet cannot be computed.
    pub(crate) fn on(
        supply: &Supply,
        recipe: &Recipe,
        material: &'static Material,
        shop: &Shop,
        belief: &Belief,
        spreading: Spreading,
    ) -> Result<Self, Refusal> {
        let blast = supply.blast(&recipe.nozzle, recipe.standoff, recipe.abrasive, recipe.grit, material, shop)?;
        let drawn = belief.drawn((material, recipe.abrasive));
        let removal = blast.removal(&drawn.middle)?;
        let samples = match spreading {
            Spreading::Middle => vec![(drawn.middle, removal)],
            Spreading::Whole => removed(&drawn.models, blast.removals(&drawn.models)?),
            #[cfg(test)]
            Spreading::Some(n) => {
                let models = &drawn.models[..n.min(drawn.models.len())];
                removed(models, blast.removals(models)?)
            }
        };
        Self::of(&blast, removal, samples, &drawn, supply, shop)
    }

    /// Of a blast with what it removes, at the middle and under the model's samples.
    ///
    /// # Errors
    /// [`Refusal`] when the law of depth cannot be computed.
    pub(crate) fn of(
        blast: &Blast,
        removal: Removal,
        samples: Vec<(Model, Removal)>,
        drawn: &Drawn,
        supply: &Supply,
        shop: &Shop,
    ) -> Result<Self, Refusal> {
        Ok(Self {
            line: supply.line.clone(),
            steady: supply.steady.clone(),
            model: drawn.middle,
            removal,
            samples,
            pace: removal,
            rule: drawn.rule.clone()?,
            grit_rate: blast.grit_rate,
            on_target: shop.hands.on_target.to_ratio(),
        })
    }

    /// Seconds for a wide opening to gain `dose` while `swept` is blasted evenly, by what the jet removes at the middle
    /// or under one sample.
    ///
    /// # Errors
    /// [`Refusal::Jet`] when the jet removes nothing.
    pub(crate) fn seconds(&self, removal: &Removal, dose: Length, swept: Area) -> Result<f64, Refusal> {
        Ok(removal.time_for(dose, swept)?.to_seconds() / self.on_target)
    }

    /// The same blast with one of its samples for the truth: the hand blasts until the depth is there, and by the
    /// clock it goes as far as the sample's jet does in the time that was set for the middle.
    #[cfg(test)]
    pub(crate) fn under(&self, sample: usize, rule: Arc<DistanceRule>) -> Self {
        let (model, removal) = self.samples[sample];
        let (line, steady) = (self.line.clone(), self.steady.clone());
        Self { line, steady, model, removal, samples: vec![(model, removal)], rule, ..*self }
    }

    /// How fast the jet removes under one of the samples that it was computed for, over what the stage times are set for.
    pub(crate) fn rate_factor_of(&self, sample: usize) -> f64 {
        self.rate_factor(&self.samples[sample].1)
    }

    /// The same for what was removed.
    pub(crate) fn rate_factor(&self, removal: &Removal) -> f64 {
        let rate = |removal: &Removal| removal.volume_rate.to_cubic_mm_per_second();
        rate(removal) / rate(&self.pace)
    }

    /// Speed of the median grain at the work.
    pub(crate) fn grain_speed(&self) -> Result<Estimate<Speed>, Refusal> {
        let speed = |(_, removal): &(Model, Removal)| removal.grain_speed.to_metres_per_second();
        Ok(Estimate::from_samples(&mut self.samples.iter().map(speed).collect::<Vec<_>>())?)
    }
}

/// Sets of constants, each with what is removed under it.
pub(crate) fn removed(models: &[Model], removals: Vec<Removal>) -> Vec<(Model, Removal)> {
    models.iter().copied().zip(removals).collect()
}

/// The range of some samples about the value at the middle of the model. The samples' own median may
/// lie a little beside it: the model is not linear in its constants.
pub(crate) fn about<Q: Quantity>(mid: f64, samples: &mut [f64]) -> Estimate<Q> {
    let [low, _, high] = quantity::percentiles(samples);
    let (low, mid, high) = (Q::clamped(low.min(mid)), Q::clamped(mid), Q::clamped(high.max(mid)));
    Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid))
}

/// A nozzle on the shop's air at one setting, whatever is blasted with it.
#[derive(Debug, Clone)]
pub(crate) struct Supply {
    /// The air line.
    pub line: AirLine,
    /// Its balance while the receiver is full.
    pub steady: Steady,
    throat: Throat,
}

impl Supply {
    /// # Errors
    /// [`Refusal`] when the air line cannot be computed.
    pub(crate) fn new(nozzle: &ShopNozzle, set: GaugePressure, shop: &Shop) -> Result<Self, Refusal> {
        let line = air_line(shop, nozzle, set)?;
        let full = shop.compressors.iter().map(|compressor| compressor.cut_out).fold(set, pick_higher);
        let steady = steady(&line, full)?;
        let pressure = AbsolutePressure::from_gauge(steady.nozzle_gauge, line.site.pressure)?;
        let throat = Throat::of(Stagnation { pressure, temperature: line.site.temperature }, line.site.pressure)?;
        Ok(Self { line, steady, throat })
    }

    /// Everything about a blast from it that is not uncertain.
    ///
    /// # Errors
    /// [`Refusal`] for numbers that no quantity holds.
    pub(crate) fn blast(
        &self,
        nozzle: &ShopNozzle,
        standoff: Length,
        abrasive: &Abrasive,
        grit: &Grit,
        material: &Material,
        shop: &Shop,
    ) -> Result<Blast, Refusal> {
        Ok(Blast {
            gas: gas(&self.throat),
            room: room(self.line.site.pressure, self.line.site.temperature)?,
            bore: nozzle.bore,
            bore_length: nozzle.length,
            standoff,
            grain: Grain { size: grit.d50.value.mid(), density: abrasive.grain_density.value },
            grit_rate: self.steady.flow.scaled(shop.loading)?,
            air_rate: self.steady.flow,
            angle_deg: 90.0,
            target_factor: material.erosion_factor.value.mid(),
            abrasive_factor: abrasive.erosion_factor.value.mid(),
        })
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
