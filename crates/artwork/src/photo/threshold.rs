//! Ink and paper told apart.

use crate::grid::{Field, Grid, Mask};
use crate::label::{Neighbours, label};
use quantity::{Area, Length};
use rayon::prelude::*;

/// What counts as dark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Threshold {
    /// One level for the whole picture, half way between the mean tones of ink and paper, which are told
    /// apart by N. Otsu's criterion ("A threshold selection method from gray-level histograms", 1979; from memory):
    /// the split with the greatest variance between the two.
    Otsu,
    /// This level, 0 to 1.
    Level(f32),
    /// A level for each place, for uneven light: `m (1 + k (s / 0.5 - 1))` with the mean `m` and the standard
    /// deviation `s` of the tones around (J. Sauvola and M. Pietikäinen, "Adaptive document image
    /// binarization", 2000; from memory).
    Local {
        /// Side of the square around that is looked at: several strokes wide.
        window: Length,
        /// 0.2 to 0.5; larger leaves out more of what is faint.
        k: f32,
    },
}

/// How far each cell is on the dark side of the threshold: above zero is ink, as a difference of tone.
#[must_use]
pub fn ink(tone: &Field<f32>, threshold: Threshold) -> Field<f32> {
    let level = match threshold {
        Threshold::Local { window, k } => return local(tone, window, k),
        Threshold::Otsu => otsu(&tone.values),
        Threshold::Level(level) => level,
    };
    let mut field = Field { grid: tone.grid, values: tone.values.iter().map(|tone| level - tone).collect() };
    if is_bilevel(&field) {
        soften(&mut field);
    }
    field
}

fn otsu(tones: &[f32]) -> f32 {
    let mut histogram = [0_u64; 256];
    for tone in tones {
        histogram[(tone * 255.0).round().clamp(0.0, 255.0) as usize] += 1;
    }
    let total = tones.len() as f64;
    let sum: f64 = histogram.iter().enumerate().map(|(tone, &count)| tone as f64 * count as f64).sum();
    let (mut below, mut sum_below) = (0.0, 0.0);
    let (mut best, mut level) = (-1.0, 0.5);
    for (tone, &count) in histogram.iter().enumerate().take(255) {
        below += count as f64;
        sum_below += tone as f64 * count as f64;
        let above = total - below;
        if below == 0.0 || above == 0.0 {
            continue;
        }
        let (dark, light) = (sum_below / below, (sum - sum_below) / above);
        let between = below * above * (light - dark).powi(2);
        if between > best {
            (best, level) = (between, 0.5 * (dark + light) / 255.0);
        }
    }
    level as f32
}

/// Sums of tones and of their squares over any rectangle, by two running sums.
fn local(tone: &Field<f32>, window: Length, k: f32) -> Field<f32> {
    let Grid { width, height, cell, .. } = tone.grid;
    let reach = ((0.5 * window.to_mm() / cell) as usize).clamp(1, 2000);
    let stride = width + 1;
    let mut sums = vec![[0.0_f64; 2]; stride * (height + 1)];
    for row in 0..height {
        let mut line = [0.0; 2];
        for column in 0..width {
            let value = f64::from(tone.values[row * width + column]);
            line = [line[0] + value, line[1] + value * value];
            let above = sums[row * stride + column + 1];
            sums[(row + 1) * stride + column + 1] = [above[0] + line[0], above[1] + line[1]];
        }
    }
    let mut values = vec![0.0_f32; tone.values.len()];
    values.par_chunks_mut(width.max(1)).enumerate().for_each(|(row, out)| {
        let (top, bottom) = (row.saturating_sub(reach), (row + reach + 1).min(height));
        for (column, out) in out.iter_mut().enumerate() {
            let (left, right) = (column.saturating_sub(reach), (column + reach + 1).min(width));
            let sum = |i: usize| {
                sums[bottom * stride + right][i] - sums[top * stride + right][i] - sums[bottom * stride + left][i]
                    + sums[top * stride + left][i]
            };
            let count = ((bottom - top) * (right - left)) as f64;
            let mean = sum(0) / count;
            let deviation = (sum(1) / count - mean * mean).max(0.0).sqrt();
            let level = mean * (1.0 + f64::from(k) * (deviation / 0.5 - 1.0));
            *out = level as f32 - tone.values[row * width + column];
        }
    });
    Field { grid: tone.grid, values }
}

/// Whether edges are hard: ink next to paper with nothing between.
fn is_bilevel(field: &Field<f32>) -> bool {
    let far = field.values.iter().fold(0.0_f32, |far, value| far.max(value.abs()));
    let between = field.values.iter().filter(|value| value.abs() < 0.7 * far).count();
    let width = field.grid.width.max(1);
    let crossings = field.values.chunks_exact(width).flat_map(|row| row.windows(2));
    let crossings = crossings.filter(|pair| (pair[0] > 0.0) != (pair[1] > 0.0)).count();
    crossings > 0 && between * 10 < crossings
}

