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

/// The parabolas that are lowest somewhere along a run, from the left.
#[derive(Default)]
struct Envelope {
    vertical: Vec<u16>,
    parabolas: Vec<Parabola>,
}

/// `(x - column)² + height`, the lowest from `from` to where the next begins.
#[derive(Clone, Copy)]
struct Parabola {
    column: i32,
    from: i32,
    height: i64,
}

impl Envelope {
    fn row(&mut self, vertical: &[u16], grid: Grid, beyond: Beyond, out: &mut [f32]) {
        let mut start = 0;
        while let Some(skip) = vertical[start..].iter().position(|&steps| steps != 0) {
            start += skip;
            let length = vertical[start..].iter().position(|&steps| steps == 0).unwrap_or(vertical.len() - start);
            let end = start + length;
            let run = (start as i32, end as i32);
            self.parabolas.clear();
            if start > 0 || beyond == Beyond::Edge {
                self.add(run, run.0 - 1, 0);
            }
            for (column, &steps) in (run.0..).zip(&vertical[start..end]) {
                if steps != FAR {
                    self.add(run, column, i64::from(steps) * i64::from(steps));
                }
            }
            if end < vertical.len() || beyond == Beyond::Edge {
                self.add(run, run.1, 0);
            }
            self.write(run, grid.cell as f32, &mut out[start..end]);
            start = end;
        }
    }

    /// Adds a parabola to a run, columns in rising order.
    fn add(&mut self, run: (i32, i32), column: i32, height: i64) {
        let mut from = run.0;
        while let Some(last) = self.parabolas.last() {
            let (c, k) = (i64::from(column), i64::from(last.column));
            let doubled = c * c - k * k + height - last.height;
            // The new one is the lower from the first whole x above `doubled / 2 (column - last)` on. Both
            // are whole and below 2³⁴, so the quotient is never rounded onto a whole number it is not.
            let meet = if doubled < 0 { -1 } else { (doubled as f64 / (2 * (c - k)) as f64) as i64 };
            if meet + 1 >= i64::from(run.1) {
                return;
            }
            from = meet as i32 + 1;
            if from > last.from {
                break;
            }
            self.parabolas.pop();
            from = run.0;
        }
        self.parabolas.push(Parabola { column, from, height });
    }

    fn write(&self, run: (i32, i32), cell: f32, out: &mut [f32]) {
        if self.parabolas.is_empty() {
            out.fill(f32::INFINITY);
        }
        for (k, parabola) in self.parabolas.iter().enumerate() {
            let to = self.parabolas.get(k + 1).map_or(run.1, |next| next.from);
            let height = parabola.height as f32;
            let mut x = (parabola.from - parabola.column) as f32;
            for out in &mut out[(parabola.from - run.0) as usize..(to - run.0) as usize] {
                *out = ((x * x + height).sqrt() - 0.5) * cell;
                x += 1.0;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::Point;
    use proptest::prelude::*;

    fn grid(width: usize, height: usize) -> Grid {
        Grid { origin: Point::default(), cell: 0.1, width, height }
    }

    fn mask(width: usize, height: usize, open: impl Fn(usize, usize) -> bool) -> Mask {
        let cells = (0..height).flat_map(|row| (0..width).map(move |column| (column, row)));
        Mask { grid: grid(width, height), values: cells.map(|(column, row)| open(column, row)).collect() }
    }

    /// Every cell against every other.
    fn brute(mask: &Mask, side: Side, beyond: Beyond) -> Vec<f32> {
        let Grid { width, height, cell, .. } = mask.grid;
        let measured = side == Side::Open;
        let mut out = Vec::new();
        for (row, column) in (0..height).flat_map(|row| (0..width).map(move |column| (row, column))) {
            let mut least = i64::MAX;
            for (y, x) in (-1..=height as i64).flat_map(|y| (-1..=width as i64).map(move |x| (y, x))) {
                let inside = (0..height as i64).contains(&y) && (0..width as i64).contains(&x);
                let other = if inside { mask.row(y as usize)[x as usize] != measured } else { beyond == Beyond::Edge };
                if other {
                    least = least.min((x - column as i64).pow(2) + (y - row as i64).pow(2));
                }
            }
            out.push(match least {
                0 => 0.0,
                i64::MAX => f32::INFINITY,
                squared => ((squared as f32).sqrt() - 0.5) * cell as f32,
            });
        }
        out
    }

    #[test]
    fn a_straight_edge_is_measured_true() {
        let slot = mask(30, 20, |column, _| (5..15).contains(&column));
        let field = distance(&slot, Side::Open, Beyond::Nothing);
        // Edge at 0.5 mm, first centre at 0.55, and so on to the middle.
        let row: Vec<f32> = field.row(7)[4..11].iter().map(|mm| (mm * 1000.0).round()).collect();
        assert_eq!(row, [0.0, 50.0, 150.0, 250.0, 350.0, 450.0, 450.0]);
        let outside = distance(&slot, Side::Closed, Beyond::Nothing);
        assert!((outside.row(7)[0] - 0.45).abs() < 1e-6 && outside.row(7)[29] > 1.4);
    }

    #[test]
    fn with_nothing_on_the_other_side_it_is_infinite_unless_the_border_counts() {
        let all = mask(5, 5, |_, _| true);
        assert!(distance(&all, Side::Open, Beyond::Nothing).values.iter().all(|mm| mm.is_infinite()));
        assert!((distance(&all, Side::Open, Beyond::Edge).row(2)[2] - 0.25).abs() < 1e-6);
        assert!(distance(&mask(0, 0, |_, _| true), Side::Open, Beyond::Edge).values.is_empty());
    }

    #[test]
    fn strips_meet_without_a_seam() {
        let wide = mask(1100, 9, |column, row| (column * 7 + row * 13) % 97 != 0);
        assert_eq!(distance(&wide, Side::Open, Beyond::Nothing).values, brute(&wide, Side::Open, Beyond::Nothing));
    }

    proptest! {
        #[test]
        fn it_is_exact_against_brute_force(
            (width, height, cells) in (1..24_usize, 1..24_usize)
                .prop_flat_map(|(w, h)| (Just(w), Just(h), proptest::collection::vec(proptest::bool::weighted(0.8), w * h)))
        ) {
            let mask = Mask { grid: grid(width, height), values: cells };
            for side in [Side::Open, Side::Closed] {
                for beyond in [Beyond::Edge, Beyond::Nothing] {
                    prop_assert_eq!(distance(&mask, side, beyond).values, brute(&mask, side, beyond));
                }
            }
        }
    }
}
