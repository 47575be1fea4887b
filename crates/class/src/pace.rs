//! How long things take: times drawn from a seed, the same for the same student in every variant of a class.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt as _, SeedableRng as _};

/// Draws of one student in one replication.
///
/// Variants of a class are compared under the same draws, so that their difference is not noise.
pub(crate) struct Pace(Xoshiro256PlusPlus);

impl Pace {
    pub(crate) fn of(seed: u64, replication: u32, student: u32) -> Self {
        // Golden-ratio steps keep the seeds of neighbours apart; the generator mixes them further.
        let mixed = seed
            .wrapping_add(u64::from(replication).wrapping_mul(0x9e37_79b9_7f4a_7c15))
            .wrapping_add(u64::from(student).wrapping_mul(0xbf58_476d_1ce4_e5b9));
        Self(Xoshiro256PlusPlus::seed_from_u64(mixed))
    }

    /// A time of a mean and a spread (standard deviation over mean), log-normal: never below zero, with a long tail.
    ///
    /// `s² = ln(1 + spread²)`, `time = mean exp(s g - s²/2)`, `g` standard normal.
    pub(crate) fn time_s(&mut self, mean_s: f64, spread: f64) -> f64 {
        let g = self.normal();
        let variance = spread.mul_add(spread, 1.0).ln();
        mean_s * (variance.sqrt() * g - 0.5 * variance).exp()
    }

    /// Box and Muller (1958).
    fn normal(&mut self) -> f64 {
        let (u, v): (f64, f64) = (self.0.random(), self.0.random());
        // A draw of 0 has no logarithm; 1 - u is above 0.
        (-2.0 * (1.0 - u).ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_have_the_mean_and_spread_asked_for() {
        let mut pace = Pace::of(7, 0, 0);
        let times: Vec<f64> = (0..40_000).map(|_| pace.time_s(120.0, 0.3)).collect();
        let mean = times.iter().sum::<f64>() / times.len() as f64;
        let spread = (times.iter().map(|t| (t - mean).powi(2)).sum::<f64>() / times.len() as f64).sqrt() / mean;
        // Four standard errors: 0.3 / sqrt(40000) = 0.15 % of the mean.
        assert!((mean / 120.0 - 1.0).abs() < 0.006 && (spread - 0.3).abs() < 0.01, "{mean} {spread}");
    }

    #[test]
    fn without_spread_every_time_is_the_mean_and_a_seed_repeats() {
        assert_eq!(Pace::of(1, 2, 3).time_s(60.0, 0.0), 60.0);
        assert_eq!(Pace::of(1, 2, 3).time_s(60.0, 0.2), Pace::of(1, 2, 3).time_s(60.0, 0.2));
        assert_ne!(Pace::of(1, 2, 3).time_s(60.0, 0.2), Pace::of(1, 2, 4).time_s(60.0, 0.2));
    }
}
