//! The catalogue's sentences on resists and on what is covered.

use crate::finding::{Check, Finding, State};
use crate::model::{Plan, ResistOption};
use crate::words::{amount, check_name, time_range};
use language::say;
use quantity::UnitSystem;
use quantity::show::{Show as _, significant};
use stencil::masking::Cover;

/// Why a resist of the shop is used, or why not: numbers against limits.
#[must_use]
pub fn resist_option(option: &ResistOption, units: UnitSystem) -> String {
    let life = time_range(option.life);
    let against: Vec<String> = option
        .findings
        .iter()
        .filter(|finding| finding.state == option.state && finding.state != State::Holds)
        .map(|finding| resist_reason(finding, units))
        .collect();
    let against = against.join("; ");
    let time = || against_time(option.extra_s);
    match (option.chosen, option.state) {
        (true, State::Holds) => say!("used: holds, and stands {life} of this blast"),
        (true, _) => say!("used, the best there is for it: {against}"),
        (false, State::Stop) => say!("ruled out: {against}"),
        (false, State::Watch) => say!("to be watched: {against}, {time}", time = time()),
        (false, State::Holds) => say!("would hold, and stands {life}, {time}", time = time()),
    }
}

fn against_time(seconds: f64) -> String {
    match seconds / 60.0 {
        minutes if minutes.abs() < 0.5 => say!("in the same time").to_owned(),
        minutes if minutes > 0.0 => say!("{minutes}\u{202f}min longer", minutes = significant(minutes, 2)),
        minutes => say!("{minutes}\u{202f}min less", minutes = significant(-minutes, 2)),
    }
}

/// A number against its limit, short enough for a list.
fn resist_reason(finding: &Finding, units: UnitSystem) -> String {
    let (value, limit) = (amount(&finding.value, units), amount(&finding.limit, units));
    match &finding.check {
        Check::Opening { layer } => {
            say!("the narrowest line of \u{201c}{layer}\u{201d} is {value}, it opens {limit}")
        }
        Check::Wall => say!("the narrowest wall is {value}, {limit} stays down"),
        Check::ResistWear => say!("wear takes {value} of what it stands"),
        _ => say!("the stencil is {value} across, its roll {limit}"),
    }
}

/// The name of a part of the blank that is covered.
#[must_use]
pub fn cover_part(cover: &Cover) -> &'static str {
    match cover {
        Cover::Near(_) => say!(in "a part of the blank", "around the stencil"),
        Cover::Far(_) => say!(in "a part of the blank", "rest of the face"),
        Cover::Edges(_) => say!(in "a part of the blank", "edges"),
        Cover::Back(_) => say!(in "a part of the blank", "other face"),
        Cover::Foot(_) => say!(in "a part of the blank", "foot"),
        Cover::Mouth(_) => say!(in "a part of the blank", "mouth"),
    }
}

/// What a part of the blank is covered with. Common practice, no source.
#[must_use]
pub fn cover_with(cover: &Cover) -> &'static str {
    match cover {
        Cover::Near(_) => say!("strips of the same resist, lapped under the stencil's edge: the jet hits them"),
        Cover::Far(_) => say!("masking film or paper, taped down all around: rebound only"),
        Cover::Edges(_) => say!("tape, folded over both faces: rebound frosts a bare edge"),
        Cover::Back(_) => say!("masking film or paper: the piece lies on grit"),
        Cover::Foot(_) => say!("tape: it stands on grit"),
        Cover::Mouth(_) => say!("closed with resist or a cap, so that no grit comes inside"),
    }
}

/// The cover in one sentence.
#[must_use]
pub fn masking(plan: &Plan) -> String {
    let masking = &plan.masking;
    say!(
        "{bare} of the carved face stays bare around the stencil; the jet reaches {reach} past its edge. Tape: {tape}",
        bare = masking.exposed.show(plan.units),
        reach = masking.reach.show(plan.units),
        tape = masking.tape.show(plan.units),
    )
}

/// All resists in one short paragraph: the one used, what else would hold, what is ruled out by which checks.
#[must_use]
pub fn resists_short(plan: &Plan) -> String {
    let used = plan.resists.iter().find(|option| option.chosen);
    let stands = |option: &ResistOption| {
        say!("{resist} stands {life} of this blast", resist = option.resist.name, life = time_range(option.life))
    };
    let mut parts: Vec<String> = used.map(stands).into_iter().collect();
    for state in [State::Holds, State::Watch, State::Stop] {
        let others = plan.resists.iter().filter(|option| !option.chosen && option.state == state);
        let names = others.map(short).collect::<Vec<_>>().join("; ");
        if names.is_empty() {
            continue;
        }
        parts.push(match state {
            State::Holds => say!("Would hold: {names}"),
            State::Watch => say!("To be watched: {names}"),
            State::Stop => say!("Ruled out: {names}"),
        });
    }
    parts.join(". ") + "."
}

/// A resist's name and the checks that speak against it.
fn short(option: &ResistOption) -> String {
    let mut names: Vec<&str> = Vec::new();
    for finding in option.findings.iter().filter(|finding| finding.state != State::Holds) {
        let name = check_name(&finding.check);
        if finding.state == option.state && !names.contains(&name) {
            names.push(name);
        }
    }
    match names.is_empty() {
        true => option.resist.name.to_string(),
        false => format!("{} ({})", option.resist.name, names.join(", ")),
    }
}
