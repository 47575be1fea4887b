//! From target depths to stages of masking and blasting, and what those stages reach.
//!
//! Deepest first: the deepest layer is weeded and blasted alone by as much as it must go deeper than
//! the next, then the next is weeded too, and so on. Wide ground then ends exactly on its target;
//! narrow ground falls short, and [`reach`] says where and by how much.

use crate::distance_rule::DistanceRule;
use artwork::grid::{Field, Mask, Point};
use quantity::{Fraction, Length, Quantity as _};
use rayon::prelude::*;

/// A layer of the artwork: cells that shall reach one depth.
#[derive(Debug, Clone, Copy)]
pub struct Layer<'a> {
    /// Its cells.
    pub mask: &'a Mask,
    /// Depth wanted.
    pub target: Length,
}

/// A stage of the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Layers weeded before this stage, as places in the list of targets; those of earlier stages stay open.
    pub opens: Vec<usize>,
    /// Depth that wide open ground gains in it.
    pub dose: Length,
}

/// Targets that cannot be staged.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StagingError {
    /// No layer has a depth.
    #[error("no layer has a depth above zero; give at least one layer a depth")]
    NothingToCarve,
    /// A mask or depth field lies on another grid.
    #[error("layer {layer} lies on another grid than the depths; make all of them on one grid")]
    OtherGrid {
        /// Place in the list of layers.
        layer: usize,
    },
}

/// Two targets nearer than this are one.
const SAME_DEPTH: f64 = 1e-6;

/// The stages that bring each layer to its target, deepest first.
///
/// Layers of equal depth (to a micrometre) open together; a layer of zero depth never opens. The doses
/// are the differences of the depths, so they add up to the deepest target.
///
/// # Errors
/// [`StagingError::NothingToCarve`] when no target is above zero.
pub fn stages(targets: &[Length]) -> Result<Vec<Stage>, StagingError> {
    let mut order: Vec<usize> = (0..targets.len()).filter(|&i| targets[i].to_metres() >= SAME_DEPTH).collect();
    order.sort_by(|&a, &b| targets[b].to_metres().total_cmp(&targets[a].to_metres()).then(a.cmp(&b)));
    let mut groups: Vec<(f64, Vec<usize>)> = Vec::new();
    for layer in order {
        let depth = targets[layer].to_metres();
        match groups.last_mut() {
            Some((group, layers)) if *group - depth < SAME_DEPTH => layers.push(layer),
            _ => groups.push((depth, vec![layer])),
        }
    }
    if groups.is_empty() {
        return Err(StagingError::NothingToCarve);
    }
    let shallower: Vec<f64> = groups.iter().skip(1).map(|group| group.0).chain([0.0]).collect();
    let stage = |((depth, opens), next): ((f64, Vec<usize>), f64)| Stage { opens, dose: Length::clamped(depth - next) };
    Ok(groups.into_iter().zip(shallower).map(stage).collect())
}

/// What is open in each stage: the union of all layers weeded so far.
///
/// # Errors
/// [`StagingError::OtherGrid`] when the layers' masks do not lie on one grid.
///
/// # Panics
/// When a stage names a layer that is not in the list.
pub fn open_masks(layers: &[Layer], stages: &[Stage]) -> Result<Vec<Mask>, StagingError> {
    let grid = layers.first().ok_or(StagingError::NothingToCarve)?.mask.grid;
    if let Some(layer) = layers.iter().position(|layer| layer.mask.grid != grid) {
        return Err(StagingError::OtherGrid { layer });
    }
    let mut open = Mask::filled(grid, false);
    let mut masks = Vec::with_capacity(stages.len());
    for stage in stages {
        for &layer in &stage.opens {
            for (cell, &inside) in open.values.iter_mut().zip(&layers[layer].mask.values) {
                *cell |= inside;
            }
        }
        masks.push(open.clone());
    }
    Ok(masks)
}

