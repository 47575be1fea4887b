//! Equal spots scattered without clumps: a void-and-cluster tile.

use std::sync::OnceLock;

/// Spots along an edge of the tile, which repeats without a seam.
pub const TILE: usize = 128;
const COUNT: usize = TILE * TILE;
/// Width of the Gaussian that finds clusters and voids, in spots (1.5 in the method's paper, from memory).
const SIGMA: f64 = 1.5;
/// Beyond this it is nothing (1e-6).
const REACH: usize = 8;
/// Spots of the first pattern, a tenth of all.
const FIRST: usize = COUNT / 10;
/// Where the first pattern comes from; any number does.
const SEED: u64 = 0x5eed_0001;

/// The tile: for each spot the share of spots that turn black before it, `(rank + 1/2) / 128²`, row by row.
///
/// Made once, the same each time. Method: void and cluster (Ulichney 1993; its abstract was read): spots are
/// ranked by taking the tightest cluster away or filling the largest void, measured by a Gaussian that wraps
/// around the tile.
#[must_use]
pub fn tile() -> &'static [f32] {
    static MADE: OnceLock<Vec<f32>> = OnceLock::new();
    MADE.get_or_init(|| ranks().into_iter().map(|rank| (rank as f32 + 0.5) / COUNT as f32).collect())
}

/// Black spots and how crowded every place is.
#[derive(Clone)]
struct Pattern {
    black: Vec<bool>,
    crowd: Vec<f32>,
}

fn ranks() -> Vec<usize> {
    let mut first = relaxed();
    let (mut ranks, mut pattern) = (vec![0; COUNT], first.clone());
    for rank in (0..FIRST).rev() {
        let spot = first.tightest();
        first.turn(spot);
        ranks[spot] = rank;
    }
    for rank in FIRST..COUNT {
        let spot = pattern.emptiest();
        pattern.turn(spot);
        ranks[spot] = rank;
    }
    ranks
}

/// A tenth of the spots, moved from clusters into voids until none moves.
fn relaxed() -> Pattern {
    let mut pattern = Pattern { black: vec![false; COUNT], crowd: vec![0.0; COUNT] };
    let (mut state, mut left) = (SEED, FIRST);
    while left > 0 {
        // A multiplicative generator (Knuth's MMIX constants, from memory); its high bits are used.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let spot = (state >> 40) as usize % COUNT;
        if !pattern.black[spot] {
            pattern.turn(spot);
            left -= 1;
        }
    }
    // Each move lowers the crowding; rounding may let two spots swap for ever, so the moves are bounded.
    for _ in 0..COUNT {
        let from = pattern.tightest();
        pattern.turn(from);
        let to = pattern.emptiest();
        pattern.turn(to);
        if from == to {
            break;
        }
    }
    pattern
}

impl Pattern {
    fn tightest(&self) -> usize {
        let crowd = |i: usize| if self.black[i] { self.crowd[i] } else { f32::NEG_INFINITY };
        (0..COUNT).fold(0, |best, i| if crowd(i) > crowd(best) { i } else { best })
    }

    fn emptiest(&self) -> usize {
        let crowd = |i: usize| if self.black[i] { f32::INFINITY } else { self.crowd[i] };
        (0..COUNT).fold(0, |best, i| if crowd(i) < crowd(best) { i } else { best })
    }

    fn turn(&mut self, spot: usize) {
        let sign = if self.black[spot] { -1.0 } else { 1.0 };
        self.black[spot] = !self.black[spot];
        let (x, y) = (spot % TILE, spot / TILE);
        for (dy, row) in bell().iter().enumerate() {
            let line = (y + dy + TILE - REACH) % TILE * TILE;
            for (dx, weight) in row.iter().enumerate() {
                self.crowd[line + (x + dx + TILE - REACH) % TILE] += sign * weight;
            }
        }
    }
}

type Bell = [[f32; 2 * REACH + 1]; 2 * REACH + 1];

fn bell() -> &'static Bell {
    static BELL: OnceLock<Bell> = OnceLock::new();
    BELL.get_or_init(|| {
        let squared = |i: usize| (i as f64 - REACH as f64).powi(2);
        let weight = |dy, dx| (-(squared(dx) + squared(dy)) / (2.0 * SIGMA * SIGMA)).exp() as f32;
        std::array::from_fn(|dy| std::array::from_fn(|dx| weight(dy, dx)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::halftone::limits::principal_frequency;
    use std::f64::consts::TAU;

    /// Power at each whole frequency of the tile along one row or column transform, by a plain Fourier sum.
    fn transform(line: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let roots: Vec<(f64, f64)> = (0..TILE).map(|k| (TAU * k as f64 / TILE as f64).sin_cos()).collect();
        let at = |k: usize| {
            line.iter().enumerate().fold((0.0, 0.0), |(re, im), (n, z)| {
                let (sin, cos) = roots[k * n % TILE];
                (re + z.0 * cos + z.1 * sin, im + z.1 * cos - z.0 * sin)
            })
        };
        (0..TILE).map(at).collect()
    }

    /// Mean power in rings one step wide, over that of white noise of the same tone.
    fn rings(tone: f64) -> Vec<f64> {
        let value = |t: f32| if f64::from(t) < tone { 1.0 - tone } else { -tone };
        let rows: Vec<_> = tile()
            .chunks(TILE)
            .map(|row| transform(&row.iter().map(|&t| (value(t), 0.0)).collect::<Vec<_>>()))
            .collect();
        let mut rings = vec![(0.0, 0); TILE];
        for fx in 0..TILE {
            let column = transform(&(0..TILE).map(|y| rows[y][fx]).collect::<Vec<_>>());
            for (fy, z) in column.iter().enumerate().filter(|(fy, _)| (fx, *fy) != (0, 0)) {
                let signed = |f: usize| f.min(TILE - f) as f64;
                let ring = &mut rings[signed(fx).hypot(signed(fy)).round() as usize];
                *ring = (ring.0 + z.0 * z.0 + z.1 * z.1, ring.1 + 1);
            }
        }
        let white = COUNT as f64 * tone * (1.0 - tone);
        rings.iter().take(TILE / 2).map(|(sum, count)| sum / f64::from((*count).max(1)) / white).collect()
    }

    #[test]
    fn below_its_cut_off_the_spectrum_is_empty_and_above_it_is_not() {
        for tone in [0.05, 0.1, 0.25, 0.5, 0.75, 0.9] {
            let rings = rings(tone);
            let cut = principal_frequency(tone).min(0.5) * TILE as f64;
            let most = |share: f64| rings[1..(share * cut) as usize].iter().copied().fold(0.0, f64::max);
            let peak = rings
                .iter()
                .copied()
                .enumerate()
                .fold((0, 0.0), |best, ring| if ring.1 > best.1 { ring } else { best });
            let at = peak.0 as f64 / cut;
            println!(
                "tone {tone}: {:.3} of white below half the cut-off, {:.3} below 0.6; peak {:.2} at {at:.2}",
                most(0.5),
                most(0.6),
                peak.1
            );
            assert!(most(0.5) < 0.25 && most(0.6) < 0.5, "{tone}: {} {}", most(0.5), most(0.6));
            assert!(peak.1 > 1.0 && at > 0.8, "{tone}: {peak:?} {cut}");
        }
    }

    #[test]
    fn every_rank_is_there_once_and_tones_nest() {
        let mut ranks = ranks();
        ranks.sort_unstable();
        assert!(ranks.iter().enumerate().all(|(i, &rank)| i == rank));
    }
}
