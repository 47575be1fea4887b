//! The constants on which a carving estimate rests: one set of them, and how surely each is known.

use crate::sampling;
use language::{number, say};
use quantity::{Length, Quantity as _, SpecificErosion, Speed, known};
use std::sync::{Arc, Mutex, PoisonError};

/// Speed at which [`Model::erosion_ref`] is quoted.
pub const SPEED_REF: Speed = known(Speed::metres_per_second(150.0));
/// Grain size at which [`Model::erosion_ref`] is quoted, as a length.
pub const SIZE_REF: Length = known(Length::um(30.0));

/// One set of constants. Ranges, spreads and sources stand in [`CONSTANTS`], in this order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Model {
    /// Soda-lime volume removed by a kilogram of angular alumina of 30 µm at 150 m/s, square on.
    /// Wrong by a factor, every time is wrong by it; a coupon mends this first.
    pub erosion_ref: SpecificErosion,
    /// Exponent `m` of the normal speed, and therefore `k` of the slope (carving equation). Steeper
    /// than the truth, and narrow lines come out too shallow.
    pub velocity_exponent: f64,
    /// Exponent `q` of the grain size, per kilogram.
    pub size_exponent: f64,
    /// Drag of an angular grain over that of a sphere.
    pub drag_factor: f64,
    /// How strongly grit slows its own air: `v = v0 / (1 + loading κ v0/u)`.
    pub loading: f64,
    /// Exponent of the speed in the wear of a rubbery resist.
    pub resist_velocity_exponent: f64,
    /// Speed at which the brittle law has lost half its value; below it, glass hardly frosts.
    pub threshold: Speed,
    /// Focus `b` of the jet: grit flux falls to 1/e at radius `standoff / b`.
    pub focus: f64,
    /// Width of the flux ramp at a resist edge, in grain diameters.
    pub edge_ramp: f64,
    /// Sideways cut under the resist, as a share of the depth.
    pub undercut: f64,
    /// Where in its band the resist's selectivity lies, in standard deviations from its middle.
    pub resist_deviate: f64,
    /// Mean roughness Ra of the ground over the grain size.
    pub roughness: f64,
}

/// How surely a constant is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Read in the source's own abstract.
    Seen,
    /// Named source, its text not seen.
    Memory,
    /// Engineering judgement; no source.
    Judgement,
}

/// How a constant's 90 % band is spread about its middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Normal, each side with its own width.
    Normal,
    /// Lognormal, each side with its own width.
    Lognormal,
}

/// What is known of one constant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Constant {
    /// Name of its field in [`Model`].
    pub name: &'static str,
    /// Unit of the numbers below.
    pub unit: &'static str,
    /// Where the middle and the band come from.
    pub source: &'static str,
    /// How surely.
    pub basis: Basis,
    /// Least and greatest value accepted.
    pub range: (f64, f64),
    /// The published prior.
    pub spread: Spread,
}

/// A middle and its 5th and 95th percentile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// 5th percentile.
    pub low: f64,
    /// Median.
    pub mid: f64,
    /// 95th percentile.
    pub high: f64,
    /// The curve through them.
    pub shape: Shape,
}

/// The 95th percentile of the standard normal distribution.
pub(crate) const Z95: f64 = 1.644_853_626_951_472_7;

impl Spread {
    const fn normal(low: f64, mid: f64, high: f64) -> Self {
        Self { low, mid, high, shape: Shape::Normal }
    }

    /// The value `deviate` standard deviations from the middle.
    #[must_use]
    pub fn at(self, deviate: f64) -> f64 {
        let end = if deviate < 0.0 { self.low } else { self.high };
        let share = deviate.abs() / Z95;
        match self.shape {
            Shape::Normal => self.mid + (end - self.mid) * share,
            Shape::Lognormal => self.mid * (end / self.mid).powf(share),
        }
    }
}

/// Number of constants in a [`Model`].
pub const COUNT: usize = 12;

