//! Bending of thin rectangular plates, by series: the stress and the sinking of a pane under load.
//!
//! * [`bend`]: supports, load, sizes in; the greatest stress, where it is, and the sinking out.
//! * `levy`: two opposite edges simply supported, the others simple or free: one sine series, each term solved
//!   exactly across the plate.
//! * `clamped`: four clamped edges, by moments along the edges that bring their slopes to zero.
//! * [`beam`]: the closed form for a strip on two supports.
//!
//! Kirchhoff's plate: thin, of one thickness, sinking by less than half of it, corners held down. Not handled:
//! holes, points, three sides, shapes other than rectangles, panes that sink so far that they stretch.

mod clamped;
mod levy;

use language::{number, say};
use quantity::{Length, OutOfRange, Quantity as _};
use reference::{AreaLoad, Force, Stress, tables};

/// A pane that is bent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pane {
    /// Left to right, above zero.
    pub width: Length,
    /// Top to bottom, above zero.
    pub height: Length,
    /// Above zero.
    pub thickness: Length,
    /// Young's modulus, above zero.
    pub modulus: Stress,
    /// Poisson's ratio, 0 to 0.5.
    pub poisson: f64,
}

/// How its edges are held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// All four lie in a frame that lets them turn.
    FourSides,
    /// All four are held so that they cannot turn.
    FourClamped,
    /// Left and right lie on supports; top and bottom are free.
    LeftAndRight,
    /// Top and bottom lie on supports; left and right are free.
    TopAndBottom,
}

/// What presses on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pressing {
    /// Spread evenly over all of it.
    Even(AreaLoad),
    /// On a square patch where it bends most: in the middle, or at the middle of a free edge.
    Patch {
        /// All of it.
        force: Force,
        /// Edge of the square, above zero; no more than the pane counts.
        edge: Length,
    },
}

/// What a load does to a pane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bending {
    /// Greatest bending stress.
    pub stress: Stress,
    /// Where it is.
    pub at: At,
    /// How far the pane sinks where it sinks most.
    pub sinking: Length,
}

impl Bending {
    /// Whether the sinking is small enough for this theory, which beyond it overstates stress.
    ///
    /// Source: Roark's Formulas, Table 11.4, small deflections (read).
    #[must_use]
    pub fn is_small(&self, thickness: Length) -> bool {
        self.sinking.to_metres() <= tables().limits.plate_linear.value.to_ratio() * thickness.to_metres()
    }
}

/// Where a pane is stressed most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum At {
    /// In the middle.
    Middle,
    /// At the middle of a free edge.
    FreeEdge,
    /// At the middle of a clamped edge.
    ClampedEdge,
}

/// Why a pane's bending cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlateError {
    /// A size of nothing.
    #[error("{}", say!("the pane has no {what}: measure it and give it"))]
    NoSize {
        /// Which size.
        what: &'static str,
    },
    /// Poisson's ratio out of its range.
    #[error(
        "{}",
        say!(
            "Poisson's ratio is {given}; it goes from 0 to 0.5, and is about 0.2 for glass",
            given = number(given.to_string())
        )
    )]
    Poisson {
        /// What was given.
        given: f64,
    },
    /// Sides too unlike for the series.
    #[error("{}", say!("one side is {ratio:.0} times the other: work it out as a strip on two supports"))]
    TooSlender {
        /// Long side over short side.
        ratio: f64,
    },
    /// An answer beyond its kind.
    #[error("{}", say!("the load is too great for this pane: {0}", _0))]
    OutOfRange(#[from] OutOfRange),
}

/// Moments for each unit of length and the sinking times stiffness, of the load as given in SI.
#[derive(Debug, Clone, Copy)]
struct Unit {
    moment: f64,
    at: At,
    sinking: f64,
}

/// The edge ratio up to which the series is trusted; its tests stop there.
const SLENDER_MOST: f64 = 20.0;

