//! Blanks and abrasives that are not accepted at all, with what to do instead.

use language::{say, told};
use quantity::{Fraction, Length, Quantity};
use reference::{Abrasive, tables};

/// How a blank was treated before it came to the shop.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Treatment {
    /// Slowly cooled glass, or stone: nothing was done that carving undoes.
    Plain,
    /// Tempered (toughened) glass.
    Tempered,
    /// Heat-strengthened glass.
    HeatStrengthened,
    /// Plies glued together.
    Laminated {
        /// Thickness of the ply that is carved.
        outer_ply: Length,
    },
    /// Nobody knows.
    Unknown,
}

/// Why something is not accepted, and what to do instead.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// Tempered glass bursts when its skin is cut through.
    #[error(
        "{}",
        say!(
            "tempered glass is not carved: it holds itself in tension from {core} below each face, and bursts when \
             carving reaches that, perhaps hours later; even light frosting leaves it {frosted} of its strength by a \
             maker's guideline; carve plain glass first, then ask the temperer"
        )
    )]
    Tempered {
        /// Depth where compression turns into tension, for a parabolic stress.
        core: Length,
        /// Strength left by light frosting.
        frosted: Fraction,
    },
    /// Heat-strengthened glass is tempered glass of less stress.
    #[error(
        "{}",
        say!(
            "heat-strengthened glass is not carved: it holds itself in tension from {core} below each face, and \
             cracks when carving reaches that; carve plain glass first, then ask the temperer"
        )
    )]
    HeatStrengthened {
        /// Depth where compression turns into tension, for a parabolic stress.
        core: Length,
    },
    /// A pane of unknown treatment may be tempered.
    #[error(
        "{}",
        say!(
            "it is not known whether the glass is tempered: look for an etched mark in a corner, ask who sold it; \
             unmarked car windows, shower doors, table tops and cookware count as tempered"
        )
    )]
    TreatmentUnknown,
    /// A ply cannot be thicker than the whole.
    #[error("{}", say!("the outer ply is {ply} and the whole blank {thickness}: measure the ply at an edge"))]
    PlyTooThick {
        /// The ply as given.
        ply: Length,
        /// The blank as given.
        thickness: Length,
    },
    /// An abrasive that the tables refuse.
    #[error("{}", say!("{name} is not accepted: {reason}", name = told(name), reason = told(reason)))]
    Abrasive {
        /// The abrasive's name.
        name: String,
        /// Why, and what to use instead.
        reason: String,
    },
    /// Free silica at or above the limit.
    #[error(
        "{}",
        say!(
            "{name} holds {share} free silica; from {limit} on an abrasive is not accepted: its dust scars lungs; use \
             one whose sheet gives less",
            name = told(name)
        )
    )]
    FreeSilica {
        /// The abrasive's name.
        name: String,
        /// Its share of free silica.
        share: Fraction,
        /// The limit.
        limit: Fraction,
    },
    /// An abrasive whose content nobody knows.
    #[error(
        "{}",
        say!(
            "{name} has no figure for free silica: read it on the safety data sheet; without one it is not accepted",
            name = told(name)
        )
    )]
    SilicaUnknown {
        /// The abrasive's name.
        name: String,
    },
}

/// The thickness that counts when this blank is carved: the outer ply's of a laminate, else all.
///
/// Sources: EN 1863-1 and EN 13024-1 leave glass blasted after toughening out of their scope (scope
/// read); GOST R 54162-2010 forbids tempering blasted glass (second-hand), a float maker's bulletin
/// allows shallow frosting: they differ, so it is refused. Outer ply: common practice, no source.
///
/// # Errors
/// [`Refusal`] for tempered and heat-strengthened glass, for unknown treatment, and for a ply that
/// is thicker than the blank.
pub fn carvable_thickness(treatment: Treatment, thickness: Length) -> Result<Length, Refusal> {
    match treatment {
        Treatment::Plain => Ok(thickness),
        Treatment::Tempered => {
            let frosted = tables().limits.tempered_then_frosted.value;
            Err(Refusal::Tempered { core: tension_depth(thickness), frosted })
        }
        Treatment::HeatStrengthened => Err(Refusal::HeatStrengthened { core: tension_depth(thickness) }),
        Treatment::Laminated { outer_ply } if outer_ply <= thickness => Ok(outer_ply),
        Treatment::Laminated { outer_ply } => Err(Refusal::PlyTooThick { ply: outer_ply, thickness }),
        Treatment::Unknown => Err(Refusal::TreatmentUnknown),
    }
}

/// Depth below a face of tempered glass where compression turns into tension.
///
/// `d = t (1 - 1/√3) / 2 = 0.2113 t`: a parabola whose mean is zero.
///
/// Accuracy: a float maker's bulletin says about 20 % (read). Source: derived.
/// Checked: 6 mm turns at 1.268 mm. It explains a refusal; it is no depth to carve to.
#[must_use]
pub fn tension_depth(thickness: Length) -> Length {
    Length::clamped(thickness.to_metres() * (1.0 - 1.0 / 3f64.sqrt()) / 2.0)
}

/// Stress at a depth of tempered glass over the stress of its faces, 1 at a face: `(6 s² - 6 s + 1)`, s the depth
/// over the thickness. Half of it, and of the other sign, in the middle.
///
/// Source: a parabola of zero mean. Explanation only.
#[must_use]
pub fn tempered_stress(share: f64) -> f64 {
    6.0 * share * share - 6.0 * share + 1.0
}

