//! A bowl's film in gores: how many, and whether the film takes the strain of their edges.

use crate::finding::{Amount, Change, Check, Finding, State};
use crate::judge::Case;
use piece::{Blank, Body};
use quantity::Estimate;
use reference::{Limit, Resist, ResistKind, tables};
use stencil::vessel::VesselError;
use stencil::vessel::gores::{Bowl, GoreCheck, Gores};

/// Gores of a film that takes no strain at all, when the piece names no number.
const MANY: usize = 36;

/// What a resist takes without folds.
fn limit(resist: &Resist) -> &'static Limit<quantity::Fraction> {
    let limits = &tables().limits;
    match resist.kind {
        ResistKind::CutVinyl | ResistKind::PhotoFilm => &limits.gore_strain,
        ResistKind::CutRubber => &limits.gore_strain_stiff,
    }
}

/// The bowl, its film in as many gores as the piece says or else the fewest that hold, and the check of their strain;
/// `None` for what is no bowl.
///
/// # Errors
/// [`VesselError`] for a bowl without depth, or fewer than three gores.
pub(crate) fn gores(blank: &Blank, resist: &Resist) -> Result<Option<(Bowl, Gores, GoreCheck)>, VesselError> {
    let Body::Bowl { diameter, foot, height } = blank.body else { return Ok(None) };
    let bowl = Bowl::new(diameter, foot, height)?;
    let allowed = limit(resist).value;
    // Any number of gores tells the fewest that hold.
    let fewest = Gores::new(bowl, MANY)?.check(allowed).least_count;
    let gores = Gores::new(bowl, blank.gores.or(fewest).unwrap_or(MANY))?;
    Ok(Some((bowl, gores, gores.check(allowed))))
}

/// The strain at the gores' edges against what the film takes; `None` for what is no bowl.
pub(crate) fn finding(case: &Case<'_>) -> Option<Finding> {
    let (_, _, check) = gores(&case.piece.blank, case.recipe.resist).ok()??;
    let state = if check.holds { State::Holds } else { State::Stop };
    let share = |value| Amount::Share(Estimate::exact(value));
    let source = limit(case.recipe.resist).source.clone();
    Some(crate::judge::finding(Check::Gores, state, share(check.strain), share(check.limit), source))
}

/// The fewest gores that hold, where the piece asks for fewer.
pub(crate) fn more(case: &Case<'_>) -> Option<Change> {
    let (_, gores, check) = gores(&case.piece.blank, case.recipe.resist).ok()??;
    check.least_count.filter(|least| *least > gores.count()).map(Change::Gores)
}
