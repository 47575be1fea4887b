//! How far a picture hangs askew, and turning it back.

use crate::grid::{Field, Grid, Point};
use rayon::prelude::*;

/// How far a picture is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skew {
    /// Clockwise, from -15 to 15 degrees.
    pub degrees: f64,
    /// Whether the picture has enough straight edges to tell.
    pub sure: bool,
}

/// Longest side of the picture that is looked at, in cells: a tenth of a degree moves its end by two.
const LOOK: usize = 1200;
/// Most edge points that are projected.
const POINTS: usize = 60_000;
/// Furthest that a picture is thought to be turned.
const FURTHEST: f64 = 15.0;
/// A true angle's profile has at least this many times the unevenness of a middling one.
const SURE: f64 = 1.5;

/// Finds how far a picture is turned, by its level and upright edges.
///
/// Method: edge points are projected along each angle; where lines run that way, many fall into the
/// same bin and the sum of squares is greatest. Steps of 0.2°, then of 0.02° about the best.
/// Accuracy: 0.1° for pictures of a few hundred cells of straight edges and more.
#[must_use]
pub fn skew(tone: &Field<f32>) -> Skew {
    let small = shrunk(tone, LOOK);
    let (level, upright) = edge_points(&small);
    if level.len() + upright.len() < 100 {
        return Skew { degrees: 0.0, sure: false };
    }
    let score = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        unevenness(level.iter().map(|p| p.y * cos - p.x * sin))
            + unevenness(upright.iter().map(|p| p.x * cos + p.y * sin))
    };
    let steps = (FURTHEST / 0.2) as i32;
    let coarse: Vec<(f64, f64)> =
        (-steps..=steps).into_par_iter().map(|i| f64::from(i) * 0.2).map(|d| (score(d), d)).collect();
    let fine = |around: f64| (-10..=10).map(move |i| around + f64::from(i) * 0.02);
    let best = coarse.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0.0));
    let (top, degrees) = fine(best.1).map(|d| (score(d), d)).max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or(best);
    let mut scores: Vec<f64> = coarse.iter().map(|(score, _)| *score).collect();
    scores.sort_by(f64::total_cmp);
    let middling = scores[scores.len() / 2];
    Skew { degrees, sure: top > SURE * middling && degrees.abs() < FURTHEST - 0.1 }
}

/// Places where the tone changes most downwards (level edges) and across (upright edges).
fn edge_points(tone: &Field<f32>) -> (Vec<Point>, Vec<Point>) {
    /// A change of tone that is an edge.
    const EDGE: f32 = 0.25;
    let Grid { width, height, .. } = tone.grid;
    let (mut level, mut upright) = (Vec::new(), Vec::new());
    for row in 1..height.saturating_sub(1) {
        for column in 1..width.saturating_sub(1) {
            let at = |dx: usize, dy: usize| tone.values[(row + dy - 1) * width + column + dx - 1];
            let (across, down) = (at(2, 1) - at(0, 1), at(1, 2) - at(1, 0));
            let point = Point { x: column as f64 - 0.5 * width as f64, y: row as f64 - 0.5 * height as f64 };
            if down.abs() > EDGE && down.abs() > 2.0 * across.abs() {
                level.push(point);
            } else if across.abs() > EDGE && across.abs() > 2.0 * down.abs() {
                upright.push(point);
            }
        }
    }
    (thinned(level), thinned(upright))
}

fn thinned(points: Vec<Point>) -> Vec<Point> {
    let step = points.len().div_ceil(POINTS).max(1);
    points.into_iter().step_by(step).collect()
}

/// Sum of the squares of a histogram with bins of one cell, each point shared between two.
fn unevenness(places: impl Iterator<Item = f64>) -> f64 {
    let mut bins = vec![0.0_f64; 3 * LOOK];
    for place in places {
        let at = place + 1.5 * LOOK as f64;
        let (bin, share) = (at as usize, at.fract());
        if bin + 1 < bins.len() {
            bins[bin] += 1.0 - share;
            bins[bin + 1] += share;
        }
    }
    bins.iter().map(|count| count * count).sum()
}

