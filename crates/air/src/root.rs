//! One root of one monotone function.

/// Bisections after which the bracket of a double is exhausted.
const STEPS_MAX: u32 = 200;

/// Where `f` changes sign between `low` and `high`, to 1e-13 of the bracket.
///
/// Assumes `f(low) >= 0 >= f(high)`, `f` falling; a jump counts as a root. False position with the
/// Illinois weight, and a bisection whenever that has not halved the bracket in three steps. At the
/// bound of 200 steps the middle of the bracket is returned: by then it is narrower than a double.
pub(crate) fn falling_root(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa <= 0.0 {
        return a;
    }
    if fb >= 0.0 {
        return b;
    }
    let tolerance = 1e-13 * (high - low).abs().max(low.abs());
    let mut width_before = b - a;
    for step in 1..STEPS_MAX {
        if b - a <= tolerance {
            break;
        }
        let crossing = (a * fb - b * fa) / (fb - fa);
        let stuck = step % 3 == 0 && b - a > 0.5 * width_before;
        let x = if stuck || !(a < crossing && crossing < b) { 0.5 * (a + b) } else { crossing };
        if step % 3 == 0 {
            width_before = b - a;
        }
        let fx = f(x);
        if fx == 0.0 {
            return x;
        }
        if fx > 0.0 {
            (a, fa, fb) = (x, fx, 0.5 * fb);
        } else {
            (b, fb, fa) = (x, fx, 0.5 * fa);
        }
    }
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_smooth_root_is_found_to_the_last_digits() {
        assert!((falling_root(0.0, 2.0, |x| 2.0 - x * x) - 2f64.sqrt()).abs() < 1e-12);
        assert!((falling_root(1.0, 1e6, |x| 1.0 - x.ln()) / std::f64::consts::E - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_jump_counts_as_a_root() {
        let jump = falling_root(0.0, 1.0, |x| if x < 0.3 { 1.0 } else { -1.0 });
        assert!((jump - 0.3).abs() < 1e-12);
    }

    #[test]
    fn a_root_at_an_end_is_that_end() {
        assert_eq!(falling_root(1.0, 2.0, |x| 1.0 - x), 1.0);
        assert_eq!(falling_root(1.0, 2.0, |_| 1.0), 2.0);
    }
}
