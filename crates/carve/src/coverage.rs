//! How the blasted ground looks: how much of it is frosted, how rough it is.

use crate::grain::Grain;
use crate::model::Model;
use quantity::{Diameter, Estimate, Fraction, Length, OutOfRange, Quantity as _};
use std::f64::consts::PI;

/// Radius of the chip that one grain leaves, over the grain's size (judgement; 16 µm was computed for a
/// 30 µm grain at 150 m/s from the lateral-crack theory).
pub const CHIP_RADIUS_RATIO: f64 = 0.5;

/// Share of the surface that at least one chip has reached: `F = 1 - exp(-n A)`, chips falling
/// independently (Poisson). Checked: `n A = 3.9` gives 0.980.
///
/// * `grit`: mass of abrasive that landed on each area, in g/m².
#[must_use]
pub fn frosted(grain: Grain, grit_g_m2: f64) -> Fraction {
    Fraction::clamped(-(-hits_area(grain, grit_g_m2.max(0.0))).exp_m1())
}

/// Grit in g/m² that frosts a share of the surface; `None` for all of it, which takes for ever.
/// Checked: 98 % with 30 µm alumina takes 0.31 kg/m².
#[must_use]
pub fn grit_for_g_m2(grain: Grain, share: Fraction) -> Option<f64> {
    let bare = 1.0 - share.to_ratio();
    (bare > 0.0).then(|| (1.0 / bare).ln() / hits_area(grain, 1.0))
}

/// Number of hits on an area times the area that one of them chips.
fn hits_area(grain: Grain, grit_g_m2: f64) -> f64 {
    let size = grain.size.to_metres();
    let mass = grain.density.to_kg_per_cubic_metre() * PI * size.powi(3) / 6.0;
    grit_g_m2 * 1e-3 / mass * PI * (CHIP_RADIUS_RATIO * size).powi(2)
}

/// Mean roughness Ra of a fully frosted ground, over samples of the model: a share of the grain size.
///
/// Source: judgement, anchored by Ra 1 to 2.5 µm for glass blasted with about 30 µm alumina (Wensink et
/// al. 2002, abstract). Checked: 50 µm gives 2.5 µm.
///
/// # Errors
/// [`OutOfRange`] for no samples.
pub fn roughness(size: Diameter, samples: &[Model]) -> Result<Estimate<Length>, OutOfRange> {
    let mut ra: Vec<f64> = samples.iter().map(|model| model.roughness * size.to_metres()).collect();
    Estimate::from_samples(&mut ra)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Prior;
    use quantity::Density;

    fn alumina(um: f64) -> Grain {
        Grain { size: Diameter::um(um).unwrap(), density: Density::kg_per_cubic_metre(3950.0).unwrap() }
    }

    #[test]
    fn coverage_follows_poisson() {
        // 1 - exp(-0.693), 1 - exp(-3.0), 1 - exp(-3.9): table of section "frosted surface".
        for (product, want) in [(0.693, 0.5), (3.0, 0.95), (3.9, 0.98)] {
            let grit = product / hits_area(alumina(30.0), 1.0);
            assert!((frosted(alumina(30.0), grit).to_ratio() - want).abs() < 1e-3);
        }
    }

    #[test]
    fn fine_alumina_frosts_with_a_third_of_a_kilogram_on_a_square_metre() {
        let share = Fraction::percent(98.0).unwrap();
        let grams = grit_for_g_m2(alumina(30.0), share).unwrap();
        assert!((grams / 310.0 - 1.0).abs() < 0.01, "{grams}");
        // It scales with the size: coarse grit needs more.
        assert!((grit_for_g_m2(alumina(90.0), share).unwrap() / grams - 3.0).abs() < 1e-9);
        assert_eq!(grit_for_g_m2(alumina(30.0), Fraction::ratio(1.0).unwrap()), None);
    }

    #[test]
    fn roughness_lies_in_the_published_band() {
        let ra = roughness(Diameter::um(30.0).unwrap(), &Prior::default().samples(100)).unwrap();
        assert!(ra.mid().to_um() > 1.0 && ra.mid().to_um() < 2.5, "{}", ra.mid().to_um());
        assert!(ra.low().to_um() > 0.8 && ra.high().to_um() < 3.0);
    }
}