/// Whether an abrasive is accepted.
///
/// * `on_sheet`: share of free crystalline silica on the sheet of the bag in use, which goes before
///   the table's.
///
/// Source: NIOSH since 1974, more than 1 % (NIOSHTIC 20043741, read); Great Britain, law for
/// blasting articles (HSE OC 273/18, read). Refused at 1 % exactly too.
///
/// # Errors
/// [`Refusal::Abrasive`] when the table refuses the kind, [`Refusal::FreeSilica`] at the limit or above.
pub fn accept_abrasive(abrasive: &Abrasive, on_sheet: Option<Fraction>) -> Result<(), Refusal> {
    if let Some(reason) = &abrasive.refused {
        return Err(Refusal::Abrasive { name: abrasive.name.english().to_owned(), reason: reason.value.clone() });
    }
    accept_free_silica(abrasive.name.english(), Some(on_sheet.unwrap_or(abrasive.free_silica_max.value)))
}

/// Whether an abrasive of one's own, which no table knows, is accepted.
///
/// Source: as [`accept_abrasive`].
///
/// # Errors
/// [`Refusal::SilicaUnknown`] without a figure, [`Refusal::FreeSilica`] at the limit or above.
pub fn accept_free_silica(name: &str, share: Option<Fraction>) -> Result<(), Refusal> {
    let limit = tables().limits.free_silica_abrasive.value;
    let name = name.to_owned();
    match share {
        None => Err(Refusal::SilicaUnknown { name }),
        Some(share) if share >= limit => Err(Refusal::FreeSilica { name, share, limit }),
        Some(_) => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use language::Language;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn percent(value: f64) -> Fraction {
        Fraction::percent(value).unwrap()
    }

    #[test]
    fn tempered_and_heat_strengthened_glass_are_refused_at_any_thickness() {
        for thickness in [3.0, 6.0, 19.0] {
            let fault = |treatment| carvable_thickness(treatment, mm(thickness)).unwrap_err();
            assert!(matches!(fault(Treatment::Tempered), Refusal::Tempered { .. }));
            assert!(matches!(fault(Treatment::HeatStrengthened), Refusal::HeatStrengthened { .. }));
            assert_eq!(fault(Treatment::Unknown), Refusal::TreatmentUnknown);
        }
    }

    #[test]
    fn a_refusal_says_why_and_what_to_do() {
        let words = carvable_thickness(Treatment::Tempered, mm(6.0)).unwrap_err().to_string().replace('\u{202f}', " ");
        assert!(words.contains("1.27 mm below each face"), "{words}");
        assert!(words.ends_with("carve plain glass first, then ask the temperer"), "{words}");
    }

    #[test]
    fn what_the_table_refuses_is_refused_in_german() {
        for abrasive in &tables().abrasives {
            let Err(refusal) = accept_abrasive(abrasive, None) else { continue };
            let Refusal::Abrasive { name, reason } = &refusal else { panic!("{refusal}") };
            let german = Language::German.scope(|| refusal.to_string());
            assert!(!german.contains(name) && !german.contains(reason), "{german}");
        }
    }

    #[test]
    fn no_refusal_promises_what_cannot_be_promised() {
        let treatments = [
            Treatment::Tempered,
            Treatment::HeatStrengthened,
            Treatment::Unknown,
            Treatment::Laminated { outer_ply: mm(9.0) },
        ];
        let of_blanks = treatments.map(|treatment| carvable_thickness(treatment, mm(6.0)).unwrap_err());
        let of_grit = [None, Some(percent(90.0))].map(|share| accept_free_silica("pit sand", share).unwrap_err());
        let sand = accept_abrasive(tables().abrasive("silica_sand").unwrap(), None).unwrap_err();
        for refusal in of_blanks.into_iter().chain(of_grit).chain([sand]) {
            assert_eq!(crate::words::promise_in(&refusal.to_string()), None, "{refusal}");
        }
    }

    #[test]
    fn tension_begins_where_a_parabola_of_zero_mean_changes_sign() {
        // process-checks.csv TMP-4 to TMP-12.
        for (thickness, want) in [(4.0, 0.845_299), (6.0, 1.267_95), (8.0, 1.6906), (10.0, 2.113_25), (12.0, 2.5359)] {
            assert!((tension_depth(mm(thickness)).to_mm() / want - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn of_a_laminate_only_the_outer_ply_counts() {
        let laminate = |ply| carvable_thickness(Treatment::Laminated { outer_ply: mm(ply) }, mm(10.0));
        assert_eq!(laminate(5.0), Ok(mm(5.0)));
        assert!(matches!(laminate(12.0), Err(Refusal::PlyTooThick { .. })));
        assert_eq!(carvable_thickness(Treatment::Plain, mm(10.0)), Ok(mm(10.0)));
    }

    #[test]
    fn an_abrasive_of_one_percent_free_silica_is_refused_and_of_less_is_not() {
        let t = tables();
        let garnet = t.abrasive("garnet").unwrap();
        assert_eq!(accept_abrasive(garnet, None), Ok(()));
        assert_eq!(accept_abrasive(garnet, Some(percent(0.99))), Ok(()));
        assert!(matches!(accept_abrasive(garnet, Some(percent(1.0))), Err(Refusal::FreeSilica { .. })));
        let sand = accept_abrasive(t.abrasive("silica_sand").unwrap(), Some(percent(0.0)));
        assert!(matches!(sand, Err(Refusal::Abrasive { .. })), "no sheet makes sand acceptable");
    }

    #[test]
    fn an_abrasive_of_unknown_content_is_refused() {
        assert!(matches!(accept_free_silica("river grit", None), Err(Refusal::SilicaUnknown { .. })));
        assert_eq!(accept_free_silica("crushed nut shell", Some(percent(0.0))), Ok(()));
    }
}
