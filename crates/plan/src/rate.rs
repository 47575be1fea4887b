//! How fast a recipe removes, without a shop around it: pressure at the nozzle, sea level, 20 °C, 50 % humidity.

use crate::blast::{gas, room};
use crate::calibration::Belief;
use crate::document::RangeEntry;
use crate::refusal::Refusal;
use air::nozzle::{loaded_discharge, mass_flow};
use air::{Discharge, Loading, Stagnation, Throat};
use carve::grain::Grain;
use carve::jet::{Blast, Removal};
use carve::model::{CONSTANTS, Model};
use carve::sensitivity::{Share, first_order};
use carve::staging::{self, StagingError};
use language::say;
use quantity::{
    AbsolutePressure, Area, Diameter, Estimate, GaugePressure, Length, MassRate, Quantity as _, Speed, Temperature,
    Time, known,
};
use reference::{Abrasive, Grit, Material};
use serde::Serialize;

/// A recipe.
#[derive(Debug, Clone, Copy)]
pub struct Recipe {
    /// What is carved.
    pub material: &'static Material,
    /// With what.
    pub abrasive: &'static Abrasive,
    /// How coarse.
    pub grit: &'static Grit,
    /// Of the nozzle.
    pub bore: Diameter,
    /// Of its straight part.
    pub bore_length: Length,
    /// At the nozzle, above zero.
    pub pressure: GaugePressure,
    /// Nozzle to work.
    pub standoff: Length,
    /// Mass of abrasive for each mass of air.
    pub loading: Loading,
}

