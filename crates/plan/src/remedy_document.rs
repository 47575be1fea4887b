//! Remedies as programs read them.

use crate::document::{AmountEntry, amount_entry};
use crate::finding::{Change, Mark, NoRemedy, Remedy, Turned};
use crate::words;
use quantity::UnitSystem;
use quantity::schema::written;
use schemars::JsonSchema;
use serde::Serialize;

/// Changes that were computed to turn a finding and stop nothing else.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RemedyEntry {
    /// All of it in words.
    pub change: String,
    /// One change, or two or three to be made together.
    pub changes: Vec<ChangeEntry>,
    /// "thinnest_resist" or "smallest_drawing" when it is that.
    pub mark: Option<&'static str>,
    /// The state that the finding then has.
    #[schemars(regex(pattern = "^(holds|watch|stop)$"))]
    pub gives: &'static str,
    /// The number that it then has; null for a yes or no.
    pub value: Option<AmountEntry>,
    /// Total time with it less the time without.
    pub time_s: f64,
    /// Cost of one piece with it less that without, in the plan's currency; what has to be bought is not in it.
    pub cost: String,
    /// Other checks whose state it changes, the worst first.
    pub others: Vec<TurnedEntry>,
}

/// A change.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ChangeEntry {
    /// In words.
    pub change: String,
    /// The key of the piece or shop that it changes.
    pub sets: &'static str,
    /// What it sets it to, as the file would write it.
    pub to: String,
}

/// A check whose state a change turns.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TurnedEntry {
    /// Id of the check.
    pub id: &'static str,
    /// Its state before.
    #[schemars(regex(pattern = "^(holds|watch|stop)$"))]
    pub from: &'static str,
    /// And after.
    #[schemars(regex(pattern = "^(holds|watch|stop)$"))]
    pub to: &'static str,
}

/// Why a finding has no remedy.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NoRemedyEntry {
    /// How many changes were tried, alone and together; 0 when nothing bears on it.
    pub tried: usize,
    /// How many at a time at most.
    pub together: usize,
    /// In words.
    pub what: String,
}

impl NoRemedyEntry {
    pub(crate) fn new(none: NoRemedy) -> Self {
        let (tried, together) = match none {
            NoRemedy::NothingBears => (0, 0),
            NoRemedy::Tried { changes, together } => (changes, together),
        };
        Self { tried, together, what: words::no_remedy(none) }
    }
}

pub(crate) fn remedy_entry(remedy: &Remedy, units: UnitSystem) -> RemedyEntry {
    RemedyEntry {
        change: words::changes(&remedy.changes, units),
        changes: remedy.changes.iter().map(|change| change_entry(change, units)).collect(),
        mark: remedy.mark.map(|mark| match mark {
            Mark::ThinnestResist => "thinnest_resist",
            Mark::SmallestDrawing => "smallest_drawing",
        }),
        gives: remedy.gives.id(),
        value: amount_entry(&remedy.value),
        time_s: remedy.time_s,
        cost: remedy.cost.to_string(),
        others: remedy.others.iter().map(turned_entry).collect(),
    }
}

fn turned_entry(turned: &Turned) -> TurnedEntry {
    TurnedEntry { id: turned.check.id(), from: turned.from.id(), to: turned.to.id() }
}

pub(crate) fn change_entry(change: &Change, units: UnitSystem) -> ChangeEntry {
    let (sets, to) = match change {
        Change::Pressure(pressure) => ("recipe.pressure", written(*pressure)),
        Change::Standoff(standoff) => ("recipe.standoff", written(*standoff)),
        Change::Nozzle(name) => ("recipe.nozzle", name.clone()),
        Change::Resist(id) => ("recipe.resist", id.clone()),
        Change::Abrasive(id, grit) => ("recipe.abrasive, recipe.grit", format!("{id}, {grit}")),
        Change::Finish(id, grit, stages) => ("recipe.finish", format!("{id}, {grit}, {stages}")),
        Change::Depth(depth) => ("depth[].depth at most", written(*depth)),
        Change::LayerDepth(layer, depth) => ("depth[].depth of the layer", format!("{layer}: {}", written(*depth))),
        Change::Width(width) => ("artwork.width", written(*width)),
        Change::BlankThickness(thickness) => ("blank.thickness", written(*thickness)),
        Change::Gores(count) => ("blank.gores", count.to_string()),
        Change::Collector(flow) => ("shop: cabinet.collector", written(*flow)),
        Change::Safety(mend) => (mend.key(), safety::check::words::mend(*mend, units)),
        Change::Delivered(name, flow) => ("shop: compressor[].free_air", format!("{name}: {}", written(*flow))),
        Change::BuyResist(id) => ("shop: resist[]", id.clone()),
        Change::BuyAbrasive(id, grit) => ("shop: abrasive[]", format!("{id}, {grit}")),
        Change::BuyNozzle(bore) => ("shop: nozzle[].bore", written(*bore)),
        Change::Hose(bore) => ("shop: hose.bore", written(*bore)),
        Change::Receiver(volume) => ("shop: receiver.volume", written(*volume)),
        Change::Compressor(flow) => ("shop: compressor[].free_air", written(*flow)),
    };
    ChangeEntry { change: words::change(change, units), sets, to }
}
