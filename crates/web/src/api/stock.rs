//! What a shop has left, for programs.

use crate::ledger::items;
use crate::stock_routes::Known;
use plan::worn::worn;
use quantity::{Area, GaugePressure, Mass, Quantity};
use schemars::JsonSchema;
use serde::Serialize;
use stock::wear::Due;
use stock::{Entry, Item, Level, Measure, Verb, level, nozzle_movements, stock_movements};

/// What a shop has left.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct StockView {
    /// All that is used up.
    pub items: Vec<ItemView>,
    /// Its nozzles.
    pub nozzles: Vec<NozzleView>,
}

/// Something that is used up. What is left is a 90 % interval; it is null while nothing was bought or counted.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct ItemView {
    /// Its name in the ledger, such as "abrasive white_alumina F150".
    pub item: String,
    /// Unit of the numbers: "m2" or "kg".
    pub unit: &'static str,
    /// The least that may be left.
    pub left_low: Option<f64>,
    /// At the middle.
    pub left_mid: Option<f64>,
    /// The most.
    pub left_high: Option<f64>,
    /// At no more than this it is bought again.
    pub reorder: Option<f64>,
    /// It is time to buy.
    pub is_low: bool,
    /// How much more was drawn than was there.
    pub overdrawn: Option<f64>,
    /// When it was counted last, as ISO 8601 in UTC.
    pub counted_utc: Option<String>,
    /// Runs that drew since.
    pub draws: usize,
}

/// A nozzle as it may be worn.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct NozzleView {
    /// What the shop calls it.
    pub nozzle: String,
    /// Open since it was new, by the logs.
    pub open_h: f64,
    /// Its bore when it was new.
    pub bore_mm_new: f64,
    /// Its bore by now, at the least.
    pub bore_mm_low: f64,
    /// At the middle.
    pub bore_mm_mid: f64,
    /// At the most.
    pub bore_mm_high: f64,
    /// How many times the air of a new one it takes, at the middle.
    pub demand_mid: f64,
    /// Open for so long more, it is to be gauged.
    pub gauge_in_h: f64,
    /// "nothing", "gauge" or "change".
    pub due: &'static str,
}

impl StockView {
    /// Of a shop.
    pub(super) fn new(known: &Known) -> Self {
        let item = |item: &Item| match item.measure() {
            Measure::Mass => view(item, level::<Mass>(&stock_movements(&known.entries, item))),
            _ => view(item, level::<Area>(&stock_movements(&known.entries, item))),
        };
        let nozzles = known.shop.nozzles.iter().filter_map(|nozzle| of_nozzle(known, nozzle, &known.entries));
        Self { items: items(&known.shop, &known.entries).iter().map(item).collect(), nozzles: nozzles.collect() }
    }
}

fn view<Q: Quantity>(item: &Item, level: Option<Level<Q>>) -> ItemView {
    let of = |pick: fn(&Level<Q>) -> Option<Q>| level.as_ref().and_then(pick).map(Quantity::to_base);
    ItemView {
        item: item.key(),
        unit: Verb::Counted.unit(item.measure()),
        left_low: of(|level| Some(level.left.low())),
        left_mid: of(|level| Some(level.left.mid())),
        left_high: of(|level| Some(level.left.high())),
        reorder: of(|level| level.reorder),
        overdrawn: of(|level| level.overdrawn),
        is_low: level.as_ref().is_some_and(Level::is_low),
        draws: level.as_ref().map_or(0, |level| level.draws),
        counted_utc: level.and_then(|level| level.counted_utc),
    }
}

fn of_nozzle(known: &Known, nozzle: &piece::ShopNozzle, entries: &[Entry]) -> Option<NozzleView> {
    let ledger = nozzle_movements(entries, &nozzle.name);
    let next = known.shop.abrasives.first()?.abrasive;
    let wear = worn(&known.shop, nozzle, &ledger, next, GaugePressure::clamped(2.5e5)).ok()?.wear;
    Some(NozzleView {
        nozzle: nozzle.name.clone(),
        open_h: wear.open.to_hours(),
        bore_mm_new: wear.new.to_mm(),
        bore_mm_low: wear.bore.low().to_mm(),
        bore_mm_mid: wear.bore.mid().to_mm(),
        bore_mm_high: wear.bore.high().to_mm(),
        demand_mid: wear.demand.mid(),
        gauge_in_h: wear.gauge_in.to_hours(),
        due: match wear.due() {
            Due::Nothing => "nothing",
            Due::Gauge => "gauge",
            Due::Change => "change",
        },
    })
}
