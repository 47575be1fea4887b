//! A side that curves both ways: how large a flat patch it bears.

use super::frustum::sinc;

/// How much shorter the rim of a flat disc is on a ball than it was flat, as a share: `1 - sin(x)/x`.
///
/// * `x`: the disc's radius along the surface over the ball's radius; for another surface `ρ sqrt(K)` with
///   the Gaussian curvature `K = 1/R1 · 1/R2`, 0 or more.
///
/// The film must shrink by this much at its rim or fold. Source: circumference of a circle on a sphere.
/// Checked: x = 0.3 gives 0.014933.
#[must_use]
pub fn mismatch(x: f64) -> f64 {
    // The series where the difference would lose digits; the next term is x⁶/5040.
    if x.abs() < 0.05 { x * x / 6.0 * (1.0 - x * x / 20.0) } else { 1.0 - sinc(x) }
}

/// Gaussian curvature in 1/mm² of a barrel-like side: `1 / (R_hoop R_profile)`.
#[must_use]
pub fn gaussian_per_mm2(hoop_radius_mm: f64, profile_radius_mm: f64) -> f64 {
    1.0 / (hoop_radius_mm * profile_radius_mm)
}

/// Mismatch of a small patch where only the curvature is known: `K ρ² / 6`, either sign of `K`.
///
/// Source: Bertrand and Puiseux, circumference of a small geodesic circle (from memory).
/// Checked: K = 6.25e-5 mm⁻², ρ = 30 mm gives 0.009375.
#[must_use]
pub fn small_mismatch(curvature_per_mm2: f64, radius_mm: f64) -> f64 {
    curvature_per_mm2 * radius_mm * radius_mm / 6.0
}

/// Radius in mm of the patch on a ball that a film bears which takes a strain: `a sqrt(6 ε)`.
///
/// Range: strain up to about 0.05; the exact patch is larger by `3 ε / 20` of itself.
/// Checked: a = 100 mm, 0.01 gives 24.49 mm.
#[must_use]
pub fn patch_radius_mm(ball_radius_mm: f64, strain: f64) -> f64 {
    ball_radius_mm * (6.0 * strain.max(0.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_series_meets_the_closed_form() {
        for x in [0.049_999_f64, 0.050_001] {
            let want = 1.0 - x.sin() / x;
            assert!((mismatch(x) / want - 1.0).abs() < 1e-8, "{x}");
        }
        // Not flat, but nothing to strain at the middle.
        assert_eq!(mismatch(0.0), 0.0);
    }

    #[test]
    fn the_patch_has_the_strain_that_it_was_asked_for() {
        for strain in [0.005, 0.01, 0.03] {
            let found = mismatch(patch_radius_mm(100.0, strain) / 100.0);
            assert!((found / strain - 1.0).abs() < 0.01, "{strain} {found}");
        }
    }
}