/// What one layer reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Place in the list of layers.
    pub layer: usize,
    /// Mean depth of the ground out of reach of every wall; `None` when the layer has none.
    pub flat: Option<Length>,
    /// Share of the layer that is such ground.
    pub flat_share: Fraction,
    /// Share of the layer in narrow parts (no flat ground within reach of their walls) that stays more
    /// than a tenth above the target.
    pub short_share: Fraction,
    /// The worst groove: of the places that are deeper than all around them, the one that stays farthest
    /// above the target. `None` when none stays above it by more than a tenth.
    pub worst: Option<Shortfall>,
}

/// How far one place stays above its target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shortfall {
    /// Depth missing.
    pub by: Length,
    /// Depth reached.
    pub depth: Length,
    /// Where.
    pub at: Point,
}

/// Depths within this share of a layer's dose count as its flat ground: the solver's own accuracy.
const FLAT: f32 = 0.01;
/// Missing this share of the target is falling short.
const SHORT: f32 = 0.1;
/// A wall may look this much wider than `σ` doses on a grid, where its foot is rounded.
const WALL_SLACK: f32 = 1.15;

/// What each layer of zero or more depth reaches in a carved field; a cell in several layers counts for
/// the deepest of them.
///
/// * `depth`: millimetres, as carved by `stages`. * `rule`: gives the width of the walls.
///
/// # Errors
/// [`StagingError::OtherGrid`] when a layer does not lie on the depths' grid.
///
/// # Panics
/// When a stage names a layer that is not in the list.
pub fn reach(
    depth: &Field<f32>, layers: &[Layer], stages: &[Stage], rule: &DistanceRule,
) -> Result<Vec<Reach>, StagingError> {
    if let Some(layer) = layers.iter().position(|layer| layer.mask.grid != depth.grid) {
        return Err(StagingError::OtherGrid { layer });
    }
    let doses = layer_doses(layers.len(), stages);
    let one = |layer: usize| {
        let deeper: Vec<&Mask> = layers.iter().filter(|other| other.target > layers[layer].target).map(|l| l.mask).collect();
        let window = Window::of(depth, layers[layer].mask, &deeper);
        window.map_or_else(|| Reach::empty(layer), |window| window.reach(layer, layers[layer].target, doses[layer], rule))
    };
    Ok((0..layers.len()).into_par_iter().map(one).collect())
}

/// The dose that each layer has had after all stages, in millimetres.
fn layer_doses(count: usize, stages: &[Stage]) -> Vec<f32> {
    let mut doses = vec![0.0; count];
    for (i, stage) in stages.iter().enumerate() {
        let rest: f64 = stages[i..].iter().map(|stage| stage.dose.to_mm()).sum();
        for &layer in &stage.opens {
            doses[layer] = rest as f32;
        }
    }
    doses
}

impl Reach {
    fn empty(layer: usize) -> Self {
        let none = Fraction::clamped(0.0);
        Self { layer, flat: None, flat_share: none, short_share: none, worst: None }
    }
}

/// The part of the field that holds one layer, with a margin of one cell where there is room.
struct Window<'a> {
    depth: &'a Field<f32>,
    left: usize,
    top: usize,
    width: usize,
    height: usize,
    inside: Vec<bool>,
}

impl<'a> Window<'a> {
    fn of(depth: &'a Field<f32>, mask: &Mask, deeper: &[&Mask]) -> Option<Self> {
        let grid = depth.grid;
        let rows: Vec<usize> = (0..grid.height).filter(|&row| mask.row(row).contains(&true)).collect();
        let (top, bottom) = (*rows.first()?, *rows.last()?);
        let first = |row: &usize| mask.row(*row).iter().position(|&cell| cell);
        let last = |row: &usize| mask.row(*row).iter().rposition(|&cell| cell);
        let (left, right) = (rows.iter().filter_map(first).min()?, rows.iter().filter_map(last).max()?);
        let (left, top) = (left.saturating_sub(1), top.saturating_sub(1));
        let (width, height) = ((right + 2).min(grid.width) - left, (bottom + 2).min(grid.height) - top);
        let mut inside = Vec::with_capacity(width * height);
        for row in top..top + height {
            let start = row * grid.width + left;
            let own = |i: usize| mask.values[i] && !deeper.iter().any(|deeper| deeper.values[i]);
            inside.extend((start..start + width).map(own));
        }
        Some(Self { depth, left, top, width, height, inside })
    }

