//! What a class uses up, in whole packs, and what that costs.

use crate::class::{Buy, Class};
use crate::class_file::Per;
use crate::simulate::Outcome;
use crate::supply::Supply;
use piece::{Money, Shop};
use rust_decimal::Decimal;
use std::fmt;

/// What to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct Shopping {
    /// In the class file's order, abrasive after them.
    pub items: Vec<Item>,
    /// All of it.
    pub total: Money,
}

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it is.
    pub name: ItemName,
    /// How much is needed, spare included.
    pub needed: f64,
    /// What it is counted in.
    pub unit: String,
    /// Packs to buy.
    pub packs: u64,
    /// In a pack.
    pub pack: f64,
    /// All packs.
    pub price: Money,
}

/// What is bought. Shown in the language of who reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ItemName {
    /// As the class file calls it.
    Given(String),
    /// An abrasive and its grit.
    Abrasive(reference::Name, String),
}

impl ItemName {
    /// For files.
    #[must_use]
    pub fn english(&self) -> String {
        match self {
            Self::Given(name) => name.clone(),
            Self::Abrasive(name, grit) => format!("{} {grit}", name.english()),
        }
    }
}

impl fmt::Display for ItemName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Given(name) => f.write_str(name),
            Self::Abrasive(name, grit) => write!(f, "{name} {grit}"),
        }
    }
}

/// Share of the abrasive that a pass turns into dust: the middle of 2-10 % (carving-physics.md section 6, judgement).
const DUST_SHARE: f64 = 0.05;
/// A sum that is a whole number of packs but for rounding needs no further one.
const ROUNDING: f64 = 1e-9;

/// What the class uses up. Abrasive is what becomes dust, at the upper end of its interval; the filling of the pots
/// comes on top.
#[must_use]
pub fn shopping(class: &Class, shop: &Shop, supply: Option<&Supply>, outcome: &Outcome) -> Shopping {
    let mut items: Vec<Item> = class.buys.iter().map(|buy| item(class, buy)).collect();
    items.extend(supply.and_then(|supply| abrasive(class, shop, supply, outcome)));
    let total = items.iter().map(|item| item.price).sum();
    Shopping { items, total }
}

fn item(class: &Class, buy: &Buy) -> Item {
    let of = match buy.per {
        Per::Piece => class.pieces(),
        Per::Student => class.students,
        Per::Class => 1,
    };
    let needed = buy.each * f64::from(of) * (1.0 + buy.spare.to_ratio());
    let packs = (needed / buy.pack - ROUNDING).ceil().max(0.0) as u64;
    let price = Money(buy.price.0 * Decimal::from(packs));
    Item { name: ItemName::Given(buy.name.clone()), needed, unit: buy.unit.clone(), packs, pack: buy.pack, price }
}

fn abrasive(class: &Class, shop: &Shop, supply: &Supply, outcome: &Outcome) -> Option<Item> {
    let air = outcome.air.as_ref()?;
    let kg = air.used_kg.high * shop.loading * DUST_SHARE;
    let same = |stock: &&piece::StockedAbrasive| {
        stock.abrasive.id == class.blast.abrasive.id && stock.grit.name == class.blast.grit.name
    };
    let price = shop.abrasives.iter().find(same).map(|stock| stock.price_per_kg).unwrap_or_default();
    let packs = (kg - ROUNDING).ceil().max(1.0) as u64;
    debug_assert!(supply.most() > 0, "a supply has a level");
    Some(Item {
        name: ItemName::Abrasive(class.blast.abrasive.name.clone(), class.blast.grit.name.clone()),
        needed: kg,
        unit: "kg".to_owned(),
        packs,
        pack: 1.0,
        price: Money(price.0 * Decimal::from(packs)),
    })
}
