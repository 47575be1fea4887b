//! Changes to a class, each tried: which of them end it on time, the cheapest first.
//!
//! Every set of one, two and three changes is tried. All are run with the same draws as
//! the class itself, so that what differs is the change.

use crate::class::Class;
use crate::simulate::{ClassError, Outcome, Running, simulate};
use crate::statistics::Mean;
use crate::supply::Supply;
use piece::Money;
use quantity::{Quantity as _, Time};
use rust_decimal::Decimal;

/// A change to a class.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Change {
    /// One more of a station, by its place in the class.
    Another(usize),
    /// Each student begins this much after the one before.
    Stagger(Time),
    /// The teacher does this step before the class.
    Ahead(usize),
    /// One piece less for each student.
    FewerPieces,
    /// One student less.
    FewerStudents,
}

/// A class with changes, as it came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The changes, in the order in which they are made.
    pub changes: Vec<Change>,
    /// What they cost: equipment, the teacher's time, fees given up.
    pub cost: Money,
    /// Whether the students get less for it, or fewer come.
    pub gives_up: bool,
    /// Whether it then ends on time, as sure as wanted.
    pub holds: bool,
    /// Share of classes on time.
    pub on_time: Mean<quantity::Fraction>,
    /// When it then ends, on average.
    pub end: Mean<Time>,
    /// End with the change less end without, in seconds, under the same draws; negative is earlier.
    pub earlier_s: Mean<f64>,
}

/// What was tried and what came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Search {
    /// How many sets of changes.
    pub tried: usize,
    /// Those that end on time: nothing given up first, then the cheapest, then the earliest.
    pub on_time: Vec<Tried>,
    /// When none does: those that end earliest.
    pub nearest: Vec<Tried>,
}

/// What things cost that no class file says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prices {
    /// An hour of the teacher's.
    pub labour_per_hour: Money,
}

/// Most changes made at once.
const AT_ONCE: usize = 3;
/// Replications of a first look; what comes near is run as often as the class.
const LOOK: u32 = 40;
/// Most that are given out.
const GIVEN: usize = 5;
/// Staggers that are tried, in minutes.
const STAGGERS_MIN: [f64; 3] = [3.0, 5.0, 10.0];

/// Tries every set of one to three changes.
///
/// * `outcome`: of the class as it is. `supply`: with as many levels as cabinets could become.
///
/// # Errors
/// [`ClassError`].
pub fn search(class: &Class, supply: Option<&Supply>, prices: Prices, running: Running) -> Result<Search, ClassError> {
    let singles = singles(class);
    let look = Running { replications: LOOK.min(running.replications), ..running };
    let mut looked: Vec<(Vec<Change>, Class, Outcome)> = Vec::new();
    for changes in (1..=AT_ONCE).flat_map(|size| sets(&singles, size)) {
        let Some(changed) = applied(class, &changes) else { continue };
        let outcome = simulate(&changed, supply, look)?;
        looked.push((changes, changed, outcome));
    }
    let tried = looked.len();
    let run = |(changes, changed, _): &(Vec<Change>, Class, Outcome)| {
        run(class, supply, prices, running, changes.clone(), changed)
    };
    looked.sort_by(|a, b| order(class, prices, &a.0, &a.2).total_cmp(&order(class, prices, &b.0, &b.2)));
    let mut on_time: Vec<Tried> = Vec::new();
    // What a first look leaves open: its upper end reaches the share wanted. In the order of their cost, so that the
    // first that hold are the cheapest; what holds already needs no further change.
    for candidate in looked.iter().filter(|(_, _, it)| it.on_time.high.to_ratio() >= class.sure.to_ratio()) {
        if on_time.len() == GIVEN {
            break;
        }
        if on_time.iter().any(|found| contains(&candidate.0, &found.changes)) {
            continue;
        }
        on_time.extend(Some(run(candidate)?).filter(|found| found.holds));
    }
    let mut nearest = Vec::new();
    if on_time.is_empty() {
        looked.sort_by(|a, b| a.2.end.mid.to_base().total_cmp(&b.2.end.mid.to_base()));
        nearest = looked.iter().take(GIVEN).map(run).collect::<Result<_, _>>()?;
    }
    Ok(Search { tried, on_time, nearest })
}

/// Whether all of some changes are among others, as often.
fn contains(changes: &[Change], others: &[Change]) -> bool {
    let count = |list: &[Change], wanted: &Change| list.iter().filter(|change| *change == wanted).count();
    others.iter().all(|wanted| count(changes, wanted) >= count(others, wanted))
}

/// Cheap before dear, and what gives nothing up before what does.
fn order(class: &Class, prices: Prices, changes: &[Change], outcome: &Outcome) -> f64 {
    let cost = rust_decimal::prelude::ToPrimitive::to_f64(&cost(class, prices, changes).0).unwrap_or(f64::MAX);
    let given_up = if changes.iter().any(gives_up) { 1e12 } else { 0.0 };
    cost + given_up + outcome.end.mid.to_base() * 1e-9
}

