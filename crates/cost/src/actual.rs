//! What was planned against what was logged, in minutes and in money.

use crate::price::labour;
use crate::terms::Terms;
use crate::work::{TaskKind, Work};
use piece::Money;
use quantity::{Quantity as _, Time};
use rust_decimal::Decimal;

/// A logged time of one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Logged {
    /// What was done.
    pub kind: TaskKind,
    /// How long it took; several of a kind add up.
    pub time: Time,
}

/// One piece, planned and done.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Tasks that were planned or logged, in the order of the work.
    pub rows: Vec<Difference>,
    /// Money that the logged tasks cost more than planned; below zero, less.
    pub more: Money,
}

/// One task.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Which.
    pub kind: TaskKind,
    /// As planned.
    pub planned: Time,
    /// As logged; `None`: nothing was, and it counts as planned.
    pub logged: Option<Time>,
    /// Logged less planned, seconds.
    pub more_s: f64,
    /// What that costs: labour with its overhead; for the blast also what grows with it.
    pub more: Money,
}

/// Compares a plan's tasks with those logged.
///
/// `more = labour rate (logged - planned) (1 + overhead)`; for the blast, `stretch = logged / planned`, also
/// `materials that grow (stretch - 1) (1 + overhead)`, energy and hours of machines.
#[must_use]
pub fn compare(work: &Work, terms: &Terms, logged: &[Logged]) -> Comparison {
    let rows: Vec<Difference> = TaskKind::ALL.into_iter().filter_map(|kind| row(work, terms, logged, kind)).collect();
    Comparison { more: rows.iter().map(|row| row.more).sum(), rows }
}

fn row(work: &Work, terms: &Terms, logged: &[Logged], kind: TaskKind) -> Option<Difference> {
    let planned = match kind {
        TaskKind::Order => terms.order_time,
        kind => work.tasks.iter().filter(|task| task.kind == kind).map(|task| task.time).sum(),
    };
    let of_kind: Vec<Time> = logged.iter().filter(|entry| entry.kind == kind).map(|entry| entry.time).collect();
    let done: Option<Time> = (!of_kind.is_empty()).then(|| of_kind.into_iter().sum());
    if done.is_none() && planned.to_base() <= 0.0 {
        return None;
    }
    let more_s = done.map_or(0.0, |done| done.to_seconds() - planned.to_seconds());
    let burden = Decimal::ONE + terms.overhead;
    let mut more = Money(labour(terms, kind, more_s / 3600.0).0 * burden);
    if kind == TaskKind::Blast {
        more = more + with_the_blast(work, terms, more_s / 3600.0);
    }
    Some(Difference { kind, planned, logged: done, more_s, more })
}

/// What a longer blast takes besides labour.
fn with_the_blast(work: &Work, terms: &Terms, more_h: f64) -> Money {
    let share = more_h / work.blast.mid().to_hours().max(1e-9);
    let materials: Money = work.materials.iter().filter(|it| it.grows).map(|it| it.price.times(share)).sum();
    let kwh: f64 = work.energy.iter().map(|energy| energy.kwh_per_blast_hour * more_h).sum();
    let gear = work.equipment.iter().map(|equipment| {
        let rate = match equipment.gear {
            crate::Gear::Cabinet => terms.cabinet_per_hour,
            crate::Gear::Compressor => terms.compressor_per_hour,
        };
        rate.times(equipment.per_blast_hour * more_h)
    });
    let burdened = Money(materials.0 * (Decimal::ONE + terms.overhead));
    burdened + terms.energy_per_kwh.times(kwh) + gear.sum()
}
