//! One piece at some quantity, line by line.

use crate::risk::Cause;
use crate::terms::{Terms, share};
use crate::work::{Drive, Gear, MaterialName, TaskKind, Work};
use language::say;
use piece::Money;
use quantity::Fraction;
use rust_decimal::Decimal;

/// What a line of a cost is for.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Kind {
    /// The blank.
    Blank,
    /// A material.
    Material(MaterialName),
    /// Labour.
    Labour(TaskKind),
    /// Electricity.
    Energy(Drive),
    /// Hours of a machine.
    Equipment(Gear),
    /// On labour and materials.
    Overhead,
    /// Pieces that spoil, carried by those that do not.
    Spoilage,
    /// A share of what is done once for an order, overhead included.
    Order,
}

impl Kind {
    /// In words.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Blank => say!(in "a line of a cost", "Blank").to_owned(),
            Self::Material(name) => name.shown(),
            Self::Labour(task) => say!("Labour: {task}", task = task.name()),
            Self::Energy(Drive::Compressor) => say!("Electricity: compressor").to_owned(),
            Self::Energy(Drive::Collector) => say!("Electricity: collector").to_owned(),
            Self::Equipment(Gear::Cabinet) => say!("Cabinet and collector, by the hour").to_owned(),
            Self::Equipment(Gear::Compressor) => say!("Compressor, by the hour").to_owned(),
            Self::Overhead => say!(in "a line of a cost", "Overhead").to_owned(),
            Self::Spoilage => say!(in "a line of a cost", "Spoilage").to_owned(),
            Self::Order => say!("Share of the order: {work}", work = TaskKind::Order.name()),
        }
    }
}

/// A line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is for.
    pub kind: Kind,
    /// How much, exact.
    pub amount: Money,
}

/// One piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Costed {
    /// In the order in which they are added; none of nothing.
    pub lines: Vec<Line>,
    /// All of them.
    pub each: Money,
    /// Chance that a piece spoils, from all causes.
    pub spoils: Fraction,
}

/// What one piece of `quantity` costs when the blast takes `stretch` times its middle estimate.
///
/// Formulas at the head of the crate; checked line by line against a sheet worked by hand in the tests.
#[must_use]
pub fn costed(work: &Work, terms: &Terms, quantity: u32, stretch: f64) -> Costed {
    let mut lines = direct(work, terms, stretch);
    let sum = |lines: &[Line], of: fn(&Kind) -> bool| -> Money {
        lines.iter().filter(|line| of(&line.kind)).map(|line| line.amount).sum()
    };
    let burdened = sum(&lines, |kind| matches!(kind, Kind::Material(_) | Kind::Labour(_)));
    lines.push(Line { kind: Kind::Overhead, amount: Money(burdened.0 * terms.overhead) });
    let direct = sum(&lines, |_| true);
    let spoils = work.risk.with(terms.spoilage);
    // Of n pieces begun, n (1 - p) are good: the good ones carry the others.
    let p = share(spoils);
    lines.push(Line { kind: Kind::Spoilage, amount: Money(direct.0 * p / (Decimal::ONE - p)) });
    let once = terms.labour_per_hour.times(terms.order_time.to_hours());
    let order = once.0 * (Decimal::ONE + terms.overhead) / Decimal::from(quantity.max(1));
    lines.push(Line { kind: Kind::Order, amount: Money(order) });
    lines.retain(|line| line.amount != Money::ZERO);
    let each = sum(&lines, |_| true);
    Costed { lines, each, spoils }
}

/// Blank, materials, labour, energy, equipment.
fn direct(work: &Work, terms: &Terms, stretch: f64) -> Vec<Line> {
    let more_h = work.more_hours(stretch);
    let mut lines = vec![Line { kind: Kind::Blank, amount: work.blank }];
    lines.extend(work.materials.iter().map(|material| Line {
        kind: Kind::Material(material.name.clone()),
        amount: if material.grows { material.price.times(stretch) } else { material.price },
    }));
    lines.extend(work.tasks.iter().map(|task| {
        let hours = task.time.to_hours() + if task.kind == TaskKind::Blast { more_h } else { 0.0 };
        Line { kind: Kind::Labour(task.kind), amount: labour(terms, task.kind, hours) }
    }));
    lines.extend(work.energy.iter().map(|energy| Line {
        kind: Kind::Energy(energy.of),
        amount: terms.energy_per_kwh.times(energy.kwh + energy.kwh_per_blast_hour * more_h),
    }));
    lines.extend(work.equipment.iter().map(|equipment| {
        let rate = match equipment.gear {
            Gear::Cabinet => terms.cabinet_per_hour,
            Gear::Compressor => terms.compressor_per_hour,
        };
        let amount = rate.times(equipment.time.to_hours() + equipment.per_blast_hour * more_h);
        Line { kind: Kind::Equipment(equipment.gear), amount }
    }));
    lines
}

/// Labour for some hours of a task; waiting at the share that is charged.
pub(crate) fn labour(terms: &Terms, kind: TaskKind, hours: f64) -> Money {
    let charged = if kind.is_waiting() { terms.waiting.to_ratio() } else { 1.0 };
    terms.labour_per_hour.times(hours * charged)
}

impl Costed {
    /// All lines of a kind together.
    #[must_use]
    pub fn of(&self, kind: impl Fn(&Kind) -> bool) -> Money {
        self.lines.iter().filter(|line| kind(&line.kind)).map(|line| line.amount).sum()
    }
}

/// What can spoil a piece, handling included, each with its chance; those that never do are left out.
pub(crate) fn causes(work: &Work, terms: &Terms) -> Vec<(Cause, Fraction)> {
    let all = work.risk.clone().and_handling(terms.spoilage).causes;
    all.into_iter().filter(|(_, chance)| chance.to_ratio() >= 5e-5).collect()
}