fn run(
    class: &Class,
    supply: Option<&Supply>,
    prices: Prices,
    running: Running,
    changes: Vec<Change>,
    changed: &Class,
) -> Result<Tried, ClassError> {
    let outcome = simulate(changed, supply, running)?;
    let earlier_s = crate::simulate::ends_apart_s(class, changed, supply, running)?;
    Ok(Tried {
        cost: cost(class, prices, &changes),
        gives_up: changes.iter().any(gives_up),
        holds: outcome.holds,
        on_time: outcome.on_time,
        end: outcome.end,
        earlier_s,
        changes,
    })
}

const fn gives_up(change: &Change) -> bool {
    matches!(change, Change::FewerPieces | Change::FewerStudents)
}

fn singles(class: &Class) -> Vec<Change> {
    let more = class.stations.iter().enumerate().filter(|(_, station)| station.another.is_some());
    let more = more.map(|(index, _)| Change::Another(index));
    let staggers = STAGGERS_MIN.iter().map(|min| Change::Stagger(Time::clamped(60.0 * min)));
    let ahead = class.steps.iter().enumerate().filter(|(_, step)| step.ahead).map(|(index, _)| Change::Ahead(index));
    let fewer = [Change::FewerPieces, Change::FewerStudents];
    more.chain(staggers).chain(ahead).chain(fewer).collect()
}

/// Every set of so many changes; some can be made more than once.
fn sets(singles: &[Change], size: usize) -> Vec<Vec<Change>> {
    let mut sets: Vec<(usize, Vec<Change>)> = vec![(0, Vec::new())];
    for _ in 0..size {
        let longer = |(from, set): &(usize, Vec<Change>)| -> Vec<(usize, Vec<Change>)> {
            let next = (*from..singles.len()).map(|index| {
                let again = matches!(singles[index], Change::Another(_) | Change::FewerStudents);
                let set = set.iter().copied().chain([singles[index]]).collect();
                (if again { index } else { index + 1 }, set)
            });
            next.collect()
        };
        sets = sets.iter().flat_map(longer).collect();
    }
    let staggers = |set: &[Change]| set.iter().filter(|change| matches!(change, Change::Stagger(_))).count();
    sets.into_iter().map(|(_, set)| set).filter(|set| staggers(set) <= 1).collect()
}

/// The class with changes; `None` when one of them cannot be made.
#[must_use]
pub fn applied(class: &Class, changes: &[Change]) -> Option<Class> {
    let mut changed = class.clone();
    for change in changes {
        match *change {
            Change::Another(station) => changed.stations.get_mut(station)?.count += 1,
            Change::Stagger(time) => changed.stagger = time,
            Change::Ahead(step) => changed.steps.get_mut(step)?.done = true,
            Change::FewerPieces => changed.pieces_each = changed.pieces_each.checked_sub(1).filter(|n| *n > 0)?,
            Change::FewerStudents => changed.students = changed.students.checked_sub(1).filter(|n| *n > 0)?,
        }
    }
    if changed.made().is_empty() {
        return None;
    }
    Some(changed)
}

fn cost(class: &Class, prices: Prices, changes: &[Change]) -> Money {
    let one = |change: &Change| match *change {
        Change::Another(station) => class.stations.get(station).and_then(|it| it.another).unwrap_or_default(),
        Change::Ahead(step) => class.steps.get(step).map_or(Money::ZERO, |step| ahead_cost(class, prices, step)),
        Change::Stagger(_) => Money::ZERO,
        Change::FewerPieces => {
            Money(class.fee.0 * Decimal::from(class.students) / Decimal::from(class.pieces_each.max(1)))
        }
        Change::FewerStudents => class.fee,
    };
    changes.iter().map(one).sum()
}

/// Loads that the teacher runs, one after the other.
fn ahead_cost(class: &Class, prices: Prices, step: &crate::Step) -> Money {
    let holds = class.stations.get(step.station).map_or(1, |station| station.holds).max(1);
    let loads = class.pieces().div_ceil(holds);
    prices.labour_per_hour.times(step.hands.to_hours() * f64::from(loads))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_hold_each_choice_once_but_for_what_can_be_repeated() {
        let time = Time::clamped(60.0);
        let singles = [Change::Another(0), Change::Stagger(time), Change::Ahead(1)];
        assert_eq!(sets(&singles, 1).len(), 3);
        // {A,A} {A,S} {A,H} {S,H}
        assert_eq!(sets(&singles, 2).len(), 4);
        assert!(sets(&singles, 3).iter().all(|set| set.len() == 3));
    }
}