const fn constant(
    name: &'static str,
    unit: &'static str,
    basis: Basis,
    source: &'static str,
    range: (f64, f64),
    spread: Spread,
) -> Constant {
    Constant { name, unit, source, basis, range, spread }
}

/// What is known of each constant, in the order of [`Model`]'s fields.
pub const CONSTANTS: [Constant; COUNT] = [
    constant(
        "erosion_ref",
        "mm³/g",
        Basis::Judgement,
        "5 to 25 % of an ideal lateral-crack chip per grain; no measured level was seen",
        (1e-3, 1e3),
        Spread { low: 4.0 / 3.0, mid: 4.0, high: 12.0, shape: Shape::Lognormal },
    ),
    constant(
        "velocity_exponent",
        "1",
        Basis::Seen,
        "7/3 for glass and 30 µm alumina: Buijs & Pasmans, Wear 184 (1995) 61, abstract; band from other theories, from memory",
        (1.2, 4.5),
        Spread::normal(2.0, 7.0 / 3.0, 3.2),
    ),
    constant(
        "size_exponent",
        "1",
        Basis::Memory,
        "1/2 from lateral cracks: Marshall, Lawn & Evans 1982, from memory",
        (0.0, 1.5),
        Spread::normal(0.2, 0.5, 0.7),
    ),
    constant(
        "drag_factor",
        "1",
        Basis::Judgement,
        "angular powders need more drag than spheres (thesis abstract seen); the factor is a judgement",
        (1.0, 4.0),
        Spread::normal(1.5, 1.6, 2.0),
    ),
    constant(
        "loading",
        "1",
        Basis::Judgement,
        "momentum shared between air and grit; lies between the frozen and the equilibrium dusty gas",
        (0.0, 2.0),
        Spread::normal(0.25, 0.5, 0.9),
    ),
    constant(
        "resist_velocity_exponent",
        "1",
        Basis::Memory,
        "about 3 for polyurethane, from memory",
        (1.0, 5.0),
        Spread::normal(2.5, 3.0, 3.5),
    ),
    constant(
        "threshold",
        "m/s",
        Basis::Judgement,
        "the brittle law is not to be extended below 40 m/s; no source",
        (1.0, 100.0),
        Spread::normal(20.0, 30.0, 40.0),
    ),
    constant(
        "focus",
        "1",
        Basis::Judgement,
        "10 to 20 for micro nozzles, from memory; 10 with a wide band for carving nozzles",
        (3.0, 40.0),
        Spread::normal(6.0, 10.0, 18.0),
    ),
    constant(
        "edge_ramp",
        "grains",
        Basis::Judgement,
        "a grain's centre passes no nearer to the edge than its radius; linear ramp of one grain",
        (0.0, 5.0),
        Spread::normal(0.5, 1.0, 2.0),
    ),
    constant(
        "undercut",
        "1",
        Basis::Judgement,
        "5 % of depth, 0 to 20 %; that rebounds cut under the resist was seen, not how far",
        (0.0, 0.5),
        Spread::normal(0.0, 0.05, 0.2),
    ),
    constant(
        "resist_deviate",
        "1",
        Basis::Judgement,
        "a standard normal number: it places the resist within its own band",
        (-4.0, 4.0),
        Spread::normal(-Z95, 0.0, Z95),
    ),
    constant(
        "roughness",
        "1",
        Basis::Judgement,
        "Ra 1 to 2.5 µm for blasted glass: Wensink et al. 2002, abstract; scaled by grain size",
        (0.005, 0.3),
        Spread { low: 0.03, mid: 0.05, high: 0.09, shape: Shape::Lognormal },
    ),
];

