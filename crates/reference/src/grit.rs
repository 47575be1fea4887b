//! Grit grades of bonded and blasting abrasive, ISO 8486 (the F series).

use crate::{Sourced, Unknown, lookup, source};
use quantity::{Diameter, Estimate};
use serde::Deserialize;

/// A grit grade with the median of its grain size.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grit {
    /// The grade as the standard writes it, `F120`.
    pub name: String,
    /// Which part of the standard grades it.
    pub series: GritSeries,
    /// Median grain size by mass, as a 90 % interval.
    #[serde(deserialize_with = "source::estimate")]
    pub d50: Sourced<Estimate<Diameter>>,
}

/// The part of ISO 8486 that grades a grit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GritSeries {
    /// F4 to F220, graded by sieves (ISO 8486-1).
    Macro,
    /// F230 to F2000, graded by sedimentation (ISO 8486-2).
    Micro,
}

impl Grit {
    /// The number of the grade, 120 of `F120`.
    #[must_use]
    pub fn number(&self) -> u32 {
        self.name.trim_start_matches('F').parse().unwrap_or(0)
    }
}

/// Finds `F120`, `f 120`, `#120`, `120`, `120 grit` among the grades.
pub(crate) fn find<'a>(grits: &'a [Grit], text: &str) -> Result<&'a Grit, Unknown> {
    let given = text.trim().to_owned();
    let upper = given.to_uppercase();
    let bare: String = upper.replace("GRIT", "").chars().filter(|c| !c.is_whitespace()).collect();
    if let Some(number) = bare.strip_prefix('P').and_then(digits) {
        return Err(Unknown::CoatedGrit { given, nearest: nearest(grits, number) });
    }
    let number = digits(bare.trim_start_matches('#').trim_start_matches('F'));
    match number {
        Some(number) => grits
            .iter()
            .find(|grit| grit.number() == number)
            .ok_or_else(|| Unknown::Grit { given, nearest: nearest(grits, number) }),
        None => {
            let nearest = lookup::nearest(&bare, grits.iter().map(|grit| grit.name.as_str()));
            Err(Unknown::Grit { given, nearest })
        }
    }
}

/// Digits and nothing else, as a number.
fn digits(text: &str) -> Option<u32> {
    text.bytes().all(|byte| byte.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}

/// The grade nearest by ratio, as sizes go.
fn nearest(grits: &[Grit], number: u32) -> String {
    let far = |grit: &&Grit| (f64::from(grit.number()) / f64::from(number.max(1))).ln().abs();
    let best = grits.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
    best.map(|grit| grit.name.clone()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables;
    use proptest::prelude::*;

    fn um(estimate: Estimate<Diameter>) -> [f64; 3] {
        [estimate.low().to_um(), estimate.mid().to_um(), estimate.high().to_um()]
    }

    #[test]
    fn a_grit_is_found_however_people_write_it() {
        for text in ["F120", "f 120", "#120", "120", " 120 grit", "# 120", "Grit 120"] {
            assert_eq!(tables().grit(text).unwrap().name, "F120", "{text}");
        }
    }

    #[test]
    fn an_unknown_grit_is_answered_with_the_nearest_by_size() {
        let words = |text: &str| tables().grit(text).unwrap_err().to_string();
        assert_eq!(words("#110"), "unknown grit \"#110\"; nearest known: F120");
        assert_eq!(words("3000"), "unknown grit \"3000\"; nearest known: F600");
        assert_eq!(words("0"), "unknown grit \"0\"; nearest known: F36");
        assert!(words("coarse").starts_with("unknown grit \"coarse\"; nearest known: F"));
        assert!(words("").starts_with("unknown grit"));
    }

    #[test]
    fn a_grade_of_abrasive_paper_is_refused_by_name() {
        let fault = tables().grit("P220").unwrap_err();
        assert!(matches!(&fault, Unknown::CoatedGrit { nearest, .. } if nearest == "F220"), "{fault}");
    }

    #[test]
    fn medians_are_those_of_iso_8486() {
        // FEPA 42 / ISO 8486 medians as recalled (carving-physics.md section 6, tag M); F220 is the
        // middle of the 53 to 58 that its two sources span.
        let want = [
            (36, 525.0),
            (40, 438.0),
            (46, 370.0),
            (54, 310.0),
            (60, 260.0),
            (70, 218.0),
            (80, 185.0),
            (90, 154.0),
            (100, 129.0),
            (120, 109.0),
            (150, 82.0),
            (180, 69.0),
            (220, 55.5),
            (230, 53.0),
            (240, 44.5),
            (280, 36.5),
            (320, 29.2),
            (360, 22.8),
            (400, 17.3),
            (500, 12.8),
            (600, 9.3),
        ];
        let have: Vec<_> = tables().grits.iter().map(|grit| (grit.number(), um(grit.d50.value)[1])).collect();
        assert_eq!(have.len(), want.len());
        for ((number, d50), (want_number, want_d50)) in have.into_iter().zip(want) {
            assert_eq!(number, want_number);
            assert!((d50 - want_d50).abs() < 1e-6, "F{number}: {d50} is not {want_d50}");
        }
    }

    #[test]
    fn a_higher_number_is_a_finer_grain() {
        let numbers_and_medians = tables()
            .grits
            .windows(2)
            .map(|pair| (pair[0].number() < pair[1].number(), pair[0].d50.value.mid() > pair[1].d50.value.mid()));
        assert!(numbers_and_medians.into_iter().all(|pair| pair == (true, true)));
    }

    #[test]
    fn a_median_fits_the_sieve_limits_that_were_read() {
        // Read in a secondary page: at most 3 % of F80 stays above 212 um, of F180 above 90 um, of
        // F220 above 75 um; at least 94 % of F180 stays above 53 um, of F220 above 45 um.
        for (number, above, below) in [(80, 0.0, 212.0), (180, 53.0, 90.0), (220, 45.0, 75.0)] {
            let [low, _, high] = um(tables().grit(&number.to_string()).unwrap().d50.value);
            assert!(above < low && high < below, "F{number}: {low} to {high} um");
        }
    }

    #[test]
    fn what_disagrees_is_kept() {
        let kept: Vec<_> = tables().grit("F220").unwrap().d50.disagrees.iter().map(|other| um(other.value)).collect();
        assert!(kept.iter().any(|band| (band[0] - 50.0).abs() < 1e-9 && (band[2] - 56.0).abs() < 1e-9));
        assert!(kept.iter().any(|band| (band[1] - 58.0).abs() < 1e-9));
        let f80: Vec<_> = tables().grit("F80").unwrap().d50.disagrees.iter().map(|other| um(other.value)[1]).collect();
        assert!((f80[0] - 180.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn no_text_makes_the_lookup_panic(text in "\\PC{0,16}") {
            let _ = tables().grit(&text);
        }

        #[test]
        fn any_number_is_answered(number in 0u32..100_000) {
            let known = tables().grits.iter().any(|grit| grit.number() == number);
            prop_assert_eq!(tables().grit(&format!("F{number}")).is_ok(), known);
        }
    }
}
