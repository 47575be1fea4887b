//! The checks of safety in words, under headings.

use crate::view::{CheckView, SafetyGroup, SafetyParts};
use language::say_count;
use plan::Plan;
use plan::safety_document::{note, worst_first};
use quantity::UnitSystem;
use safety::check::{Checked, Group, Standing, words};

/// What the Safety page shows of a plan.
pub(crate) fn safety(plan: &Plan) -> SafetyParts {
    let cautions = super::findings::cautions(plan);
    SafetyParts { cautions, ..of_checks(&plan.safety, plan.units) }
}

/// What it shows of a shop alone.
pub(crate) fn of_checks(checks: &[Checked], units: UnitSystem) -> SafetyParts {
    let group = |group: Group| {
        let own = worst_first(checks).into_iter().filter(|checked| checked.hazard.group() == group);
        SafetyGroup { title: group.name(), checks: own.map(|checked| check(checked, units)).collect() }
    };
    let groups = Group::ALL.into_iter().map(group).filter(|group| !group.checks.is_empty());
    let mut groups: Vec<SafetyGroup> = groups.collect();
    // What stops stands first on the page, whatever it is about.
    groups.sort_by_key(|group| std::cmp::Reverse(group.checks.iter().map(|check| check.standing).max()));
    SafetyParts { sentence: sentence(checks), note: note(), groups, cautions: Vec::new() }
}

fn check(checked: &Checked, units: UnitSystem) -> CheckView {
    let said = words::words(checked, units);
    CheckView {
        id: checked.hazard.id(),
        standing: checked.standing,
        title: said.title,
        why: said.why,
        source: said.source,
        mends: said.mends,
    }
}

/// How many of each, worst first.
fn sentence(checks: &[Checked]) -> String {
    let count = |standing| checks.iter().filter(|checked| checked.standing == standing).count();
    let all = [Standing::Stop, Standing::Ask, Standing::NotTold, Standing::Screened, Standing::Within];
    let counted = all.into_iter().map(|standing| (standing, count(standing))).filter(|(_, count)| *count > 0);
    let parts: Vec<String> = counted.map(|(standing, count)| of_standing(standing, count)).collect();
    format!("{}.", parts.join(", "))
}

fn of_standing(standing: Standing, n: usize) -> String {
    match standing {
        Standing::Stop => say_count!(n, "{n} stops the work", "{n} stop the work"),
        Standing::Ask => say_count!(n, "{n} asks for somebody's judgement", "{n} ask for somebody's judgement"),
        Standing::NotTold => say_count!(n, "{n} is not told", "{n} are not told"),
        Standing::Screened => say_count!(n, "{n} is screened only", "{n} are screened only"),
        Standing::Within => say_count!(n, "{n} is within its limit", "{n} are within their limits"),
    }
}
