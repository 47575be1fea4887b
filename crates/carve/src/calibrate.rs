//! What a shop's own coupons and logged pieces say of the model's constants.
//!
//! A gauged depth is `ln z = ln z_model + level + pairing + scatter`. The *level* (the logarithm of the reference
//! erosion) and one *pairing* term for each pair of material and abrasive enter linearly; all other constants do
//! not. So the others are sampled from the prior ([`Prior::samples`], the same ones on every call), and for each
//! sample the linear part is solved exactly (a Kalman update for each reading); the sample's weight is the
//! likelihood that is left (Rao-Blackwell). In a narrow opening the depth grows more slowly than the dose: there
//! the update is linearised about its own result, three times.
//!
//! The result is data: weighted samples that can be drawn from, stored as rows of numbers and read back.
//! Assumed: readings are independent but for what the constants share, and scatter about the model with a
//! logarithmic standard deviation of [`SCATTER`] and their own gauge error.

mod posterior;
mod reading;
#[cfg(test)]
mod tests;

pub use posterior::{Posterior, Telling};
pub use reading::{Coupon, ResistReading, ResistState, Setting, WORN_SCATTER};

use crate::jet::JetError;
use crate::model::{Model, ModelError, Prior, Shape, Z95};
use language::{number, say};
use quantity::{Length, Quantity as _, SpecificErosion};
use rayon::prelude::*;

/// Logarithmic standard deviation of a gauged depth about the model's, from coupon to coupon: hand, feed and
/// humidity. Judgement: one coupon is good to 15 to 20 %.
pub const SCATTER: f64 = 0.10;

/// Samples of the constants that are weighed. With 768, 90 % limits move by less than a tenth of the interval.
pub const SAMPLES: usize = 768;

/// Readings that cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CalibrateError {
    /// A coupon's blast cannot be computed.
    #[error("{}", say!("coupon {coupon}: {source}"))]
    Jet {
        /// Which coupon, from 1.
        coupon: usize,
        /// What is wrong with it.
        source: JetError,
    },
    /// A coupon names a pairing that was not declared.
    #[error("{}", say!("coupon {coupon} belongs to pairing {given}, and there are {count}; number pairings from 0"))]
    Pairing {
        /// Which coupon, from 1.
        coupon: usize,
        /// The pairing it names.
        given: usize,
        /// How many there are.
        count: usize,
    },
    /// A coupon says nothing.
    #[error("{}", say!("coupon {coupon} has no depth or no time; gauge it again, or leave it out"))]
    Empty {
        /// Which coupon, from 1.
        coupon: usize,
    },
    /// A spread cannot be.
    #[error(
        "{}",
        say!(
            "a pairing's spread must lie between 0 and 3 (got {given}): it is a logarithmic standard deviation",
            given = number(given.to_string())
        )
    )]
    Spread {
        /// What was given.
        given: f64,
    },
    /// Nothing in the prior comes near the readings.
    #[error(
        "{}",
        say!(
            "no set of constants explains the readings: coupon {coupon} is the worst; check its pressure, time and \
             depth"
        )
    )]
    Contradiction {
        /// The worst coupon, from 1.
        coupon: usize,
    },
    /// Stored rows that are no constants.
    #[error(transparent)]
    Model(#[from] ModelError),
    /// A stored posterior without rows, or rows of different pairings.
    #[error(
        "{}",
        say!("a stored calibration needs at least one row, and one pairing term for each pairing in every row")
    )]
    Rows,
}

/// What is believed before any reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    prior: Prior,
    /// Logarithmic standard deviation of each pairing's factor.
    pairings: Vec<f64>,
    /// Samples of the constants at the middle level.
    samples: Vec<Model>,
}

impl Calibration {
    /// A belief over the constants and over each pairing of material and abrasive.
    ///
    /// * `pairings`: logarithmic standard deviation of each pairing's erosion about `target × abrasive factor`;
    ///   0 for soda-lime and alumina, 0.25 for a factor known to half as much again either way (90 %).
    ///
    /// # Errors
    /// [`CalibrateError::Spread`] for a spread outside 0 to 3.
    pub fn new(prior: Prior, pairings: Vec<f64>) -> Result<Self, CalibrateError> {
        if let Some(&given) = pairings.iter().find(|spread| !(0.0..=3.0).contains(*spread)) {
            return Err(CalibrateError::Spread { given });
        }
        let level = prior.mid().erosion_ref;
        let samples = prior.samples(SAMPLES).into_iter().map(|model| Model { erosion_ref: level, ..model }).collect();
        Ok(Self { prior, pairings, samples })
    }

    /// The belief after some readings; without any, the prior itself. Deterministic.
    ///
    /// Cost: about 20 ms for each coupon.
    ///
    /// # Errors
    /// [`CalibrateError`] for a coupon that cannot be computed, says nothing, or contradicts all the rest.
    pub fn posterior(&self, coupons: &[Coupon]) -> Result<Posterior, CalibrateError> {
        let rates = coupons.iter().enumerate().map(|(i, coupon)| {
            self.check(i, coupon)?;
            self.rates(&coupon.setting).map_err(|source| CalibrateError::Jet { coupon: i + 1, source })
        });
        let rates = rates.collect::<Result<Vec<_>, _>>()?;
        self.weighed(coupons, &rates.iter().collect::<Vec<_>>())
    }

    fn check(&self, i: usize, coupon: &Coupon) -> Result<(), CalibrateError> {
        let (given, count) = (coupon.setting.pairing, self.pairings.len());
        if given >= count {
            return Err(CalibrateError::Pairing { coupon: i + 1, given, count });
        }
        if coupon.depth.to_metres() <= 0.0 || coupon.time.to_seconds() <= 0.0 {
            return Err(CalibrateError::Empty { coupon: i + 1 });
        }
        Ok(())
    }

