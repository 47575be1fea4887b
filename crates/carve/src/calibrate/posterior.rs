//! Weighted samples of the constants, and what they are asked.

use super::{CalibrateError, SCATTER, Setting, State, at_level, metres};
use crate::jet::JetError;
use crate::model::{COUNT, Model};
use crate::sampling::{mixed, normal_deviate};
use quantity::{Estimate, Length, Time};
use rayon::prelude::*;

/// What is believed of the constants after the readings: equally likely sets of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    draws: Vec<Draw>,
    effective: f64,
    misfit: f64,
}

/// One set: the constants, and the logarithm of each pairing's own factor.
#[derive(Debug, Clone, PartialEq)]
struct Draw {
    model: Model,
    pairings: Vec<f64>,
}

/// How much a further coupon would tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Telling {
    /// Place in the list of candidates.
    pub candidate: usize,
    /// Expected width of the target's 90 % interval afterwards over the width now, 0 to 1, as logarithms.
    pub narrows_to: f64,
}

/// Draws kept: 5th and 95th percentiles of 384 lie within 0.06 standard deviations of the distribution's own.
const DRAWS: usize = 384;

impl Posterior {
    pub(crate) fn new(samples: &[Model], states: Vec<State>, weights: Vec<f64>, pairings: usize, misfit: f64) -> Self {
        let total: f64 = weights.iter().sum();
        let squares: f64 = weights.iter().map(|w| w * w).sum();
        let mut draws = Vec::with_capacity(DRAWS);
        let (mut at, mut sum) = (0, weights[0]);
        for i in 0..DRAWS {
            // Systematic resampling: evenly spaced marks along the summed weights.
            while sum < (i as f64 + 0.5) / DRAWS as f64 * total && at + 1 < weights.len() {
                at += 1;
                sum += weights[at];
            }
            draws.push(drawn(&samples[at], &states[at], i as u64, pairings));
        }
        Self { draws, effective: total * total / squares / samples.len() as f64, misfit }
    }

    /// Share of the prior's samples that still count, 0 to 1. Below 0.02 the interval rests on few samples.
    #[must_use]
    pub fn effective_share(&self) -> f64 {
        self.effective
    }

    /// How far the worst coupon lies from the best constants, in standard deviations. Above 3, look at that
    /// coupon again.
    #[must_use]
    pub fn misfit(&self) -> f64 {
        self.misfit
    }

    /// At most `n` sets of constants for one pairing, evenly out of all: their reference erosion is the one of that
    /// pairing, to be used with its published factors.
    ///
    /// # Panics
    /// When there is no such pairing.
    #[must_use]
    pub fn samples(&self, pairing: usize, n: usize) -> Vec<Model> {
        let n = n.clamp(1, self.draws.len());
        // Neighbouring draws may share constants: even strides pass over them.
        let pick = |i: usize| &self.draws[(i * self.draws.len() / n) % self.draws.len()];
        (0..n).map(pick).map(|draw| at_level(&draw.model, draw.pairings[pairing])).collect()
    }

    /// Depth in the middle of a setting's opening after a time.
    ///
    /// # Errors
    /// [`JetError`] when the setting cannot be computed.
    pub fn depth(&self, setting: &Setting, time: Time) -> Result<Estimate<Length>, JetError> {
        let mut depths = self.depths(setting, time)?;
        Ok(Estimate::from_samples(&mut depths)?)
    }

    /// Seconds of blasting until the middle of a setting's opening is as deep as wanted.
    ///
    /// # Errors
    /// [`JetError`] when the setting cannot be computed.
    pub fn time(&self, setting: &Setting, depth: Length) -> Result<Estimate<Time>, JetError> {
        let seconds = |draw: &Draw| -> Result<f64, JetError> {
            let model = at_level(&draw.model, draw.pairings[setting.pairing]);
            Ok(dose_for(setting, &model, depth.to_metres()) / setting.rate(&model)?.dose)
        };
        let mut times = self.draws.par_iter().map(seconds).collect::<Result<Vec<_>, _>>()?;
        Ok(Estimate::from_samples(&mut times)?)
    }

