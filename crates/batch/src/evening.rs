//! Items onto evenings, one after the other, as hands and air allow.
//!
//! An evening is one person's run of visits through the class's queue with the shop's own air behind it: rests come
//! where the receiver asks for them, from full at the beginning. So that the compressor keeps its duty, an item that
//! makes it run longer than its share of the item's own time is followed by a rest for the difference.

use crate::OrderError;
use crate::items::{Item, Pace, act};
use class::queue::{self, Day, Job, Place, Visit};
use class::supply::Supply;
use cost::{TaskKind, Work};
use piece::Shop;
use plan::Act;
use quantity::{Fraction, Quantity as _, Time};

/// How evenings are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EveningOptions {
    /// How long one is.
    pub length: Time,
    /// What one of many takes to mask, lay and wash; `None`: the shop's own time for one piece.
    pub setup: Option<Time>,
}

/// An evening.
#[derive(Debug, Clone, PartialEq)]
pub struct Evening {
    /// Items, in order.
    pub slots: Vec<Slot>,
    /// When the last is done.
    pub ends: Time,
    /// Nozzle open.
    pub blast: Time,
    /// Nozzle shut for want of air, and for the compressor's duty.
    pub rest: Time,
    /// Share of the evening's work that the busiest compressor runs.
    pub duty: Fraction,
    /// Its limit.
    pub duty_limit: Fraction,
}

/// An item's time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slot {
    /// In the order's items.
    pub item: usize,
    /// From the evening's beginning.
    pub from: Time,
    /// Until it is washed.
    pub to: Time,
}

/// Lays the items on evenings.
///
/// # Errors
/// [`OrderError::Long`] for an item that no evening holds, [`OrderError::Air`] and [`OrderError::Queue`].
pub fn evenings(
    pace: &Pace,
    items: &[Item],
    shop: &Shop,
    options: &EveningOptions,
) -> Result<Vec<Evening>, OrderError> {
    let recipe = &pace.plan().recipe;
    let supply = plan::class_supply(shop, &recipe.nozzle, recipe.pressure, 1)?;
    let work = Worker { supply: &supply, setup: setup(shop, options), clear_s: clear_s(pace), duty: duty(&supply) };
    let mut evenings = Vec::new();
    let mut from = 0;
    while from < items.len() {
        let day = work.day(&items[from..])?;
        let ends = work.ends(&day, items.len() - from);
        let fit = ends.iter().take_while(|end| **end <= options.length.to_seconds()).count();
        if fit == 0 {
            let needs = Time::clamped(ends.first().copied().unwrap_or_default());
            return Err(OrderError::Long { name: items[from].name.clone(), needs, evening: options.length });
        }
        // What comes after the evening is another evening's: it is run anew without it.
        let day = work.day(&items[from..from + fit])?;
        evenings.push(work.evening(&day, &items[from..from + fit], from));
        from += fit;
    }
    Ok(evenings)
}

/// One person with the shop's air.
struct Worker<'a> {
    supply: &'a Supply,
    /// Before and after the work on one item, seconds.
    setup: (f64, f64),
    clear_s: f64,
    duty: f64,
}

/// Of the set-up time, what comes before the first knife: as the plan has it. Common practice, no source.
const BEFORE: f64 = 0.7;

fn setup(shop: &Shop, options: &EveningOptions) -> (f64, f64) {
    let whole = options.setup.unwrap_or(shop.hands.setup).to_seconds();
    (whole * BEFORE, whole * (1.0 - BEFORE))
}

/// Door shut after each stage.
fn clear_s(pace: &Pace) -> f64 {
    act(pace.plan(), Act::Clear).to_seconds() / pace.plan().stages.len().max(1) as f64
}

fn duty(supply: &Supply) -> f64 {
    supply.pumps.iter().map(|pump| pump.duty.to_ratio()).fold(1.0, f64::min).max(0.01)
}

