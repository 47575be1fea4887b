//! Which resist: what a piece and its blast ask, held against what each resist in stock can do.
//!
//! Four questions rule a resist out: is its finest opening fine enough ([`opening`]), does its narrowest wall stay
//! down ([`wall`]), does it outlast the blast ([`wear`]), is the roll wide enough ([`roll`]). Each answer is a number
//! against a limit with its source. Which of those that remain is taken is a matter of time and cost, and not decided
//! here.

use language::say;
use quantity::{Diameter, Estimate, Length};
use reference::{Resist, ResistKind, Source, tables};

/// How a resist meets a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// Over its whole range.
    Holds,
    /// Nearly, or not at one end of its range.
    Tight,
    /// It is ruled out.
    Fails,
}

/// What is asked of a resist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// Whether the narrowest opening of a layer can be made in it and lets the grit in.
    Opening {
        /// The layer.
        layer: String,
    },
    /// Whether the narrowest wall stays down.
    Wall,
    /// Whether it outlasts the blast.
    Wear,
    /// Whether the stencil fits its roll or sheet; a wider one is lapped, so this never rules out.
    Width,
}

/// What was found and what it was held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// Widths: openings and walls are to be no less, a stencil no more than the limit.
    Width {
        /// In the piece.
        found: Length,
        /// Of the resist.
        limit: Length,
    },
    /// The share of its permitted wear, to be no more than 1.
    Wear(Estimate<f64>),
}

/// A question answered.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What was asked.
    pub question: Question,
    /// How the resist meets it.
    pub fit: Fit,
    /// The numbers.
    pub held: Held,
    /// Where the limit comes from.
    pub source: Source,
}

/// Narrow places of openings or of walls.
#[derive(Clone, Copy)]
pub struct Narrowest<'a> {
    /// The narrowest.
    pub width: Length,
    /// Share of all that lies in places narrower than a width.
    pub share_below: &'a (dyn Fn(Length) -> f64 + Sync),
}

/// The finest opening of a resist, and who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Finest {
    /// The narrowest opening that can be made in it.
    pub opening: Length,
    /// Where that comes from.
    pub source: Source,
}

/// What is known of a resist's finest opening: for a film what the shop's own calibration sheet says, where it was
/// read; else the table's.
#[must_use]
pub fn finest(resist: &Resist, measured: Option<Length>) -> Finest {
    let table = &resist.finest_opening;
    match measured.filter(|_| resist.kind == ResistKind::PhotoFilm) {
        Some(opening) => {
            Finest { opening, source: Source::seen(say!("the shop's calibration sheet"), say!("the shop file")) }
        }
        None => Finest { opening: table.value, source: table.source.clone() },
    }
}

/// A line under this share of its limit does not come out at all; between the two it comes out ragged.
/// Judgement.
pub const LOST_BELOW: f64 = 0.75;
/// Share of a layer in lost lines, or of the outlines along lifted walls, above which the piece is not
/// what was drawn. One hair in a large drawing is to be watched, not to stop it. Judgement.
pub const LOST_STOP: f64 = 0.01;

fn narrow(narrowest: &Narrowest<'_>, limit: Length) -> Fit {
    let lost = Length::metres(LOST_BELOW * limit.to_metres()).unwrap_or(limit);
    match () {
        () if narrowest.width >= limit => Fit::Holds,
        () if (narrowest.share_below)(lost) > LOST_STOP => Fit::Fails,
        () => Fit::Tight,
    }
}

/// The narrowest opening against what the resist yields and three median grains.
#[must_use]
pub fn opening(layer: &str, narrowest: &Narrowest<'_>, finest: &Finest, grain: Diameter) -> Answer {
    let grains = &tables().limits.opening_grains;
    let (limit, source) = match Length::metres(grain.to_metres() * grains.value) {
        Ok(by_grain) if by_grain > finest.opening => (by_grain, grains.source.clone()),
        _ => (finest.opening, finest.source.clone()),
    };
    let held = Held::Width { found: narrowest.width, limit };
    Answer { question: Question::Opening { layer: layer.to_owned() }, fit: narrow(narrowest, limit), held, source }
}

