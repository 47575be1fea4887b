//! An uncertain number as its 5th, 50th and 95th percentile.

use crate::show::{Show, UnitSystem, significant};
use crate::{OutOfRange, Quantity};
use language::say;

/// A 90 % interval and its middle: one time in twenty the truth is below `low`, one in twenty above
/// `high`. Make it from samples of the model; never glue two of them together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<T> {
    low: T,
    mid: T,
    high: T,
}

/// The three numbers of an estimate are not in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{}", say!("an estimate needs low <= middle <= high"))]
pub struct NotOrdered;

impl<T: Copy + PartialOrd> Estimate<T> {
    /// From three numbers in order.
    ///
    /// # Errors
    /// [`NotOrdered`] when they are not, or when one cannot be compared (NaN).
    pub fn new(low: T, mid: T, high: T) -> Result<Self, NotOrdered> {
        if low <= mid && mid <= high {
            return Ok(Self { low, mid, high });
        }
        Err(NotOrdered)
    }

    /// A number known exactly, or assumed so.
    #[must_use]
    pub const fn exact(value: T) -> Self {
        Self { low: value, mid: value, high: value }
    }

    /// The 5th percentile.
    #[must_use]
    pub const fn low(self) -> T {
        self.low
    }

    /// The median.
    #[must_use]
    pub const fn mid(self) -> T {
        self.mid
    }

    /// The 95th percentile.
    #[must_use]
    pub const fn high(self) -> T {
        self.high
    }
}

impl<Q: Quantity> Estimate<Q> {
    /// From samples of a model, in the kind's base unit. They are sorted in place.
    ///
    /// # Errors
    /// [`OutOfRange`] when a percentile is not a value of the kind, or there are no samples.
    pub fn from_samples(samples: &mut [f64]) -> Result<Self, OutOfRange> {
        let [low, mid, high] = percentiles(samples);
        Ok(Self { low: Q::from_base(low)?, mid: Q::from_base(mid)?, high: Q::from_base(high)? })
    }
}

impl<Q: Show> Estimate<Q> {
    /// `0.80–1.30 mm`: two digits, one unit, that of the middle.
    #[must_use]
    pub fn show(self, system: UnitSystem) -> String {
        let rung = Q::rung(self.mid.to_base(), system);
        let number = |quantity: Q| significant((quantity.to_base() - rung.offset) / rung.factor, 2);
        let (low, high) = (number(self.low), number(self.high));
        if low == high {
            return self.mid.show(system).to_string();
        }
        format!("{low}–{high}\u{202f}{}", Q::sign(rung.unit))
    }
}

/// The 5th, 50th and 95th percentile, linear between ranks; NaN for no samples.
#[must_use]
pub fn percentiles(samples: &mut [f64]) -> [f64; 3] {
    samples.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let Some(last) = samples.len().checked_sub(1) else { return f64::NAN };
        let rank = share * last as f64;
        let below = rank.floor() as usize;
        let above = (below + 1).min(last);
        samples[below] + (samples[above] - samples[below]) * rank.fract()
    };
    [at(0.05), at(0.5), at(0.95)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Length;

    #[test]
    fn disorder_and_nan_are_refused() {
        assert_eq!(Estimate::new(2.0, 1.0, 3.0), Err(NotOrdered));
        assert_eq!(Estimate::new(1.0, f64::NAN, 3.0), Err(NotOrdered));
    }

    #[test]
    fn percentiles_are_numpys() {
        // numpy 2.4.6: np.percentile([0, 1, ..., 10], [5, 50, 95]) = 0.5, 5, 9.5
        let mut samples: Vec<f64> = (0..=10).rev().map(f64::from).collect();
        let estimate = Estimate::<Length>::from_samples(&mut samples).unwrap();
        assert_eq!(
            (estimate.low().to_metres(), estimate.mid().to_metres(), estimate.high().to_metres()),
            (0.5, 5.0, 9.5)
        );
        assert!(Estimate::<Length>::from_samples(&mut []).is_err());
    }

    #[test]
    fn a_range_names_its_unit_once() {
        let mm = |v| Length::mm(v).unwrap();
        let range = Estimate::new(mm(0.08), mm(1.0), mm(1.3)).unwrap();
        assert_eq!(range.show(UnitSystem::Metric), "0.080–1.3\u{202f}mm");
    }
}