    /// What a setting does under every sample, at the middle level.
    pub(crate) fn rates(&self, setting: &Setting) -> Result<Rates, JetError> {
        self.samples.par_iter().map(|model| setting.rate(model)).collect()
    }

    /// The posterior from rates that were computed before.
    pub(crate) fn weighed(&self, coupons: &[Coupon], rates: &[&Rates]) -> Result<Posterior, CalibrateError> {
        let solve = |i: usize| {
            let readings: Vec<Reading> =
                coupons.iter().zip(rates).map(|(coupon, rates)| coupon.reading(&self.samples[i], &rates[i])).collect();
            let mut state = self.start();
            for _ in 0..PASSES {
                state = self.start().after(&readings, &state.mean);
            }
            let resist: f64 =
                coupons.iter().zip(rates).map(|(c, rates)| c.resist_fit(&self.samples[i], &rates[i])).sum();
            (state.fit + resist, state)
        };
        let solved: Vec<(f64, State)> = (0..self.samples.len()).into_par_iter().map(solve).collect();
        let best = solved.iter().map(|(fit, _)| *fit).fold(f64::NEG_INFINITY, f64::max);
        let worst = solved.iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or((0, 0.0), |(_, state)| state.worst);
        if worst.1 > CONTRADICTION {
            return Err(CalibrateError::Contradiction { coupon: worst.0 + 1 });
        }
        let weights: Vec<f64> = solved.iter().map(|(fit, _)| (fit - best).exp()).collect();
        let states = solved.into_iter().map(|(_, state)| state).collect();
        Ok(Posterior::new(&self.samples, states, weights, self.pairings.len(), worst.1))
    }

    /// Level and pairings before any reading: deviations from the middle.
    fn start(&self) -> State {
        let level = self.prior.spreads[0];
        let spread = match level.shape {
            Shape::Lognormal => (level.high / level.low).ln() / (2.0 * Z95),
            Shape::Normal => (level.high - level.low) / (2.0 * Z95 * level.mid),
        };
        State::new(std::iter::once(spread).chain(self.pairings.iter().copied()).map(|s| s * s).collect())
    }
}

/// Passes of linearisation; wide ground needs one.
const PASSES: usize = 3;

/// A coupon this many of its own standard deviations off under the best constants contradicts the rest.
const CONTRADICTION: f64 = 6.0;

/// Under one sample: dose gained each second and speed of the grains.
pub(crate) type Rates = Vec<reading::Rate>;

/// A gauged depth as the linear update wants it.
pub(crate) struct Reading {
    /// Logarithm of the depth expected at a deviation of the level, and how it changes with it.
    pub(crate) expected: Box<dyn Fn(f64) -> [f64; 2]>,
    /// Logarithm of the depth gauged.
    pub(crate) gauged: f64,
    pub(crate) pairing: usize,
    pub(crate) variance: f64,
}

/// Mean and covariance of the level (first) and the pairings, as logarithmic deviations.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct State {
    pub(crate) mean: Vec<f64>,
    /// Row by row.
    pub(crate) covariance: Vec<f64>,
    /// Logarithm of the likelihood.
    pub(crate) fit: f64,
    /// The coupon that fits worst and by how many standard deviations.
    pub(crate) worst: (usize, f64),
}

impl State {
    fn new(variances: Vec<f64>) -> Self {
        let n = variances.len();
        let covariance = (0..n * n).map(|i| if i / n == i % n { variances[i / n] } else { 0.0 }).collect();
        Self { mean: vec![0.0; n], covariance, fit: 0.0, worst: (0, 0.0) }
    }

    /// The readings taken one after the other, each linearised at `about`.
    fn after(mut self, readings: &[Reading], about: &[f64]) -> Self {
        for reading in readings {
            self.update(reading, about);
        }
        for (i, reading) in readings.iter().enumerate() {
            let [expected, _] = (reading.expected)(self.mean[0] + self.mean[1 + reading.pairing]);
            let off = (reading.gauged - expected).abs() / reading.variance.sqrt();
            if off > self.worst.1 {
                self.worst = (i, off);
            }
        }
        self
    }

    /// Kalman update for one scalar reading: `S = H P Hᵀ + R`, `K = P Hᵀ / S`.
    fn update(&mut self, reading: &Reading, about: &[f64]) {
        let (n, p) = (self.mean.len(), 1 + reading.pairing);
        let at = about[0] + about[p];
        let [expected, slope] = (reading.expected)(at);
        let guess = expected + slope * (self.mean[0] + self.mean[p] - at);
        let gain: Vec<f64> =
            (0..n).map(|row| slope * (self.covariance[row * n] + self.covariance[row * n + p])).collect();
        let spread = slope * (gain[0] + gain[p]) + reading.variance;
        let innovation = reading.gauged - guess;
        self.fit -= 0.5 * (innovation * innovation / spread + spread.ln());
        for (mean, gain) in self.mean.iter_mut().zip(&gain) {
            *mean += gain / spread * innovation;
        }
        for (row, column) in (0..n).flat_map(|row| (0..n).map(move |column| (row, column))) {
            self.covariance[row * n + column] -= gain[row] * gain[column] / spread;
        }
    }
}

/// A sample's model at a deviation of the level.
pub(crate) fn at_level(model: &Model, deviation: f64) -> Model {
    let level = model.erosion_ref.to_cubic_metres_per_kg() * deviation.exp();
    Model { erosion_ref: SpecificErosion::clamped(level), ..*model }
}

/// A length from metres that a formula gave.
pub(crate) fn metres(value: f64) -> Length {
    Length::clamped(value)
}
