//! Asked and printed tones.

use language::say;

/// Share of black from densities: `(1 - 10^(-Dt/n)) / (1 - 10^(-Ds/n))`.
///
/// * `tint`: density of the tint over the clear film. * `solid`: of full black. * `n`: 1 for film looked through
///   (Murray and Davies 1936); up to 2 on paper (Yule and Nielsen 1951).
///
/// `None` when the solid has no density or the tint is denser. Checked: 0.30 of 1.40 gives 0.5195, n = 1.7
/// 0.3929.
#[must_use]
pub fn area_from_density(tint: f64, solid: f64, n: f64) -> Option<f64> {
    let light = |density: f64| 1.0 - 10_f64.powf(-density / n);
    (solid > 0.0 && (0.0..=solid).contains(&tint) && n >= 1.0).then(|| light(tint) / light(solid))
}

/// Density of a tint: `-log10(1 - a (1 - 10^-Ds))`, the inverse of [`area_from_density`] for n = 1.
#[must_use]
pub fn density_of_area(area: f64, solid: f64) -> f64 {
    -(1.0 - area * (1.0 - 10_f64.powf(-solid))).log10()
}

/// A tone whose round dots' edges moved out by `growth_mm`: `a (1 + e/r)²`, `r = p sqrt(a/π)`, up to half tone.
///
/// Above, round holes shrink instead, `D(a) = 1 - (1-a) (1 - e/r_hole)²`; at half tone the two formulas differ by
/// `2 π e²/p²`, so `D` is stretched to begin where the dots' formula ends. Holes smaller than the growth close.
/// Source: geometry; the joint is ours. Checked: 65 lpi, 50 %, 10 µm gives 0.5662.
#[must_use]
pub fn grown(area: f64, pitch_mm: f64, growth_mm: f64) -> f64 {
    let edge = growth_mm / pitch_mm * std::f64::consts::PI.sqrt();
    let dots = |a: f64| (a.sqrt() + edge).max(0.0).powi(2).min(1.0);
    let holes = |a: f64| 1.0 - ((1.0 - a).sqrt() - edge).max(0.0).powi(2).min(1.0);
    match area {
        a if a <= 0.0 => 0.0,
        a if a >= 1.0 => 1.0,
        a if a <= 0.5 => dots(a),
        a => {
            let (joint, from) = (dots(0.5), holes(0.5));
            joint + (1.0 - joint) * (holes(a) - from) / (1.0 - from).max(f64::MIN_POSITIVE)
        }
    }
}

/// A measured curve: what is printed for what is asked, both rising from 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct ToneCurve {
    points: Vec<(f64, f64)>,
}

/// Why a table is no tone curve.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CurveError {
    /// A point that does not rise over the one before.
    #[error(
        "{}",
        say!(
            "tone {asked:.3} prints as {printed:.3}, no more than the tone before; measure that patch again"
        )
    )]
    NotRising {
        /// Tone asked for.
        asked: f64,
        /// Tone printed.
        printed: f64,
    },
    /// Outside 0 to 1.
    #[error("{}", say!("tone {tone} is no share of an area; give 0 to 1", tone = language::number(tone.to_string())))]
    OutOfRange {
        /// What was given.
        tone: f64,
    },
}

impl ToneCurve {
    /// From measured points (asked, printed) between bare film and full black, which are added.
    ///
    /// # Errors
    /// [`CurveError`] when they do not rise in both, or leave 0 to 1.
    pub fn new(measured: &[(f64, f64)]) -> Result<Self, CurveError> {
        let mut points = vec![(0.0, 0.0)];
        for &(asked, printed) in measured.iter().filter(|p| **p != (0.0, 0.0) && **p != (1.0, 1.0)).chain(&[(1.0, 1.0)])
        {
            if let Some(tone) = [asked, printed].into_iter().find(|tone| !(0.0..=1.0).contains(tone)) {
                return Err(CurveError::OutOfRange { tone });
            }
            let last = points[points.len() - 1];
            if asked <= last.0 || printed <= last.1 {
                return Err(CurveError::NotRising { asked, printed });
            }
            points.push((asked, printed));
        }
        Ok(Self { points })
    }

    /// What comes out of round dots that grow by a margin all around, sampled at every 1/64. Tones whose holes
    /// close are left out: none of them can be printed.
    ///
    /// # Errors
    /// [`CurveError::NotRising`] when the growth is no number, or closes nearly every tone.
    pub fn of_growth(pitch_mm: f64, growth_mm: f64) -> Result<Self, CurveError> {
        let points = (1..64).map(|i| f64::from(i) / 64.0).map(|a| (a, grown(a, pitch_mm, growth_mm)));
        let points: Vec<_> = points.filter(|point| point.1 < 1.0 - 1e-9).collect();
        Self::new(&points)
    }

    /// What is printed when this is asked.
    #[must_use]
    pub fn printed(&self, asked: f64) -> f64 {
        along(&self.points, asked, |p| *p)
    }

    /// What to ask for so that this is printed.
    #[must_use]
    pub fn ask_for(&self, printed: f64) -> f64 {
        along(&self.points, printed, |p| (p.1, p.0))
    }
}

fn along(points: &[(f64, f64)], x: f64, turned: impl Fn(&(f64, f64)) -> (f64, f64)) -> f64 {
    let x = x.clamp(0.0, 1.0);
    let next = points.iter().position(|p| turned(p).0 >= x).unwrap_or(points.len() - 1).max(1);
    let ((x0, y0), (x1, y1)) = (turned(&points[next - 1]), turned(&points[next]));
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn asking_through_the_curve_prints_what_is_wanted() {
        let curve = ToneCurve::of_growth(0.6, 0.03).unwrap();
        for wanted in [0.05, 0.2, 0.5, 0.8, 0.93] {
            assert!((curve.printed(curve.ask_for(wanted)) - wanted).abs() < 1e-12);
        }
        // Dots that grow must be asked for smaller.
        assert!(curve.ask_for(0.5) < 0.45);
        // A tone between two samples: the chord is within a thousandth of the formula.
        let asked = 0.3;
        assert!((curve.printed(asked) - grown(asked, 0.6, 0.03)).abs() < 1e-3);
    }

    #[test]
    fn a_table_that_falls_is_refused() {
        assert!(matches!(ToneCurve::new(&[(0.2, 0.3), (0.4, 0.25)]), Err(CurveError::NotRising { .. })));
        assert!(matches!(ToneCurve::new(&[(0.2, 1.3)]), Err(CurveError::OutOfRange { .. })));
    }
}
