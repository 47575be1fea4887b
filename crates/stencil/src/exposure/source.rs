//! How a source lights the bed.

use super::ExposureError;
use super::dose::positive;
use artwork::grid::Point;
use language::say;

/// A light source over the middle of the bed, lengths in mm, facing the bed.
///
/// Relative irradiance of the three, each from one law of a small source, `E ∝ cos^m ε cos θ / d²`:
///
/// * point: `E ∝ h^(m+1) / d^(m+3)`, so cos³ for a lamp that shines alike to all sides (`m = 0`) and cos⁴ for
///   a flat one (`m = 1`);
/// * tube, a line of Lambert's elements of half-length `L`: with `D² = h² + x²`, from `z` to the ends,
///   `E ∝ h D [z / (2 D² (D² + z²)) + atan(z / D) / (2 D³)]`, for a long tube `h / D²`;
/// * LEDs: the sum over a grid of points with lobe `m`.
///
/// Reflectors, walls and the lamp's own shadow are left out.
/// Source: photometric distance law; for long tubes `tanh²(π h / p)` between the least and the greatest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// One lamp, small against its height.
    Point {
        /// Above the film.
        height_mm: f64,
        /// 0 for a bulb or an arc, 1 for a flat emitter.
        lobe: f64,
    },
    /// Parallel tubes along y.
    Tubes {
        /// Of their axes above the film.
        height_mm: f64,
        /// From one to the next.
        pitch_mm: f64,
        /// Lit length.
        length_mm: f64,
        /// How many.
        count: usize,
    },
    /// A grid of LEDs.
    Leds {
        /// Above the film.
        height_mm: f64,
        /// From one to the next, along x and y.
        pitch_mm: f64,
        /// Along x.
        columns: usize,
        /// Along y.
        rows: usize,
        /// Lobe `m`: 1 for a bare chip; `ln(1/2) / ln(cos a)` for a lens of half-angle `a`.
        lobe: f64,
    },
}

/// How even the light is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniformity {
    /// Least over greatest irradiance on the bed.
    pub least_over_most: f64,
    /// Where the least is, from the bed's middle.
    pub weakest: Point,
    /// Mean over the bed against the middle's irradiance.
    pub mean_over_middle: f64,
}

impl Source {
    /// A copy at another height.
    #[must_use]
    pub fn at_height(mut self, mm: f64) -> Self {
        match &mut self {
            Self::Point { height_mm, .. } | Self::Tubes { height_mm, .. } | Self::Leds { height_mm, .. } => {
                *height_mm = mm;
            }
        }
        self
    }

    /// Relative irradiance at a place, mm from the bed's middle, in this source's own unit: only ratios mean
    /// anything.
    ///
    /// # Errors
    /// [`ExposureError::NotPositive`] for a source without height, pitch, length or number.
    pub fn irradiance(&self, at: Point) -> Result<f64, ExposureError> {
        match *self {
            Self::Point { height_mm, lobe } => {
                Ok(spot(positive(say!(in "what is needed", "height"), height_mm)?, lobe, at.x, at.y))
            }
            Self::Tubes { height_mm, pitch_mm, length_mm, count } => {
                let h = positive(say!(in "what is needed", "height"), height_mm)?;
                let half = 0.5 * positive(say!(in "what is needed", "tube length"), length_mm)?;
                let pitch = spaced(pitch_mm, count)?;
                Ok(row(pitch, count).map(|x| tube(h, half, at.x - x, at.y)).sum())
            }
            Self::Leds { height_mm, pitch_mm, columns, rows, lobe } => {
                let h = positive(say!(in "what is needed", "height"), height_mm)?;
                let (across, along) = (spaced(pitch_mm, columns)?, spaced(pitch_mm, rows)?);
                let column = |x: f64| row(along, rows).map(move |y| spot(h, lobe, at.x - x, at.y - y)).sum::<f64>();
                Ok(row(across, columns).map(column).sum())
            }
        }
    }

    /// Factor on the time when the source is brought to another height: the inverse square for a point, less
    /// for an array that is large against its height.
    ///
    /// # Errors
    /// As [`Self::irradiance`].
    pub fn time_factor(&self, to_height_mm: f64) -> Result<f64, ExposureError> {
        let middle = Point::default();
        Ok(self.irradiance(middle)? / self.at_height(to_height_mm).irradiance(middle)?)
    }

    /// Evenness over a bed, looked at on a grid of 101 by 101 places, edges included.
    ///
    /// # Errors
    /// As [`Self::irradiance`].
    pub fn uniformity(&self, width_mm: f64, height_mm: f64) -> Result<Uniformity, ExposureError> {
        let (mut least, mut most, mut sum) = ((f64::INFINITY, Point::default()), 0.0_f64, 0.0);
        for i in 0..=STEPS {
            for j in 0..=STEPS {
                let share = |k: u32| f64::from(k) / f64::from(STEPS) - 0.5;
                let at = Point { x: share(i) * width_mm, y: share(j) * height_mm };
                let e = self.irradiance(at)?;
                (most, sum) = (most.max(e), sum + e);
                if e < least.0 {
                    least = (e, at);
                }
            }
        }
        let mean = sum / f64::from((STEPS + 1) * (STEPS + 1));
        let mean_over_middle = mean / self.irradiance(Point::default())?;
        Ok(Uniformity { least_over_most: least.0 / most, weakest: least.1, mean_over_middle })
    }
}