/// The narrowest wall against what stays down.
#[must_use]
pub fn wall(narrowest: &Narrowest<'_>, resist: &Resist) -> Answer {
    let limit = resist.finest_wall.value;
    let held = Held::Width { found: narrowest.width, limit };
    Answer { question: Question::Wall, fit: narrow(narrowest, limit), held, source: resist.finest_wall.source.clone() }
}

/// The share of its permitted wear: over 1 at the middle fails, over 1 at the high end is tight.
#[must_use]
pub fn wear(used: Estimate<f64>) -> Answer {
    let fit = wear_fit(used);
    let source = tables().limits.resist_use_share.source.clone();
    Answer { question: Question::Wear, fit, held: Held::Wear(used), source }
}

/// How that fits, without its source.
#[must_use]
pub fn wear_fit(used: Estimate<f64>) -> Fit {
    match () {
        () if used.mid() > 1.0 => Fit::Fails,
        () if used.high() > 1.0 => Fit::Tight,
        () => Fit::Holds,
    }
}

/// The stencil's lesser side against the roll: it is turned when that helps, and lapped when nothing does.
#[must_use]
pub fn roll(across: Length, width: Length) -> Answer {
    let fit = if across <= width { Fit::Holds } else { Fit::Tight };
    let source = Source::seen(say!("the resist's width"), say!("the shop file"));
    Answer { question: Question::Width, fit, held: Held::Width { found: across, limit: width }, source }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: f64) -> Length {
        Length::mm(mm).unwrap()
    }

    fn opened(resist: &str, narrowest_mm: f64, share: f64) -> Answer {
        let share_below = move |width: Length| if width > mm(narrowest_mm) { share } else { 0.0 };
        let narrowest = Narrowest { width: mm(narrowest_mm), share_below: &share_below };
        opening("leaf", &narrowest, &finest(tables().resist(resist).unwrap(), None), Diameter::mm(0.1).unwrap())
    }

    #[test]
    fn fine_lines_rule_thick_resist_out_but_one_hair_does_not() {
        assert_eq!(opened("rubber_thick", 0.4, 0.5).fit, Fit::Fails);
        assert_eq!(opened("photo_4mil", 0.4, 0.5).fit, Fit::Holds);
        // One hair that is lost in much else is to be watched.
        assert_eq!(opened("rubber_thick", 0.4, 0.005).fit, Fit::Tight);
    }

    #[test]
    fn a_deep_blast_rules_a_thin_film_out_and_a_wide_stencil_is_only_lapped() {
        let used = |low, mid, high| wear(Estimate::new(low, mid, high).unwrap()).fit;
        assert_eq!(
            [used(0.1, 0.2, 0.4), used(0.4, 0.8, 1.2), used(0.9, 1.3, 2.0)],
            [Fit::Holds, Fit::Tight, Fit::Fails]
        );
        assert_eq!([roll(mm(300.0), mm(305.0)).fit, roll(mm(400.0), mm(305.0)).fit], [Fit::Holds, Fit::Tight]);
    }

    #[test]
    fn a_sheet_that_was_read_replaces_the_tables_figure_for_film_and_for_nothing_else() {
        let measured = |id: &str| finest(tables().resist(id).unwrap(), Some(mm(0.2))).opening.to_mm();
        assert!((measured("photo_4mil") - 0.2).abs() < 1e-12 && measured("rubber_thin") > 0.9);
    }

    #[test]
    fn coarse_grit_is_what_a_fine_film_is_held_to() {
        let Held::Width { limit, .. } = opened("photo_4mil", 0.4, 0.5).held else { panic!("a width") };
        // Three grains of 0.1 mm against 0.13 mm of film.
        assert!((limit.to_mm() - 0.3).abs() < 1e-9, "{limit}");
    }
}
