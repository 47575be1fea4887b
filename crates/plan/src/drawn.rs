//! What a piece draws from the shop's stock, as a range: before it is made, and after it was.

use crate::model::{ConsumableAmount, ConsumableKind, Plan};
use crate::told::Done;
use cost::wear::{new_for_each, new_for_each_range};
use piece::Shop;
use quantity::{Area, Estimate, Mass, Quantity as _, Time};
use reference::{Abrasive, Grit};
use stock::Item;

/// What a piece draws.
#[derive(Debug, Clone, PartialEq)]
pub struct Draws {
    /// Resist, and transfer tape where it is cut: the stencil with its margin, up to the whole strip of the roll.
    pub areas: Vec<(Item, Estimate<Area>)>,
    /// Each abrasive lost as dust and broken grain.
    pub masses: Vec<(Item, Estimate<Mass>)>,
}

/// What one piece draws.
///
/// * `done`: what its log says, of which each abrasive draws by the time of the stages that were blasted with it; `None`
///   before it is made, and then over the model's spread.
///
/// Resist: the middle is what the plan counts and charges, the high end the strip of the roll across which the stencil
/// is cut, when nothing else is made of the rest. Abrasive: by the share of each pass that becomes dust, 2 to 10 %
/// (judged); with the time's own spread it is put together as two independent factors, whose logarithms add in squares.
#[must_use]
pub fn draws(plan: &Plan, shop: &Shop, done: Option<&Done>) -> Draws {
    let recipe = &plan.recipe;
    let area = |item: Item, wanted: &ConsumableKind| {
        let used = plan.consumables.iter().find(|used| used.what == *wanted)?;
        let ConsumableAmount::Area(area) = used.amount else { return None };
        Some((item, with_offcut(area, strip(plan, shop))))
    };
    let resist = area(Item::Resist(recipe.resist.id.clone()), &ConsumableKind::Resist(recipe.resist.name.clone()));
    let tape = area(Item::Tape, &ConsumableKind::TransferTape);
    let blasted = done.map_or(plan.time.blast_with, |done| done.blasted_with(plan).map(Estimate::exact));
    let times = plan.time.blast_with.into_iter().zip(blasted);
    let masses = recipe.abrasives().zip(times).map(|((kind, grit), (planned, blasted))| {
        let item = Item::Abrasive { kind: kind.id.clone(), grit: grit.name.clone() };
        (item, abrasive(plan, shop, (kind, grit), planned.mid(), blasted))
    });
    Draws { areas: resist.into_iter().chain(tape).collect(), masses: masses.collect() }
}

fn with_offcut(area: Area, strip: Option<Area>) -> Estimate<Area> {
    let high = strip.filter(|strip| *strip > area).unwrap_or(area);
    Estimate::new(area, area, high).unwrap_or(Estimate::exact(area))
}

/// The roll's width times the stencil's side along it, the shorter one where the other fits across.
fn strip(plan: &Plan, shop: &Shop) -> Option<Area> {
    let roll = shop.resists.iter().find(|stock| stock.resist.id == plan.recipe.resist.id)?.width.to_mm();
    let stencil = plan.masking.stencil;
    let sides = [stencil.width_mm(), stencil.height_mm()];
    let [long, short] = if sides[0] > sides[1] { sides } else { [sides[1], sides[0]] };
    let along = if long <= roll { short } else { long };
    Area::square_mm(roll * along).ok()
}

/// * `planned`: the middle of its time in the plan. * `blasted`: what is taken for its time.
fn abrasive(
    plan: &Plan,
    shop: &Shop,
    (kind, grit): (&Abrasive, &Grit),
    planned: Time,
    blasted: Estimate<Time>,
) -> Estimate<Mass> {
    let turns = shop.abrasive(kind, grit).and_then(|stock| stock.turns);
    let mass = plan.consumables.iter().find_map(|used| match (&used.what, used.amount) {
        (ConsumableKind::Abrasive(name, size), ConsumableAmount::Mass(mass))
            if *name == kind.name && *size == grit.name =>
        {
            Some(mass.to_kilograms())
        }
        _ => None,
    });
    let times = [blasted.low(), blasted.mid(), blasted.high()];
    let times = times.map(|time| time.to_seconds() / planned.to_seconds().max(1e-9));
    let dust = new_for_each_range(turns);
    let middle = new_for_each(turns);
    let end = |time: f64, dust: f64| {
        let off = (time / times[1].max(1e-12)).max(1e-12).ln().hypot((dust / middle).ln());
        mass.unwrap_or_default() * times[1] * off.exp()
    };
    let mid = mass.unwrap_or_default() * times[1];
    let (low, high) = (mid * mid / end(times[0], dust.low()).max(1e-12), end(times[2], dust.high()));
    let kg = Mass::clamped;
    Estimate::new(kg(low.min(mid)), kg(mid), kg(high.max(mid))).unwrap_or(Estimate::exact(kg(mid)))
}

impl Draws {
    /// For so many pieces.
    #[must_use]
    pub fn times(&self, pieces: u32) -> Self {
        let areas = self.areas.iter().map(|(item, area)| (item.clone(), times(*area, pieces))).collect();
        let masses = self.masses.iter().map(|(item, mass)| (item.clone(), times(*mass, pieces))).collect();
        Self { areas, masses }
    }
}

/// Pieces of one order share what is uncertain, so the ends grow with their number.
fn times<Q: quantity::Quantity>(each: Estimate<Q>, pieces: u32) -> Estimate<Q> {
    let all = |one: Q| Q::clamped(one.to_base() * f64::from(pieces));
    Estimate::new(all(each.low()), all(each.mid()), all(each.high())).unwrap_or(Estimate::exact(all(each.mid())))
}
