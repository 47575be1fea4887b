//! A carved piece as programs read it: units in the key names, every uncertain number with its 90 % range beside it.

use crate::carving::{Carving, PieceStage, Reading};
use crate::document::{FinishEntry, RangeEntry};
use crate::model::{LayerPlan, Recipe};
use quantity::{Estimate, Length, Time};
use serde::Serialize;
use std::fmt::Write as _;

/// A carved piece.
#[derive(Debug, Clone, Serialize)]
pub struct CarvingDocument {
    /// Cell edge of the solver's grid: what was asked for, or the least that fits 32 million cells.
    pub cell_mm: f64,
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// The deepest place, at the middle of the model.
    pub deepest_mm: f64,
    /// What is removed, at the middle of the model.
    pub carved_mm3: f64,
    /// What is used.
    pub recipe: CarvingRecipe,
    /// Deepest first.
    pub layers: Vec<CarvingLayer>,
    /// In the order of the work.
    pub stages: Vec<StageEntry>,
    /// In the order of the question.
    pub points: Vec<ReadingEntry>,
    /// Along the section.
    pub section: Vec<ReadingEntry>,
    /// The file that the relief was written to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub relief: Option<ReliefEntry>,
}

/// What is used.
#[derive(Debug, Clone, Serialize)]
pub struct CarvingRecipe {
    /// Id.
    pub resist: String,
    /// Id.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Another abrasive for the last stages.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<FinishEntry>,
    /// Name.
    pub nozzle: String,
    /// Bore.
    pub bore_mm: f64,
    /// The regulator's.
    pub pressure_kpa: f64,
    /// Nozzle to work.
    pub standoff_mm: f64,
}

/// A layer.
#[derive(Debug, Clone, Serialize)]
pub struct CarvingLayer {
    /// Its name.
    pub layer: String,
    /// Wanted.
    pub target_mm: f64,
    /// Of its wide ground.
    pub depth_mm: RangeEntry,
}

/// A stage.
#[derive(Debug, Clone, Serialize)]
pub struct StageEntry {
    /// From 1.
    pub stage: usize,
    /// Layers weeded before it.
    pub opens: Vec<String>,
    /// Their depths.
    pub depths_mm: Vec<f64>,
    /// Depth that wide ground gains.
    pub dose_mm: f64,
    /// At the nozzle, rests left out.
    pub blast_s: RangeEntry,
}

/// The ground at a point.
#[derive(Debug, Clone, Serialize)]
pub struct ReadingEntry {
    /// From the section's start; 0 for a single point.
    pub along_mm: f64,
    /// From the blank's left edge.
    pub x_mm: f64,
    /// From its top edge.
    pub y_mm: f64,
    /// The layer; null where resist stays.
    pub layer: Option<String>,
    /// How deep.
    pub depth_mm: RangeEntry,
}

/// A written relief.
#[derive(Debug, Clone, Serialize)]
pub struct ReliefEntry {
    /// The file.
    pub path: String,
    /// "stl", "glb" or "png".
    pub format: &'static str,
    /// Triangles of a solid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub triangles: Option<usize>,
    /// Tolerance of a solid's halvings; it keeps within about twice of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance_mm: Option<f64>,
    /// Volume of a solid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_mm3: Option<f64>,
    /// Depth of one step of a depth map.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth_um_per_step: Option<f64>,
}

pub(crate) fn range(estimate: &Estimate<Length>) -> RangeEntry {
    RangeEntry { value: estimate.mid().to_mm(), low: estimate.low().to_mm(), high: estimate.high().to_mm() }
}

pub(crate) fn seconds(estimate: &Estimate<Time>) -> RangeEntry {
    let [low, value, high] = [estimate.low(), estimate.mid(), estimate.high()].map(Time::to_seconds);
    RangeEntry { value, low, high }
}

