//! Runge-Kutta of order 5 with error estimate of order 4 and interpolation of order 4.
//!
//! Source: Dormand and Prince, J. Comp. Appl. Math. 6 (1980) 19; the interpolation is Shampine's,
//! coefficients as in scipy's `RK45` (from memory; a test holds the orders).

const A: [&[f64]; 6] = [
    &[1.0 / 5.0],
    &[3.0 / 40.0, 9.0 / 40.0],
    &[44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0],
    &[19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0],
    &[9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0],
    &[35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
];

const ERROR: [f64; 7] =
    [-71.0 / 57600.0, 0.0, 71.0 / 16695.0, -71.0 / 1920.0, 17253.0 / 339_200.0, -22.0 / 525.0, 1.0 / 40.0];

const DENSE: [[f64; 4]; 7] = [
    [1.0, -8_048_581_381.0 / 2_820_520_608.0, 8_663_915_743.0 / 2_820_520_608.0, -12_715_105_075.0 / 11_282_082_432.0],
    [0.0; 4],
    [
        0.0,
        131_558_114_200.0 / 32_700_410_799.0,
        -68_118_460_800.0 / 10_900_136_933.0,
        87_487_479_700.0 / 32_700_410_799.0,
    ],
    [0.0, -1_754_552_775.0 / 470_086_768.0, 14_199_869_525.0 / 1_410_260_304.0, -10_690_763_975.0 / 1_880_347_072.0],
    [
        0.0,
        127_303_824_393.0 / 49_829_197_408.0,
        -318_862_633_887.0 / 49_829_197_408.0,
        701_980_252_875.0 / 199_316_789_632.0,
    ],
    [0.0, -282_668_133.0 / 205_662_961.0, 2_019_193_451.0 / 616_988_883.0, -1_453_857_185.0 / 822_651_844.0],
    [0.0, 40_617_522.0 / 29_380_423.0, -110_615_467.0 / 29_380_423.0, 69_997_945.0 / 29_380_423.0],
];

/// One step that was taken, readable anywhere inside.
pub(crate) struct Step<const N: usize> {
    pub(crate) from: [f64; N],
    pub(crate) to: [f64; N],
    pub(crate) seconds: f64,
    /// Largest error of a component against its tolerance; above 1 the step must be refused.
    pub(crate) error: f64,
    slopes: [[f64; N]; 7],
}

impl<const N: usize> Step<N> {
    /// Takes a step of an equation in which time does not appear.
    pub(crate) fn take(
        rate: impl Fn(&[f64; N]) -> [f64; N],
        from: [f64; N],
        seconds: f64,
        tolerance: &[f64; N],
    ) -> Self {
        let mut slopes = [[0.0; N]; 7];
        slopes[0] = rate(&from);
        let mut to = from;
        for (stage, weights) in A.iter().enumerate() {
            to = moved(&from, &slopes, seconds, weights);
            slopes[stage + 1] = rate(&to);
        }
        let share = |i: usize| {
            let sum: f64 = ERROR.iter().zip(&slopes).map(|(weight, slope)| weight * slope[i]).sum();
            (seconds * sum / tolerance[i]).abs()
        };
        let worst = (0..N).map(share).fold(0.0, f64::max);
        // A NaN loses every comparison, so it is looked for: such a step is too long.
        let finite = to.iter().chain(slopes.iter().flatten()).all(|value| value.is_finite());
        Self { from, to, seconds, error: if finite { worst } else { f64::INFINITY }, slopes }
    }

    /// The state at a share of the step, 0 to 1.
    pub(crate) fn at(&self, share: f64) -> [f64; N] {
        moved(&self.from, &self.slopes, self.seconds, &weights_at(share))
    }

    /// The states at which the slopes were taken.
    pub(crate) fn stages(&self) -> [[f64; N]; 7] {
        let mut stages = [self.from; 7];
        for (stage, weights) in A.iter().enumerate() {
            stages[stage + 1] = moved(&self.from, &self.slopes, self.seconds, weights);
        }
        stages
    }

    /// The step to try next: the error goes with its fifth power.
    pub(crate) fn next_seconds(&self) -> f64 {
        self.seconds * (0.9 * self.error.max(1e-10).powf(-0.2)).clamp(0.2, 5.0)
    }
}

/// Weights of the seven slopes up to a share of a step.
pub(crate) fn weights_at(share: f64) -> [f64; 7] {
    DENSE.map(|weights| weights.iter().rev().fold(0.0, |sum, weight| (sum + weight) * share))
}

fn moved<const N: usize>(from: &[f64; N], slopes: &[[f64; N]; 7], seconds: f64, weights: &[f64]) -> [f64; N] {
    let mut to = *from;
    for (weight, slope) in weights.iter().zip(slopes) {
        for (value, slope) in to.iter_mut().zip(slope) {
            *value += seconds * weight * slope;
        }
    }
    to
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y' = -y, z' = y: y = e^-t, z = 1 - e^-t.
    fn error_over(steps: u32, inside: f64) -> f64 {
        let mut state = [1.0, 0.0];
        let seconds = 1.0 / f64::from(steps);
        let mut worst: f64 = 0.0;
        for number in 0..steps {
            let step = Step::take(|y| [-y[0], y[0]], state, seconds, &[1.0, 1.0]);
            let time = (f64::from(number) + inside) * seconds;
            worst = worst
                .max((step.at(inside)[0] - (-time).exp()).abs())
                .max((step.at(inside)[1] - 1.0 + (-time).exp()).abs());
            state = step.to;
        }
        worst
    }

    #[test]
    fn halving_the_step_divides_the_error_by_32_at_the_end_and_by_16_inside() {
        let end = (error_over(4, 1.0) / error_over(8, 1.0)).log2();
        assert!(end > 4.7, "order {end}");
        let inside = (error_over(4, 0.37) / error_over(8, 0.37)).log2();
        assert!(inside > 3.8, "order {inside}");
    }

    #[test]
    fn the_interpolation_ends_where_the_step_does() {
        let step = Step::take(|y| [-y[0], y[0]], [1.0, 0.0], 0.5, &[1.0, 1.0]);
        assert!((step.at(1.0)[0] - step.to[0]).abs() < 1e-14);
    }

    #[test]
    fn the_error_estimate_is_of_the_errors_size() {
        let step = Step::take(|y| [-y[0], y[0]], [1.0, 0.0], 0.5, &[1e-6, 1e-6]);
        let true_error = (step.to[0] - (-0.5f64).exp()).abs();
        assert!(step.error * 1e-6 > true_error, "an estimate of order 4 is above the error of order 5");
        assert!(step.error * 1e-6 < 100.0 * true_error);
    }
}
