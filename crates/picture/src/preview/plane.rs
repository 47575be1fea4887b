//! A grid of numbers at the picture's scale: resampling, blurring, reading between pixels.

use artwork::grid::{Field, Grid, Point};
use piece::Side;
use plan::Relief;
use rayon::prelude::*;

/// Depth from which a place counts as fully frosted: a few grains.
const FROST_MM: f32 = 0.02;

/// Half-width of the tent in cells where pixels are as fine as cells or finer. Below 1.5 slanting
/// edges show steps; above 2.5 lines of three cells fade.
const CELLS_SMOOTHED: f64 = 1.8;

/// Numbers in rows.
#[derive(Debug, Clone)]
pub(super) struct Plane {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) values: Vec<f32>,
}

/// Where a plane's pixels lie: place of its top left corner, and its scale.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) x_mm: f64,
    pub(super) y_mm: f64,
    pub(super) px_per_mm: f64,
}

/// The piece turned to its other side: what was on the left is on the right, what was deep stands out.
pub(super) fn turned(relief: &Relief) -> Relief {
    let grid = relief.depth_mm.grid;
    let right = grid.origin.x + grid.cell * grid.width as f64;
    let origin = Point { x: relief.body.sheet_width_mm() - right, ..grid.origin };
    let mut turned = relief.clone();
    turned.depth_mm.grid = Grid { origin, ..grid };
    turned.depth_mm.values.par_chunks_mut(grid.width.max(1)).for_each(<[f32]>::reverse);
    turned.layer.grid = turned.depth_mm.grid;
    turned.layer.values.par_chunks_mut(grid.width.max(1)).for_each(<[u8]>::reverse);
    turned.side = match relief.side {
        Side::Front => Side::Back,
        Side::Back => Side::Front,
    };
    turned
}

/// The cells that a pixel averages: the first, and the weight of each; the weights sum to 1 inside
/// the grid and to less at its rim (outside it the surface is untouched).
struct Taps {
    first: usize,
    weights: Vec<f32>,
}

impl Plane {
    pub(super) fn zero(width: usize, height: usize) -> Self {
        Self { width, height, values: vec![0.0; width * height] }
    }

    pub(super) fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width..][..self.width]
    }

    /// The value between pixels, `x` and `y` in pixels from the middle of the first; clamped to the rim.
    pub(super) fn between(&self, x: f32, y: f32) -> f32 {
        let (x, y) = (x.clamp(0.0, (self.width - 1) as f32), y.clamp(0.0, (self.height - 1) as f32));
        let (ix, iy) = (x as usize, y as usize);
        let (u, v) = (x - ix as f32, y - iy as f32);
        let (jx, jy) = ((ix + 1).min(self.width - 1), (iy + 1).min(self.height - 1));
        let at = |x: usize, y: usize| self.values[y * self.width + x];
        let top = at(ix, iy) + (at(jx, iy) - at(ix, iy)) * u;
        let bottom = at(ix, jy) + (at(jx, jy) - at(ix, jy)) * u;
        top + (bottom - top) * v
    }

    /// A quarter of the size each way, by averages.
    pub(super) fn quarter(&self) -> Self {
        let (width, height) = (self.width.div_ceil(4), self.height.div_ceil(4));
        let mut small = Self::zero(width, height);
        small.values.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
            let rows: Vec<&[f32]> = (4 * y..(4 * y + 4).min(self.height)).map(|y| self.row(y)).collect();
            for (x, value) in row.iter_mut().enumerate() {
                let (from, to) = (4 * x, (4 * x + 4).min(self.width));
                let sum: f32 = rows.iter().flat_map(|row| &row[from..to]).sum();
                *value = sum / (rows.len() * (to - from)) as f32;
            }
        });
        small
    }

    /// Blurred by three boxes, close to a bell of standard deviation `sigma` pixels.
    pub(super) fn blurred(&self, sigma: f32) -> Self {
        // Three boxes of width w have the variance (w² - 1) / 4.
        let radius = ((((4.0 * sigma * sigma + 1.0).sqrt() - 1.0) / 2.0).round() as usize).max(1);
        let mut plane = self.clone();
        for _ in 0..3 {
            plane = plane.box_rows(radius).turned();
            plane = plane.box_rows(radius).turned();
        }
        plane
    }

    fn box_rows(&self, radius: usize) -> Self {
        let mut out = Self::zero(self.width, self.height);
        let last = self.width - 1;
        let share = 1.0 / (2 * radius + 1) as f32;
        out.values.par_chunks_mut(self.width).enumerate().for_each(|(y, out)| {
            let row = self.row(y);
            let at = |x: isize| row[x.clamp(0, last as isize) as usize];
            let radius = radius as isize;
            let mut sum: f32 = (-radius..=radius).map(at).sum();
            for (x, value) in out.iter_mut().enumerate() {
                *value = sum * share;
                sum += at(x as isize + radius + 1) - at(x as isize - radius);
            }
        });
        out
    }

    fn turned(&self) -> Self {
        let mut out = Self::zero(self.height, self.width);
        out.values.par_chunks_mut(self.height).enumerate().for_each(|(x, column)| {
            for (y, value) in column.iter_mut().enumerate() {
                *value = self.values[y * self.width + x];
            }
        });
        out
    }
}

