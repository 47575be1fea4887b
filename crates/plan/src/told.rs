//! What a plan said of a run beside what its log says, kept when the log comes: a plan that is made again later rests on
//! what was learned since, and agrees with the log too well.

use crate::logged::expected_of;
use crate::model::Plan;
use cost::{Logged, TaskKind, Terms, compare};
use piece::{Money, Shop};
use quantity::{Estimate, Length, Time};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A run as its log says it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Done {
    /// In the order of the work: number of the stage, nozzle open, nozzle shut for want of air.
    pub stages: Vec<(usize, Time, Time)>,
    /// Layers that were gauged.
    pub depths: Vec<(String, Length)>,
}

impl Done {
    /// Nozzle open in all stages.
    #[must_use]
    pub fn blasted(&self) -> Time {
        self.stages.iter().map(|(_, blasted, _)| *blasted).sum()
    }

    /// Nozzle open with each of the recipe's abrasives, in the order of their use. A stage that the plan has not is
    /// taken for one of its last.
    #[must_use]
    pub fn blasted_with(&self, plan: &Plan) -> [Time; 2] {
        let own = plan.recipe.finish.map_or(0, |finish| finish.stages);
        let first = plan.stages.len().saturating_sub(own);
        let sum = |last: bool| {
            let of_it = self.stages.iter().filter(|(order, _, _)| (own > 0 && *order > first) == last);
            of_it.map(|(_, blasted, _)| *blasted).sum()
        };
        [sum(false), sum(true)]
    }
}

/// A run, planned and logged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Told {
    /// Name of the nozzle.
    pub nozzle: String,
    /// Nozzle open, all stages.
    pub blast: Compared,
    /// Stage by stage; those of the plan that the log has not are left out, and those of the log that the plan has not.
    pub stages: Vec<ToldStage>,
    /// Layers that were gauged.
    pub depths: Vec<ToldDepth>,
    /// What one piece costs before margin.
    pub cost: ToldCost,
}

/// A number with its planned 90 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Compared {
    /// In seconds or millimetres, as the name of the value says.
    pub low: f64,
    /// The plan's middle.
    pub mid: f64,
    /// The plan's high end.
    pub high: f64,
    /// As logged.
    pub logged: f64,
}

/// A stage, seconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToldStage {
    /// Its number, from 1.
    pub stage: usize,
    /// Nozzle open, planned.
    pub blast_s: f64,
    /// As logged.
    pub blasted_s: f64,
    /// Waiting for air, planned.
    pub rest_s: f64,
    /// As logged.
    pub rested_s: f64,
}

/// A layer that was gauged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToldDepth {
    /// Its name.
    pub layer: String,
    /// What was wanted, mm.
    pub target_mm: f64,
    /// What the plan expects of the seconds that were really blasted, and what was gauged, mm.
    pub depth_mm: Compared,
}

/// What one piece costs before margin, in the shop's currency.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToldCost {
    /// ISO 4217 code.
    pub currency: String,
    /// Low end, middle and high end as planned.
    pub planned: [Money; 3],
    /// With the logged times in place of the planned ones.
    pub done: Money,
}

impl Compared {
    /// Whether the log is inside the planned interval. A log is written to the second and a gauge to a hundredth of a
    /// millimetre: a thousandth of leeway.
    #[must_use]
    pub fn is_inside(&self) -> bool {
        let leeway = 1e-3 * self.mid.abs();
        self.low - leeway <= self.logged && self.logged <= self.high + leeway
    }

    /// Logged for each planned; `None` when nothing was planned.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        (self.mid > 0.0).then(|| self.logged / self.mid)
    }
}

/// What a plan says of a run.
///
/// * `plan`: as it was run. * `shop`: as it stands, whose rates the money is by.
#[must_use]
pub fn told(plan: &Plan, shop: &Shop, done: &Done) -> Told {
    let blasted = done.blasted().to_seconds();
    let seconds = plan.time.blast;
    Told {
        nozzle: plan.recipe.nozzle.name.clone(),
        blast: Compared {
            low: seconds.low().to_seconds(),
            mid: seconds.mid().to_seconds(),
            high: seconds.high().to_seconds(),
            logged: blasted,
        },
        stages: plan.stages.iter().filter_map(|stage| stage_of(stage, done)).collect(),
        depths: done.depths.iter().filter_map(|(layer, depth)| depth_of(plan, done, layer, *depth)).collect(),
        cost: cost_of(plan, shop, done, blasted),
    }
}

const NOT_BLASTED: Time = quantity::known(Time::seconds(0.0));

fn stage_of(stage: &crate::Stage, done: &Done) -> Option<ToldStage> {
    let (_, blasted, rested) = done.stages.iter().find(|(order, _, _)| *order == stage.order)?;
    Some(ToldStage {
        stage: stage.order,
        blast_s: stage.blast.to_seconds(),
        blasted_s: blasted.to_seconds(),
        rest_s: stage.wait.to_seconds(),
        rested_s: rested.to_seconds(),
    })
}