/// Steps between cells become slopes, that the outline may run between them: 1-2-1 both ways.
fn soften(field: &mut Field<f32>) {
    let Grid { width, height, .. } = field.grid;
    let blur = |a: f32, b: f32, c: f32| 0.25 * (a + 2.0 * b + c);
    field.values.par_chunks_mut(width.max(1)).for_each(|row| {
        let mut before = row[0];
        for column in 0..row.len() {
            let own = row[column];
            row[column] = blur(before, own, row.get(column + 1).copied().unwrap_or(own));
            before = own;
        }
    });
    let mut before = field.values[..width].to_vec();
    for row in 0..height {
        for (column, before) in before.iter_mut().enumerate() {
            let at = row * width + column;
            let own = field.values[at];
            let below = if row + 1 < height { field.values[at + width] } else { own };
            field.values[at] = blur(*before, own, below);
            *before = own;
        }
    }
}

/// Drops specks of ink and pinholes of paper smaller than an area; gives how many.
pub fn despeckle(ink: &mut Field<f32>, smaller: Area) -> usize {
    let cells = smaller.to_square_mm() / ink.grid.cell_area();
    drop_parts(ink, true, cells) + drop_parts(ink, false, cells)
}

fn drop_parts(ink: &mut Field<f32>, dark: bool, smaller: f64) -> usize {
    let mask = Mask { grid: ink.grid, values: ink.values.iter().map(|&value| (value > 0.0) == dark).collect() };
    // Ink hangs together over corners, and so paper does not.
    let labels = label(&mask, if dark { Neighbours::Eight } else { Neighbours::Four });
    let small: Vec<bool> = labels.parts.iter().map(|part| (part.cells as f64) < smaller).collect();
    for (value, &name) in ink.values.iter_mut().zip(&labels.field.values) {
        if name > 0 && small[name as usize - 1] {
            // Just on the other side, so that no outline passes between it and its neighbours.
            *value = if dark { -1e-3 } else { 1e-3 };
        }
    }
    small.iter().filter(|small| **small).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::Point;

    fn field(width: usize, height: usize, tone: impl Fn(usize, usize) -> f32) -> Field<f32> {
        let grid = Grid { origin: Point::default(), cell: 0.1, width, height };
        Field { grid, values: (0..width * height).map(|i| tone(i % width, i / width)).collect() }
    }

    fn dark(ink: &Field<f32>) -> usize {
        ink.values.iter().filter(|value| **value > 0.0).count()
    }

    #[test]
    fn grey_ink_on_grey_paper_is_told_apart() {
        let page = field(60, 40, |x, y| if (10..30).contains(&x) && (5..35).contains(&y) { 0.4 } else { 0.7 });
        assert_eq!(dark(&ink(&page, Threshold::Otsu)), 20 * 30);
        assert_eq!(dark(&ink(&page, Threshold::Level(0.3))), 0);
    }

    #[test]
    fn uneven_light_wants_a_local_level() {
        // Light falls from 1 to 0.3; strokes are two fifths darker than the paper about them.
        let stroke = |x: usize| x % 20 < 3;
        let page = field(400, 60, |x, _| (1.0 - 0.7 * x as f32 / 400.0) * if stroke(x) { 0.4 } else { 1.0 });
        let wrong =
            |ink: &Field<f32>| ink.values.iter().enumerate().filter(|(i, v)| (**v > 0.0) != stroke(i % 400)).count();
        let local = Threshold::Local { window: Length::mm(4.0).unwrap(), k: 0.3 };
        assert!(wrong(&ink(&page, Threshold::Otsu)) > 2000);
        assert!(wrong(&ink(&page, local)) < 60, "{}", wrong(&ink(&page, local)));
    }

    #[test]
    fn specks_and_pinholes_go_and_the_rest_stays() {
        let page = field(100, 100, |x, y| {
            let block = (20..80).contains(&x) && (20..80).contains(&y);
            let speck = (x, y) == (5, 5) || (x, y) == (90, 40);
            let pinhole = (40..42).contains(&x) && (40..42).contains(&y);
            if (block && !pinhole) || speck { 0.0 } else { 1.0 }
        });
        let mut found = Field { grid: page.grid, values: page.values.iter().map(|tone| 0.5 - tone).collect() };
        assert_eq!(despeckle(&mut found, Area::square_mm(0.05).unwrap()), 3);
        assert_eq!(dark(&found), 60 * 60);
    }
}