const STEPS: u32 = 100;

/// Least height over the sheet's radius for a share of the middle's light at its edge, a small lamp:
/// `h / R = 1 / tan(acos(share^(1 / (3 + m))))`.
///
/// Checked: 80 % needs 2.497 with cos³ and 2.911 with cos⁴.
#[must_use]
pub fn least_height_over_radius(share: f64, lobe: f64) -> f64 {
    1.0 / share.powf(1.0 / (3.0 + lobe)).acos().tan()
}

/// Least over greatest light under an endless bank of long tubes: `tanh²(π h / p)`.
#[must_use]
pub fn long_bank_uniformity(height_over_pitch: f64) -> f64 {
    (std::f64::consts::PI * height_over_pitch).tanh().powi(2)
}

fn spaced(pitch_mm: f64, count: usize) -> Result<f64, ExposureError> {
    match count {
        0 => Err(ExposureError::NotPositive { what: say!(in "what is needed", "number of lamps") }),
        1 => Ok(0.0),
        _ => positive(say!(in "what is needed", "pitch"), pitch_mm),
    }
}

/// Places of a row about the middle.
fn row(pitch: f64, count: usize) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| (i as f64 - 0.5 * (count as f64 - 1.0)) * pitch)
}

fn spot(h: f64, lobe: f64, x: f64, y: f64) -> f64 {
    let d2 = h * h + x * x + y * y;
    (h * h / d2).powf(0.5 * (lobe + 1.0)) / d2
}

fn tube(h: f64, half: f64, x: f64, y: f64) -> f64 {
    let d2 = h * h + x * x;
    let d = d2.sqrt();
    let to = |z: f64| z / (2.0 * d2 * (d2 + z * z)) + (z / d).atan() / (2.0 * d2 * d);
    h * d * (to(half - y) + to(half + y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_long_tubes_are_the_endless_bank() {
        for ratio in [0.5, 0.75, 1.0] {
            let bank = Source::Tubes { height_mm: 100.0 * ratio, pitch_mm: 100.0, length_mm: 1e6, count: 4001 };
            // Over a tube and between two, far from the bank's ends.
            let at = |x| bank.irradiance(Point { x, y: 0.0 }).unwrap();
            let found = at(50.0) / at(0.0);
            assert!((found / long_bank_uniformity(ratio) - 1.0).abs() < 1e-3, "{ratio}: {found}");
        }
    }

    #[test]
    fn a_short_tube_far_away_is_a_flat_point_and_its_integral_is_right() {
        let tube_far = |x: f64, y: f64| tube(1000.0, 0.5, x, y);
        let point_far = |x: f64, y: f64| {
            // Lambert's element on a line along y: sin of the angle to the tube's axis instead of the lobe.
            let d2: f64 = 1e6 + x * x + y * y;
            1000.0 * (1e6 + x * x).sqrt() / (d2 * d2)
        };
        for (x, y) in [(0.0, 0.0), (300.0, 0.0), (200.0, 500.0)] {
            assert!((tube_far(x, y) / point_far(x, y) - 1.0).abs() < 1e-5);
        }
        let (h, half, x, y) = (80.0, 300.0, 40.0, 100.0);
        let d2: f64 = h * h + x * x;
        let steps = 20_000;
        let dz = 2.0 * half / f64::from(steps);
        let sum: f64 = (0..steps)
            .map(|i| {
                let z = (f64::from(i) + 0.5) * dz - half - y;
                h * d2.sqrt() / (d2 + z * z).powi(2) * dz
            })
            .sum();
        assert!((tube(h, half, x, y) / sum - 1.0).abs() < 1e-7);
    }

    #[test]
    fn a_large_array_loses_less_by_distance_than_a_point() {
        let leds = Source::Leds { height_mm: 100.0, pitch_mm: 20.0, columns: 40, rows: 40, lobe: 1.0 };
        let point = Source::Point { height_mm: 100.0, lobe: 1.0 };
        assert!((point.time_factor(200.0).unwrap() - 4.0).abs() < 1e-12);
        let factor = leds.time_factor(200.0).unwrap();
        // Under an endless even sheet of light distance would not matter.
        assert!(1.0 < factor && factor < 1.4, "{factor}");
        let far = leds.at_height(50_000.0).time_factor(100_000.0).unwrap();
        assert!((far - 4.0).abs() < 1e-3, "{far}");
    }

    #[test]
    fn the_corner_of_a_bed_is_the_weakest_under_a_point() {
        let found = Source::Point { height_mm: 600.0, lobe: 0.0 }.uniformity(400.0, 300.0).unwrap();
        let corner = (600.0_f64.powi(2) / (600.0_f64.powi(2) + 250.0_f64.powi(2))).powf(1.5);
        assert!((found.least_over_most - corner).abs() < 1e-12 && found.weakest.x.abs() == 200.0);
        let none = Source::Tubes { height_mm: 100.0, pitch_mm: 60.0, length_mm: 600.0, count: 0 };
        assert_eq!(none.uniformity(1.0, 1.0), Err(ExposureError::NotPositive { what: "number of lamps" }));
    }
}