/// Stress and sinking of a pane.
///
/// `D ∇⁴w = q`, `D = E t³ / (12 (1 - ν²))`, `σ = 6 M / t²`.
///
/// * w: sinking. * q: load on an area. * M: greatest moment for a unit of length.
///
/// Range: sides up to 20 times each other. Accuracy: within 0.1 % of the series of the process checks (rows PLT
/// and PLG), 1 % of Roark's Table 11.4, 1 % of finite elements over a sweep (`tests/oracles/plate.py`).
/// Source: Lévy's solution and Timoshenko's clamped plate, standard plate theory.
///
/// # Errors
/// [`PlateError`] when a size is zero or a number is out of its range.
pub fn bend(pane: &Pane, held: Held, pressing: Pressing) -> Result<Bending, PlateError> {
    check(pane)?;
    let (width, height) = (pane.width.to_metres(), pane.height.to_metres());
    let patch = Patch::of(pressing, width, height);
    let unit = match held {
        Held::FourSides => levy::four_sides(width, height, pane.poisson, patch),
        Held::FourClamped => clamped::four_clamped(width, height, pane.poisson, patch),
        Held::LeftAndRight => levy::two_sides(width, height, pane.poisson, patch),
        Held::TopAndBottom => levy::two_sides(height, width, pane.poisson, patch.turned()),
    };
    let thickness = pane.thickness.to_metres();
    let stiffness = pane.modulus.to_pascals() * thickness.powi(3) / (12.0 * (1.0 - pane.poisson.powi(2)));
    Ok(Bending {
        stress: Stress::pascals(6.0 * unit.moment / thickness.powi(2))?,
        at: unit.at,
        sinking: Length::metres(unit.sinking / stiffness)?,
    })
}

fn check(pane: &Pane) -> Result<(), PlateError> {
    let sizes = [
        (say!(in "a size of a pane", "width"), pane.width),
        (say!(in "a size of a pane", "height"), pane.height),
        (say!(in "a size of a pane", "thickness"), pane.thickness),
    ];
    if let Some((what, _)) = sizes.into_iter().find(|(_, size)| size.to_metres() == 0.0) {
        return Err(PlateError::NoSize { what });
    }
    if pane.modulus.to_pascals() == 0.0 {
        return Err(PlateError::NoSize { what: say!(in "a size of a pane", "stiffness") });
    }
    // Written so that a NaN is refused too.
    if !(0.0..=0.5).contains(&pane.poisson) {
        return Err(PlateError::Poisson { given: pane.poisson });
    }
    let ratio = pane.width.to_metres() / pane.height.to_metres();
    let ratio = ratio.max(1.0 / ratio);
    if ratio > SLENDER_MOST { Err(PlateError::TooSlender { ratio }) } else { Ok(()) }
}

/// A load on a rectangle in the middle of the pane, or on all of it; in pascals and metres.
#[derive(Debug, Clone, Copy)]
struct Patch {
    pressure: f64,
    width: f64,
    height: f64,
    /// Whether it may be moved to a free edge, where it bends more.
    moves: bool,
}

impl Patch {
    fn of(pressing: Pressing, width: f64, height: f64) -> Self {
        match pressing {
            Pressing::Even(load) => Self { pressure: load.to_pascals(), width, height, moves: false },
            Pressing::Patch { force, edge } => {
                let edge = edge.to_metres().max(1e-3);
                let (width, height) = (edge.min(width), edge.min(height));
                Self { pressure: force.to_newtons() / (width * height), width, height, moves: true }
            }
        }
    }

    const fn turned(self) -> Self {
        Self { width: self.height, height: self.width, ..self }
    }
}

