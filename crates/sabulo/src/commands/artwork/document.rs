//! An analysis as programs read it: millimetres from the drawing's top left corner.

use artwork::analysis::{Analysis, Fault, FaultKind, Measure};
use artwork::grid::Point;
use serde::Serialize;

/// A drawing judged.
#[derive(Debug, Serialize)]
pub(super) struct ArtworkDocument {
    pub(super) width_mm: f64,
    pub(super) height_mm: f64,
    /// Names of what is drawn, with the area of each.
    pub(super) regions: Vec<RegionEntry>,
    pub(super) open_area_mm2: f64,
    pub(super) perimeter_mm: f64,
    pub(super) parts: usize,
    /// Narrowest opening; null when nothing is open.
    pub(super) min_opening_mm: Option<f64>,
    /// Narrowest wall; null when there is none.
    pub(super) min_wall_mm: Option<f64>,
    pub(super) islands: Vec<IslandEntry>,
    /// Worst first.
    pub(super) faults: Vec<FaultEntry>,
    /// Times larger at which all holds; null when size alone does not help.
    pub(super) least_scale: Option<f64>,
    /// With --repair.
    pub(super) mended: Option<MendedEntry>,
    /// What was done or left out while reading.
    pub(super) notes: Vec<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct MendedEntry {
    changes: usize,
    /// Worst first.
    left: Vec<LeftEntry>,
}

#[derive(Debug, Serialize)]
struct LeftEntry {
    #[serde(flatten)]
    fault: FaultEntry,
    why: String,
}

pub(super) fn mended(repaired: &artwork::repair::Repaired) -> MendedEntry {
    let entry = |left: &artwork::repair::Left| LeftEntry { fault: fault(&left.fault), why: left.why.to_string() };
    MendedEntry { changes: repaired.changes.len(), left: repaired.left.iter().map(entry).collect() }
}

#[derive(Debug, Serialize)]
pub(super) struct RegionEntry {
    pub(super) id: String,
    pub(super) groups: Vec<String>,
    pub(super) colour: String,
    pub(super) area_mm2: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct IslandEntry {
    at_mm: [f64; 2],
    area_mm2: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct FaultEntry {
    kind: &'static str,
    at_mm: [f64; 2],
    value: f64,
    limit: f64,
    unit: &'static str,
    length_mm: f64,
    /// Times larger at which this holds; null when size does not change it.
    scale: Option<f64>,
}

pub(super) fn islands(analysis: &Analysis) -> Vec<IslandEntry> {
    let entry =
        |island: &artwork::width::Island| IslandEntry { at_mm: place(island.at), area_mm2: island.area.to_square_mm() };
    analysis.islands.iter().map(entry).collect()
}

pub(super) fn faults(analysis: &Analysis) -> Vec<FaultEntry> {
    analysis.faults.iter().map(fault).collect()
}

fn fault(fault: &Fault) -> FaultEntry {
    let (value, unit) = measure(fault.value);
    FaultEntry {
        kind: kind(fault.kind),
        at_mm: place(fault.at),
        value,
        limit: measure(fault.limit).0,
        unit,
        length_mm: fault.length.to_mm(),
        scale: fault.scale(),
    }
}

fn place(at: Point) -> [f64; 2] {
    [at.x, at.y]
}

/// A number and its unit.
fn measure(measure: Measure) -> (f64, &'static str) {
    match measure {
        Measure::Length(length) => (length.to_mm(), "mm"),
        Measure::Area(area) => (area.to_square_mm(), "mm2"),
        Measure::Degrees(degrees) => (degrees, "degrees"),
    }
}

/// A fault's word for programs.
pub(super) const fn kind(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::ThinWall => "thin_wall",
        FaultKind::ThinOpening => "thin_opening",
        FaultKind::SmallIsland => "small_island",
        FaultKind::WeakPeninsula => "weak_peninsula",
        FaultKind::NearEdge => "near_edge",
        FaultKind::AcuteCorner => "acute_corner",
        _ => "other",
    }
}
