//! What stages reach: the flat ground of each layer, and where its narrow parts fall short.

use crate::distance_rule::DistanceRule;
use crate::staging::{Layer, Stage, StagingError, layer_doses};
use artwork::grid::{Field, Mask, Point};
use quantity::{Fraction, Length, Quantity as _};
use rayon::prelude::*;

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
    depth: &Field<f32>,
    layers: &[Layer],
    stages: &[Stage],
    rule: &DistanceRule,
) -> Result<Vec<Reach>, StagingError> {
    if let Some(layer) = layers.iter().position(|layer| layer.mask.grid != depth.grid) {
        return Err(StagingError::OtherGrid { layer });
    }
    let doses = layer_doses(layers.len(), stages);
    let one = |layer: usize| {
        let Layer { mask, target } = layers[layer];
        let deeper: Vec<&Mask> = layers.iter().filter(|other| other.target > target).map(|other| other.mask).collect();
        let window = Window::of(depth, mask, &deeper);
        window.map_or_else(|| Reach::empty(layer), |window| window.reach(layer, target, doses[layer], rule))
    };
    Ok((0..layers.len()).map(one).collect())
}

impl Reach {
    fn empty(layer: usize) -> Self {
        let none = Fraction::clamped(0.0);
        Self { layer, flat: None, flat_share: none, short_share: none, worst: None }
    }
}

/// The part of the field that holds one layer.
struct Window<'a> {
    depth: &'a Field<f32>,
    left: usize,
    top: usize,
    width: usize,
    /// The layer's cells, row by row, without those of deeper layers.
    inside: Vec<bool>,
}

impl<'a> Window<'a> {
    fn of(depth: &'a Field<f32>, mask: &Mask, deeper: &[&Mask]) -> Option<Self> {
        let grid = depth.grid;
        let ends = |row: usize| {
            let cells = mask.row(row);
            Some((row, cells.iter().position(|&cell| cell)?, cells.iter().rposition(|&cell| cell)?))
        };
        let rows: Vec<(usize, usize, usize)> = (0..grid.height).into_par_iter().filter_map(ends).collect();
        let (top, bottom) = (rows.first()?.0, rows.last()?.0);
        let left = rows.iter().map(|row| row.1).min()?;
        let width = rows.iter().map(|row| row.2).max()? + 1 - left;
        let mut inside = vec![false; width * (bottom + 1 - top)];
        inside.par_chunks_mut(width).zip(top..bottom + 1).for_each(|(line, row)| {
            line.copy_from_slice(&mask.row(row)[left..left + width]);
            for other in deeper {
                for (own, &taken) in line.iter_mut().zip(&other.row(row)[left..]) {
                    *own &= !taken;
                }
            }
        });
        Some(Self { depth, left, top, width, inside })
    }

    fn reach(&self, layer: usize, target: Length, dose: f32, rule: &DistanceRule) -> Reach {
        let cells = count(&self.inside);
        if cells == 0 || dose <= 0.0 {
            return Reach::empty(layer);
        }
        let enough = (1.0 - SHORT) * target.to_mm() as f32;
        let wall_cells = WALL_SLACK * rule.sigma() as f32 * dose / self.depth.grid.cell as f32 + 1.0;
        let flat = self.marked(|z| (z - dose).abs() <= FLAT * dose);
        let short = self.marked(|z| z < enough);
        let walls = spread(&flat, self.width, wall_cells.ceil() as usize);
        let narrow = short.par_iter().zip(&walls).filter(|&(&short, &wall)| short & !wall).count();
        let share = |part: usize| Fraction::clamped(part as f64 / cells as f64);
        Reach {
            layer,
            flat: self.mean_depth(&flat),
            flat_share: share(count(&flat)),
            short_share: share(narrow),
            worst: self.worst_groove(&short, target.to_mm() as f32),
        }
    }

    /// Depths of one of the window's rows, in millimetres.
    fn depths(&self, row: usize) -> &[f32] {
        &self.depth.row(self.top + row)[self.left..self.left + self.width]
    }

    /// The layer's cells whose depth passes a test.
    fn marked(&self, test: impl Fn(f32) -> bool + Sync) -> Vec<bool> {
        let mut marked = self.inside.clone();
        marked.par_chunks_mut(self.width).enumerate().for_each(|(row, line)| {
            for (cell, &z) in line.iter_mut().zip(self.depths(row)) {
                *cell &= test(z);
            }
        });
        marked
    }

