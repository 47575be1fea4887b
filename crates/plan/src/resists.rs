//! Every resist of the shop under the plan's blast: which is used, and why each other one is not.

use crate::finding::{Check, Finding, State};
use crate::judge::{Case, Judged, judge_at_work, located};
use crate::model::ResistOption;
use crate::refusal::Refusal;
use quantity::{Estimate, Quantity as _, Time};
use std::sync::Arc;

/// What each resist in stock would do: the one used first, then what holds, the quickest first.
///
/// # Errors
/// [`Refusal`] when a case cannot be judged at all.
pub(crate) fn options(case: &Case<'_>, chosen: &Judged) -> Result<Vec<ResistOption>, Refusal> {
    let mut ids: Vec<&str> = Vec::new();
    let mut options = Vec::new();
    for stock in &case.shop.resists {
        if ids.contains(&stock.resist.id.as_str()) {
            continue;
        }
        ids.push(&stock.resist.id);
        let mut other = case.clone();
        other.recipe.resist = stock.resist;
        let judged = judge_at_work(&other, Arc::clone(&chosen.at_work))?;
        let of_the_resist = judged.findings.iter().filter(|finding| of_resist(finding)).cloned().collect();
        options.push(ResistOption {
            resist: stock.resist,
            chosen: stock.resist.id == case.recipe.resist.id,
            state: state(&judged),
            used: judged.wear.used,
            life: life(&judged),
            extra_s: judged.total().to_seconds() - chosen.total().to_seconds(),
            findings: located(&other, &judged.at_work.blasting.rule, of_the_resist),
        });
    }
    options.sort_by(|a, b| (!a.chosen, a.state).cmp(&(!b.chosen, b.state)).then(a.extra_s.total_cmp(&b.extra_s)));
    Ok(options)
}

/// Whether a finding depends on the resist.
fn of_resist(finding: &Finding) -> bool {
    matches!(finding.check, Check::Opening { .. } | Check::Wall | Check::ResistWear | Check::RollWidth)
}

fn state(judged: &Judged) -> State {
    judged
        .findings
        .iter()
        .filter(|finding| of_resist(finding))
        .map(|finding| finding.state)
        .max()
        .unwrap_or(State::Holds)
}

/// The resist's life as blasting time over this piece: what the whole blast takes, divided by what it uses.
pub(crate) fn life(judged: &Judged) -> Estimate<Time> {
    let blast: f64 = judged.works.iter().map(|work| work.blast.to_seconds()).sum();
    let life = |used: f64| Time::clamped(blast / used.max(1e-9));
    let used = judged.wear.used;
    Estimate::new(life(used.high()), life(used.mid()), life(used.low())).unwrap_or(Estimate::exact(life(used.mid())))
}
