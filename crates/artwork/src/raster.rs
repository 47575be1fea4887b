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
    let cells =
        |p: Point| Point { x: (p.x - grid.origin.x) / grid.cell - 0.5, y: (p.y - grid.origin.y) / grid.cell - 0.5 };
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bounds::Bounds;
    use crate::region::FillRule;
    use proptest::prelude::*;

    const GRID: Grid = Grid { origin: Point { x: 0.0, y: 0.0 }, cell: 0.1, width: 200, height: 150 };

    fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Region {
        Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + width, y: y + height } })
    }

    fn open(mask: &Mask) -> usize {
        mask.values.iter().filter(|open| **open).count()
    }

    #[test]
    fn a_rectangle_opens_the_cells_whose_centre_it_holds() {
        let mask = rasterise(&rectangle(0.32, 0.28, 1.0, 0.5), GRID);
        // Centres 0.35 to 1.25 in x, 0.35 to 0.75 in y.
        assert_eq!(open(&mask), 10 * 5);
        assert_eq!(
            (mask.at(Point { x: 0.31, y: 0.31 }), mask.at(Point { x: 0.29, y: 0.31 })),
            (Some(true), Some(false))
        );
    }

    #[test]
    fn what_lies_beyond_the_grid_is_cut_off_and_not_wrapped() {
        assert_eq!(open(&rasterise(&rectangle(-5.0, -5.0, 5.5, 6.0), GRID)), 5 * 10);
        assert_eq!(open(&rasterise(&rectangle(19.5, 14.5, 50.0, 50.0), GRID)), 5 * 5);
        assert_eq!(open(&rasterise(&rectangle(-9.0, 2.0, 3.0, 3.0), GRID)), 0);
    }

    #[test]
    fn neighbours_that_share_an_edge_share_no_cell() {
        let (left, right) = (rectangle(1.0, 1.0, 2.05, 3.0), rectangle(3.05, 1.0, 2.0, 3.0));
        let both = open(&rasterise(&left.union(&right), GRID));
        assert_eq!(open(&rasterise(&left, GRID)) + open(&rasterise(&right, GRID)), both);
    }

    /// A polygon of up to 12 corners that may cross itself.
    fn tangle() -> impl Strategy<Value = Region> {
        proptest::collection::vec((1.0..19.0, 1.0..14.0), 3..12).prop_map(|points| {
            let ring = Ring(points.into_iter().map(|(x, y)| Point { x, y }).collect());
            Region::from_rings(&[ring], FillRule::EvenOdd)
        })
    }

    proptest! {
        #[test]
        fn every_cell_agrees_with_a_point_in_polygon_test(region in tangle()) {
            let coarse = Grid { cell: 0.5, width: 40, height: 30, ..GRID };
            let mask = rasterise(&region, coarse);
            for row in 0..coarse.height {
                for column in 0..coarse.width {
                    prop_assert_eq!(mask.row(row)[column], region.contains(coarse.centre(column, row)));
                }
            }
        }

        #[test]
        fn finer_cells_come_nearer_to_the_regions_area(region in tangle()) {
            let error = |cell: f64| {
                let grid = Grid { cell, width: (20.0 / cell) as usize, height: (15.0 / cell) as usize, ..GRID };
                (open(&rasterise(&region, grid)) as f64 * grid.cell_area() - region.area().to_square_mm()).abs()
            };
            // Cells that the outline cuts are as many as it is long; their errors mostly cancel.
            let bound = |cell: f64| 0.5 * cell * region.perimeter_mm() + 4.0 * cell * cell;
            prop_assert!(error(0.2) <= bound(0.2) && error(0.02) <= bound(0.02), "{} {}", error(0.2), error(0.02));
        }
    }
}
