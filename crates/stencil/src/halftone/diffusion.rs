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
const DOWN: usize = 2;
/// Spots that it reaches to a side, at most.
const SIDE: usize = 2;

/// A diffusion under way, row by row from the top.
///
/// A row first gathers what the rows above left it, every spot for itself; only the errors of its own row then
/// follow one another.
#[derive(Debug, Clone)]
pub struct Diffusion {
    kernel: Kernel,
    serpentine: bool,
    row: usize,
    /// Errors of the rows above, the nearest first, `SIDE` more at each end.
    above: [Vec<f32>; DOWN],
    /// Errors of this row, likewise.
    here: Vec<f32>,
}

impl Diffusion {
    /// Begins. `serpentine`: every other row runs from right to left, which avoids worms.
    #[must_use]
    pub fn new(kernel: Kernel, width: usize, serpentine: bool) -> Self {
        let empty = vec![0.0; width + 2 * SIDE];
        Self { kernel, serpentine, row: 0, above: [empty.clone(), empty.clone()], here: empty }
    }

    /// The next row: tones (share of black) into spots. A spot of a half and more turns black; errors off
    /// the edge are dropped. The tones are used up.
    pub fn next_row(&mut self, tones: &mut [f32], black: &mut [bool]) {
        let width = tones.len().min(black.len()).min(self.here.len() - 2 * SIDE);
        let way = self.way(self.row);
        let (tones, black) = (&mut tones[..width], &mut black[..width]);
        for &(dx, dy, weight) in self.kernel.to.iter().filter(|(_, dy, _)| *dy > 0) {
            let from = SIDE.wrapping_add_signed(-(dx as isize) * self.way(self.row.wrapping_sub(dy)));
            let share = self.share(weight);
            let errors = &self.above[dy - 1][from..from + width];
            tones.iter_mut().zip(errors).for_each(|(tone, error)| *tone += share * error);
        }
        let beside = [1, 2].map(|dx| self.kernel.to.iter().find(|to| to.0 == dx && to.1 == 0));
        let beside = beside.map(|to| to.map_or(0.0, |to| self.share(to.2)));
        let errors = &mut self.here[SIDE..SIDE + width];
        let spots = tones.iter().zip(black).zip(errors).map(|((&tone, black), error)| (tone, black, error));
        match way {
            1 => along(spots, beside),
            _ => along(spots.rev(), beside),
        }
        self.above.rotate_right(1);
        std::mem::swap(&mut self.above[0], &mut self.here);
        self.row += 1;
    }

    /// 1 for a row that runs to the right, -1 for one that runs back.
    fn way(&self, row: usize) -> isize {
        if self.serpentine && row % 2 == 1 { -1 } else { 1 }
    }

    fn share(&self, weight: i32) -> f32 {
        weight as f32 / self.kernel.divisor as f32
    }
}

/// Decides spot after spot; `beside`: shares of an error that the next two spots get.
fn along<'a>(spots: impl Iterator<Item = (f32, &'a mut bool, &'a mut f32)>, beside: [f32; 2]) {
    let (mut last, mut before) = (0.0, 0.0);
    for (tone, black, error) in spots {
        let wanted = tone + beside[1] * before + beside[0] * last;
        *black = wanted >= 0.5;
        *error = if *black { wanted - 1.0 } else { wanted };
        (before, last) = (last, *error);
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
                    diffusion.next_row(&mut [0.3; 300], &mut black);
                    count += black.iter().filter(|b| **b).count();
                }
                assert!((count as f64 / 90_000.0 - 0.3).abs() < 0.005, "{kernel:?} {serpentine} {count}");
            }
        }
    }

    /// The method as its papers write it: each spot hands its error on at once.
    fn handed_on(kernel: Kernel, tones: &[Vec<f32>], serpentine: bool) -> Vec<Vec<bool>> {
        let (width, mut wanted) = (tones[0].len(), tones.to_vec());
        let mut black = vec![vec![false; width]; tones.len()];
        for y in 0..tones.len() {
            let way = if serpentine && y % 2 == 1 { -1 } else { 1 };
            for step in 0..width {
                let x = if way < 0 { width - 1 - step } else { step };
                black[y][x] = wanted[y][x] >= 0.5;
                let error = wanted[y][x] - f32::from(u8::from(black[y][x]));
                for &(dx, dy, weight) in kernel.to {
                    let to = x.wrapping_add_signed((dx * way) as isize);
                    if let Some(spot) = wanted.get_mut(y + dy).and_then(|row| row.get_mut(to)) {
                        *spot += error * weight as f32 / kernel.divisor as f32;
                    }
                }
            }
        }
        black
    }

    #[test]
    fn rows_that_gather_their_errors_make_the_spots_of_errors_handed_on() {
        // The order of adding differs, so the last bits do; none of these spots hangs on them.
        let tones: Vec<Vec<f32>> =
            (0..9).map(|y| (0..40).map(|x| ((x * 7 + y * 13) % 256) as f32 / 256.0).collect()).collect();
        for serpentine in [false, true] {
            let wanted = handed_on(Kernel::FLOYD_STEINBERG, &tones[..3], serpentine);
            let mut diffusion = Diffusion::new(Kernel::FLOYD_STEINBERG, 40, serpentine);
            for (row, wanted) in tones[..3].iter().zip(&wanted) {
                let mut black = vec![false; 40];
                diffusion.next_row(&mut row.clone(), &mut black);
                assert_eq!(black, *wanted, "{serpentine}");
            }
        }
    }
}
