//! Changes that turn a finding: each is tried on the whole case and judged again, none is canned.
//!
//! What bears on a check comes from [`levers`]. A change alone comes first; where none turns the finding, or the one
//! that would stops something else, two are tried together and then three: each further one is solved for what still
//! stands in the way. What is offered turns its finding and stops nothing that was not stopped before.

use crate::blast::Spreading;
use crate::change::{changed, keeps_blast, set_the_same};
use crate::finding::{Change, Check, Finding, Mark, NoRemedy, Outlay, Remedy, State, Turned};
use crate::judge::{Case, Judged, judge, judge_at_work};
use crate::levers::{self, is_of_widths, state_of};
use crate::tally;
use piece::Money;
use quantity::{GaugePressure, Length, Quantity as _};
use rayon::prelude::*;
use std::collections::HashSet;
use std::sync::Arc;

#[cfg(test)]
mod tests;

/// Remedies shown for a finding.
const MOST: usize = 3;

/// Cases kept from one round to the next. Fewer miss pairs of changes that only help together.
const BEAM: usize = 6;

/// Changes tried for a goal of three together at most; for two half of that, for one a third. The rounds end there.
const TRIES: usize = 180;

/// Fills in the remedies of every finding that does not hold, or why there is none.
pub(crate) fn fill(case: &Case<'_>, judged: &mut Judged, spreading: Spreading) {
    let start = Node { changes: Vec::new(), case: case.clone(), judged: judged.clone(), spreading };
    let fill = |finding: &mut Finding| (finding.remedies, finding.no_remedy) = remedies(&start, finding);
    judged.findings.par_iter_mut().filter(|finding| finding.state != State::Holds).for_each(fill);
}

/// A case after some changes, judged.
#[derive(Debug, Clone)]
pub(crate) struct Node<'a> {
    pub changes: Vec<Change>,
    pub case: Case<'a>,
    pub judged: Judged,
    /// How much of the model's spread a verdict rests on.
    pub spreading: Spreading,
}

impl<'a> Node<'a> {
    /// The case with one more change; `None` when it cannot be made or computed.
    fn with(&self, change: &Change) -> Option<Self> {
        if self.changes.iter().any(|made| set_the_same(made, change)) {
            return None;
        }
        let case = changed(&self.case, change)?;
        let judged = judged_anew(self, &case, change, self.spreading)?;
        let changes = self.changes.iter().chain([change]).cloned().collect();
        Some(Self { changes, case, judged, spreading: self.spreading })
    }
}

/// The judgement of a case with one more change.
pub(crate) fn judged_with(node: &Node<'_>, change: &Change, spreading: Spreading) -> Option<Judged> {
    judged_anew(node, &changed(&node.case, change)?, change, spreading)
}

/// A change that leaves the nozzle's work alone is judged with the work as it was.
fn judged_anew(node: &Node<'_>, case: &Case<'_>, change: &Change, spreading: Spreading) -> Option<Judged> {
    match keeps_blast(change) {
        true => judge_at_work(case, Arc::clone(&node.judged.at_work)).ok(),
        false => judge(case, spreading).ok(),
    }
}

/// What changes are to reach.
pub(crate) struct Goal {
    /// A check that is to stand better than this; `None`: only that nothing stops.
    turn: Option<(Check, State)>,
    /// Checks that may go on stopping.
    stops: HashSet<Check>,
}

impl Goal {
    /// That nothing stops.
    pub(crate) fn nothing_stops() -> Self {
        Self { turn: None, stops: HashSet::new() }
    }

    /// That a finding turns and nothing stops that did not.
    fn turned(finding: &Finding, before: &Judged) -> Self {
        Self { turn: Some((finding.check.clone(), finding.state)), stops: stops(before).cloned().collect() }
    }