/// What is expected of a layer goes with the seconds under which it was open.
fn depth_of(plan: &Plan, done: &Done, name: &str, gauged: Length) -> Option<ToldDepth> {
    let index = plan.layers.iter().position(|layer| layer.name == name)?;
    let layer = plan.layers.get(index)?;
    let blasted = |stage: &crate::Stage| {
        let found = done.stages.iter().find(|(order, _, _)| *order == stage.order);
        found.map_or(NOT_BLASTED, |(_, blasted, _)| *blasted)
    };
    let really: Vec<Time> = plan.stages.iter().map(blasted).collect();
    let planned: Vec<Time> = plan.stages.iter().map(|stage| stage.blast).collect();
    let share = expected_of(plan, index, &really) / expected_of(plan, index, &planned).max(1e-12);
    let wide: Estimate<Length> = layer.reach.wide;
    let depth_mm = Compared {
        low: wide.low().to_mm() * share,
        mid: wide.mid().to_mm() * share,
        high: wide.high().to_mm() * share,
        logged: gauged.to_mm(),
    };
    Some(ToldDepth { layer: name.to_owned(), target_mm: layer.target.to_mm(), depth_mm })
}

fn cost_of(plan: &Plan, shop: &Shop, done: &Done, blasted_s: f64) -> ToldCost {
    let rested_s: f64 = done.stages.iter().map(|(_, _, rested)| rested.to_seconds()).sum();
    // What was not planned and not logged either is no difference.
    let rests = plan.strip.rests() > 0 || rested_s > 0.0;
    let logged = |kind: TaskKind, seconds: f64| Time::seconds(seconds).ok().map(|time| Logged { kind, time });
    let rest = rests.then(|| logged(TaskKind::Rest, rested_s)).flatten();
    let logged: Vec<Logged> = logged(TaskKind::Blast, blasted_s).into_iter().chain(rest).collect();
    let more = compare(&plan.work, &Terms::of(&shop.rates), &logged).more;
    let each = plan.cost.each;
    let planned = [each.low(), each.mid(), each.high()].map(Money::written);
    ToldCost { currency: plan.cost.currency.clone(), planned, done: (each.mid() + more).written() }
}

/// How many of the logged numbers are inside their planned 90 % intervals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Coverage {
    /// Inside.
    pub inside: usize,
    /// Of so many.
    pub of: usize,
}

impl Coverage {
    /// Of some comparisons.
    pub fn over<'a>(compared: impl Iterator<Item = &'a Compared>) -> Self {
        compared.fold(Self::default(), |sum, one| Self {
            inside: sum.inside + usize::from(one.is_inside()),
            of: sum.of + 1,
        })
    }

    /// The share that is inside; `None` of none.
    #[must_use]
    pub fn share(self) -> Option<f64> {
        (self.of > 0).then(|| self.inside as f64 / self.of as f64)
    }

    /// The shares that such a count is in line with, at 90 %: Wilson's score interval.
    ///
    /// `(p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n)`, `z` = 1.645. Source: E. B. Wilson, J. Am. Stat. Assoc. 22
    /// (1927) 209; from memory. Checked: 7 of 8 with `z` = 1.96 is 0.5291 to 0.9776.
    #[must_use]
    pub fn in_line_with(self) -> Option<(f64, f64)> {
        self.wilson(1.645)
    }

    fn wilson(self, z: f64) -> Option<(f64, f64)> {
        let (p, n) = (self.share()?, self.of as f64);
        let middle = p + z * z / (2.0 * n);
        let off = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
        let whole = 1.0 + z * z / n;
        Some((((middle - off) / whole).max(0.0), ((middle + off) / whole).min(1.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn compared(logged: f64) -> Compared {
        Compared { low: 80.0, mid: 100.0, high: 130.0, logged }
    }

    #[test]
    fn inside_is_between_the_ends_and_both_ends_are_inside() {
        for (logged, inside) in [(79.0, false), (80.0, true), (100.0, true), (130.0, true), (131.0, false)] {
            assert_eq!(compared(logged).is_inside(), inside, "{logged}");
        }
        assert_eq!(compared(50.0).ratio(), Some(0.5));
    }

    #[test]
    fn the_share_inside_is_counted_and_its_own_doubt_is_wilsons() {
        let all: Vec<Compared> = [90.0, 95.0, 100.0, 105.0, 110.0, 115.0, 120.0, 200.0].map(compared).to_vec();
        let coverage = Coverage::over(all.iter());
        assert_eq!((coverage.inside, coverage.of), (7, 8));
        // The formula worked by itself in Python: 0.529112, 0.977583.
        let (low, high) = coverage.wilson(1.959_964).unwrap();
        assert!((low - 0.5291).abs() < 5e-4 && (high - 0.9776).abs() < 5e-4, "{low} {high}");
        assert_eq!(Coverage::default().in_line_with(), None);
    }
}
