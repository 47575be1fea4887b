//! How likely a piece spoils: the chance that a number passes its limit.

use language::say;
use quantity::{Estimate, Fraction, Quantity as _};

/// How likely a piece spoils.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Risk {
    /// What can spoil it, each with its chance; taken to be independent of each other.
    pub causes: Vec<(Cause, Fraction)>,
}

/// What can spoil a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Cause {
    /// Breakage and slips, as the shop states them.
    Handling,
    /// The resist wears through before the last stage is deep.
    ResistWear,
    /// The carving comes out at the other side.
    BreakThrough,
}

impl Cause {
    /// In words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Handling => say!(in "what spoils a piece", "breakage and slips"),
            Self::ResistWear => say!(in "what spoils a piece", "resist worn through"),
            Self::BreakThrough => say!(in "what spoils a piece", "carved through"),
        }
    }
}

/// Beyond this a piece is not quoted as if it could be made: the rest would carry too much.
const MOST: f64 = 0.9;

impl Risk {
    /// That one of the causes comes about, with one more: `1 - (1 - p) prod (1 - p_i)`, at most 90 %.
    #[must_use]
    pub fn with(&self, further: Fraction) -> Fraction {
        let good = self.causes.iter().map(|(_, chance)| 1.0 - chance.to_ratio()).product::<f64>();
        Fraction::clamped((1.0 - good * (1.0 - further.to_ratio())).min(MOST))
    }

    /// The same causes with handling among them.
    #[must_use]
    pub fn and_handling(mut self, chance: Fraction) -> Self {
        self.causes.insert(0, (Cause::Handling, chance));
        self
    }
}

/// Chance that a number of a 90 % range is above a limit.
///
/// A normal curve on each side of the middle, so that 5 % lie below `low` and 5 % above `high`:
/// `z = 1.645 (limit - mid) / (high - mid)` above the middle, `/ (mid - low)` below it; chance = `Φ(-z)`.
///
/// Range: any; a range without width gives 0 or 1, and 0.5 at the limit itself. The tails of the true model differ:
/// below 1 % the figure says 'rarely', no more.
/// Checked: the limit at `high` gives 5 %, at `mid` 50 %, at `low` 95 %.
#[must_use]
pub fn chance_above(range: Estimate<f64>, limit: f64) -> Fraction {
    let (low, mid, high) = (range.low(), range.mid(), range.high());
    let side = if limit >= mid { high - mid } else { mid - low };
    let z = match side > 0.0 {
        true => Z_95 * (limit - mid) / side,
        false if limit == mid => 0.0,
        false => f64::INFINITY.copysign(limit - mid),
    };
    Fraction::clamped(0.5 * libm::erfc(z / std::f64::consts::SQRT_2))
}

/// The standard normal's 95 % quantile.
const Z_95: f64 = 1.644_853_626_951_472_7;

#[cfg(test)]
mod tests {
    use super::*;

    fn percent(value: f64) -> Fraction {
        Fraction::percent(value).unwrap()
    }

    #[test]
    fn the_ends_of_the_range_are_passed_as_often_as_they_say() {
        let range = Estimate::new(0.3, 0.6, 0.8).unwrap();
        for (limit, want) in [(0.3, 0.95), (0.6, 0.5), (0.8, 0.05)] {
            assert!((chance_above(range, limit).to_ratio() - want).abs() < 1e-9, "{limit}");
        }
        // Two sigma above the middle: printed tables of the normal curve, 0.02275.
        let sigma = 0.2 / Z_95;
        assert!((chance_above(range, 0.6 + 2.0 * sigma).to_ratio() - 0.022_75).abs() < 1e-5);
    }

    #[test]
    fn a_sure_number_passes_its_limit_or_does_not() {
        let sure = Estimate::exact(1.0);
        assert_eq!([0.9, 1.0, 1.1].map(|limit| chance_above(sure, limit).to_ratio()), [1.0, 0.5, 0.0]);
    }

    #[test]
    fn chances_add_as_independent_ones_do() {
        // 1 - 0.96 * 0.9 * 0.95 = 0.1792
        let risk = Risk { causes: vec![(Cause::ResistWear, percent(10.0)), (Cause::BreakThrough, percent(5.0))] };
        assert!((risk.with(percent(4.0)).to_ratio() - 0.179_2).abs() < 1e-12);
        assert!((Risk::default().with(percent(4.0)).to_ratio() - 0.04).abs() < 1e-12);
        let sure = Risk { causes: vec![(Cause::ResistWear, percent(100.0))] };
        assert_eq!(sure.with(percent(0.0)).to_ratio(), MOST);
    }
}