impl Worker<'_> {
    /// Visits of an item: hands before each blast, the door shut after it; then hands and a rest for the duty.
    fn visits(&self, item: &Item) -> Vec<Visit> {
        let stage = |(index, (weed, blast)): (usize, &(Time, Time))| Visit {
            place: 0,
            hands_s: weed.to_seconds() + if index == 0 { self.setup.0 } else { 0.0 },
            blast_s: blast.to_seconds(),
            after_s: self.clear_s,
        };
        let mut visits: Vec<Visit> = item.stages.iter().enumerate().map(stage).collect();
        let own: f64 = visits.iter().map(|visit| visit.hands_s + visit.blast_s + visit.after_s).sum();
        // Air used is air compressed: so long the compressors run for it, sooner or later.
        let ran = item.blast().to_seconds() * self.supply.each().to_base() / self.supply.given().to_base();
        let rest = (ran / self.duty - own - self.setup.1).max(0.0);
        visits.push(Visit { place: 0, hands_s: self.setup.1, blast_s: 0.0, after_s: rest });
        visits
    }

    fn day(&self, items: &[Item]) -> Result<Day, OrderError> {
        let visits = items.iter().flat_map(|item| self.visits(item)).collect();
        Ok(queue::run(&[Place { servers: 1, holds: 1 }], &[Job { arrives_s: 0.0, visits }], Some(self.supply))?)
    }

    /// When each of so many items is done.
    fn ends(&self, day: &Day, items: usize) -> Vec<f64> {
        let each = day.stays.len() / items.max(1);
        day.stays.chunks(each.max(1)).filter_map(|stays| stays.last().map(|stay| stay.ended_s)).collect()
    }

    fn evening(&self, day: &Day, items: &[Item], first: usize) -> Evening {
        let ends = self.ends(day, items.len());
        let begins = std::iter::once(0.0).chain(ends.iter().copied());
        let slot = |(index, (from, to)): (usize, (f64, &f64))| Slot {
            item: first + index,
            from: Time::clamped(from),
            to: Time::clamped(*to),
        };
        let rested: f64 = day.stays.iter().map(|stay| stay.rested_s).sum();
        let for_duty: f64 = items.iter().filter_map(|item| self.visits(item).last().map(|visit| visit.after_s)).sum();
        let ran = day.air.iter().flat_map(|air| &air.ran_s).copied().fold(0.0, f64::max);
        Evening {
            slots: begins.zip(&ends).enumerate().map(slot).collect(),
            ends: Time::clamped(day.end_s()),
            blast: items.iter().map(Item::blast).sum(),
            rest: Time::clamped(rested + for_duty),
            duty: Fraction::clamped(ran / day.end_s().max(1e-9)),
            duty_limit: Fraction::clamped(self.duty),
        }
    }
}

/// What one item takes on average, for its price: the heaviest plan's, with the items' own times.
pub(crate) fn work_of_one(pace: &Pace, items: &[Item], setup: Option<Time>) -> Work {
    let heavy = &pace.plan().work;
    let count = items.len().max(1) as f64;
    let mean = |of: fn(&Item) -> Time| items.iter().map(|item| of(item).to_seconds()).sum::<f64>() / count;
    let share = mean(Item::blast) / heavy.blast.mid().to_seconds().max(1e-9);
    let mut work = heavy.clone();
    let scaled = |time: Time| Time::clamped(time.to_seconds() * share);
    for task in &mut work.tasks {
        task.time = match (task.kind, setup) {
            (TaskKind::Weed, _) => Time::clamped(mean(Item::weed)),
            (TaskKind::Blast | TaskKind::Rest, _) => scaled(task.time),
            (TaskKind::Prepare, Some(setup)) => Time::clamped(BEFORE * setup.to_seconds()),
            (TaskKind::Finish, Some(setup)) => Time::clamped((1.0 - BEFORE) * setup.to_seconds()),
            _ => task.time,
        };
    }
    work.materials.iter_mut().filter(|it| it.grows).for_each(|it| it.price = it.price.times(share));
    work.energy.iter_mut().for_each(|it| it.kwh *= share);
    work.equipment.iter_mut().for_each(|it| it.time = scaled(it.time));
    let blast = heavy.blast;
    work.blast = quantity::Estimate::new(scaled(blast.low()), scaled(blast.mid()), scaled(blast.high()))
        .unwrap_or(quantity::Estimate::exact(scaled(blast.mid())));
    work
}
