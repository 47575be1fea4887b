//! A region on a grid of cells.

use crate::grid::{Grid, Mask, Point};
use crate::region::{Region, Ring};
use rayon::prelude::*;

/// Rows that one task fills.
const BAND: usize = 32;

/// Which cells of a grid have their centre inside a region.
///
/// Exact but for rounding in 64-bit numbers: every edge flips the first cell to its right in each row
/// whose centre line it crosses, and a running exclusive-or along the row gives the inside (even-odd,
/// which for a clean region is the same as non-zero). Top and left edges belong to the region, bottom
/// and right ones do not, so regions that share an edge share no cell.
#[must_use]
pub fn rasterise(region: &Region, grid: Grid) -> Mask {
    let mut mask = Mask::filled(grid, false);
    if grid.is_empty() {
        return mask;
    }
    let bands = bands(region, grid);
    mask.values.par_chunks_mut(BAND * grid.width).zip(bands).enumerate().for_each(|(band, (cells, edges))| {
        fill(cells, &edges, grid, band * BAND);
    });
    mask
}

/// An edge in cells, upper end first, measured so that a cell's centre has whole numbers.
#[derive(Clone, Copy)]
struct Edge {
    upper: Point,
    lower: Point,
}

/// For each band of rows, the edges that cross a centre line in it.
fn bands(region: &Region, grid: Grid) -> Vec<Vec<Edge>> {
    let mut bands = vec![Vec::new(); grid.height.div_ceil(BAND)];
    let cells = |p: Point| Point {
        x: (p.x - grid.origin.x) / grid.cell - 0.5,
        y: (p.y - grid.origin.y) / grid.cell - 0.5,
    };
    for (a, b) in region.rings().flat_map(Ring::edges) {
        let (a, b) = (cells(a), cells(b));
        let edge = if a.y <= b.y { Edge { upper: a, lower: b } } else { Edge { upper: b, lower: a } };
        let (first, end) = rows(&edge, 0, grid.height);
        if first < end {
            bands[first / BAND..=(end - 1) / BAND].iter_mut().for_each(|band| band.push(edge));
        }
    }
    bands
}

/// The rows of `from..to` whose centre line the edge crosses.
fn rows(edge: &Edge, from: usize, to: usize) -> (usize, usize) {
    let row = |y: f64| y.ceil().clamp(from as f64, to as f64) as usize;
    (row(edge.upper.y), row(edge.lower.y))
}

fn fill(cells: &mut [bool], edges: &[Edge], grid: Grid, top: usize) {
    let height = cells.len() / grid.width;
    let mut touched = [false; BAND];
    for edge in edges {
        let (first, end) = rows(edge, top, top + height);
        let slope = (edge.lower.x - edge.upper.x) / (edge.lower.y - edge.upper.y);
        for row in first..end {
            let x = edge.upper.x + (row as f64 - edge.upper.y) * slope;
            let column = x.ceil().max(0.0);
            if column < grid.width as f64 {
                let at = (row - top) * grid.width + column as usize;
                cells[at] = !cells[at];
                touched[row - top] = true;
            }
        }
    }
    for (row, _) in cells.chunks_mut(grid.width).zip(touched).filter(|(_, touched)| *touched) {
        row.iter_mut().fold(false, |inside, cell| {
            *cell ^= inside;
            *cell
        });
    }
}