    /// The candidates in the order in which they are expected to narrow the depth of `target`, best first.
    ///
    /// With logarithms of depth as jointly normal, a reading of variance `r` leaves
    /// `var_t - cov²/(var_c + r)` of the target's variance; both are taken from the draws. Exact for a linear
    /// model; a guide otherwise.
    ///
    /// * `time`: for which each is blasted. * `gauge`: standard deviation of the gauge.
    ///
    /// # Errors
    /// [`JetError`] when a setting cannot be computed.
    pub fn most_telling(
        &self,
        candidates: &[(Setting, Time)],
        target: (&Setting, Time),
        gauge: Length,
    ) -> Result<Vec<Telling>, JetError> {
        let logs = |setting: &Setting, time: Time| -> Result<Vec<f64>, JetError> {
            Ok(self.depths(setting, time)?.into_iter().map(|depth| depth.max(1e-12).ln()).collect())
        };
        let wanted = logs(target.0, target.1)?;
        let variance = covariance(&wanted, &wanted).max(1e-18);
        let mut telling = Vec::with_capacity(candidates.len());
        for (candidate, (setting, time)) in candidates.iter().enumerate() {
            let seen = logs(setting, *time)?;
            let mean = (seen.iter().sum::<f64>() / seen.len() as f64).exp();
            let noise = SCATTER * SCATTER + (gauge.to_metres() / mean).powi(2);
            let told = covariance(&wanted, &seen).powi(2) / (covariance(&seen, &seen) + noise);
            telling.push(Telling { candidate, narrows_to: (1.0 - told / variance).max(0.0).sqrt() });
        }
        telling.sort_by(|a, b| a.narrows_to.total_cmp(&b.narrows_to));
        Ok(telling)
    }

    /// The draws as rows of numbers for a file: the constants in the order and units of
    /// [`crate::model::CONSTANTS`], then the logarithm of each pairing's factor.
    #[must_use]
    pub fn to_rows(&self) -> Vec<Vec<f64>> {
        self.draws
            .iter()
            .map(|draw| draw.model.to_numbers().into_iter().chain(draw.pairings.clone()).collect())
            .collect()
    }

    /// From such rows.
    ///
    /// # Errors
    /// [`CalibrateError::Rows`] for no rows or rows of unequal length, [`CalibrateError::Model`] for a constant out
    /// of its range.
    pub fn from_rows(rows: &[Vec<f64>]) -> Result<Self, CalibrateError> {
        let length = rows.first().map_or(0, Vec::len);
        if length <= COUNT || rows.iter().any(|row| row.len() != length || row.iter().any(|value| !value.is_finite())) {
            return Err(CalibrateError::Rows);
        }
        let draw = |row: &Vec<f64>| -> Result<Draw, CalibrateError> {
            let numbers = std::array::from_fn(|i| row[i]);
            Ok(Draw { model: Model::from_numbers(numbers)?, pairings: row[COUNT..].to_vec() })
        };
        let draws = rows.iter().map(draw).collect::<Result<_, _>>()?;
        Ok(Self { draws, effective: 1.0, misfit: 0.0 })
    }

    fn depths(&self, setting: &Setting, time: Time) -> Result<Vec<f64>, JetError> {
        let depth = |draw: &Draw| -> Result<f64, JetError> {
            let model = at_level(&draw.model, draw.pairings[setting.pairing]);
            Ok(setting.depth(&model, setting.rate(&model)?.dose * time.to_seconds()))
        };
        self.draws.par_iter().map(depth).collect()
    }

    /// The draws themselves; for tests of many shops.
    #[cfg(test)]
    pub(crate) fn models(&self) -> impl Iterator<Item = (&Model, &[f64])> {
        self.draws.iter().map(|draw| (&draw.model, draw.pairings.as_slice()))
    }
}

/// A set of constants with its level and pairings drawn from their normal distribution; the same for the same `i`.
fn drawn(sample: &Model, state: &State, i: u64, pairings: usize) -> Draw {
    let n = state.mean.len();
    let deviate = |at: usize| normal_deviate(((mixed(i << 8 | at as u64) >> 11) as f64 + 0.5) / (1u64 << 53) as f64);
    let factor = cholesky(&state.covariance, n);
    let value = |row: usize| state.mean[row] + (0..=row).map(|c| factor[row * n + c] * deviate(c)).sum::<f64>();
    Draw { model: at_level(sample, value(0)), pairings: (1..=pairings).map(value).collect() }
}

/// Lower triangle `L` with `L Lᵀ` the matrix; rows without variance stay 0.
fn cholesky(matrix: &[f64], n: usize) -> Vec<f64> {
    let mut lower = vec![0.0; n * n];
    for row in 0..n {
        for column in 0..=row {
            let done: f64 = (0..column).map(|i| lower[row * n + i] * lower[column * n + i]).sum();
            let left = matrix[row * n + column] - done;
            lower[row * n + column] = if row == column {
                left.max(0.0).sqrt()
            } else if lower[column * n + column] > 0.0 {
                left / lower[column * n + column]
            } else {
                0.0
            };
        }
    }
    lower
}

fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (mean_a, mean_b) = (mean(a), mean(b));
    a.iter().zip(b).map(|(a, b)| (a - mean_a) * (b - mean_b)).sum::<f64>() / (a.len() as f64 - 1.0).max(1.0)
}

/// Dose in metres for a depth in the middle of a setting's opening.
fn dose_for(setting: &Setting, model: &Model, depth: f64) -> f64 {
    // The depth grows with the dose and never passes it.
    let (mut low, mut high) = (depth, depth);
    while setting.depth(model, high) < depth && high < 1e3 * depth {
        high *= 2.0;
    }
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if setting.depth(model, middle) < depth { low = middle } else { high = middle }
    }
    metres(high).to_metres()
}