/// A constant outside what the laws here were written for.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ModelError {
    /// A constant is out of its range.
    #[error(
        "{}",
        say!(
            "{name} = {value} {unit} is outside {min} to {max}; give a value in that range",
            value = number(value.to_string()),
            min = number(min.to_string()),
            max = number(max.to_string())
        )
    )]
    OutOfRange {
        /// Which constant.
        name: &'static str,
        /// What was given.
        value: f64,
        /// Unit of the numbers.
        unit: &'static str,
        /// Least value accepted.
        min: f64,
        /// Greatest value accepted.
        max: f64,
    },
    /// A coupon's answer that cannot be used.
    #[error(
        "{}",
        say!(
            "a calibration needs a factor above 0 and a spread above 1 (got {factor} and {spread}); measure the \
             coupon again",
            factor = number(factor.to_string()),
            spread = number(spread.to_string())
        )
    )]
    BadCalibration {
        /// Measured over predicted erosion.
        factor: f64,
        /// Ratio of the 95th percentile to the median.
        spread: f64,
    },
}

impl Model {
    /// A set of constants in the units and the order of [`CONSTANTS`].
    ///
    /// # Errors
    /// [`ModelError::OutOfRange`] names the first constant outside its range.
    pub fn from_numbers(numbers: [f64; COUNT]) -> Result<Self, ModelError> {
        for (constant, value) in CONSTANTS.iter().zip(numbers) {
            let (min, max) = constant.range;
            if !(min <= value && value <= max) {
                return Err(ModelError::OutOfRange { name: constant.name, value, unit: constant.unit, min, max });
            }
        }
        Ok(Self::inside(numbers))
    }

    /// The constants as numbers, in the units and the order of [`CONSTANTS`].
    #[must_use]
    pub fn to_numbers(&self) -> [f64; COUNT] {
        [
            self.erosion_ref.to_cubic_mm_per_gram(),
            self.velocity_exponent,
            self.size_exponent,
            self.drag_factor,
            self.loading,
            self.resist_velocity_exponent,
            self.threshold.to_metres_per_second(),
            self.focus,
            self.edge_ramp,
            self.undercut,
            self.resist_deviate,
            self.roughness,
        ]
    }

    fn inside(numbers: [f64; COUNT]) -> Self {
        let [erosion, velocity, size, drag, loading, resist_velocity, threshold, focus, ramp, undercut, deviate, rough] =
            numbers;
        Self {
            erosion_ref: SpecificErosion::clamped(erosion * 1e-6),
            velocity_exponent: velocity,
            size_exponent: size,
            drag_factor: drag,
            loading,
            resist_velocity_exponent: resist_velocity,
            threshold: Speed::clamped(threshold),
            focus,
            edge_ramp: ramp,
            undercut,
            resist_deviate: deviate,
            roughness: rough,
        }
    }
}

/// How far each constant may lie from its middle: what is believed before or after a coupon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// One spread for each constant, in the order of [`CONSTANTS`].
    pub spreads: [Spread; COUNT],
}

impl Default for Prior {
    fn default() -> Self {
        Self { spreads: CONSTANTS.map(|constant| constant.spread) }
    }
}

impl Prior {
    /// Every constant at its middle.
    #[must_use]
    pub fn mid(&self) -> Model {
        self.model([0.0; COUNT])
    }

    /// `n` sets that fill the spreads evenly, the same ones on every call.
    ///
    /// Each constant's distribution is cut into `n` slices of equal probability, each used once; which
    /// slices go together is fixed, and chosen so that no two constants are tied to each other.
    /// Cost: about a millisecond for 64.
    #[must_use]
    pub fn samples(&self, n: usize) -> Vec<Model> {
        let columns = columns(n);
        (0..n).map(|i| self.model(std::array::from_fn(|constant| columns[constant][i]))).collect()
    }