/// Depth in millimetres and share of frost, averaged over each pixel of a plane.
pub(super) fn resampled(depth_mm: &Field<f32>, place: Place, width: usize, height: usize) -> (Plane, Plane) {
    let grid = &depth_mm.grid;
    let cells_per_px = 1.0 / (place.px_per_mm * grid.cell);
    let first = |origin_mm: f64, from_mm: f64| (from_mm - origin_mm) / grid.cell;
    let columns = taps(width, first(grid.origin.x, place.x_mm), cells_per_px, grid.width);
    let rows = taps(height, first(grid.origin.y, place.y_mm), cells_per_px, grid.height);
    let (mut depth, mut frost) = (Plane::zero(width, height), Plane::zero(width, height));
    let out = depth.values.par_chunks_mut(width).zip(frost.values.par_chunks_mut(width)).zip(&rows);
    out.for_each_init(
        || (vec![0.0; grid.width], vec![0.0; grid.width]),
        |(sum_depth, sum_frost), ((depth_row, frost_row), taps)| {
            sum_depth.fill(0.0);
            sum_frost.fill(0.0);
            for (i, weight) in taps.weights.iter().enumerate() {
                add_row(sum_depth, sum_frost, depth_mm.row(taps.first + i), *weight);
            }
            if !taps.weights.is_empty() {
                across(depth_row, sum_depth, &columns);
                across(frost_row, sum_frost, &columns);
            }
        },
    );
    (depth, frost)
}

fn add_row(depth: &mut [f32], frost: &mut [f32], row: &[f32], weight: f32) {
    for ((depth, frost), &value) in depth.iter_mut().zip(frost).zip(row) {
        *depth += weight * value;
        *frost += weight * (value * (1.0 / FROST_MM)).min(1.0);
    }
}

fn across(out: &mut [f32], sums: &[f32], columns: &[Taps]) {
    for (value, taps) in out.iter_mut().zip(columns) {
        *value = taps.weights.iter().zip(&sums[taps.first..]).map(|(weight, sum)| weight * sum).sum();
    }
}

/// Weights of a tent: narrower than two pixels, so that the picture stays sharp, but wide enough
/// that no cell shows its corners.
fn taps(count: usize, first_cell: f64, cells_per_px: f64, cells: usize) -> Vec<Taps> {
    let half = f64::max(CELLS_SMOOTHED, 0.75 * cells_per_px);
    let of = |i: usize| {
        let middle = first_cell + (i as f64 + 0.5) * cells_per_px;
        let (low, high) = (f64::max(middle - half, 0.0), f64::min(middle + half, cells as f64));
        if high <= low {
            return Taps { first: 0, weights: Vec::new() };
        }
        let (from, to) = (low.floor() as usize, (high.ceil() as usize).min(cells));
        let below = |x: f64| tent_below((x - middle) / half);
        let weights = (from..to).map(|cell| (below(cell as f64 + 1.0) - below(cell as f64)) as f32).collect();
        Taps { first: from, weights }
    };
    (0..count).map(of).collect()
}