    fn mean_depth(&self, marked: &[bool]) -> Option<Length> {
        let sum_of_row = |(row, line): (usize, &[bool])| {
            let depths = line.iter().zip(self.depths(row)).filter(|&(&marked, _)| marked);
            depths.map(|(_, &z)| f64::from(z)).sum::<f64>()
        };
        let sum: f64 = marked.par_chunks(self.width).enumerate().map(sum_of_row).collect::<Vec<_>>().iter().sum();
        let cells = count(marked);
        (cells > 0).then(|| Length::clamped(sum / cells as f64 * 1e-3))
    }

    fn worst_groove(&self, short: &[bool], target: f32) -> Option<Shortfall> {
        let worst_of_row = |(row, line): (usize, &[bool])| {
            let columns = (0..self.width).filter(|&column| line[column] && self.is_groove(column, row));
            columns.map(|column| (self.depths(row)[column], column, row)).min_by(|a, b| a.0.total_cmp(&b.0))
        };
        let rows: Vec<_> = short.par_chunks(self.width).enumerate().filter_map(worst_of_row).collect();
        let (depth, column, row) = rows.into_iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(Shortfall {
            by: Length::clamped(f64::from(target - depth) * 1e-3),
            depth: Length::clamped(f64::from(depth) * 1e-3),
            at: self.depth.grid.centre(self.left + column, self.top + row),
        })
    }

    /// Whether no cell around it, of this layer or another, is deeper.
    fn is_groove(&self, column: usize, row: usize) -> bool {
        let grid = self.depth.grid;
        let (column, row) = (self.left + column, self.top + row);
        let around = |at: usize, end: usize| at.saturating_sub(1)..(at + 2).min(end);
        let z = self.depth.row(row)[column];
        around(row, grid.height).all(|r| self.depth.row(r)[around(column, grid.width)].iter().all(|&other| other <= z))
    }
}

fn count(marked: &[bool]) -> usize {
    marked.par_chunks(1 << 14).map(|part| part.iter().map(|&cell| usize::from(cell)).sum::<usize>()).sum()
}

/// The marked cells and all within `radius` cells of one, in both directions: a square, which reaches
/// farther at its corners than a wall does.
fn spread(marked: &[bool], width: usize, radius: usize) -> Vec<bool> {
    let mut near = marked.to_vec();
    near.par_chunks_mut(width).for_each(|line| spread_row(line, radius));
    let reach = radius.min(usize::from(u16::MAX) - 1) as u16;
    let mut spread = near.clone();
    let mut since = vec![u16::MAX; width];
    for (line, out) in near.chunks(width).zip(spread.chunks_mut(width)) {
        carry(line, out, &mut since, reach);
    }
    since.fill(u16::MAX);
    for (line, out) in near.chunks(width).rev().zip(spread.chunks_mut(width).rev()) {
        carry(line, out, &mut since, reach);
    }
    spread
}

/// Marks in `out` the columns that were marked at most `reach` rows ago.
fn carry(line: &[bool], out: &mut [bool], since: &mut [u16], reach: u16) {
    for ((&marked, out), since) in line.iter().zip(out).zip(since) {
        *since = if marked { 0 } else { since.saturating_add(1) };
        *out |= *since <= reach;
    }
}

fn spread_row(line: &mut [bool], radius: usize) {
    let marks: Vec<usize> = (0..line.len()).filter(|&i| line[i]).collect();
    let mut done = 0;
    for at in marks {
        let from = at.saturating_sub(radius).max(done);
        let to = (at + radius + 1).min(line.len());
        line[from.min(to)..to].fill(true);
        done = to;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_spread_by_their_radius_and_no_farther() {
        let (width, height) = (13, 9);
        let mut marked = vec![false; width * height];
        marked[4 * width + 6] = true;
        marked[0] = true;
        let spread = spread(&marked, width, 2);
        for (i, &got) in spread.iter().enumerate() {
            let (x, y) = (i % width, i / width);
            let want = (x.abs_diff(6) <= 2 && y.abs_diff(4) <= 2) || (x <= 2 && y <= 2);
            assert_eq!(got, want, "{x}, {y}");
        }
    }
}
