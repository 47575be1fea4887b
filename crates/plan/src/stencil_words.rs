//! The catalogue's sentences on resists and on what is covered.

use crate::finding::{Check, Finding, State};
use crate::model::{Plan, ResistOption};
use crate::words::{amount, check_name, time_range};
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
    match (option.chosen, option.state) {
        (true, State::Holds) => format!("used: holds, and stands {life} of this blast"),
        (true, _) => format!("used, the best there is for it: {}", against.join("; ")),
        (false, State::Stop) => format!("ruled out: {}", against.join("; ")),
        (false, State::Watch) => format!("to be watched: {}{}", against.join("; "), against_time(option.extra_s)),
        (false, State::Holds) => format!("would hold, and stands {life}{}", against_time(option.extra_s)),
    }
}

fn against_time(seconds: f64) -> String {
    match seconds / 60.0 {
        minutes if minutes.abs() < 0.5 => ", in the same time".to_owned(),
        minutes if minutes > 0.0 => format!(", {}\u{202f}min longer", significant(minutes, 2)),
        minutes => format!(", {}\u{202f}min less", significant(-minutes, 2)),
    }
}

/// A number against its limit, short enough for a list.
fn resist_reason(finding: &Finding, units: UnitSystem) -> String {
    let (value, limit) = (amount(&finding.value, units), amount(&finding.limit, units));
    match &finding.check {
        Check::Opening { layer } => {
            format!("the narrowest line of \u{201c}{layer}\u{201d} is {value}, it opens {limit}")
        }
        Check::Wall => format!("the narrowest wall is {value}, {limit} stays down"),
        Check::ResistWear => format!("wear takes {value} of what it stands"),
        _ => format!("the stencil is {value} across, its roll {limit}"),
    }
}

/// The name of a part of the blank that is covered.
#[must_use]
pub const fn cover_part(cover: &Cover) -> &'static str {
    match cover {
        Cover::Near(_) => "around the stencil",
        Cover::Far(_) => "rest of the face",
        Cover::Edges(_) => "edges",
        Cover::Back(_) => "other face",
        Cover::Foot(_) => "foot",
        Cover::Mouth(_) => "mouth",
    }
}

/// What a part of the blank is covered with. Common practice, no source.
#[must_use]
pub const fn cover_with(cover: &Cover) -> &'static str {
    match cover {
        Cover::Near(_) => "strips of the same resist, lapped under the stencil's edge: the jet hits them",
        Cover::Far(_) => "masking film or paper, taped down all around: rebound only",
        Cover::Edges(_) => "tape, folded over both faces: rebound frosts a bare edge",
        Cover::Back(_) => "masking film or paper: the piece lies on grit",
        Cover::Foot(_) => "tape: it stands on grit",
        Cover::Mouth(_) => "closed with resist or a cap, so that no grit comes inside",
    }
}

/// The cover in one sentence.
#[must_use]
pub fn masking(plan: &Plan) -> String {
    let masking = &plan.masking;
    format!(
        "{} of the carved face stays bare around the stencil; the jet reaches {} past its edge. Tape: {}",
        masking.exposed.show(plan.units),
        masking.reach.show(plan.units),
        masking.tape.show(plan.units),
    )
}

/// All resists in one short paragraph: the one used, what else would hold, what is ruled out by which checks.
#[must_use]
pub fn resists_short(plan: &Plan) -> String {
    let used = plan.resists.iter().find(|option| option.chosen);
    let mut parts: Vec<String> = used
        .map(|option| format!("{} stands {} of this blast", option.resist.name, time_range(option.life)))
        .into_iter()
        .collect();
    for (state, said) in [(State::Holds, "Would hold"), (State::Watch, "To be watched"), (State::Stop, "Ruled out")] {
        let others = plan.resists.iter().filter(|option| !option.chosen && option.state == state);
        let named: Vec<String> = others.map(short).collect();
        if !named.is_empty() {
            parts.push(format!("{said}: {}", named.join("; ")));
        }
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
        true => option.resist.name.clone(),
        false => format!("{} ({})", option.resist.name, names.join(", ")),
    }
}
