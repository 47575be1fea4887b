//! Carved depth against the blank's thickness: a screening, never a design.
//!
//! ASTM E1300 leaves etched, blasted and grooved glass out, EN 1863-1 and EN 13024-1 leave out glass
//! blasted after toughening, and no source for the strength of a deep-carved pane was found. So
//! nothing here says that a pane holds.

use language::say;
use quantity::{Fraction, Length, Quantity};
use reference::{Family, tables};

/// How deep a carving goes into a blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thinning {
    /// Carved depth.
    pub depth: Length,
    /// Thickness that counts: the outer ply's of a laminate.
    pub thickness: Length,
    /// Depth over thickness; 1 when carved through.
    pub share: Fraction,
    /// What is left under the deepest point.
    pub left: Length,
    /// How many times greater bending stress becomes: [`stress_multiplier`]. Absent when carved through.
    pub stress_multiplier: Option<f64>,
    /// What the screening says.
    pub screening: Screening,
}

/// What a screening of thickness can say. It has no word for 'holds': show [`Screening::NotChecked`]
/// in grey, never in the colour of a passed check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Screening {
    /// A third or less: the rule of the trade does not object, and nothing was checked.
    NotChecked,
    /// More than a third: ask somebody who may judge it.
    Ask,
    /// More than half, or carved through: stop.
    Stop,
}

impl Screening {
    /// The word to show.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::NotChecked => say!(in "the standing of a check", "not checked"),
            Self::Ask => say!(in "the standing of a check", "ask"),
            Self::Stop => say!(in "the standing of a check", "stop"),
        }
    }
}

/// The blank has no thickness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{}", say!("the blank has no thickness: measure it and give it, such as 10mm"))]
pub struct NoThickness;

/// Compares a carved depth with the thickness that counts.
///
/// Give the deep end of an estimated depth. The shares (a third, half) are those of the limits'
/// table: common practice, no source.
///
/// # Errors
/// [`NoThickness`] when the thickness is zero.
pub fn screen(depth: Length, thickness: Length) -> Result<Thinning, NoThickness> {
    if thickness.to_metres() == 0.0 {
        return Err(NoThickness);
    }
    let share = Fraction::clamped(depth.to_metres() / thickness.to_metres());
    Ok(Thinning {
        depth,
        thickness,
        share,
        left: Length::clamped(thickness.to_metres() - depth.to_metres()),
        stress_multiplier: stress_multiplier(depth, thickness),
        screening: of_share(share),
    })
}

fn of_share(share: Fraction) -> Screening {
    let limits = &tables().limits;
    if share > limits.carve_depth_stop.value {
        return Screening::Stop;
    }
    if share > limits.carve_depth_watch.value { Screening::Ask } else { Screening::NotChecked }
}

/// How many times greater the bending stress of a plate is where all of it is carved to one depth.
///
/// `m = (t / (t - d))²`.
///
/// * t: thickness. * d: depth, less than t.
///
/// Range: even thinning under the same load. Corners and V bottoms multiply stress several times
/// more, and the root radius of a blasted groove is not known.
/// Source: plate bending, σ ∝ 1/t². Checked: 4 mm of 10 mm is 2.78.
/// `None` when nothing is left.
#[must_use]
pub fn stress_multiplier(depth: Length, thickness: Length) -> Option<f64> {
    let (depth, thickness) = (depth.to_metres(), thickness.to_metres());
    (depth < thickness).then(|| (thickness / (thickness - depth)).powi(2))
}

impl Thinning {
    /// The screening in the words that it may use: what it is, what was worked out, what it is not.
    #[must_use]
    pub fn words(&self, family: Family) -> String {
        let (depth, thickness, estimate) = (self.depth, self.thickness, self.estimate());
        match family {
            Family::Glass => say!(
                "Screening only. Blasting roughens and thins the glass; published strength tables leave blasted glass \
                 out. Carved {depth} of {thickness}: {estimate}. Not a design. Where it bears load or can fall on \
                 people it needs a licensed engineer, safety glazing or a test panel."
            ),
            Family::Stone => say!(
                "Screening only. Stone varies from block to block; no design number for it is known here. Carved \
                 {depth} of {thickness}: {estimate}. Not a design. Where it bears load or can fall on people it needs \
                 a licensed engineer or a test panel."
            ),
        }
    }

    fn estimate(&self) -> String {
        match self.stress_multiplier {
            Some(times) => say!(
                "the same load bends it with {times:.1} times the stress if all of it is thinned, more at sharp \
                 corners and V bottoms"
            ),
            None => say!("nothing is left").to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn screened(depth: f64, thickness: f64) -> Thinning {
        screen(mm(depth), mm(thickness)).unwrap()
    }

    #[test]
    fn stress_grows_with_the_square_of_the_thinning() {
        let times = |depth| screened(depth, 10.0).stress_multiplier.unwrap();
        assert!((times(4.0) / 2.777_78 - 1.0).abs() < 1e-3); // process-checks.csv PL4-4
        assert!((times(2.5) / 1.777_78 - 1.0).abs() < 1e-3); // PL4-5
        // PL4-1 and PL4-3: 1.70465 MPa in the uncarved panel, 4.73513 MPa carved 4 mm all over.
        assert!((1.704_65 * times(4.0) / 4.735_13 - 1.0).abs() < 2e-3);
        assert_eq!(times(0.0), 1.0);
    }

    #[test]
    fn a_third_asks_and_half_stops() {
        let word = |depth| screened(depth, 12.0).screening.word();
        assert_eq!(
            [word(0.0), word(3.9), word(4.1), word(6.0), word(6.1), word(20.0)],
            ["not checked", "not checked", "ask", "ask", "stop", "stop"]
        );
    }

    #[test]
    fn carving_through_leaves_nothing_and_stops() {
        let through = screened(12.0, 10.0);
        assert_eq!((through.left, through.stress_multiplier, through.screening), (mm(0.0), None, Screening::Stop));
        assert_eq!(through.share.to_ratio(), 1.0);
        assert!(through.words(Family::Glass).contains("nothing is left"));
    }

    #[test]
    fn a_blank_without_thickness_is_refused() {
        assert_eq!(screen(mm(1.0), mm(0.0)), Err(NoThickness));
    }

    #[test]
    fn the_words_are_those_of_a_screening() {
        for family in [Family::Glass, Family::Stone] {
            let words = screened(4.0, 10.0).words(family).replace('\u{202f}', " ");
            assert!(words.starts_with("Screening only.") && words.contains("Not a design."), "{words}");
            assert!(words.contains("4.00 mm of 10.0 mm") && words.contains("2.8 times"), "{words}");
            assert_eq!(words.contains("glass"), family == Family::Glass, "{words}");
            assert_eq!(crate::words::promise_in(&words), None);
        }
    }

    proptest! {
        #[test]
        fn deeper_is_never_judged_milder(a in 0.0..25.0, b in 0.0..25.0, thickness in 0.1..25.0) {
            let (shallow, deep) = (f64::min(a, b), f64::max(a, b));
            prop_assert!(screened(shallow, thickness).screening <= screened(deep, thickness).screening);
        }
    }
}
