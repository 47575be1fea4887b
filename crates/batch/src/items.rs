//! What each item asks of hands and nozzle.
//!
//! Three are planned in full: the one that opens the least, the middle one, the most. They share one recipe, that of
//! the heaviest. Between them blasting follows the area opened and weeding the length of the edges, in straight lines;
//! the middle plan says how far from straight that is ([`Pace::off_by`]).

use crate::OrderError;
use artwork::batch::Made;
use piece::{Piece, Shop};
use plan::{Act, Detail, Plan, State};
use quantity::{Quantity as _, Time};

/// One of the order.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Its line in the table.
    pub line: u64,
    /// What the row's first column says.
    pub name: String,
    /// What its other columns say.
    pub more: String,
    /// For each stage: weeding, then nozzle open.
    pub stages: Vec<(Time, Time)>,
    /// Of the plan's resist: whether the narrowest opening beside or in its text is below what it opens.
    pub narrow_opening: bool,
    /// Likewise the narrowest wall, below what stays down.
    pub narrow_wall: bool,
}

impl Item {
    /// Weeding of all stages.
    #[must_use]
    pub fn weed(&self) -> Time {
        self.stages.iter().map(|(weed, _)| *weed).sum()
    }

    /// Nozzle open in all stages.
    #[must_use]
    pub fn blast(&self) -> Time {
        self.stages.iter().map(|(_, blast)| *blast).sum()
    }
}

/// What one plan says of its item.
#[derive(Debug, Clone, PartialEq)]
struct Known {
    opened_mm2: f64,
    edge_mm: f64,
    /// Seconds: weeding, nozzle open.
    stages: Vec<(f64, f64)>,
}

/// From the size of a drawing to the time that it takes.
#[derive(Debug)]
pub struct Pace {
    plan: Plan,
    light: Known,
    heavy: Known,
    off_by: f64,
}

impl Pace {
    /// Plans the lightest, the middle and the heaviest.
    ///
    /// # Errors
    /// [`OrderError::Plan`] when one cannot be planned, [`OrderError::Stops`] when the heaviest has a finding that stops.
    pub fn of(piece: &Piece, made: &[Made], shop: &Shop) -> Result<Self, OrderError> {
        let mut by_size: Vec<&Made> = made.iter().collect();
        by_size.sort_by(|a, b| a.analysis.opened.to_base().total_cmp(&b.analysis.opened.to_base()));
        let (first, last) = (by_size[0], by_size[by_size.len() - 1]);
        let plan = planned(piece, last, shop)?;
        if let Some(stop) = plan.findings.iter().find(|finding| finding.state == State::Stop) {
            let finding = plan::words::finding(stop, shop.units).title;
            return Err(OrderError::Stops { name: name(last), finding });
        }
        // One recipe for all.
        let same = Piece { recipe: prescribed(&plan), ..piece.clone() };
        let heavy = known(last, &plan);
        let light = known(first, &planned(&same, first, shop)?);
        let middle = by_size[by_size.len() / 2];
        let at_middle = known(middle, &planned(&same, middle, shop)?);
        let mut pace = Self { plan, light, heavy, off_by: 0.0 };
        let guessed: f64 = pace.stages(middle).iter().map(|(weed, blast)| weed + blast).sum();
        let wanted: f64 = at_middle.stages.iter().map(|(weed, blast)| weed + blast).sum();
        pace.off_by = guessed / wanted.max(1e-9) - 1.0;
        Ok(pace)
    }

    /// Plan of the heaviest.
    #[must_use]
    pub const fn plan(&self) -> &Plan {
        &self.plan
    }

    pub(crate) fn into_plan(self) -> Plan {
        self.plan
    }

    /// Time guessed for the middle item over the time planned for it, less 1.
    #[must_use]
    pub const fn off_by(&self) -> f64 {
        self.off_by
    }

    /// Every item, in the table's order.
    #[must_use]
    pub fn items(&self, made: &[Made]) -> Vec<Item> {
        let time = |seconds: f64| Time::clamped(seconds.max(0.0));
        let resist = self.plan.recipe.resist;
        let below =
            |spot: Option<artwork::width::Spot>, least: quantity::Length| spot.is_some_and(|spot| spot.width < least);
        let item = |made: &Made| Item {
            line: made.line,
            name: made.values.first().map(|(_, value)| value.clone()).unwrap_or_default(),
            more: made.values.iter().skip(1).map(|(_, value)| value.as_str()).collect::<Vec<_>>().join(", "),
            stages: self.stages(made).into_iter().map(|(weed, blast)| (time(weed), time(blast))).collect(),
            narrow_opening: below(made.analysis.min_opening, resist.finest_opening.value),
            narrow_wall: below(made.analysis.min_wall, resist.finest_wall.value),
        };
        made.iter().map(item).collect()
    }

    /// Seconds of each stage.
    fn stages(&self, made: &Made) -> Vec<(f64, f64)> {
        let (edge, opened) = (made.analysis.perimeter_mm, made.analysis.opened.to_square_mm());
        let weed = between(edge, self.light.edge_mm, self.heavy.edge_mm);
        let blast = between(opened, self.light.opened_mm2, self.heavy.opened_mm2);
        let light = self.light.stages.iter().chain(std::iter::repeat(&(0.0, 0.0)));
        let stage = |(a, b): (&(f64, f64), &(f64, f64))| (a.0 + (b.0 - a.0) * weed, a.1 + (b.1 - a.1) * blast);
        light.zip(&self.heavy.stages).map(stage).collect()
    }
}

/// Where a value lies between two, 0 at the first and 1 at the second; half-way when they are one.
fn between(value: f64, from: f64, to: f64) -> f64 {
    if (to - from).abs() < 1e-9 * to.abs().max(1e-9) { 0.5 } else { (value - from) / (to - from) }
}

/// What the row fills in, joined.
pub(crate) fn name(made: &Made) -> String {
    let values: Vec<&str> = made.values.iter().map(|(_, value)| value.as_str()).collect();
    values.join(", ")
}

fn planned(piece: &Piece, made: &Made, shop: &Shop) -> Result<Plan, OrderError> {
    let fault = |fault| OrderError::Plan { name: name(made), fault };
    plan::plan(piece, &made.drawing, shop, Detail::Instant).map_err(fault)
}

fn prescribed(plan: &Plan) -> piece::OpenRecipe {
    let recipe = &plan.recipe;
    piece::OpenRecipe {
        resist: Some(recipe.resist),
        abrasive: Some(recipe.abrasive),
        grit: Some(recipe.grit),
        nozzle: Some(recipe.nozzle.name.clone()),
        pressure: Some(recipe.pressure),
        standoff: Some(recipe.standoff),
        finish: recipe.finish,
    }
}

fn known(made: &Made, plan: &Plan) -> Known {
    let stages = plan.stages.iter().map(|stage| (stage.weed.to_seconds(), stage.blast.to_seconds()));
    Known {
        opened_mm2: made.analysis.opened.to_square_mm(),
        edge_mm: made.analysis.perimeter_mm,
        stages: stages.collect(),
    }
}

/// Time of one act in a plan.
pub(crate) fn act(plan: &Plan, act: Act) -> Time {
    let blocks = plan.strip.hands.iter().filter(|block| block.act == act);
    Time::clamped(blocks.map(|block| block.to.to_seconds() - block.from.to_seconds()).sum::<f64>().max(0.0))
}