    /// The first finding that stands in the way; `None` when the goal is reached.
    fn pending<'j>(&self, judged: &'j Judged) -> Option<&'j Finding> {
        let turns = |finding: &&Finding| self.turn.as_ref().is_some_and(|(check, _)| *check == finding.check);
        let worst = judged.findings.iter().filter(turns).max_by_key(|finding| finding.state);
        let not_yet = worst.filter(|finding| self.turn.as_ref().is_some_and(|(_, state)| finding.state >= *state));
        let new_stop = |finding: &&Finding| finding.state == State::Stop && !self.stops.contains(&finding.check);
        not_yet.or_else(|| judged.findings.iter().find(new_stop))
    }

    /// Whether a verdict on it needs the spread: elsewhere the middle tells.
    fn hangs_on_spread(&self) -> bool {
        matches!(self.turn, Some((Check::ResistWear | Check::Thickness, _)))
    }

    /// Whether what was to turn can still be told: a check of safety or a plate that is no longer made is settled,
    /// another is not.
    fn is_told(&self, judged: &Judged) -> bool {
        match &self.turn {
            None | Some((Check::Safety(_) | Check::CompressorPlate { .. }, _)) => true,
            Some((check, _)) => state_of(judged, check).is_some(),
        }
    }

    pub(crate) fn is_reached(&self, judged: &Judged) -> bool {
        self.pending(judged).is_none() && self.is_told(judged)
    }

    /// How far a case is from the goal: less is nearer.
    fn distance(&self, judged: &Judged) -> (usize, bool, usize, f64) {
        let count = |state| judged.findings.iter().filter(|finding| finding.state == state).count();
        let turned =
            self.turn.as_ref().is_none_or(|(check, state)| state_of(judged, check).is_none_or(|is| is < *state));
        (
            stops(judged).filter(|check| !self.stops.contains(check)).count(),
            !turned,
            count(State::Watch),
            judged.total().to_seconds(),
        )
    }
}

fn stops(judged: &Judged) -> impl Iterator<Item = &Check> {
    judged.findings.iter().filter(|finding| finding.state == State::Stop).map(|finding| &finding.check)
}

/// Cases that reach a goal, and how many were tried.
pub(crate) struct Solved<'a> {
    pub reached: Vec<Node<'a>>,
    pub tried: usize,
    /// Changes made together at most.
    pub together: usize,
    /// Tries at most.
    most: usize,
}

/// Whether things are bought, and from which round on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Buying {
    /// Only as a change by itself, where too few others turn the finding.
    Alone,
    /// In every round.
    Always,
}

/// Solves for a goal by single changes, then by more together.
///
/// What does not hang on the spread is looked for at the middle of the model; what reaches the goal there is judged over
/// the spread before it counts.
pub(crate) fn solve<'a>(start: &Node<'a>, goal: &Goal, together: usize, buying: Buying) -> Solved<'a> {
    let mut solved = Solved { reached: Vec::new(), tried: 0, together: 0, most: TRIES / (4 - together.min(3)) };
    let quick = if goal.hangs_on_spread() { start.spreading } else { Spreading::Middle };
    let mut frontier = vec![Node { spreading: quick, ..start.clone() }];
    for round in 1..=together {
        let mut next = Vec::new();
        for node in &frontier {
            let Some(pending) = goal.pending(&node.judged) else { continue };
            let mut levers = levers::choices(&node.case, &pending.check);
            levers.extend(levers::measures(node, pending));
            if round == 1 && is_of_widths(&pending.check) {
                levers.extend(levers::smallest_drawing(node));
            }
            solved.take(node, levers, goal, &mut next);
            if buying == Buying::Always || round == 1 && solved.reached.len() < MOST {
                solved.take(node, levers::purchases(node, pending), goal, &mut next);
            }
            // What falls short alone may do together with another.
            if round < together && solved.reached.is_empty() {
                solved.take(node, levers::extremes(&node.case, &pending.check), goal, &mut next);
            }
        }
        if solved.tried > 0 {
            solved.together = round;
        }
        solved.reached.retain_mut(|node| spread(node, start.spreading) && goal.is_reached(&node.judged));
        if !solved.reached.is_empty() || next.is_empty() {
            break;
        }
        let distance = |node: &Node<'_>| goal.distance(&node.judged);
        next.sort_by(|a, b| distance(a).partial_cmp(&distance(b)).unwrap_or(std::cmp::Ordering::Equal));
        next.truncate(BEAM);
        frontier = next;
    }
    let eased = |node: Node<'a>| eased(start, node, goal);
    solved.reached = std::mem::take(&mut solved.reached).into_iter().map(eased).collect();
    solved
}