/// Stress and sinking of a strip on two supports under an even load, as a beam.
///
/// `σ = 0.75 q L²/t²`, `y = (5/32) q L⁴/(E t³)`.
///
/// * q: load. * L: span. * t: thickness. * E: modulus.
///
/// Range: a strip that is narrow beside its span; a wide one is stressed up to a tenth more at its free edges
/// ([`bend`]). Source: beam theory. Checked: 0.75 kPa on 1 m of 10 mm is 5.625 MPa and 1.674 mm.
///
/// # Errors
/// [`PlateError`] when a size is zero or the answer is out of range.
pub fn beam(span: Length, thickness: Length, modulus: Stress, load: AreaLoad) -> Result<Bending, PlateError> {
    for (what, zero) in [
        (say!(in "a size of a pane", "thickness"), thickness.to_metres() == 0.0),
        (say!(in "a size of a pane", "stiffness"), modulus.to_pascals() == 0.0),
    ] {
        if zero {
            return Err(PlateError::NoSize { what });
        }
    }
    let (q, l, t) = (load.to_pascals(), span.to_metres(), thickness.to_metres());
    Ok(Bending {
        stress: Stress::pascals(0.75 * q * (l / t).powi(2))?,
        at: At::Middle,
        sinking: Length::metres(5.0 / 32.0 * q * l.powi(4) / (modulus.to_pascals() * t.powi(3)))?,
    })
}

