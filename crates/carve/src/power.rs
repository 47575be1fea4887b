//! Powers in single precision, in plain arithmetic that the compiler turns into vector code.
//!
//! `x^a = exp2(a log2 x)`: the logarithm by the series of `atanh`, the exponential by its Taylor
//! series, each on a range where the first term left out is below 2e-7.

use std::f32::consts::LN_2;

/// `base^exponent` for `base` from 1e-30 to 1e30 and a result in the same range.
/// Accuracy: 2e-6 of the result while `|exponent log2(base)| < 16`.
#[inline(always)]
pub(crate) fn pow(base: f32, exponent: f32) -> f32 {
    exp2(exponent * log2(base))
}

/// `(1 + s²)^(-k/2)`, the share of the flat rate at slope `s`; takes the slope squared, below 1e12.
/// Accuracy: 1e-6 absolute.
#[inline(always)]
pub(crate) fn slope_factor(slope_squared: f32, k: f32) -> f32 {
    exp2(-0.5 * k * log2(1.0 + slope_squared))
}

/// Adding and taking it away again rounds to the nearest integer, without a rounding instruction.
const ROUND: f32 = 12_582_912.0;

#[inline(always)]
fn log2(x: f32) -> f32 {
    // Split off the power of two so that the rest lies in [sqrt(1/2), sqrt(2)).
    const ROOT_HALF: u32 = 0x3f35_04f3;
    let shifted = x.to_bits().wrapping_sub(ROOT_HALF);
    let exponent = (shifted as i32) >> 23;
    let mantissa = f32::from_bits((shifted & 0x007f_ffff).wrapping_add(ROOT_HALF));
    let u = (mantissa - 1.0) / (mantissa + 1.0);
    let u2 = u * u;
    let series = 1.0 + u2 * (1.0 / 3.0 + u2 * (1.0 / 5.0 + u2 * (1.0 / 7.0)));
    exponent as f32 + (2.0 / LN_2) * u * series
}

/// For `x` from -125 to 125.
#[inline(always)]
fn exp2(x: f32) -> f32 {
    let whole = x + ROUND;
    let r = (x - (whole - ROUND)) * LN_2;
    let series =
        1.0 + r * (1.0 + r * (0.5 + r * (1.0 / 6.0 + r * (1.0 / 24.0 + r * (1.0 / 120.0 + r * (1.0 / 720.0))))));
    // The low bits of `whole` hold the integer; moved to the exponent they multiply by its power of two.
    f32::from_bits(series.to_bits().wrapping_add(whole.to_bits() << 23))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_slope_factor_is_within_one_in_a_hundred_thousand() {
        let mut worst: f64 = 0.0;
        for k in [1.2f32, 2.0, 7.0 / 3.0, 3.0, 4.5] {
            for i in 0..200_000 {
                let s2 = (i as f32 * 1e-4).powi(4) * 0.1;
                let exact = (1.0 + f64::from(s2)).powf(-0.5 * f64::from(k));
                worst = worst.max((f64::from(slope_factor(s2, k)) - exact).abs());
            }
        }
        println!("worst error of the slope factor: {worst:.1e}");
        assert!(worst < 1e-5 && slope_factor(0.0, 2.0) == 1.0);
    }

    #[test]
    fn powers_agree_with_double_precision() {
        let mut worst: f64 = 0.0;
        for exponent in [0.25f32, 0.3, 0.43, 0.5, 0.833, 1.43] {
            for i in 1..100_000 {
                let base = (i as f32 * 1e-3).powi(2);
                let exact = f64::from(base).powf(f64::from(exponent));
                worst = worst.max((f64::from(pow(base, exponent)) / exact - 1.0).abs());
            }
        }
        println!("worst relative error of a power: {worst:.1e}");
        assert!(worst < 2e-6);
    }
}
