//! What one piece uses up and what it costs: a first estimate, exact in its arithmetic.
//!
//! Cost = (blank + materials + labour + energy) with overhead on labour and materials, divided by the
//! share of pieces that do not spoil; price = cost / (1 - margin). Standard cost engineering.

use crate::model::{Consumable, ConsumableAmount, ConsumableKind, Cost, CostKind, CostLine, Recipe, Times};
use crate::refusal::Refusal;
use piece::{Money, Piece, Shop};
use quantity::{Area, Estimate, Fraction, Mass, MassRate, Time};
use rust_decimal::Decimal;

/// Share of the abrasive that a pass turns into dust: the middle of 2-10 % (carving-physics.md
/// section 6, judgement).
const DUST_SHARE: f64 = 0.05;

/// Price of transfer tape, as a share of the resist's: common practice, no source.
const TAPE_SHARE: f64 = 0.1;

/// What is counted for one piece.
pub(crate) struct Usage {
    /// Resist that is cut, margins included.
    pub resist: Area,
    /// Abrasive through the nozzle each second.
    pub grit_rate: MassRate,
    /// Hands, blast and waiting.
    pub times: Times,
    /// Compressor running, at the middle estimate.
    pub compressor: Time,
    /// Collector running.
    pub collector: Time,
}

/// What one piece uses up.
pub(crate) fn consumables(usage: &Usage, recipe: &Recipe, shop: &Shop) -> Vec<Consumable> {
    let blast_s = usage.times.blast.mid().to_seconds();
    let spent_kg = usage.grit_rate.to_kg_per_second() * blast_s * DUST_SHARE;
    let worn = Fraction::ratio((blast_s / recipe.nozzle.life.to_seconds()).min(1.0)).unwrap_or(NONE);
    let resist_price =
        shop.resists.iter().find(|stock| stock.resist.id == recipe.resist.id).map(|stock| stock.price_per_m2);
    let resist_price = resist_price.unwrap_or_default().times(usage.resist.to_square_metres());
    let same = |stock: &&piece::StockedAbrasive| {
        stock.abrasive.id == recipe.abrasive.id && stock.grit.name == recipe.grit.name
    };
    let grit_price = shop.abrasives.iter().find(same).map(|stock| stock.price_per_kg).unwrap_or_default();
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
    used.push(Consumable {
        what: ConsumableKind::Abrasive(format!("{} {}", recipe.abrasive.name, recipe.grit.name)),
        amount: ConsumableAmount::Mass(Mass::kilograms(spent_kg.min(1e4)).unwrap_or(NO_MASS)),
        price: grit_price.times(spent_kg),
    });
    used.push(Consumable {
        what: ConsumableKind::Nozzle(recipe.nozzle.name.clone()),
        amount: ConsumableAmount::Life(worn),
        price: recipe.nozzle.price.times(worn.to_ratio()),
    });
    used
}

const NONE: Fraction = quantity::known(Fraction::ratio(0.0));
const NO_MASS: Mass = quantity::known(Mass::grams(0.0));

/// What a piece and the order cost.
///
/// The range follows the blasting time alone: everything that grows with it (labour at the cabinet,
/// energy, abrasive, nozzle wear) is counted at its low, middle and high.
///
/// # Errors
/// None of its own; see [`Refusal::Range`].
pub(crate) fn cost(usage: &Usage, used: &[Consumable], piece: &Piece, shop: &Shop) -> Result<Cost, Refusal> {
    let blast = usage.times.blast;
    let stretched = |time: Time| time.to_seconds() / blast.mid().to_seconds().max(1e-9);
    let mid = lines(1.0, usage, used, piece, shop);
    let [low, high] = [blast.low(), blast.high()].map(|time| total(&lines(stretched(time), usage, used, piece, shop)));
    let each = total(&mid);
    let margin = share(shop.rates.margin);
    let order = Money(each.0 * Decimal::from(piece.quantity) / (Decimal::ONE - margin));
    Ok(Cost {
        currency: shop.rates.currency.clone(),
        lines: mid,
        each: Estimate::new(low.min(each), each, high.max(each)).unwrap_or(Estimate::exact(each)),
        price: order,
    })
}

/// The lines of one piece when the blast takes `stretch` times its middle estimate.
fn lines(stretch: f64, usage: &Usage, used: &[Consumable], piece: &Piece, shop: &Shop) -> Vec<CostLine> {
    let rates = &shop.rates;
    let blast_h = usage.times.blast.mid().to_hours();
    let more_h = blast_h * (stretch - 1.0);
    let grows = |item: &Consumable| matches!(item.what, ConsumableKind::Abrasive(_) | ConsumableKind::Nozzle(_));
    let price = |item: &Consumable| if grows(item) { item.price.times(stretch) } else { item.price };
    let materials: Money = used.iter().map(price).sum();
    let labour = rates.labour_per_hour.times(usage.times.total.to_hours() + more_h);
    let power_kw: f64 = shop.compressors.iter().map(|compressor| compressor.power.to_kilowatts()).sum();
    let kwh = power_kw * usage.compressor.to_hours() * stretch
        + shop.cabinet.collector_power.to_kilowatts() * (usage.collector.to_hours() + more_h);
    let energy = rates.energy_per_kwh.times(kwh);
    let overhead = Money((materials + labour).0 * share(rates.overhead));
    let direct = piece.blank.price + materials + labour + energy + overhead;
    // Of n pieces begun, n (1 - spoilage) are good: the good ones carry the others.
    let spoiled = share(rates.spoilage);
    let spoilage = Money(direct.0 * spoiled / (Decimal::ONE - spoiled));
    let amounts = [
        (CostKind::Blank, piece.blank.price),
        (CostKind::Materials, materials),
        (CostKind::Labour, labour),
        (CostKind::Energy, energy),
        (CostKind::Overhead, overhead),
        (CostKind::Spoilage, spoilage),
    ];
    amounts.into_iter().map(|(what, amount)| CostLine { what, amount }).collect()
}

fn total(lines: &[CostLine]) -> Money {
    lines.iter().map(|line| line.amount).sum()
}

fn share(fraction: Fraction) -> Decimal {
    Decimal::from_f64_retain(fraction.to_ratio()).unwrap_or_default().round_dp(9)
}
