//! One coupon: how it was blasted and what was gauged.

use super::{Reading, SCATTER};
use crate::distance_rule::share_of;
use crate::jet::{Blast, JetError};
use crate::model::Model;
use crate::resist::{Resist, selectivity};
use quantity::{Area, Fraction, Length, Speed, Time};

/// How a coupon, or a piece of work, is blasted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// The jet: nozzle, pressure, grit, standoff, target.
    pub blast: Blast,
    /// All that the hand sweeps evenly, resist included.
    pub swept: Area,
    /// Share of the blasting time that the jet is on it.
    pub on_target: Fraction,
    /// Least width of the opening whose middle is gauged.
    pub opening: Length,
    /// Place of its material and abrasive in the list of pairings.
    pub pairing: usize,
}

/// A blasted coupon, or a logged piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coupon {
    /// How it was blasted.
    pub setting: Setting,
    /// For how long.
    pub time: Time,
    /// Depth gauged in the middle of the opening.
    pub depth: Length,
    /// Standard deviation of the gauge itself: 0.01 mm for a dial, 0.05 mm for a caliper.
    pub gauge: Length,
    /// What became of the resist, if it was looked at.
    pub resist: Option<ResistReading>,
}

/// What became of a resist.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResistReading {
    /// The resist, as new.
    pub resist: Resist,
    /// Its state after the blast.
    pub state: ResistState,
}

/// State of a resist after a blast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ResistState {
    /// Not worn through anywhere.
    Sound,
    /// Thickness lost, as gauged.
    Worn(Length),
    /// Worn through.
    Failed,
}

/// Under one sample of the constants, at the middle level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rate {
    /// Metres of dose each second.
    pub(crate) dose: f64,
    pub(crate) speed: Speed,
}

/// Logarithmic standard deviation of a gauged resist thickness lost (judgement: films are soft and rough).
pub const WORN_SCATTER: f64 = 0.25;

impl Setting {
    pub(crate) fn rate(&self, model: &Model) -> Result<Rate, JetError> {
        let removal = self.blast.removal(model)?;
        let dose = removal.dose_rate(self.swept)?.to_metres_per_second() * self.on_target.to_ratio();
        if dose <= 0.0 {
            return Err(JetError::NothingRemoved);
        }
        Ok(Rate { dose, speed: removal.grain_speed })
    }

    /// Depth in metres in the middle of the opening after a dose in metres.
    pub(crate) fn depth(&self, model: &Model, dose: f64) -> f64 {
        dose * share_of(model.velocity_exponent, 0.5 * self.opening.to_metres() / dose.max(1e-12))
    }
}

impl Coupon {
    /// The reading under one sample, for the linear update.
    pub(crate) fn reading(&self, model: &Model, rate: &Rate) -> Reading {
        let (setting, model, dose) = (self.setting, *model, rate.dose * self.time.to_seconds());
        let depth = move |deviation: f64| setting.depth(&model, dose * deviation.exp()).max(1e-12).ln();
        let expected = move |deviation: f64| {
            let (below, above) = (depth(deviation - 0.01), depth(deviation + 0.01));
            [depth(deviation), (above - below) / 0.02]
        };
        let gauge = self.gauge.to_metres() / self.depth.to_metres();
        Reading {
            expected: Box::new(expected),
            gauged: self.depth.to_metres().ln(),
            pairing: self.setting.pairing,
            variance: SCATTER * SCATTER + gauge * gauge,
        }
    }

    /// Logarithm of the likelihood of the resist's state. The dose on the resist is taken from the depth that
    /// was gauged, so that it does not hang on the level.
    pub(crate) fn resist_fit(&self, model: &Model, rate: &Rate) -> f64 {
        let Some(ResistReading { resist, state }) = self.resist else { return 0.0 };
        let selectivity = selectivity(model, &resist, rate.speed).max(1e-3);
        let worn = self.depth.to_metres() / selectivity;
        let spare = (resist.thickness.to_metres() / worn.max(1e-12)).ln() / WORN_SCATTER;
        match state {
            ResistState::Worn(lost) => -0.5 * ((lost.to_metres().max(1e-9) / worn).ln() / WORN_SCATTER).powi(2),
            ResistState::Sound => below(spare).ln(),
            ResistState::Failed => below(-spare).ln(),
        }
    }
}

/// The standard normal distribution function, by a logistic curve: within 0.01, never 0.
fn below(deviate: f64) -> f64 {
    (1.0 / (1.0 + (-1.702 * deviate).exp())).max(1e-12)
}
