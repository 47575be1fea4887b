//! A square of `2^n + 1` by `2^n + 1` heights as the fewest right-angled triangles that keep within a tolerance.
//!
//! A triangle may be cut in two from its right angle to the middle of its longest side. A side's middle is left out
//! only where it, and every middle below it, lies within the tolerance of the side that it would halve, so no vertex
//! ever lies on another triangle's side: the mesh has no cracks. Halvings left out add up: a place can lie farther than
//! the tolerance from the mesh, 1.2 times in the test here. Method: bintree triangulation of terrain (from memory: Lindstrom
//! et al. 1996, Evans et al. 2001).

use super::wall::Bend;

/// Heights with what leaving out each place would cost.
pub(super) struct Bisection<'a> {
    /// Steps along a side, a power of two.
    size: usize,
    /// How far a place, or any below it, lies from the side that it would halve.
    errors: Vec<f32>,
    heights: &'a [f32],
    /// Of a sheet whose left and right end are one.
    bend: Option<Bend>,
}

/// A place by its column and row.
type Place = [usize; 2];

impl<'a> Bisection<'a> {
    /// * `heights`: `(size + 1)²` of them, row by row. * `bend`: of a sheet that is bent round; its first and last
    ///   column then hold the same heights.
    pub(super) fn new(size: usize, heights: &'a [f32], bend: Option<Bend>) -> Self {
        let mut all = Self { size, errors: vec![0.0; heights.len()], heights, bend };
        let mut side = 2;
        while side <= size {
            all.sides(side);
            if bend.is_some() {
                all.join(side);
            }
            all.diagonals(side);
            side *= 2;
        }
        all
    }

    fn at(&self, x: usize, y: usize) -> usize {
        y * (self.size + 1) + x
    }

    fn off(&self, middle: usize, a: usize, b: usize) -> f32 {
        let row = self.size + 1;
        let sag = self.bend.map_or(0.0, |bend| bend.sag_mm((a % row).abs_diff(b % row), (a / row).abs_diff(b / row)));
        (self.heights[middle] - 0.5 * (self.heights[a] + self.heights[b])).abs() + sag
    }

    /// Both ends of the sheet are halved alike, so that they fit each other.
    fn join(&mut self, side: usize) {
        for y in (side / 2..self.size).step_by(side) {
            let (first, last) = (self.at(0, y), self.at(self.size, y));
            let most = self.errors[first].max(self.errors[last]);
            self.errors[first] = most;
            self.errors[last] = most;
        }
    }

    /// Middles of the sides of squares. Below each lie the middles of the (at most four) half-sized squares around it.
    fn sides(&mut self, side: usize) {
        let (half, quarter) = (side / 2, side / 4);
        for y in (0..=self.size).step_by(half) {
            let odd = (y / half) % 2 == 1;
            for x in (if odd { 0 } else { half }..=self.size).step_by(side) {
                let (a, b) = match odd {
                    true => (self.at(x, y - half), self.at(x, y + half)),
                    false => (self.at(x - half, y), self.at(x + half, y)),
                };
                let below = if quarter == 0 { 0.0 } else { self.around(x, y, quarter) };
                let middle = self.at(x, y);
                self.errors[middle] = self.off(middle, a, b).max(below);
            }
        }
    }

    fn around(&self, x: usize, y: usize, step: usize) -> f32 {
        let mut most = 0.0f32;
        for y in [y.checked_sub(step), Some(y + step)].into_iter().flatten().filter(|&y| y <= self.size) {
            for x in [x.checked_sub(step), Some(x + step)].into_iter().flatten().filter(|&x| x <= self.size) {
                most = most.max(self.errors[self.at(x, y)]);
            }
        }
        most
    }

    /// Middles of squares, on the diagonal that cuts each. Below lie the middles of its four sides.
    fn diagonals(&mut self, side: usize) {
        let half = side / 2;
        for y in (half..self.size).step_by(side) {
            for x in (half..self.size).step_by(side) {
                let falls = ((x / side) + (y / side)).is_multiple_of(2);
                let (a, b) = match falls {
                    true => (self.at(x - half, y - half), self.at(x + half, y + half)),
                    false => (self.at(x + half, y - half), self.at(x - half, y + half)),
                };
                let sides = [self.at(x - half, y), self.at(x + half, y), self.at(x, y - half), self.at(x, y + half)];
                let below = sides.map(|place| self.errors[place]).into_iter().fold(0.0, f32::max);
                let middle = self.at(x, y);
                self.errors[middle] = self.off(middle, a, b).max(below);
            }
        }
    }