/// Whether a goal is also reached when a new width comes out a little otherwise.
fn is_reached_nearby(node: &Node<'_>, change: &Change, goal: &Goal) -> bool {
    let near = || levers::judged_nearby(node, change, node.spreading);
    !matches!(change, Change::Width(_)) || near().is_some_and(|near| near.iter().all(|judged| goal.is_reached(judged)))
}

/// Judges a case over the spread where it was not; false when that cannot be.
fn spread(node: &mut Node<'_>, spreading: Spreading) -> bool {
    if node.spreading == spreading {
        return true;
    }
    node.spreading = spreading;
    if node.changes.iter().all(keeps_blast) {
        return true;
    }
    judge(&node.case, spreading).map(|judged| node.judged = judged).is_ok()
}

impl<'a> Solved<'a> {
    fn take(&mut self, node: &Node<'a>, levers: Vec<Change>, goal: &Goal, next: &mut Vec<Node<'a>>) {
        for change in levers {
            if self.tried >= self.most {
                return;
            }
            let Some(tried) = node.with(&change) else { continue };
            self.tried += 1;
            let known = self.reached.iter().any(|other| other.changes == tried.changes);
            match goal.is_reached(&tried.judged) && is_reached_nearby(node, &change, goal) {
                true if !known => self.reached.push(tried),
                true => {}
                false => next.push(tried),
            }
        }
    }
}

/// Of several changes those that are needed, and of what went as far as it could only as much as is needed.
fn eased<'a>(start: &Node<'a>, node: Node<'a>, goal: &Goal) -> Node<'a> {
    if node.changes.len() < 2 {
        return node;
    }
    let made = |changes: &[Change]| changes.iter().try_fold(start.clone(), |node, change| node.with(change));
    let reached = |changes: &[Change]| made(changes).filter(|node| goal.is_reached(&node.judged));
    let mut best = node;
    for at in (0..best.changes.len()).rev() {
        let mut fewer = best.changes.clone();
        fewer.remove(at);
        if let Some(node) = reached(&fewer) {
            best = node;
        }
    }
    for at in 0..best.changes.len() {
        for share in [0.25, 0.5, 0.75] {
            let Some(less) = part_of_the_way(&start.case, &best.changes[at], share) else { break };
            let mut changes = best.changes.clone();
            changes[at] = less;
            if let Some(node) = reached(&changes) {
                best = node;
                break;
            }
        }
    }
    best
}

/// A change of a size that goes only a part of its way; `None` for a choice.
fn part_of_the_way(case: &Case<'_>, change: &Change, share: f64) -> Option<Change> {
    let between = |from: f64, to: f64| from + share * (to - from);
    Some(match change {
        Change::Pressure(to) => {
            let pascals = between(case.recipe.pressure.to_base(), to.to_base());
            Change::Pressure(levers::tidy(GaugePressure::clamped(pascals), case.shop.units))
        }
        Change::Standoff(to) => {
            let metres = between(case.recipe.standoff.to_base(), to.to_base());
            Change::Standoff(levers::tidy(Length::clamped(metres), case.shop.units))
        }
        Change::Depth(to) => {
            let deepest = case.sketch.layers.iter().map(|layer| layer.target.to_base()).fold(0.0, f64::max);
            Change::Depth(levers::tidy(Length::clamped(between(deepest, to.to_base())), case.shop.units))
        }
        Change::Width(to) => {
            let metres = between(case.sketch.drawing_width_mm * 1e-3, to.to_base());
            Change::Width(levers::tidy_up(Length::clamped(metres), case.shop.units))
        }
        _ => return None,
    })
}

