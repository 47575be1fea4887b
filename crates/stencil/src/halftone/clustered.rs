//! Dots on a turned grid that grow with the tone.

use std::f64::consts::PI;
use std::sync::OnceLock;

/// Shape of a dot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Dot {
    /// Round dots in the lights, round holes in the darks, a chequerboard between: spot function
    /// `cos 2πu + cos 2πv`.
    #[default]
    RoundBothWays,
    /// Round dots until they touch at 78.5 %, and pointed holes from there.
    Round,
}

/// A screen of clustered dots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clustered {
    /// From one dot to the next, mm.
    pub pitch_mm: f64,
    /// The rows' angle from the x axis, degrees.
    pub angle_degrees: f64,
    /// Shape of a dot.
    pub dot: Dot,
}

/// A screen's tone thresholds along one row of a film, stepped in whole 2^-32ths of a cell, which wrap by themselves.
#[derive(Clone, Copy)]
pub(super) struct Row {
    u: u32,
    v: u32,
    du: u32,
    dv: u32,
    tile: &'static [u16],
}

/// Where the film's corner lies in a cell. No symmetry, so that no two pixels of a cell tie, whatever the angle.
const PHASE: (f64, f64) = (0.131_07, 0.293_71);

impl Clustered {
    /// Tone at and above which the place is black: the share of a cell that turns black before it does.
    #[must_use]
    pub fn threshold(&self, x_mm: f64, y_mm: f64) -> f64 {
        let (u, v) = self.cell(x_mm, y_mm);
        threshold(self.dot, u, v)
    }

    pub(super) fn row(&self, x_mm: f64, y_mm: f64, step_mm: f64) -> Row {
        let (u, v) = self.cell(x_mm, y_mm);
        let (sin, cos) = self.angle_degrees.to_radians().sin_cos();
        let step = step_mm / self.pitch_mm;
        let [u, v, du, dv] = [u, v, step * cos, -step * sin].map(wrapped);
        Row { u, v, du, dv, tile: tile(self.dot) }
    }

    fn cell(&self, x_mm: f64, y_mm: f64) -> (f64, f64) {
        let (sin, cos) = self.angle_degrees.to_radians().sin_cos();
        ((x_mm * cos + y_mm * sin) / self.pitch_mm + PHASE.0, (y_mm * cos - x_mm * sin) / self.pitch_mm + PHASE.1)
    }
}

impl Row {
    /// The threshold of the next column, in 65535ths.
    pub(super) fn next(&mut self) -> u16 {
        let found = self.tile[(self.v >> SHIFT) as usize * EDGE + (self.u >> SHIFT) as usize];
        (self.u, self.v) = (self.u.wrapping_add(self.du), self.v.wrapping_add(self.dv));
        found
    }
}

/// The part of a cell past its last whole one, in 2^-32ths.
fn wrapped(cells: f64) -> u32 {
    ((cells - cells.floor()) * 4_294_967_296.0) as u64 as u32
}

/// Places along an edge of a cell at which thresholds are kept: 65 536 tones, 128 kB, so that a core keeps them near.
const EDGE: usize = 1 << (32 - SHIFT);
const SHIFT: u32 = 24;

fn tile(dot: Dot) -> &'static [u16] {
    static TILES: [OnceLock<Vec<u16>>; 2] = [OnceLock::new(), OnceLock::new()];
    let place = |i: usize| (i as f64 + 0.5) / EDGE as f64;
    let at = |i: usize| (65_535.0 * threshold(dot, place(i % EDGE), place(i / EDGE))).round() as u16;
    TILES[usize::from(dot == Dot::Round)].get_or_init(|| (0..EDGE * EDGE).map(at).collect())
}

fn threshold(dot: Dot, u: f64, v: f64) -> f64 {
    let (u, v) = (u - u.floor() - 0.5, v - v.floor() - 0.5);
    match dot {
        Dot::Round => looked_up(round_table(), 2.0 * (u * u + v * v)),
        Dot::RoundBothWays => looked_up(cosine_table(), 0.5 - 0.25 * ((2.0 * PI * u).cos() + (2.0 * PI * v).cos())),
    }
}

const TABLE: usize = 4096;

fn looked_up(table: &[f32; TABLE + 2], x: f64) -> f64 {
    let at = x.clamp(0.0, 1.0) * TABLE as f64;
    let (i, part) = (at as usize, at - at.floor());
    f64::from(table[i]) * (1.0 - part) + f64::from(table[i + 1]) * part
}

fn tabulated(area: impl Fn(f64) -> f64) -> [f32; TABLE + 2] {
    std::array::from_fn(|i| area((i as f64 / TABLE as f64).min(1.0)) as f32)
}

/// Area of the unit cell nearer to its middle than `r`, by `2 r²`: a circle, past 1/2 cut by the cell's sides.
fn round_table() -> &'static [f32; TABLE + 2] {
    static TABLE_ROUND: OnceLock<[f32; TABLE + 2]> = OnceLock::new();
    TABLE_ROUND.get_or_init(|| {
        tabulated(|twice| {
            let r2 = 0.5 * twice;
            let r = r2.sqrt();
            if r <= 0.5 {
                return PI * r2;
            }
            let past = r2 * (0.5 / r).acos() - 0.5 * (r2 - 0.25).max(0.0).sqrt();
            (PI * r2 - 4.0 * past).min(1.0)
        })
    })
}

/// Area of the unit cell where `1/2 - (cos 2πu + cos 2πv)/4` is below `x`.
///
/// For each `u` the part of `v` is `acos(c) / π`; the mean over `u` is a midpoint rule of 4096 steps, within 1e-5.
fn cosine_table() -> &'static [f32; TABLE + 2] {
    static TABLE_COSINE: OnceLock<[f32; TABLE + 2]> = OnceLock::new();
    TABLE_COSINE.get_or_init(|| {
        const STEPS: usize = 1024;
        let cosines: Vec<f64> = (0..STEPS).map(|i| (PI * (i as f64 + 0.5) / STEPS as f64).cos()).collect();
        tabulated(|x| {
            let level = 2.0 - 4.0 * x;
            cosines.iter().map(|c| (level - c).clamp(-1.0, 1.0).acos() / PI).sum::<f64>() / STEPS as f64
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thresholds_are_spread_evenly_so_every_tone_has_its_area() {
        for dot in [Dot::Round, Dot::RoundBothWays] {
            for tone in [0.02, 0.1, 0.3, 0.5, 0.78, 0.9, 0.98] {
                let n = 1000;
                let place = |i: u32| f64::from(i) / f64::from(n) + 0.000_37;
                let black = (0..n * n).filter(|k| threshold(dot, place(k / n), place(k % n)) < tone).count();
                let found = black as f64 / f64::from(n * n);
                // The chequerboard's edges run along the places' own diagonals, half of one row of them.
                assert!((found - tone).abs() < 5e-4, "{dot:?} {tone}: {found}");
            }
        }
    }

    #[test]
    fn light_dots_are_round_and_touch_at_their_tone() {
        // 10 %: the radius of the circle of that area, in every direction.
        let r = (0.1 / PI).sqrt();
        for step in 0..16 {
            let (sin, cos) = (f64::from(step) * PI / 8.0).sin_cos();
            let at = |r: f64| threshold(Dot::Round, 0.5 + r * cos, 0.5 + r * sin);
            assert!(at(0.999 * r) < 0.1 && at(1.001 * r) > 0.1);
        }
        let touching = threshold(Dot::Round, 1e-9, 0.5);
        assert!((touching - 0.25 * PI).abs() < 1e-4, "{touching}");
    }
}
