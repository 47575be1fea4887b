//! Flow from one receiver into the next.

use crate::plant::{Placed, lift};
use crate::root::falling_root;

/// Shortest time in which two receivers may even out, s. A wider link is narrowed to that, as a
/// resistance in series: their difference is then overstated by at most the flow times this over
/// their capacity, about a centibar in a shop. Shorter costs steps.
const SETTLE_S: f64 = 0.1;
/// Steps of the table along each axis.
const PRESSURES: usize = 24;
const DROPS: usize = 48;

/// Flow against the second receiver's pressure and `sqrt(p1² - p2²)`, kg/s and Pa.
///
/// A pipe's flow is nearly proportional to that root at every pressure, and a part's by ISO 6358
/// nearly so. Read with cubics (Catmull and Rom) along both axes.
#[derive(Debug, Clone)]
pub(crate) struct Link {
    low: f64,
    high: f64,
    most_per_pascal: f64,
    values: Vec<f64>,
}

impl Link {
    /// Of parts between two receivers of given capacities (kg/Pa), for pressures up to `high`.
    pub(crate) fn of(parts: &[Placed], capacities: [f64; 2], low: f64, high: f64) -> Self {
        let most_per_pascal = 1.0 / (SETTLE_S * (1.0 / capacities[0] + 1.0 / capacities[1]));
        let mut values = Vec::with_capacity((PRESSURES + 1) * (DROPS + 1));
        for row in 0..=PRESSURES {
            let second = low + (high - low) * row as f64 / PRESSURES as f64;
            for column in 0..=DROPS {
                let root = high * column as f64 / DROPS as f64;
                let first = second.hypot(root);
                let excess = |flow: f64| first - lift(parts, flow, second).1 - flow / most_per_pascal;
                values.push(falling_root(0.0, (first - second) * most_per_pascal, excess));
            }
        }
        Self { low, high, most_per_pascal, values }
    }

    /// Flow from the first to the second; none backwards, where a check valve is assumed.
    pub(crate) fn flow(&self, first: f64, second: f64) -> f64 {
        // A stage of a step that will be refused may bring nonsense.
        if first.is_nan() || second.is_nan() || first <= second {
            return 0.0;
        }
        let x = ((second - self.low) / (self.high - self.low)).clamp(0.0, 1.0) * PRESSURES as f64;
        let y = ((first * first - second * second).max(0.0).sqrt() / self.high).clamp(0.0, 1.0) * DROPS as f64;
        let (row, column) = ((x as usize).min(PRESSURES - 1), (y as usize).min(DROPS - 1));
        let (s, t) = (x - row as f64, y - column as f64);
        let along = |row: usize| {
            let at = |offset: isize| {
                let place = column as isize + offset;
                // The law is odd in the root.
                let sign = if place < 0 { -1.0 } else { 1.0 };
                sign * self.values[row * (DROPS + 1) + place.unsigned_abs().min(DROPS)]
            };
            cubic([at(-1), at(0), at(1), at(2)], t)
        };
        let at = |offset: isize| along((row as isize + offset).clamp(0, PRESSURES as isize) as usize);
        cubic([at(-1), at(0), at(1), at(2)], s).clamp(0.0, self.most_per_pascal * (first - second))
    }
}

fn cubic([before, a, b, after]: [f64; 4], t: f64) -> f64 {
    let (slope_a, slope_b) = (0.5 * (b - before), 0.5 * (after - a));
    let difference = b - a;
    let c2 = 3.0 * difference - 2.0 * slope_a - slope_b;
    let c3 = slope_a + slope_b - 2.0 * difference;
    a + t * (slope_a + t * (c2 + t * c3))
}