/// The mean of blocks, so that neither side is longer than `longest`.
fn shrunk(tone: &Field<f32>, longest: usize) -> Field<f32> {
    let by = tone.grid.width.max(tone.grid.height).div_ceil(longest).max(1);
    if by == 1 {
        return tone.clone();
    }
    let (width, height) = (tone.grid.width / by, tone.grid.height / by);
    let grid = Grid { cell: tone.grid.cell * by as f64, width, height, ..tone.grid };
    let mean = |index: usize| {
        let (column, row) = (index % width * by, index / width * by);
        let rows = (row..row + by).flat_map(|row| &tone.values[row * tone.grid.width + column..][..by]);
        rows.sum::<f32>() / (by * by) as f32
    };
    Field { grid, values: (0..width * height).into_par_iter().map(mean).collect() }
}

/// Turns a picture clockwise about its middle, on a sheet large enough, white beyond it.
#[must_use]
pub fn turned(tone: &Field<f32>, degrees: f64) -> Field<f32> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let Grid { width, height, .. } = tone.grid;
    let (w, h) = (width as f64, height as f64);
    let new_width = (w * cos.abs() + h * sin.abs()).ceil() as usize;
    let new_height = (w * sin.abs() + h * cos.abs()).ceil() as usize;
    let grid = Grid { width: new_width, height: new_height, ..tone.grid };
    let mut values = vec![1.0_f32; grid.len()];
    values.par_chunks_mut(new_width.max(1)).enumerate().for_each(|(row, out)| {
        let y = row as f64 + 0.5 - 0.5 * new_height as f64;
        for (column, out) in out.iter_mut().enumerate() {
            let x = column as f64 + 0.5 - 0.5 * new_width as f64;
            *out = between(tone, x * cos + y * sin + 0.5 * w - 0.5, y * cos - x * sin + 0.5 * h - 0.5);
        }
    });
    Field { grid, values }
}

/// The tone between cells' centres, bilinear; white beyond.
fn between(tone: &Field<f32>, x: f64, y: f64) -> f32 {
    let (column, row) = (x.floor(), y.floor());
    let cell = |dx: f64, dy: f64| {
        let (c, r) = (column + dx, row + dy);
        let inside = c >= 0.0 && r >= 0.0 && c < tone.grid.width as f64 && r < tone.grid.height as f64;
        if inside { tone.values[r as usize * tone.grid.width + c as usize] } else { 1.0 }
    };
    let (fx, fy) = ((x - column) as f32, (y - row) as f32);
    let top = cell(0.0, 0.0) * (1.0 - fx) + cell(1.0, 0.0) * fx;
    let bottom = cell(0.0, 1.0) * (1.0 - fx) + cell(1.0, 1.0) * fx;
    top * (1.0 - fy) + bottom * fy
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bars of different lengths, as a page of text is.
    fn page() -> Field<f32> {
        let grid = Grid { origin: Point::default(), cell: 0.1, width: 600, height: 400 };
        let tone = |i: usize| {
            let (x, y) = (i % 600, i / 600);
            let bar = y % 40 > 20 && (60..540).contains(&x) && (x / 30 + y / 40 * 7) % 5 != 0 && (40..360).contains(&y);
            if bar { 0.0 } else { 1.0 }
        };
        Field { grid, values: (0..600 * 400).map(tone).collect() }
    }

    #[test]
    fn a_page_turned_is_found_turned_by_as_much() {
        for degrees in [-11.0, -3.3, -0.4, 0.0, 0.7, 5.0, 14.0] {
            let found = skew(&turned(&page(), degrees));
            assert!(found.sure && (found.degrees - degrees).abs() < 0.1, "{degrees}: {found:?}");
        }
    }

    #[test]
    fn discs_have_no_direction() {
        let grid = Grid { origin: Point::default(), cell: 0.1, width: 500, height: 500 };
        let tone = |i: usize| {
            let (x, y) = ((i % 500) as f64, (i / 500) as f64);
            if (x - 200.0).hypot(y - 220.0) < 120.0 { 0.0 } else { 1.0 }
        };
        let found = skew(&Field { grid, values: (0..500 * 500).map(tone).collect() });
        assert!(!found.sure, "{found:?}");
    }
}