/// Share of a tent of half-width 1 that lies below `x`.
fn tent_below(x: f64) -> f64 {
    let x = x.clamp(-1.0, 1.0);
    if x < 0.0 { 0.5 * (1.0 + x) * (1.0 + x) } else { 1.0 - 0.5 * (1.0 - x) * (1.0 - x) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::grid::{Grid, Point};

    fn ramp() -> Field<f32> {
        let grid = Grid { origin: Point { x: 10.0, y: 20.0 }, cell: 0.1, width: 200, height: 100 };
        let values = (0..grid.len()).map(|i| (i % 200) as f32 * 0.01 + 0.5).collect();
        Field { grid, values }
    }

    #[test]
    fn resampling_keeps_the_value_of_a_place_at_any_scale() {
        let field = ramp();
        for px_per_mm in [1.5, 4.0, 10.0, 37.0] {
            let place = Place { x_mm: 8.0, y_mm: 18.0, px_per_mm };
            let (depth, _) = resampled(&field, place, (24.0 * px_per_mm) as usize, (14.0 * px_per_mm) as usize);
            let (x_mm, y_mm) = (20.0, 25.0);
            let pixel = |mm: f64, from: f64| ((mm - from) * px_per_mm - 0.5) as f32;
            let got = depth.between(pixel(x_mm, 8.0), pixel(y_mm, 18.0));
            // Cell i is centred on 10 + (i + 0.5) 0.1 mm and holds 0.5 + 0.01 i.
            let want = 0.5 + 0.01 * ((20.0 - 10.0) / 0.1 - 0.5) as f32;
            assert!((got - want).abs() < 2e-3, "{px_per_mm}: {got} against {want}");
        }
    }

    #[test]
    fn resampling_keeps_the_volume() {
        let field = ramp();
        let volume: f64 = field.values.iter().map(|&d| f64::from(d) * 0.01).sum();
        let (depth, frost) = resampled(&field, Place { x_mm: 5.0, y_mm: 15.0, px_per_mm: 3.3 }, 120, 80);
        let got: f64 = depth.values.iter().map(|&d| f64::from(d) / (3.3 * 3.3)).sum();
        assert!((got / volume - 1.0).abs() < 1e-4, "{got} against {volume}");
        let area: f64 = frost.values.iter().map(|&f| f64::from(f) / (3.3 * 3.3)).sum();
        assert!((area / 200.0 - 1.0).abs() < 1e-4, "20 x 10 mm are frosted, not {area}");
    }

    #[test]
    fn a_blur_keeps_the_sum_and_has_the_wanted_width() {
        let mut plane = Plane::zero(101, 81);
        plane.values[40 * 101 + 50] = 1.0;
        let blurred = plane.blurred(5.0);
        let sum: f32 = blurred.values.iter().sum();
        let variance: f32 = (0..81 * 101).map(|i| ((i % 101) as f32 - 50.0).powi(2) * blurred.values[i]).sum();
        assert!((sum - 1.0).abs() < 1e-4 && (variance.sqrt() - 5.0).abs() < 0.6, "{sum} {}", variance.sqrt());
    }

    #[test]
    fn a_quarter_is_the_average_also_at_the_rim() {
        let plane = Plane { width: 6, height: 5, values: vec![2.0; 30] };
        let small = plane.quarter();
        assert_eq!((small.width, small.height), (2, 2));
        assert!(small.values.iter().all(|&v| v == 2.0));
    }
}