/// A pane's own weight on its area: `q = ρ g t`, g standard gravity.
///
/// Checked: 10 mm of 2500 kg/m³ is 0.245 kPa.
#[must_use]
pub fn own_weight(density: quantity::Density, thickness: Length) -> AreaLoad {
    AreaLoad::clamped(density.to_kg_per_cubic_metre() * 9.806_65 * thickness.to_metres())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn pane(width: f64, height: f64, poisson: f64) -> Pane {
        let mm = |mm| Length::mm(mm).unwrap();
        let modulus = Stress::gpa(70.0).unwrap();
        Pane { width: mm(width), height: mm(height), thickness: mm(10.0), modulus, poisson }
    }

    /// Stress over `q b²/t²` and sinking over `q b⁴/(E t³)`, b the height.
    fn coefficients(a_over_b: f64, poisson: f64, held: Held) -> (f64, f64) {
        let bent = bend(&pane(500.0 * a_over_b, 500.0, poisson), held, Pressing::Even(AreaLoad::kpa(1.0).unwrap()));
        let bent = bent.unwrap();
        let (q, b, t, e) = (1e3_f64, 0.5_f64, 0.01_f64, 70e9);
        let beta = bent.stress.to_pascals() / (q * b.powi(2) / t.powi(2));
        (beta, bent.sinking.to_metres() / (q * b.powi(4) / (e * t.powi(3))))
    }

    #[track_caller]
    fn check(have: f64, want: f64, tolerance: f64) {
        assert!((have / want - 1.0).abs() <= tolerance, "{have} is not {want}");
    }

    #[test]
    fn four_clamped_edges_agree_with_the_printed_coefficients() {
        // Roark's Formulas Table 11.4 case 8a, ν 0.3: a/b, β at the middle of the long edge, α; from memory.
        let rows = [
            (1.0, 0.3078, 0.0138),
            (1.2, 0.3834, 0.0188),
            (1.4, 0.4356, 0.0226),
            (1.6, 0.4680, 0.0251),
            (1.8, 0.4872, 0.0267),
            (2.0, 0.4974, 0.0277),
        ];
        for (ratio, beta, alpha) in rows {
            let (have_beta, have_alpha) = coefficients(ratio, 0.3, Held::FourClamped);
            println!("{ratio}: β {have_beta:.4} of {beta}, α {have_alpha:.4} of {alpha}");
            check(have_beta, beta, 0.01);
            check(have_alpha, alpha, 0.01);
        }
        // A long one is a strip between two clamped edges: q L²/12, so β 0.5.
        check(coefficients(8.0, 0.3, Held::FourClamped).0, 0.5, 2e-3);
    }

    #[test]
    fn two_sides_agree_with_the_printed_square() {
        // Timoshenko & Woinowsky-Krieger, Table 47, ν 0.3, square: 0.1318 q a² at the free edge, from memory; finite
        // elements (tests/oracles/plate.py) say 0.1311, as the series does.
        let (beta, alpha) = coefficients(1.0, 0.3, Held::LeftAndRight);
        check(beta, 6.0 * 0.1318, 1e-2);
        check(alpha, 0.01509 * 12.0 * (1.0 - 0.09), 1e-2);
        assert_eq!(coefficients(1.0, 0.3, Held::TopAndBottom), (beta, alpha));
    }

    #[test]
    fn a_narrow_strip_is_a_beam() {
        let load = AreaLoad::kpa(0.75).unwrap();
        let strip = Pane { width: Length::metres(1.0).unwrap(), ..pane(1.0, 60.0, 0.22) };
        let bent = bend(&strip, Held::LeftAndRight, Pressing::Even(load)).unwrap();
        let beam = beam(strip.width, strip.thickness, strip.modulus, load).unwrap();
        check(bent.stress.to_mpa(), beam.stress.to_mpa(), 5e-3);
        check(bent.sinking.to_mm(), beam.sinking.to_mm(), 5e-3);
    }

    #[test]
    fn a_small_patch_in_the_middle_agrees_with_the_printed_coefficient() {
        // A point load on a square of four simple edges sinks by 0.01160 P a²/D (Timoshenko, Table 23, from memory).
        let patch = Pressing::Patch { force: Force::newtons(100.0).unwrap(), edge: Length::mm(2.0).unwrap() };
        let bent = bend(&pane(500.0, 500.0, 0.3), Held::FourSides, patch).unwrap();
        let stiffness = 70e9 * 1e-6 / (12.0 * 0.91);
        check(bent.sinking.to_metres(), 0.01160 * 100.0 * 0.25 / stiffness, 2e-3);
        // Clamped, 0.00560 (the same book, Table 37).
        let bent = bend(&pane(500.0, 500.0, 0.3), Held::FourClamped, patch).unwrap();
        check(bent.sinking.to_metres(), 0.00560 * 100.0 * 0.25 / stiffness, 3e-3);
    }

    #[test]
    fn a_patch_over_all_of_a_pane_is_an_even_load() {
        let whole = Pressing::Patch { force: Force::newtons(250.0).unwrap(), edge: Length::mm(500.0).unwrap() };
        let even = Pressing::Even(AreaLoad::kpa(1.0).unwrap());
        for held in [Held::FourSides, Held::FourClamped, Held::LeftAndRight] {
            let of = |pressing| bend(&pane(500.0, 500.0, 0.22), held, pressing).unwrap();
            check(of(whole).stress.to_mpa(), of(even).stress.to_mpa(), 1e-9);
        }
    }

    #[test]
    fn what_cannot_be_bent_is_refused_with_its_mend() {
        let even = Pressing::Even(AreaLoad::kpa(1.0).unwrap());
        let fault = |pane: Pane| bend(&pane, Held::FourSides, even).unwrap_err();
        assert_eq!(fault(pane(0.0, 500.0, 0.2)), PlateError::NoSize { what: say!(in "a size of a pane", "width") });
        assert!(matches!(fault(pane(500.0, 500.0, f64::NAN)), PlateError::Poisson { .. }));
        assert!(matches!(fault(pane(50_000.0, 500.0, 0.2)), PlateError::TooSlender { .. }));
    }

    proptest! {
        #[test]
        fn turning_a_pane_changes_nothing(width in 100.0..2000.0, height in 100.0..2000.0, edge in 10.0..90.0) {
            let patch = Pressing::Patch { force: Force::newtons(300.0).unwrap(), edge: Length::mm(edge).unwrap() };
            for held in [Held::FourSides, Held::FourClamped] {
                let of = |a, b| bend(&pane(a, b, 0.2), held, patch).unwrap().stress.to_mpa();
                let (one, other) = (of(width, height), of(height, width));
                prop_assert!((one / other - 1.0).abs() < 2e-3, "{held:?} {one} {other}");
            }
        }

        #[test]
        fn clamping_never_sinks_more(width in 100.0..2000.0, height in 100.0..2000.0) {
            let sinks = |held| {
                bend(&pane(width, height, 0.2), held, Pressing::Even(AreaLoad::kpa(1.0).unwrap())).unwrap().sinking
            };
            prop_assert!(sinks(Held::FourClamped) < sinks(Held::FourSides));
            prop_assert!(sinks(Held::FourSides) < sinks(Held::LeftAndRight));
        }
    }
}
