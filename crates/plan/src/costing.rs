//! What one piece takes, from its plan: consumables, tasks, energy, hours of machines, the chance that it spoils.
//!
//! The arithmetic of money is the crate `cost`'s; here its inputs are read off the plan.

use crate::model::{Act, Consumable, ConsumableAmount, ConsumableKind, Cost, CostKind, CostLine, HandBlock, Recipe};
use cost::{
    Cause, Costed, Drive, Energy, Equipment, Gear, Kind, Material, MaterialName, Risk, Task, TaskKind, Terms, Work,
    wear,
};
use piece::{Money, Piece, Shop};
use quantity::{Area, Estimate, Fraction, Length, Mass, MassRate, Quantity as _, Time};
use rust_decimal::Decimal;

/// Price of transfer tape, as a share of the resist's: common practice, no source.
const TAPE_SHARE: f64 = 0.1;

/// What is counted for one piece.
pub(crate) struct Usage {
    /// Resist that is cut, margins included.
    pub resist: Area,
    /// Abrasive through the nozzle each second.
    pub grit_rate: MassRate,
    /// Nozzle open, over the model's spread.
    pub blast: Estimate<Time>,
    /// Share of that with the abrasive of the last stages.
    pub finishing: Fraction,
    /// What hands do.
    pub hands: Vec<HandBlock>,
    /// How long each compressor that is switched on runs, at the middle estimate.
    pub ran: Vec<Time>,
    /// Collector running.
    pub collector: Time,
    /// Share of the resist's permitted wear that is used.
    pub resist_used: Estimate<f64>,
}

/// What one piece uses up.
pub(crate) fn consumables(usage: &Usage, recipe: &Recipe, shop: &Shop) -> Vec<Consumable> {
    let blast_s = usage.blast.mid().to_seconds();
    let worn = Fraction::clamped((blast_s / recipe.nozzle.life.to_seconds()).min(1.0));
    let resist_price =
        shop.resists.iter().find(|stock| stock.resist.id == recipe.resist.id).map(|stock| stock.price_per_m2);
    let resist_price = resist_price.unwrap_or_default().times(usage.resist.to_square_metres());
    let mut used = vec![Consumable {
        what: ConsumableKind::Resist(recipe.resist.name.clone()),
        amount: ConsumableAmount::Area(usage.resist),
        price: resist_price,
    }];
    if recipe.resist.kind != reference::ResistKind::PhotoFilm {
        used.push(Consumable {
            what: ConsumableKind::TransferTape,
            amount: ConsumableAmount::Area(usage.resist),
            price: resist_price.times(TAPE_SHARE),
        });
    }
    let last = usage.finishing.to_ratio();
    for ((abrasive, grit), share) in recipe.abrasives().zip([1.0 - last, last]) {
        let stock = shop.abrasive(abrasive, grit);
        let new_for_each = wear::new_for_each(stock.and_then(|stock| stock.turns));
        let spent_kg = usage.grit_rate.to_kg_per_second() * blast_s * share * new_for_each;
        used.push(Consumable {
            what: ConsumableKind::Abrasive(abrasive.name.clone(), grit.name.clone()),
            amount: ConsumableAmount::Mass(Mass::clamped(spent_kg)),
            price: stock.map(|stock| stock.price_per_kg).unwrap_or_default().times(spent_kg),
        });
    }
    used.push(Consumable {
        what: ConsumableKind::Nozzle(recipe.nozzle.name.clone()),
        amount: ConsumableAmount::Life(worn),
        price: recipe.nozzle.price.times(worn.to_ratio()),
    });
    used
}

/// What one piece takes. `depths`: what its layers reach in their wide parts.
pub(crate) fn work(
    usage: &Usage,
    used: &[Consumable],
    depths: &[Estimate<Length>],
    piece: &Piece,
    shop: &Shop,
) -> Work {
    Work {
        blank: piece.blank.price,
        materials: used.iter().map(material).collect(),
        tasks: tasks(&usage.hands),
        energy: energy(usage, shop),
        equipment: equipment(usage),
        blast: usage.blast,
        risk: risk(usage, depths, piece),
    }
}

fn material(item: &Consumable) -> Material {
    let (name, grows) = match &item.what {
        ConsumableKind::Resist(name) => (of_table(name, None), false),
        ConsumableKind::TransferTape => (MaterialName::TransferTape, false),
        ConsumableKind::Abrasive(name, grit) => (of_table(name, Some(grit.clone())), true),
        ConsumableKind::Nozzle(name) => (MaterialName::NozzleWear(name.clone()), true),
    };
    Material { name, price: item.price, grows }
}

fn of_table(name: &reference::Name, grade: Option<String>) -> MaterialName {
    MaterialName::Table { name: name.english().to_owned(), grade }
}

