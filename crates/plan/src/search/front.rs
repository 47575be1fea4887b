//! What no other recipe beats in time, cost and risk at once, and the few of it worth choosing between.

use super::Placed;
use quantity::Quantity as _;

/// What a recipe is best at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// The least time.
    Quickest,
    /// The least cost.
    Cheapest,
    /// The least risk.
    Surest,
    /// Near the best in all three.
    Balanced,
}

/// Those that no other beats: none is as good in all three and better in one, and of equals the first. The quickest
/// first, then the cheapest.
pub(super) fn front(mut all: Vec<Placed>) -> Vec<Placed> {
    all.sort_by(|a, b| {
        let by_time = a.choice.time.to_seconds().total_cmp(&b.choice.time.to_seconds());
        by_time.then(a.choice.cost.cmp(&b.choice.cost)).then(a.stopped.cmp(&b.stopped)).then(a.at.cmp(&b.at))
    });
    let mut kept: Vec<Placed> = Vec::new();
    for one in all {
        // Whatever stands before it is as quick.
        if !kept.iter().any(|other| other.choice.cost <= one.choice.cost && other.stopped <= one.stopped) {
            kept.push(one);
        }
    }
    kept
}

/// Two recipes nearer than this in time and cost (as shares), and in risk, are one to a person who chooses. Judgement.
const ALIKE: f64 = 0.05;
const ALIKE_RISK: f64 = 0.02;

/// The best at each, and the one that is nearest to the best in all; those alike are named once.
pub(super) fn few(front: &[Placed]) -> Vec<(Role, usize)> {
    let scores: Vec<[f64; 3]> = front.iter().map(score).collect();
    let best = |of: usize| {
        let others = [(of + 1) % 3, (of + 2) % 3];
        // Of those that share the best the one that is better in the rest.
        let key = |at: &usize| [scores[*at][of], scores[*at][others[0]], scores[*at][others[1]]];
        (0..front.len()).min_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal))
    };
    let wanted = [
        (Role::Surest, best(2)),
        (Role::Quickest, best(0)),
        (Role::Cheapest, best(1)),
        (Role::Balanced, balanced(&scores)),
    ];
    let mut few: Vec<(Role, usize)> = Vec::new();
    for (role, at) in wanted {
        let Some(at) = at else { continue };
        if few.iter().all(|&(_, known)| !alike(&scores[known], &scores[at])) {
            few.push((role, at));
        }
    }
    few.sort_by_key(|&(_, at)| at);
    few
}

fn score(one: &Placed) -> [f64; 3] {
    use rust_decimal::prelude::ToPrimitive as _;
    [one.choice.time.to_base(), one.choice.cost.0.to_f64().unwrap_or(f64::MAX), one.choice.risk.to_ratio()]
}

fn alike(a: &[f64; 3], b: &[f64; 3]) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= ALIKE * a.max(b);
    near(a[0], b[0]) && near(a[1], b[1]) && (a[2] - b[2]).abs() <= ALIKE_RISK
}

/// Each of the three as a share of its way from the least to the most on the front: the least sum.
fn balanced(scores: &[[f64; 3]]) -> Option<usize> {
    let ends: [(f64, f64); 3] = std::array::from_fn(|of| {
        let values = scores.iter().map(|score| score[of]);
        (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
    });
    let way = |at: &usize| -> f64 {
        (0..3).map(|of| (scores[*at][of] - ends[of].0) / (ends[of].1 - ends[of].0).max(1e-9)).sum()
    };
    (0..scores.len()).min_by(|a, b| way(a).total_cmp(&way(b)))
}
