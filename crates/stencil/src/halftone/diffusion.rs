//! Error diffusion: what one spot rounds off, its neighbours to come make good.

/// Which neighbours get which share: (right, rows down, weight), and the divisor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kernel {
    /// Neighbours.
    pub to: &'static [(i32, usize, i32)],
    /// Weights over this.
    pub divisor: i32,
}

impl Kernel {
    /// Floyd and Steinberg 1976 (read).
    pub const FLOYD_STEINBERG: Self = Self { to: &[(1, 0, 7), (-1, 1, 3), (0, 1, 5), (1, 1, 1)], divisor: 16 };
    /// Jarvis, Judice and Ninke 1976 (divisor read, weights from memory).
    pub const JARVIS_JUDICE_NINKE: Self = Self {
        to: &[
            (1, 0, 7),
            (2, 0, 5),
            (-2, 1, 3),
            (-1, 1, 5),
            (0, 1, 7),
            (1, 1, 5),
            (2, 1, 3),
            (-2, 2, 1),
            (-1, 2, 3),
            (0, 2, 5),
            (1, 2, 3),
            (2, 2, 1),
        ],
        divisor: 48,
    };
    /// Stucki 1981 (from memory).
    pub const STUCKI: Self = Self {
        to: &[
            (1, 0, 8),
            (2, 0, 4),
            (-2, 1, 2),
            (-1, 1, 4),
            (0, 1, 8),
            (1, 1, 4),
            (2, 1, 2),
            (-2, 2, 1),
            (-1, 2, 2),
            (0, 2, 4),
            (1, 2, 2),
            (2, 2, 1),
        ],
        divisor: 42,
    };
    /// Burkes (from memory).
    pub const BURKES: Self =
        Self { to: &[(1, 0, 8), (2, 0, 4), (-2, 1, 2), (-1, 1, 4), (0, 1, 8), (1, 1, 4), (2, 1, 2)], divisor: 32 };
    /// Sierra, three rows (from memory).
    pub const SIERRA: Self = Self {
        to: &[
            (1, 0, 5),
            (2, 0, 3),
            (-2, 1, 2),
            (-1, 1, 4),
            (0, 1, 5),
            (1, 1, 4),
            (2, 1, 2),
            (-1, 2, 2),
            (0, 2, 3),
            (1, 2, 2),
        ],
        divisor: 32,
    };

    /// Sum of the weights: the divisor for a kernel that keeps the tone.
    #[must_use]
    pub fn sum(&self) -> i32 {
        self.to.iter().map(|(_, _, weight)| weight).sum()
    }
}

/// Rows that an error reaches down, at most.
const DEPTH: usize = 3;
/// Spots that it reaches to a side, at most.
const SIDE: usize = 2;

/// A diffusion under way, row by row from the top.
#[derive(Debug, Clone)]
pub struct Diffusion {
    kernel: Kernel,
    serpentine: bool,
    row: usize,
    /// Errors for this row and those below, `SIDE` more at each end.
    errors: Vec<Vec<f32>>,
}

impl Diffusion {
    /// Begins. `serpentine`: every other row runs from right to left, which avoids worms.
    #[must_use]
    pub fn new(kernel: Kernel, width: usize, serpentine: bool) -> Self {
        Self { kernel, serpentine, row: 0, errors: vec![vec![0.0; width + 2 * SIDE]; DEPTH] }
    }

    /// The next row: tones (share of black) into spots. A spot of a half and more turns black; errors off
    /// the edge are dropped.
    pub fn next_row(&mut self, tones: &[f32], black: &mut [bool]) {
        let backwards = self.serpentine && self.row % 2 == 1;
        let width = tones.len().min(black.len()).min(self.errors[0].len() - 2 * SIDE);
        let shares: Vec<(isize, usize, f32)> = self.shares(if backwards { -1 } else { 1 });
        for step in 0..width {
            let x = if backwards { width - 1 - step } else { step };
            let wanted = tones[x] + self.errors[0][x + SIDE];
            black[x] = wanted >= 0.5;
            let error = wanted - f32::from(u8::from(black[x]));
            for &(dx, dy, share) in &shares {
                self.errors[dy][(x + SIDE).wrapping_add_signed(dx)] += error * share;
            }
        }
        self.errors.rotate_left(1);
        self.errors[DEPTH - 1].fill(0.0);
        self.row += 1;
    }

    fn shares(&self, way: i32) -> Vec<(isize, usize, f32)> {
        let share = |&(dx, dy, w): &(i32, usize, i32)| ((dx * way) as isize, dy, w as f32 / self.kernel.divisor as f32);
        self.kernel.to.iter().map(share).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kernel_keeps_the_tone_of_a_field() {
        let kernels =
            [Kernel::FLOYD_STEINBERG, Kernel::JARVIS_JUDICE_NINKE, Kernel::STUCKI, Kernel::BURKES, Kernel::SIERRA];
        for kernel in kernels {
            for serpentine in [false, true] {
                let mut diffusion = Diffusion::new(kernel, 300, serpentine);
                let (mut black, mut count) = (vec![false; 300], 0);
                for _ in 0..300 {
                    diffusion.next_row(&[0.3; 300], &mut black);
                    count += black.iter().filter(|b| **b).count();
                }
                assert!((count as f64 / 90_000.0 - 0.3).abs() < 0.005, "{kernel:?} {serpentine} {count}");
            }
        }
    }
}