/// A recipe that cannot be rated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RateError {
    /// A number that must be above zero is not.
    #[error("{}", say!("{name} is 0; give it above zero"))]
    Nothing {
        /// Which.
        name: &'static str,
    },
    /// The blank or the abrasive must not be blasted.
    #[error(transparent)]
    Blank(#[from] safety::refusal::Refusal),
    /// The nozzle.
    #[error(transparent)]
    Flow(#[from] air::FlowError),
    /// The jet.
    #[error(transparent)]
    Jet(#[from] carve::jet::JetError),
    /// The air around, or a shop's coupons.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// Depths that cannot be staged.
    #[error(transparent)]
    Staging(#[from] StagingError),
    /// A number that no quantity holds.
    #[error(transparent)]
    Range(#[from] quantity::OutOfRange),
}

/// What a recipe does. Ranges are the model's 90 %.
#[derive(Debug, Clone)]
pub struct Rate {
    /// Volume removed while all of the jet falls on bare target, mm³/s.
    pub removal_mm3_s: Estimate<f64>,
    /// Depth gained in a minute by wide ground while the swept area is blasted evenly.
    pub minute: Estimate<Length>,
    /// All that is blasted evenly.
    pub swept: Area,
    /// Speed of the median grain at the work.
    pub grain_speed: Estimate<Speed>,
    /// Radius at which the carving rate falls to 1/e.
    pub footprint: Estimate<Length>,
    /// Air through the nozzle, with the abrasive in it.
    pub air: MassRate,
    /// Abrasive.
    pub grit: MassRate,
    /// First-order share of each constant in the rate's variance, largest first; empty without spread.
    pub shares: Vec<Share>,
}

/// Sets of constants that are drawn: shares come out within 0.05.
const SAMPLES: usize = 400;

/// Rates a recipe. `shop`: its coupons narrow the range.
///
/// # Errors
/// [`RateError`] for a recipe that must not be blasted or cannot be computed.
pub fn rate(recipe: &Recipe, swept: Area, shop: Option<&piece::Shop>) -> Result<Rate, RateError> {
    let jet = Rated::new(recipe, shop)?;
    let volume = |removal: &Removal| removal.volume_rate.to_cubic_mm_per_second();
    let per_minute = |removal: &Removal| Ok(removal.dose_rate(swept)?.to_metres_per_second() * 60.0);
    let minutes =
        jet.samples.iter().map(|(_, removal)| per_minute(removal)).collect::<Result<Vec<f64>, RateError>>()?;
    let logs: Vec<f64> = jet.samples.iter().map(|(_, removal)| volume(removal).max(1e-12).ln()).collect();
    let models: Vec<Model> = jet.samples.iter().map(|(model, _)| *model).collect();
    let spread = |value: fn(&Removal) -> f64| jet.samples.iter().map(|(_, removal)| value(removal)).collect();
    let middle = &jet.middle;
    Ok(Rate {
        removal_mm3_s: about(volume(middle), spread(volume), |value| value),
        minute: about(per_minute(middle)?, minutes, Length::clamped),
        swept,
        grain_speed: about(
            middle.grain_speed.to_metres_per_second(),
            spread(|removal| removal.grain_speed.to_metres_per_second()),
            Speed::clamped,
        ),
        footprint: about(
            middle.footprint_radius.to_metres(),
            spread(|removal| removal.footprint_radius.to_metres()),
            Length::clamped,
        ),
        air: jet.blast.air_rate,
        grit: jet.blast.grit_rate,
        shares: first_order(&models, &logs).unwrap_or_default(),
    })
}

fn about<T: Copy + PartialOrd>(mid: f64, mut samples: Vec<f64>, make: fn(f64) -> T) -> Estimate<T> {
    let [low, _, high] = quantity::percentiles(&mut samples);
    Estimate::new(make(low.min(mid)), make(mid), make(high.max(mid))).unwrap_or(Estimate::exact(make(mid)))
}

/// A layer without a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flat {
    /// How deep.
    pub depth: Length,
    /// Its own area.
    pub area: Area,
}

/// A stage of flat layers.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatStage {
    /// Layers weeded before it, as places in the list.
    pub opens: Vec<usize>,
    /// Depth that wide ground gains.
    pub dose: Length,
    /// Swept: all that is open by then as one square, and a footprint around it.
    pub swept: Area,
    /// At the nozzle.
    pub blast: Estimate<Time>,
}

/// Stages of layers given as depth and area, deepest first, with their time at the nozzle.
///
/// * `on_target`: share of the blast that lands on the swept area.
///
/// # Errors
/// [`RateError`] for layers without depth or area, and as [`rate`].
pub fn flat_stages(
    recipe: &Recipe,
    layers: &[Flat],
    on_target: quantity::Fraction,
    shop: Option<&piece::Shop>,
) -> Result<Vec<FlatStage>, RateError> {
    if layers.iter().any(|layer| layer.area.to_square_mm() <= 0.0) {
        return Err(RateError::Nothing { name: say!("an area") });
    }
    if on_target.to_ratio() <= 0.0 {
        return Err(RateError::Nothing { name: say!("the share on target") });
    }
    let jet = Rated::new(recipe, shop)?;
    let stages = staging::stages(&layers.iter().map(|layer| layer.depth).collect::<Vec<_>>())?;
    let mut open = 0.0;
    let mut made = Vec::with_capacity(stages.len());
    for stage in stages {
        open += stage.opens.iter().map(|&layer| layers[layer].area.to_square_metres()).sum::<f64>();
        let edge = open.sqrt() + 2.0 * jet.middle.footprint_radius.to_metres();
        let swept = Area::square_metres(edge * edge)?;
        let seconds = |removal: &Removal| {
            Ok::<_, RateError>(removal.time_for(stage.dose, swept)?.to_seconds() / on_target.to_ratio())
        };
        let samples = jet.samples.iter().map(|(_, removal)| seconds(removal)).collect::<Result<Vec<f64>, _>>()?;
        let blast = about(seconds(&jet.middle)?, samples, Time::clamped);
        made.push(FlatStage { opens: stage.opens, dose: stage.dose, swept, blast });
    }
    Ok(made)
}

/// A recipe's blast with what it removes, at the middle and over the spread.
struct Rated {
    blast: Blast,
    middle: Removal,
    samples: Vec<(Model, Removal)>,
}

impl Rated {
    fn new(recipe: &Recipe, shop: Option<&piece::Shop>) -> Result<Self, RateError> {
        safety::refusal::accept_abrasive(recipe.abrasive, None)?;
        let blast = blast(recipe)?;
        let belief = match shop {
            Some(shop) => Belief::with(shop, (recipe.material, recipe.abrasive))?,
            None => Belief::default(),
        };
        let (model, models) = belief.models((recipe.material, recipe.abrasive), SAMPLES);
        let removals = blast.removals(&models)?;
        Ok(Self { blast, middle: blast.removal(&model)?, samples: models.into_iter().zip(removals).collect() })
    }
}

/// 20 °C.
const ROOM: Temperature = known(Temperature::celsius(20.0));
const SEA_LEVEL: AbsolutePressure = known(AbsolutePressure::kpa(101.325));

fn blast(recipe: &Recipe) -> Result<Blast, RateError> {
    let numbers = [
        (say!("the bore"), recipe.bore.to_metres()),
        (say!("the bore's length"), recipe.bore_length.to_metres()),
        (say!("the pressure"), recipe.pressure.to_base()),
        (say!("the standoff"), recipe.standoff.to_metres()),
        (say!("the loading"), recipe.loading.to_ratio()),
    ];
    if let Some(&(name, _)) = numbers.iter().find(|(_, value)| *value <= 0.0) {
        return Err(RateError::Nothing { name });
    }
    let pressure = AbsolutePressure::from_gauge(recipe.pressure, SEA_LEVEL)?;
    let upstream = Stagnation { pressure, temperature: ROOM };
    let discharge = loaded_discharge(Discharge::ROUNDED, recipe.loading, recipe.bore);
    let air_rate = mass_flow(recipe.bore, discharge, upstream, SEA_LEVEL)?.rate;
    Ok(Blast {
        gas: gas(&Throat::of(upstream, SEA_LEVEL)?),
        room: room(SEA_LEVEL, ROOM)?,
        bore: recipe.bore,
        bore_length: recipe.bore_length,
        standoff: recipe.standoff,
        grain: Grain { size: recipe.grit.d50.value.mid(), density: recipe.abrasive.grain_density.value },
        grit_rate: air_rate.scaled(recipe.loading.to_ratio())?,
        air_rate,
        angle_deg: 90.0,
        target_factor: recipe.material.erosion_factor.value.mid(),
        abrasive_factor: recipe.abrasive.erosion_factor.value.mid(),
    })
}

/// A rate as programs read it.
#[derive(Debug, Clone, Serialize)]
pub struct RateDocument {
    /// Id.
    pub material: String,
    /// Id.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Volume removed while all of the jet falls on bare target.
    pub removal_mm3_s: RangeEntry,
    /// All that is blasted evenly.
    pub swept_mm2: f64,
    /// Depth gained there in a minute by wide ground.
    pub depth_mm_per_min: RangeEntry,
    /// Of the median grain at the work.
    pub grain_speed_m_s: RangeEntry,
    /// Radius at which the rate falls to 1/e.
    pub footprint_mm: RangeEntry,
    /// Air through the nozzle, l/min ANR.
    pub air_l_min_anr: f64,
    /// Abrasive.
    pub grit_g_s: f64,
    /// What the rate hangs on, largest first.
    pub sensitivity: Vec<ShareEntry>,
}

/// A constant's share.
#[derive(Debug, Clone, Serialize)]
pub struct ShareEntry {
    /// Its name.
    pub constant: &'static str,
    /// First-order share of the variance of the rate's logarithm.
    pub share: f64,
    /// Where its band comes from.
    pub source: &'static str,
}

impl RateDocument {
    /// A recipe's rate.
    #[must_use]
    pub fn new(recipe: &Recipe, rate: &Rate) -> Self {
        fn range<T: Copy + PartialOrd>(estimate: Estimate<T>, number: fn(T) -> f64) -> RangeEntry {
            let [low, value, high] = [estimate.low(), estimate.mid(), estimate.high()].map(number);
            RangeEntry { value, low, high }
        }
        Self {
            material: recipe.material.id.clone(),
            abrasive: recipe.abrasive.id.clone(),
            grit: recipe.grit.name.clone(),
            removal_mm3_s: range(rate.removal_mm3_s, |value| value),
            swept_mm2: rate.swept.to_square_mm(),
            depth_mm_per_min: range(rate.minute, Length::to_mm),
            grain_speed_m_s: range(rate.grain_speed, Speed::to_metres_per_second),
            footprint_mm: range(rate.footprint, Length::to_mm),
            air_l_min_anr: rate.air.to_litres_anr_per_minute(),
            grit_g_s: rate.grit.to_grams_per_second(),
            sensitivity: rate.shares.iter().map(ShareEntry::of).collect(),
        }
    }
}

impl ShareEntry {
    fn of(share: &Share) -> Self {
        let source = CONSTANTS.iter().find(|constant| constant.name == share.name).map_or("", |known| known.source);
        Self { constant: share.name, share: share.share, source }
    }
}