    fn reach(&self, layer: usize, target: Length, dose: f32, rule: &DistanceRule) -> Reach {
        let cells = self.inside.iter().filter(|&&inside| inside).count();
        if cells == 0 || dose <= 0.0 {
            return Reach::empty(layer);
        }
        let flat: Vec<bool> = (0..self.inside.len()).map(|i| self.inside[i] && (self.z(i) - dose).abs() <= FLAT * dose).collect();
        let wall_cells = WALL_SLACK * rule.sigma() as f32 * dose / self.depth.grid.cell as f32 + 1.0;
        let away = chamfer(&flat, self.width);
        let enough = (1.0 - SHORT) * target.to_mm() as f32;
        let short = |&i: &usize| self.inside[i] && away[i] > wall_cells && self.z(i) < enough;
        let flat_cells: Vec<usize> = (0..flat.len()).filter(|&i| flat[i]).collect();
        let mean = flat_cells.iter().map(|&i| f64::from(self.z(i))).sum::<f64>() / flat_cells.len().max(1) as f64;
        Reach {
            layer,
            flat: (!flat_cells.is_empty()).then(|| Length::clamped(mean * 1e-3)),
            flat_share: Fraction::clamped(flat_cells.len() as f64 / cells as f64),
            short_share: Fraction::clamped((0..away.len()).filter(short).count() as f64 / cells as f64),
            worst: self.worst_groove(target.to_mm() as f32, enough),
        }
    }

    /// Depth of a cell of the window, in millimetres.
    fn z(&self, i: usize) -> f32 {
        self.depth.values[(self.top + i / self.width) * self.depth.grid.width + self.left + i % self.width]
    }

    fn worst_groove(&self, target: f32, enough: f32) -> Option<Shortfall> {
        let grooves = (0..self.inside.len()).filter(|&i| self.inside[i] && self.z(i) < enough && self.is_groove(i));
        let worst = grooves.min_by(|&a, &b| self.z(a).total_cmp(&self.z(b)))?;
        Some(Shortfall {
            by: Length::clamped(f64::from(target - self.z(worst)) * 1e-3),
            depth: Length::clamped(f64::from(self.z(worst)) * 1e-3),
            at: self.depth.grid.centre(self.left + worst % self.width, self.top + worst / self.width),
        })
    }

    /// Whether no cell around it is deeper.
    fn is_groove(&self, i: usize) -> bool {
        let grid = self.depth.grid;
        let (column, row) = (self.left + i % self.width, self.top + i / self.width);
        let around = |at: usize, end: usize| at.saturating_sub(1)..(at + 2).min(end);
        let z = self.z(i);
        around(row, grid.height).all(|r| around(column, grid.width).all(|c| self.depth.values[r * grid.width + c] <= z))
    }
}

/// Distance in cells to the nearest marked cell along straight and diagonal steps; at most 8 % too long.
fn chamfer(marked: &[bool], width: usize) -> Vec<f32> {
    const DIAGONAL: f32 = std::f32::consts::SQRT_2;
    let height = marked.len() / width;
    let mut away: Vec<f32> = marked.iter().map(|&marked| if marked { 0.0 } else { f32::INFINITY }).collect();
    for forward in [true, false] {
        for step in 0..marked.len() {
            let i = if forward { step } else { marked.len() - 1 - step };
            let (row, column) = (i / width, i % width);
            let (has_row, has_side) = if forward { (row > 0, column > 0) } else { (row + 1 < height, column + 1 < width) };
            let has_other = if forward { column + 1 < width } else { column > 0 };
            let back = |cells: usize| if forward { i - cells } else { i + cells };
            let mut best = away[i];
            if has_side {
                best = best.min(away[back(1)] + 1.0);
            }
            if has_row {
                best = best.min(away[back(width)] + 1.0);
            }
            if has_row && has_side {
                best = best.min(away[back(width + 1)] + DIAGONAL);
            }
            if has_row && has_other {
                best = best.min(away[back(width - 1)] + DIAGONAL);
            }
            away[i] = best;
        }
    }
    away
}
