//! What is covered around the stencil, and why this resist.

use super::findings::Said;
use super::scale::Scale;
use super::used::pairs;
use crate::frame::{Frame, Role};
use crate::stack::{Align, stack, text};
use crate::words::Words;
use language::say;
use plan::{Plan, words};
use quantity::show::Show as _;

/// Parts of the blank with their sizes, then the tape.
pub(super) fn list(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let masking = &plan.masking;
    let covers = masking.covers.iter().filter(|cover| cover.area().to_square_mm() > 0.0);
    let mut rows: Vec<(String, String)> =
        covers.map(|cover| (cover_name(cover), cover.area().show(plan.units).to_string())).collect();
    rows.push((say!("Direct hits reach past the stencil").to_owned(), masking.reach.show(plan.units).to_string()));
    rows.push((say!("Tape, laps included").to_owned(), masking.tape.show(plan.units).to_string()));
    let rows: Vec<(&str, String)> = rows.iter().map(|(what, much)| (what.as_str(), much.clone())).collect();
    pairs(say!("What to cover around the stencil."), &rows, width, scale)
}

fn cover_name(cover: &stencil::masking::Cover) -> String {
    use stencil::masking::Cover;
    let with = match cover {
        Cover::Near(_) => say!(in "a cover", "resist"),
        Cover::Far(_) | Cover::Back(_) => say!("film or paper"),
        Cover::Edges(_) | Cover::Foot(_) => say!(in "a cover", "tape"),
        Cover::Mouth(_) => say!("a cap"),
    };
    let part = words::cover_part(cover);
    let mut letters = part.chars();
    let first = letters.next().map(|letter| letter.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}: {with}", letters.as_str())
}

/// A line for each resist of the shop; briefly, one paragraph for all.
pub(super) fn resists(plan: &Plan, width: f64, scale: Scale, said: Said) -> Frame {
    if said == Said::Briefly {
        let words = words::resists_short(plan);
        return text(&Words::new(&words, scale.body()), width, Align::Left).role(Role::Paragraph);
    }
    let line = |option: &plan::ResistOption| {
        let name = Words::plainly(option.resist.name.shown(), scale.body().semi_bold());
        let why = format!(": {}", words::resist_option(option, plan.units));
        text(&name.and(&why, scale.body()), width, Align::Left).role(Role::Paragraph)
    };
    stack(plan.resists.iter().map(line), 0.3)
}