    /// The same belief with the absolute level of a shop's coupon.
    ///
    /// * `factor`: measured erosion over the middle one here. * `spread`: 95th percentile over the
    ///   median afterwards, 1.15 to 1.2 for one coupon (judgement).
    ///
    /// # Errors
    /// [`ModelError`] when the factor is not above 0 or the spread not above 1, or the level leaves
    /// its range.
    pub fn calibrated(&self, factor: f64, spread: f64) -> Result<Self, ModelError> {
        let usable = factor > 0.0 && factor.is_finite() && spread > 1.0 && spread.is_finite();
        if !usable {
            return Err(ModelError::BadCalibration { factor, spread });
        }
        let mid = self.spreads[0].mid * factor;
        let mut after = *self;
        after.spreads[0] = Spread { low: mid / spread, mid, high: mid * spread, shape: Shape::Lognormal };
        let mut numbers = self.mid().to_numbers();
        numbers[0] = mid;
        Model::from_numbers(numbers).map(|_| after)
    }

    /// The set at these deviates, each constant held inside its range.
    fn model(&self, deviates: [f64; COUNT]) -> Model {
        Model::inside(std::array::from_fn(|i| {
            let (min, max) = CONSTANTS[i].range;
            self.spreads[i].at(deviates[i]).clamp(min, max)
        }))
    }
}

/// Deviates, constant by constant.
type Columns = Arc<Vec<Vec<f64>>>;

/// The deviates of `n` sets, kept once they were worked out: they hang on nothing but `n`.
fn columns(n: usize) -> Columns {
    static KNOWN: Mutex<Vec<(usize, Columns)>> = Mutex::new(Vec::new());
    // A poisoned lock has lost nothing: what is kept was complete when it was put there.
    let known = || KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, columns)) = known().iter().find(|(of, _)| *of == n) {
        return Arc::clone(columns);
    }
    let columns = Arc::new(sampling::columns::<COUNT>(n));
    known().push((n, Arc::clone(&columns)));
    columns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_is_the_published_default() {
        let mid = Prior::default().mid();
        assert!((mid.erosion_ref.to_cubic_mm_per_gram() - 4.0).abs() < 1e-12);
        assert_eq!((mid.velocity_exponent, mid.size_exponent, mid.drag_factor), (7.0 / 3.0, 0.5, 1.6));
        assert_eq!(Model::from_numbers(mid.to_numbers()), Ok(mid));
    }

    #[test]
    fn samples_have_the_percentiles_of_the_spread() {
        let prior = Prior::default();
        let samples = prior.samples(200);
        for (i, spread) in prior.spreads.iter().enumerate() {
            let mut values: Vec<f64> = samples.iter().map(|model| model.to_numbers()[i]).collect();
            let [low, mid, high] = quantity::percentiles(&mut values);
            let width = spread.high - spread.low;
            let close = |a: f64, b: f64| (a - b).abs() < 0.02 * width;
            let clipped_low = spread.low.max(CONSTANTS[i].range.0);
            assert!(
                close(low, clipped_low) && close(mid, spread.mid) && close(high, spread.high),
                "{}",
                CONSTANTS[i].name
            );
        }
    }

    #[test]
    fn a_coupon_moves_the_level_and_narrows_it() {
        let after = Prior::default().calibrated(0.5, 1.2).unwrap();
        assert!((after.mid().erosion_ref.to_cubic_mm_per_gram() - 2.0).abs() < 1e-12);
        assert!((after.spreads[0].high / after.spreads[0].low - 1.44).abs() < 1e-12);
        assert_eq!(after.spreads[1..], Prior::default().spreads[1..]);
    }

    #[test]
    fn a_useless_calibration_and_a_wild_constant_are_refused() {
        for (factor, spread) in [(0.0, 1.2), (1.0, 1.0), (f64::NAN, 1.2), (1.0, f64::INFINITY), (1e6, 1.2)] {
            assert!(Prior::default().calibrated(factor, spread).is_err(), "{factor} {spread}");
        }
        let mut numbers = Prior::default().mid().to_numbers();
        numbers[1] = 9.0;
        assert!(Model::from_numbers(numbers).unwrap_err().to_string().contains("velocity_exponent"));
    }
}
