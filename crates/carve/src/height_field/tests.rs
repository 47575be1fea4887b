//! Checks against the closed form (distance rule) and properties of the equation.

use super::*;
use crate::distance_rule::DistanceRule;
use artwork::grid::Point;
use proptest::prelude::*;

const THREE_K: [f64; 3] = [2.0, 7.0 / 3.0, 3.0];

/// Ground of `width` by `height` millimetres around (0, 0).
fn ground(width: f64, height: f64, cell: f64) -> Grid {
    Grid {
        origin: Point { x: -0.5 * width, y: -0.5 * height },
        cell,
        width: (width / cell).round() as usize,
        height: (height / cell).round() as usize,
    }
}

fn field<T: Copy>(grid: Grid, value: impl Fn(Point) -> T) -> Field<T> {
    let cells = (0..grid.len()).map(|i| value(grid.centre(i % grid.width, i / grid.width)));
    Field { grid, values: cells.collect() }
}

fn mm(value: f64) -> Length {
    Length::mm(value).unwrap()
}

/// The solver's depth for an opening given by its signed edge distance, with that distance or without.
fn carved(grid: Grid, k: f64, dose: f64, with_edge: bool, distance: impl Fn(Point) -> f64) -> Field<f32> {
    let edge = field(grid, |p| distance(p) as f32);
    let mask = Field { grid, values: edge.values.iter().map(|&d| d > 0.0).collect() };
    let opening = Opening { mask: &mask, edge: with_edge.then_some(&edge), dose: mm(dose) };
    carve(&[opening], &SolveOptions::new(k), &carry_on).unwrap()
}

/// Largest and mean error over `points`, as shares of the deepest point of the closed form.
fn errors(depth: &Field<f32>, k: f64, dose: f64, distance: impl Fn(Point) -> f64, points: impl Fn(Point) -> bool) -> [f64; 2] {
    let rule = DistanceRule::new(k).unwrap();
    let grid = depth.grid;
    let (mut largest, mut sum, mut count, mut deepest) = (0.0f64, 0.0, 0, 0.0f64);
    for (i, &z) in depth.values.iter().enumerate() {
        let p = grid.centre(i % grid.width, i / grid.width);
        if distance(p) > 0.0 && points(p) {
            let want = dose * rule.share_exact(distance(p) / dose);
            let error = (f64::from(z) - want).abs();
            (largest, sum, count, deepest) = (largest.max(error), sum + error, count + 1, deepest.max(want));
        }
    }
    [largest / deepest, sum / f64::from(count) / deepest]
}

fn slot(p: Point) -> f64 {
    1.0 - p.x.abs()
}

/// Errors across the middle of a slot of half-width 1 mm.
fn slot_errors(k: f64, dose: f64, cell: f64) -> [f64; 2] {
    let grid = ground(2.4, 4.8, cell);
    errors(&carved(grid, k, dose, false, slot), k, dose, slot, |p| p.y.abs() < cell)
}

#[test]
fn a_slot_agrees_with_the_closed_form_and_halving_the_cell_cuts_the_error() {
    for k in THREE_K {
        for dose in [0.5, 1.0, 1.5, 3.0] {
            let rows: Vec<[f64; 2]> = [0.1, 0.05, 0.025, 0.0125].map(|cell| slot_errors(k, dose, cell)).to_vec();
            for (row, cell) in rows.iter().zip([0.1, 0.05, 0.025, 0.0125]) {
                print!("k {k:.2} dose {dose} cell {cell}: max {:.2} % mean {:.2} %; ", row[0] * 100.0, row[1] * 100.0);
            }
            println!("ratios {:?}", rows.windows(2).map(|w| [w[0][0] / w[1][0], w[0][1] / w[1][1]]).collect::<Vec<_>>());
        }
    }
}
