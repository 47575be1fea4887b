//! Narrow openings let fewer grains through: `Φ → Φ (w - d50)/w` at a local width `w`, nothing below three grains.
//!
//! The local width at a place is the diameter of the largest disc that lies inside the opening and holds the place.
//! Judgement, not a measurement: the derivation's default for the lag beyond what the slopes already explain.

use artwork::grid::Field;
use quantity::Diameter;

/// Openings narrower than this many grains pass nothing (the finest-line rule).
pub const CLOSED_BELOW: f64 = 3.0;
/// Openings wider than this many grains are not looked at: they lose less than 3 %.
const WIDE_ABOVE: f64 = 40.0;

/// Share of the flux that passes an opening `width_in_grains` medians wide.
#[must_use]
pub fn passage(width_in_grains: f64) -> f64 {
    if width_in_grains < CLOSED_BELOW { 0.0 } else { 1.0 - 1.0 / width_in_grains }
}

/// [`passage`] of each cell, 1 on wide ground and under resist: for [`crate::height_field::Opening::flux`].
///
/// Every local maximum of the edge distance below twenty grains paints its disc; a cell keeps the widest. Widths are
/// good to a cell; give cells no larger than the grains where it matters.
///
/// * `distance`: to the nearest edge in millimetres, 0 or below where covered.
#[must_use]
pub fn flux(distance: &Field<f32>, grain: Diameter) -> Field<f32> {
    let grid = distance.grid;
    let grain_mm = grain.to_mm();
    let mut width = Field::filled(grid, 0.0f32);
    for (i, &d) in distance.values.iter().enumerate() {
        if d > 0.0 && is_ridge(distance, i) {
            paint(&mut width, i, d);
        }
    }
    let share = |(&width, &d): (&f32, &f32)| {
        let grains = f64::from(width) / grain_mm;
        if d <= 0.0 || grains > WIDE_ABOVE { 1.0 } else { passage(grains) as f32 }
    };
    Field { grid, values: width.values.iter().zip(&distance.values).map(share).collect() }
}

/// Whether none of the eight cells around is farther from the edge by nearly the way there: a disc there would
/// hold this one's.
fn is_ridge(distance: &Field<f32>, i: usize) -> bool {
    let grid = distance.grid;
    let (x, y, own) = (i % grid.width, i / grid.width, distance.values[i]);
    let cell = grid.cell as f32;
    let near = |at: usize, end: usize| at.saturating_sub(1)..(at + 2).min(end);
    let holds = |cx: usize, cy: usize| {
        let way = if cx != x && cy != y { std::f32::consts::SQRT_2 * cell } else { cell };
        (cx, cy) != (x, y) && distance.values[cy * grid.width + cx] >= own + 0.98 * way
    };
    !near(y, grid.height).any(|cy| near(x, grid.width).any(|cx| holds(cx, cy)))
}

/// Notes a disc's diameter in all cells whose centre it holds.
fn paint(width: &mut Field<f32>, i: usize, radius: f32) {
    let grid = width.grid;
    let reach = f64::from(radius) / grid.cell;
    let (x, y) = ((i % grid.width) as f64, (i / grid.width) as f64);
    let rows = (y - reach).ceil().max(0.0) as usize..=((y + reach).floor() as usize).min(grid.height - 1);
    for row in rows {
        let half = (reach * reach - (row as f64 - y).powi(2)).max(0.0).sqrt();
        let columns = (x - half).ceil().max(0.0) as usize..=((x + half).floor() as usize).min(grid.width - 1);
        for cell in &mut width.values[row * grid.width..][columns] {
            *cell = cell.max(2.0 * radius);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::grid::{Grid, Point};

    fn distances(distance: impl Fn(Point) -> f64) -> Field<f32> {
        let grid = Grid { origin: Point { x: -3.0, y: -1.5 }, cell: 0.05, width: 120, height: 60 };
        let value = |i: usize| distance(grid.centre(i % grid.width, i / grid.width)) as f32;
        Field { grid, values: (0..grid.len()).map(value).collect() }
    }

    fn grain() -> Diameter {
        Diameter::um(100.0).unwrap()
    }

    #[test]
    fn a_slot_ten_grains_wide_loses_a_tenth_all_across() {
        let flux = flux(&distances(|p| 0.5 - p.y.abs()), grain());
        for (i, &share) in flux.values.iter().enumerate() {
            let p = flux.grid.centre(i % 120, i / 120);
            let want = if p.y.abs() < 0.5 { 0.9 } else { 1.0 };
            // The two middle rows lie half a cell off the axis: 0.95 mm are found instead of 1.0.
            assert!((f64::from(share) - want).abs() < 0.01, "{p:?}: {share}");
        }
    }

    #[test]
    fn below_three_grains_nothing_passes_and_wide_ground_is_left_alone() {
        assert_eq!((passage(2.9), passage(3.0)), (0.0, 1.0 - 1.0 / 3.0));
        let thin = flux(&distances(|p| 0.12 - p.y.abs()), grain());
        assert_eq!(thin.at(Point { x: 0.01, y: 0.01 }), Some(0.0));
        let wide = flux(&distances(|p| 9.0 - p.y.abs()), grain());
        assert!(wide.values.iter().all(|&share| share == 1.0));
    }

    #[test]
    fn a_taper_is_narrow_where_it_is_narrow() {
        // A wedge that opens from 0.4 mm to 1.6 mm.
        let flux = flux(&distances(|p| (0.5 + 0.1 * p.x) / 1.005 - p.y.abs() / 1.005), grain());
        let at = |x: f64| f64::from(flux.at(Point { x, y: 0.01 }).unwrap());
        assert!(at(-2.0) < at(0.0) && at(0.0) < at(2.0));
        assert!((at(0.0) - 0.9).abs() < 0.015, "{}", at(0.0));
    }
}
