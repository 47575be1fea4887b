//! How far every cell is from the edge of the openings.

use crate::grid::{Field, Grid, Mask};
use rayon::prelude::*;

/// Which cells are measured; all others are zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Open cells, to the nearest closed one.
    Open,
    /// Closed cells, to the nearest open one.
    Closed,
}

/// What lies beyond the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beyond {
    /// An edge: distances are measured to it too.
    Edge,
    /// Nothing: only edges within the grid count.
    Nothing,
}

/// Distance in mm from each cell's centre to the nearest edge between open and closed.
///
/// `d = cell (sqrt(dx² + dy²) - 1/2)`, where `dx, dy` lead in cells to the nearest centre of the
/// other side: exact for an upright or level edge on the grid, and for any other within half a cell
/// of the distance to the region that was rasterised. Infinite where nothing of the other side exists.
///
/// Method: exact Euclidean distance transform in two passes (A. Meijster, J. B. T. M. Roerdink and
/// W. H. Hesselink, "A general algorithm for computing distance transforms in linear time", 2000;
/// from memory): down and up each column, then the lower envelope of parabolas along each row. A run
/// of cells on one side is bounded by cells of the other at distance nought, so each run has an
/// envelope of its own.
#[must_use]
pub fn distance(mask: &Mask, side: Side, beyond: Beyond) -> Field<f32> {
    let grid = mask.grid;
    let mut field = Field::filled(grid, 0.0_f32);
    if grid.is_empty() {
        return field;
    }
    let strips = strips(mask, side, beyond);
    field.values.par_chunks_mut(grid.width).enumerate().for_each_init(Envelope::default, |envelope, (row, out)| {
        let vertical = &mut std::mem::take(&mut envelope.vertical);
        vertical.clear();
        for strip in &strips {
            let width = strip.len() / grid.height;
            vertical.extend_from_slice(&strip[row * width..][..width]);
        }
        envelope.row(vertical, grid, beyond, out);
        envelope.vertical = std::mem::take(vertical);
    });
    field
}

/// Columns in one strip: each is worked on by one task, and its rows fit the cache.
const STRIP: usize = 512;
/// No cell of the other side in the column.
const FAR: u16 = u16::MAX;

/// Cells to the nearest one of the other side in the same column, strip by strip.
fn strips(mask: &Mask, side: Side, beyond: Beyond) -> Vec<Vec<u16>> {
    let starts: Vec<usize> = (0..mask.grid.width).step_by(STRIP).collect();
    starts.into_par_iter().map(|start| strip(mask, side, beyond, start)).collect()
}

fn strip(mask: &Mask, side: Side, beyond: Beyond, start: usize) -> Vec<u16> {
    let Grid { width, height, .. } = mask.grid;
    let columns = STRIP.min(width - start);
    let measured = side == Side::Open;
    let outside = if beyond == Beyond::Edge { 0 } else { FAR };
    let mut steps = vec![0_u16; columns * height];
    let mut above = vec![outside; columns];
    for (row, out) in steps.chunks_exact_mut(columns).enumerate() {
        let cells = &mask.row(row)[start..start + columns];
        for ((out, above), &open) in out.iter_mut().zip(&mut above).zip(cells) {
            *above = if open == measured { above.saturating_add(1) } else { 0 };
            *out = *above;
        }
    }
    let mut below = vec![outside; columns];
    for out in steps.chunks_exact_mut(columns).rev() {
        for (out, below) in out.iter_mut().zip(&mut below) {
            // A cell of the other side has nought already, and starts the count anew.
            *below = below.saturating_add(1).min(*out);
            *out = *below;
        }
    }
    steps
}

/// The parabolas that are lowest somewhere along a row.
#[derive(Default)]
struct Envelope {
    vertical: Vec<u16>,
    /// Column and squared height of each, from the left.
    parabolas: Vec<(i64, i64)>,
    /// From which column on each is the lowest.
    from: Vec<i64>,
}

impl Envelope {
    fn row(&mut self, vertical: &[u16], grid: Grid, beyond: Beyond, out: &mut [f32]) {
        let mut start = 0;
        while start < vertical.len() {
            if vertical[start] == 0 {
                start += 1;
                continue;
            }
            let length = vertical[start..].iter().position(|&steps| steps == 0).unwrap_or(vertical.len() - start);
            let end = start + length;
            self.clear();
            if start > 0 || beyond == Beyond::Edge {
                self.add(start as i64 - 1, 0);
            }
            for (column, &steps) in (start as i64..).zip(&vertical[start..end]).filter(|(_, steps)| **steps != FAR) {
                self.add(column, i64::from(steps) * i64::from(steps));
            }
            if end < vertical.len() || beyond == Beyond::Edge {
                self.add(end as i64, 0);
            }
            self.write(start as i64, grid.cell, &mut out[start..end]);
            start = end;
        }
    }

    fn clear(&mut self) {
        self.parabolas.clear();
        self.from.clear();
    }

    /// Adds the parabola `(x - column)² + height`, columns in rising order.
    fn add(&mut self, column: i64, height: i64) {
        let mut from = i64::MIN;
        while let Some(&(c, h)) = self.parabolas.last() {
            // The new one is the lower from the first whole x above this on.
            let doubled = column * column - c * c + height - h;
            from = (doubled as f64 / (2 * (column - c)) as f64).floor() as i64 + 1;
            if self.from.last().is_some_and(|&last| from > last) {
                break;
            }
            self.parabolas.pop();
            self.from.pop();
            from = i64::MIN;
        }
        self.parabolas.push((column, height));
        self.from.push(from);
    }

    fn write(&self, start: i64, cell: f64, out: &mut [f32]) {
        if self.parabolas.is_empty() {
            out.fill(f32::INFINITY);
            return;
        }
        let mut k = 0;
        for (x, out) in (start..).zip(out) {
            while self.from.get(k + 1).is_some_and(|&from| from <= x) {
                k += 1;
            }
            let (column, height) = self.parabolas[k];
            let squared = (x - column) * (x - column) + height;
            *out = ((squared as f32).sqrt() - 0.5) * cell as f32;
        }
    }
}