/// The hands lane, added up by task.
fn tasks(hands: &[HandBlock]) -> Vec<Task> {
    let of = |act: Act| match act {
        Act::Prepare | Act::Refill => TaskKind::Prepare,
        Act::Weed => TaskKind::Weed,
        Act::Blast => TaskKind::Blast,
        Act::Rest => TaskKind::Rest,
        Act::Clear => TaskKind::Clear,
        Act::Finish => TaskKind::Finish,
    };
    let spent = |kind: TaskKind| {
        let blocks = hands.iter().filter(|block| of(block.act) == kind);
        Time::clamped(blocks.map(|block| block.to.to_seconds() - block.from.to_seconds()).sum::<f64>().max(0.0))
    };
    let task = |kind: TaskKind| Task { kind, time: spent(kind) };
    TaskKind::ALL.into_iter().map(task).filter(|task| task.time.to_seconds() > 0.0).collect()
}

fn energy(usage: &Usage, shop: &Shop) -> Vec<Energy> {
    let running = shop.compressors.iter().filter(|compressor| compressor.running);
    let kwh: f64 =
        running.zip(&usage.ran).map(|(compressor, ran)| compressor.power.to_kilowatts() * ran.to_hours()).sum();
    let collector_kw = shop.cabinet.collector_power.to_kilowatts();
    vec![
        Energy { of: Drive::Compressor, kwh, kwh_per_blast_hour: kwh / usage.blast.mid().to_hours().max(1e-9) },
        Energy {
            of: Drive::Collector,
            kwh: collector_kw * usage.collector.to_hours(),
            kwh_per_blast_hour: collector_kw,
        },
    ]
}

fn equipment(usage: &Usage) -> Vec<Equipment> {
    let ran: Time = usage.ran.iter().copied().sum();
    let per_blast_hour = ran.to_hours() / usage.blast.mid().to_hours().max(1e-9);
    vec![
        Equipment { gear: Gear::Cabinet, time: usage.collector, per_blast_hour: 1.0 },
        Equipment { gear: Gear::Compressor, time: ran, per_blast_hour },
    ]
}

/// The resist worn through before the end, and the deepest part carved through the blank.
fn risk(usage: &Usage, depths: &[Estimate<Length>], piece: &Piece) -> Risk {
    let mut causes = vec![(Cause::ResistWear, cost::risk::chance_above(usage.resist_used, 1.0))];
    let through = depths.iter().map(|wide| {
        let depth = Estimate::new(wide.low().to_mm(), wide.mid().to_mm(), wide.high().to_mm());
        depth.map_or(0.0, |depth| cost::risk::chance_above(depth, piece.blank.thickness.to_mm()).to_ratio())
    });
    causes.push((Cause::BreakThrough, Fraction::clamped(through.fold(0.0, f64::max))));
    Risk { causes }
}

/// What a piece of the order costs, and the order's price without tax and rush.
pub(crate) fn costs(work: &Work, piece: &Piece, shop: &Shop) -> Cost {
    let terms = Terms::of(&shop.rates);
    let ask = cost::Ask { quantities: vec![piece.quantity], rush: None };
    let offer = cost::quote(work, &terms, &ask).ok().and_then(|mut quote| quote.offers.pop());
    let (lines, each, price) = match offer {
        Some(offer) => (lines(&offer.costed), offer.each_cost, offer.net),
        // The piece's reader lets no such quantity through.
        None => (Vec::new(), Estimate::exact(Money(Decimal::ZERO)), Money::ZERO),
    };
    Cost { currency: shop.rates.currency.clone(), lines, each, price }
}

fn lines(costed: &Costed) -> Vec<CostLine> {
    let all = [
        (CostKind::Blank, costed.of(|kind| *kind == Kind::Blank)),
        (CostKind::Materials, costed.of(|kind| matches!(kind, Kind::Material(_)))),
        (CostKind::Labour, costed.of(|kind| matches!(kind, Kind::Labour(_)))),
        (CostKind::Energy, costed.of(|kind| matches!(kind, Kind::Energy(_)))),
        (CostKind::Equipment, costed.of(|kind| matches!(kind, Kind::Equipment(_)))),
        (CostKind::Overhead, costed.of(|kind| *kind == Kind::Overhead)),
        (CostKind::Spoilage, costed.of(|kind| *kind == Kind::Spoilage)),
        (CostKind::Order, costed.of(|kind| *kind == Kind::Order)),
    ];
    let fixed = |kind: CostKind| !matches!(kind, CostKind::Equipment | CostKind::Order);
    let kept = all.into_iter().filter(|(what, amount)| fixed(*what) || *amount != Money::ZERO);
    kept.map(|(what, amount)| CostLine { what, amount }).collect()
}