impl From<&Recipe> for CarvingRecipe {
    fn from(recipe: &Recipe) -> Self {
        Self {
            resist: recipe.resist.id.clone(),
            abrasive: recipe.abrasive.id.clone(),
            grit: recipe.grit.name.clone(),
            finish: recipe.finish.as_ref().map(FinishEntry::of),
            nozzle: recipe.nozzle.name.clone(),
            bore_mm: recipe.nozzle.bore.to_mm(),
            pressure_kpa: recipe.pressure.to_kpa(),
            standoff_mm: recipe.standoff.to_mm(),
        }
    }
}

impl StageEntry {
    /// One stage, `stage` counted from 1.
    #[must_use]
    pub fn new(stage: usize, of: &PieceStage) -> Self {
        Self {
            stage,
            opens: of.opens.clone(),
            depths_mm: of.depths.iter().map(|depth| depth.to_mm()).collect(),
            dose_mm: of.dose.to_mm(),
            blast_s: seconds(&of.blast),
        }
    }
}

impl CarvingDocument {
    /// Everything that was read of a carving. `relief`: the file it was written to.
    #[must_use]
    pub fn new(carving: &Carving, relief: Option<ReliefEntry>) -> Self {
        let depth = &carving.relief.depth_mm;
        let name = |&layer: &usize| carving.layers[layer].name.clone();
        let reading = |reading: &Reading| ReadingEntry::new(reading, &carving.layers);
        let layers = carving.layers.iter().map(|layer| CarvingLayer {
            layer: layer.name.clone(),
            target_mm: layer.target.to_mm(),
            depth_mm: range(&layer.reach.wide),
        });
        let stages = carving.stages.iter().enumerate().map(|(i, stage)| StageEntry {
            stage: i + 1,
            opens: stage.opens.iter().map(name).collect(),
            depths_mm: stage.opens.iter().map(|&layer| carving.layers[layer].target.to_mm()).collect(),
            dose_mm: stage.dose.to_mm(),
            blast_s: seconds(&stage.blast),
        });
        Self {
            cell_mm: depth.grid.cell,
            columns: depth.grid.width,
            rows: depth.grid.height,
            deepest_mm: f64::from(depth.values.iter().copied().fold(0.0, f32::max)),
            carved_mm3: depth.values.iter().map(|&depth| f64::from(depth)).sum::<f64>() * depth.grid.cell_area(),
            recipe: CarvingRecipe::from(&carving.recipe),
            layers: layers.collect(),
            stages: stages.collect(),
            points: carving.points.iter().map(reading).collect(),
            section: carving.section.iter().map(reading).collect(),
            relief,
        }
    }

    /// The section as comma-separated values, a row for each station.
    #[must_use]
    pub fn section_csv(&self) -> String {
        csv(&self.section)
    }
}

/// A section as comma-separated values, a row for each station. `layers`: deepest first.
#[must_use]
pub fn section_csv(section: &[Reading], layers: &[LayerPlan]) -> String {
    csv(&section.iter().map(|reading| ReadingEntry::new(reading, layers)).collect::<Vec<_>>())
}

fn csv(section: &[ReadingEntry]) -> String {
    let mut text = "along_mm,x_mm,y_mm,layer,depth_mm,depth_mm_low,depth_mm_high\n".to_owned();
    for row in section {
        let RangeEntry { value, low, high } = row.depth_mm;
        let layer = quoted(row.layer.as_deref().unwrap_or_default());
        let (along, x, y) = (row.along_mm, row.x_mm, row.y_mm);
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{along:.4},{x:.4},{y:.4},{layer},{value:.5},{low:.5},{high:.5}");
    }
    text
}

impl ReadingEntry {
    fn new(reading: &Reading, layers: &[LayerPlan]) -> Self {
        Self {
            along_mm: reading.along_mm,
            x_mm: reading.at.x,
            y_mm: reading.at.y,
            layer: reading.layer.and_then(|layer| layers.get(layer)).map(|layer| layer.name.clone()),
            depth_mm: range(&reading.depth),
        }
    }
}

/// A name as a field of comma-separated values (RFC 4180).
fn quoted(name: &str) -> String {
    match name.contains([',', '"', '\n', '\r']) {
        true => format!("\"{}\"", name.replace('"', "\"\"")),
        false => name.to_owned(),
    }
}
