//! Which constant an uncertain number hangs on most.

use crate::model::{CONSTANTS, COUNT, Model};

/// How much of a number's spread one constant carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Name of the constant in [`Model`].
    pub name: &'static str,
    /// Its first-order share of the variance, 0 to 1.
    pub share: f64,
}

/// First-order sensitivity (Sobol') of a number to each constant, largest first.
///
/// `S_i = Var(E[y | x_i]) / Var(y)`: the samples are sorted by the constant and cut into `√n` groups, and the variance
/// of the groups' means is taken, less what chance alone gives them, `(G-1)/(n-1)`. Shares need not add up to 1: what is missing belongs to
/// constants acting together.
///
/// * `models`: samples, constants independent, such as [`crate::model::Prior::samples`]. * `outputs`: the number
///   under each; for times and depths take its logarithm.
///
/// Accuracy: ±0.05 with 400 samples, ±0.1 with 96. `None` for fewer than 16 samples, unequal counts, or a number
/// that does not vary.
/// Source: definition by Sobol' 1993 (from memory), estimated by binning.
#[must_use]
pub fn first_order(models: &[Model], outputs: &[f64]) -> Option<Vec<Share>> {
    let n = outputs.len();
    let mean = outputs.iter().sum::<f64>() / n as f64;
    let variance = outputs.iter().map(|y| (y - mean).powi(2)).sum::<f64>() / n as f64;
    let usable = n >= 16 && models.len() == n && variance > 0.0 && variance.is_finite();
    if !usable {
        return None;
    }
    let numbers: Vec<[f64; COUNT]> = models.iter().map(Model::to_numbers).collect();
    let share = |constant: usize| {
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by(|&a, &b| numbers[a][constant].total_cmp(&numbers[b][constant]));
        let between = between_groups(&order, outputs, mean) / variance;
        let groups = groups(n) as f64;
        let chance = (groups - 1.0) / (n as f64 - 1.0);
        Share { name: CONSTANTS[constant].name, share: ((between - chance) / (1.0 - chance)).clamp(0.0, 1.0) }
    };
    let mut shares: Vec<Share> = (0..COUNT).map(share).collect();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    Some(shares)
}

fn groups(n: usize) -> usize {
    ((n as f64).sqrt() as usize).clamp(4, 24)
}

/// Variance of the groups' means about the mean of all.
fn between_groups(order: &[usize], outputs: &[f64], mean: f64) -> f64 {
    let n = order.len();
    let groups = groups(n);
    let part = |g: usize| {
        let members = &order[g * n / groups..(g + 1) * n / groups];
        let own = members.iter().map(|&i| outputs[i]).sum::<f64>() / members.len() as f64;
        members.len() as f64 * (own - mean).powi(2)
    };
    (0..groups).map(part).sum::<f64>() / n as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Prior, Shape, Spread, Z95};

    /// A prior in which every constant has a standard deviation of a hundredth of its range's width.
    fn even() -> Prior {
        let spreads = CONSTANTS.map(|constant| {
            let (min, max) = constant.range;
            let (mid, half) = (0.5 * (min + max), 0.01 * Z95 * (max - min));
            Spread { low: mid - half, mid, high: mid + half, shape: Shape::Normal }
        });
        Prior { spreads }
    }

    #[test]
    fn shares_of_a_sum_are_the_shares_of_its_variance() {
        let models = even().samples(400);
        let unit = |model: &Model, i: usize| {
            let (min, max) = CONSTANTS[i].range;
            (model.to_numbers()[i] - 0.5 * (min + max)) / (0.01 * (max - min))
        };
        // Variances 4, 1, 1/4 of 5.25.
        let outputs: Vec<f64> =
            models.iter().map(|model| 2.0 * unit(model, 1) + unit(model, 3) + 0.5 * unit(model, 7)).collect();
        let shares = first_order(&models, &outputs).unwrap();
        for (name, want) in [("velocity_exponent", 4.0 / 5.25), ("drag_factor", 1.0 / 5.25), ("focus", 0.25 / 5.25)] {
            let got = shares.iter().find(|share| share.name == name).unwrap().share;
            println!("{name}: {got:.3} of {want:.3}");
            assert!((got - want).abs() < 0.06, "{name}: {got} {want}");
        }
        assert_eq!(shares[0].name, "velocity_exponent");
        assert!(shares.iter().filter(|share| share.share > 0.06).count() <= 3);
    }

    #[test]
    fn before_any_coupon_the_level_matters_most() {
        let models = Prior::default().samples(400);
        let outputs: Vec<f64> = models.iter().map(|model| model.erosion_ref.to_cubic_mm_per_gram().ln()).collect();
        let shares = first_order(&models, &outputs).unwrap();
        assert!(shares[0].name == "erosion_ref" && shares[0].share > 0.95);
    }

    #[test]
    fn too_little_to_judge_is_said() {
        let models = Prior::default().samples(32);
        assert_eq!(first_order(&models, &[1.0; 32]), None);
        assert_eq!(first_order(&models[..8], &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0]), None);
        assert_eq!(first_order(&models, &[1.0, 2.0]), None);
    }
}