    /// Calls `each` with the three places of every triangle, all turning the same way.
    pub(super) fn triangles(&self, tolerance: f32, mut each: impl FnMut([Place; 3])) {
        let n = self.size;
        let mut open = vec![[[0, 0], [n, n], [n, 0]], [[n, n], [0, 0], [0, n]]];
        while let Some([a, b, c]) = open.pop() {
            let middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
            // Between the sides of one step there is no place left.
            let can = a[0].abs_diff(c[0]) + a[1].abs_diff(c[1]) > 1;
            if can && self.errors[self.at(middle[0], middle[1])] > tolerance {
                open.extend([[c, a, middle], [b, c, middle]]);
            } else {
                each([a, b, c]);
            }
        }
    }

    /// How many triangles that makes.
    pub(super) fn count(&self, tolerance: f32) -> usize {
        let mut count = 0;
        self.triangles(tolerance, |_| count += 1);
        count
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heights(size: usize, height: impl Fn(f64, f64) -> f64) -> Vec<f32> {
        let at = |i: usize| height((i % (size + 1)) as f64, (i / (size + 1)) as f64) as f32;
        (0..(size + 1) * (size + 1)).map(at).collect()
    }

    #[test]
    fn a_plane_is_two_triangles_and_a_spike_is_cut_out_around_itself() {
        let plane = heights(64, |x, y| 0.5 * x - 0.25 * y);
        assert_eq!(Bisection::new(64, &plane, None).count(1e-4), 2);
        let spike = heights(64, |x, y| if (x, y) == (21.0, 38.0) { 1.0 } else { 0.0 });
        let count = Bisection::new(64, &spike, None).count(0.01);
        assert!((20..200).contains(&count), "{count}");
    }

    #[test]
    fn every_place_stays_within_three_tolerances_of_the_triangle_over_it() {
        let size = 64;
        let field = heights(size, |x, y| (0.2 * x).sin() + (0.13 * x * y / 20.0).cos() + f64::from(u8::from(x > 30.0)));
        for tolerance in [0.02f32, 0.1, 0.5] {
            let bisection = Bisection::new(size, &field, None);
            let (mut worst, mut area, mut seen) = (0.0f64, 0.0, 0usize);
            bisection.triangles(tolerance, |corners| {
                let [a, b, c] = corners.map(|[x, y]| [x as f64, y as f64]);
                let cross = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
                    (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
                };
                let whole = cross(a, b, c);
                assert!(whole < 0.0, "all turn the same way");
                area += -0.5 * whole;
                let at = |[x, y]: Place| f64::from(field[y * (size + 1) + x]);
                let [low_x, high_x] = [a[0].min(b[0]).min(c[0]) as usize, a[0].max(b[0]).max(c[0]) as usize];
                let [low_y, high_y] = [a[1].min(b[1]).min(c[1]) as usize, a[1].max(b[1]).max(c[1]) as usize];
                for (x, y) in (low_y..=high_y).flat_map(|y| (low_x..=high_x).map(move |x| (x, y))) {
                    let p = [x as f64, y as f64];
                    let shares = [cross(p, b, c), cross(a, p, c), cross(a, b, p)].map(|part| part / whole);
                    if shares.iter().all(|&share| share >= -1e-12) {
                        let over: f64 = shares.iter().zip(corners).map(|(share, corner)| share * at(corner)).sum();
                        worst = worst.max((over - at([x, y])).abs());
                        seen += 1;
                    }
                }
            });
            assert!(seen >= (size + 1) * (size + 1) && (area - (size * size) as f64).abs() < 1e-6);
            println!("tolerance {tolerance}: worst {worst:.3}");
            assert!(worst <= 3.0 * f64::from(tolerance), "{worst} of {tolerance}");
        }
    }
}