/// The remedies of a finding, or why there is none.
fn remedies(start: &Node<'_>, finding: &Finding) -> (Vec<Remedy>, Option<NoRemedy>) {
    let goal = Goal::turned(finding, &start.judged);
    let together = if finding.state == State::Stop { 3 } else { 2 };
    let solved = solve(start, &goal, together, Buying::Alone);
    if solved.reached.is_empty() {
        let none = match solved.tried {
            0 => NoRemedy::NothingBears,
            changes => NoRemedy::Tried { changes, together: solved.together },
        };
        return (Vec::new(), Some(none));
    }
    let cost = tally::cost(&start.case, &start.judged);
    let mut found: Vec<Remedy> = solved.reached.iter().map(|node| remedy(start, cost, node, finding)).collect();
    mark(&mut found, &solved.reached, finding);
    // What holds first, then what costs nothing to have, then what costs the least time.
    let outlay = |remedy: &Remedy| remedy.changes.iter().map(Change::outlay).max().unwrap_or(Outlay::Nothing);
    let bought = |remedy: &Remedy| outlay(remedy) > Outlay::Nothing;
    let rank = |remedy: &Remedy| (remedy.gives, bought(remedy), remedy.time_s.abs());
    found.sort_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal));
    // What is marked stays, whatever its rank.
    let marked = found.iter().filter(|remedy| remedy.mark.is_some()).count();
    let mut plain = MOST.saturating_sub(marked);
    found.retain(|remedy| {
        let keep = remedy.mark.is_some() || plain > 0;
        plain -= usize::from(remedy.mark.is_none() && keep);
        keep
    });
    (found, None)
}

fn remedy(start: &Node<'_>, cost: Option<Money>, node: &Node<'_>, finding: &Finding) -> Remedy {
    let after =
        node.judged.findings.iter().filter(|after| after.check == finding.check).max_by_key(|after| after.state);
    // A check that is no longer made has nothing left to check.
    let (gives, value) = after.map_or((State::Holds, finding.value), |after| (after.state, after.value));
    let costs = cost.zip(tally::cost(&node.case, &node.judged));
    Remedy {
        changes: node.changes.clone(),
        mark: None,
        gives,
        value,
        time_s: node.judged.total().to_seconds() - start.judged.total().to_seconds(),
        cost: costs.map_or(Money::ZERO, |(before, after)| Money(after.0 - before.0)),
        others: others(&start.judged, &node.judged, &finding.check),
    }
}

/// Other checks whose state differs, the worst first.
fn others(before: &Judged, after: &Judged, but: &Check) -> Vec<Turned> {
    let mut seen = HashSet::from([but]);
    let checks = before.findings.iter().chain(&after.findings).map(|finding| &finding.check);
    let turned = checks.filter(|check| seen.insert(check)).filter_map(|check| {
        let state = |judged| state_of(judged, check).unwrap_or(State::Holds);
        let (from, to) = (state(before), state(after));
        (from != to).then(|| Turned { check: check.clone(), from, to })
    });
    let mut turned: Vec<Turned> = turned.collect();
    turned.sort_by_key(|turned| std::cmp::Reverse(turned.to));
    turned
}

/// Marks the thinnest resist that holds, and the smallest drawing at which all widths hold.
fn mark(found: &mut [Remedy], nodes: &[Node<'_>], finding: &Finding) {
    if !is_of_widths(&finding.check) {
        return;
    }
    let hold = |node: &Node<'_>| {
        node.judged.findings.iter().filter(|one| is_of_widths(&one.check)).all(|one| one.state == State::Holds)
    };
    let resist = |node: &&Node<'_>| matches!(node.changes.as_slice(), [Change::Resist(_)]);
    let yields = |node: &Node<'_>| {
        let of_resist = |one: &&Finding| matches!(one.check, Check::Opening { .. } | Check::Wall);
        node.judged.findings.iter().filter(of_resist).all(|one| one.state == State::Holds)
    };
    let thickness = |node: &&Node<'_>| (node.case.recipe.resist.thickness.value.to_base() * 1e9) as u64;
    let thinnest = nodes.iter().filter(resist).filter(|node| yields(node)).min_by_key(thickness);
    let width = |node: &&Node<'_>| (node.case.sketch.drawing_width_mm * 1e6) as u64;
    let wider = |node: &&Node<'_>| matches!(node.changes.as_slice(), [Change::Width(_)]);
    let smallest = nodes.iter().filter(wider).filter(|node| hold(node)).min_by_key(width);
    for (node, sign) in [(thinnest, Mark::ThinnestResist), (smallest, Mark::SmallestDrawing)] {
        let of_it = |remedy: &&mut Remedy| node.is_some_and(|node| node.changes == remedy.changes);
        if let Some(remedy) = found.iter_mut().find(of_it) {
            remedy.mark = Some(sign);
        }
    }
}
