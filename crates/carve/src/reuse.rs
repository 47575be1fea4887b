//! Abrasive that is used again: finer with every turn, and less of it.
//!
//! After each turn the median falls by a share `f` that grows with the square of the grains' speed, and a share of the
//! mass goes off as dust: `d_n = d_0 (1-f)^n`, `m_n = m_0 (1-g)^n`. No measured breakdown per turn was seen: both
//! shares are judgement, in wide bands; that grains break at high speed was read (Buijs & Pasmans 1995, abstract).

use crate::model::{SPEED_REF, Shape, Spread};
use quantity::{Diameter, Estimate, Mass, OutOfRange, Quantity as _, Speed, percentiles};

/// Share of its size that a grain loses in one turn at 150 m/s: 3 to 10 % (judgement).
pub const BREAKAGE: Spread = Spread { low: 0.03, mid: 0.05, high: 0.10, shape: Shape::Lognormal };
/// Share of the mass that one turn makes dust of, at 150 m/s: 2 to 10 % (judgement).
pub const DUST: Spread = Spread { low: 0.02, mid: 0.05, high: 0.10, shape: Shape::Lognormal };
/// Below this share of its first size an abrasive is spent (common practice, no source).
pub const SPENT_BELOW: f64 = 0.7;

/// No grain loses more than this in a turn: the bands were not made for it.
const LOSS_MAX: f64 = 0.5;

/// How an abrasive wears, at one place in the bands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breakage {
    /// Share of the size lost each turn.
    size_loss: f64,
    /// Share of the mass lost each turn.
    mass_loss: f64,
}

impl Breakage {
    /// Wear at a grain speed, `deviate` standard deviations from the middle of both bands; -3 to 3, beyond it is held
    /// there.
    #[must_use]
    pub fn new(speed: Speed, deviate: f64) -> Self {
        let faster = (speed.to_metres_per_second() / SPEED_REF.to_metres_per_second()).powi(2);
        let loss = |band: Spread| (band.at(deviate.clamp(-3.0, 3.0)) * faster).min(LOSS_MAX);
        Self { size_loss: loss(BREAKAGE), mass_loss: loss(DUST) }
    }

    /// Median size after some turns.
    #[must_use]
    pub fn size_after(&self, new: Diameter, turns: u32) -> Diameter {
        Diameter::clamped(new.to_metres() * (1.0 - self.size_loss).powi(turns.min(1000) as i32))
    }

    /// Mass left after some turns, the dust gone.
    #[must_use]
    pub fn mass_after(&self, new: Mass, turns: u32) -> Mass {
        Mass::clamped(new.to_kilograms() * (1.0 - self.mass_loss).powi(turns.min(1000) as i32))
    }

    /// Turns until the median falls below [`SPENT_BELOW`] of the new one. Checked: a loss of 5 % gives 7.
    #[must_use]
    pub fn turns(&self) -> f64 {
        SPENT_BELOW.ln() / (-self.size_loss).ln_1p()
    }
}

/// Turns that an abrasive lasts at a grain speed, over its band.
#[must_use]
pub fn turns(speed: Speed) -> Estimate<f64> {
    let mut samples: Vec<f64> = (0..41).map(|i| Breakage::new(speed, 0.1 * f64::from(i - 20)).turns()).collect();
    let [_, mid, _] = percentiles(&mut samples);
    let at = |deviate: f64| Breakage::new(speed, deviate).turns();
    let z95 = crate::model::Z95;
    Estimate::new(at(z95).min(mid), mid, at(-z95).max(mid)).unwrap_or(Estimate::exact(mid))
}

/// Median size after some turns, over the band.
///
/// # Errors
/// [`OutOfRange`] never occurs for a size in range; it is the type of every estimate.
pub fn size_after(new: Diameter, speed: Speed, turns: u32) -> Result<Estimate<Diameter>, OutOfRange> {
    let mut sizes: Vec<f64> =
        quantiles(41).map(|deviate| Breakage::new(speed, deviate).size_after(new, turns).to_metres()).collect();
    Estimate::from_samples(&mut sizes)
}

/// Middles of `n` equally likely slices of the standard normal distribution.
fn quantiles(n: u32) -> impl Iterator<Item = f64> {
    (0..n).map(move |i| crate::sampling::normal_deviate((f64::from(i) + 0.5) / f64::from(n)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn speed(v: f64) -> Speed {
        Speed::metres_per_second(v).unwrap()
    }

    #[test]
    fn at_five_percent_an_abrasive_lasts_seven_turns() {
        // ln 0.7 / ln 0.95 = 6.95: section 6 of the derivation.
        let turns = turns(speed(150.0));
        assert!((turns.mid() - 6.95).abs() < 0.01, "{}", turns.mid());
        assert!((turns.low() - 3.385).abs() < 0.01 && (turns.high() - 11.71).abs() < 0.01, "{turns:?}");
    }

    #[test]
    fn faster_grains_break_sooner() {
        let mid = |v: f64| turns(speed(v)).mid();
        assert!(mid(100.0) > 2.0 * mid(150.0) && mid(200.0) < 0.6 * mid(150.0));
    }

    #[test]
    fn grains_and_mass_shrink_from_turn_to_turn() {
        let wear = Breakage::new(speed(150.0), 0.0);
        let new = Diameter::um(100.0).unwrap();
        assert_eq!(wear.size_after(new, 0), new);
        assert!((wear.size_after(new, 7).to_um() - 100.0 * 0.95f64.powi(7)).abs() < 1e-9);
        let mass = Mass::kilograms(10.0).unwrap();
        assert!((wear.mass_after(mass, 3).to_kilograms() - 10.0 * 0.95f64.powi(3)).abs() < 1e-9);
        let band = size_after(new, speed(150.0), 7).unwrap();
        assert!(band.low().to_um() < 55.0 && band.mid().to_um() > 65.0 && band.high().to_um() > 78.0);
    }
}
