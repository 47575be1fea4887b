//! Noise that depends on the place alone.

/// A number from 0 to 1 for a pair of integers, without visible order (a multiply-xorshift hash).
pub(super) fn hash(x: i32, y: i32, seed: u32) -> f32 {
    let mut h =
        (x as u32).wrapping_mul(0x9E37_79B1) ^ (y as u32).wrapping_mul(0x85EB_CA77) ^ seed.wrapping_mul(0xC2B2_AE3D);
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    (h >> 8) as f32 * (1.0 / 16_777_216.0)
}

/// Smooth noise, 0 to 1, that changes over about one unit.
pub(super) fn smooth(x: f32, y: f32, seed: u32) -> f32 {
    let (fx, fy) = (x.floor(), y.floor());
    let (ix, iy) = (fx as i32, fy as i32);
    let ease = |t: f32| t * t * (3.0 - 2.0 * t);
    let (u, v) = (ease(x - fx), ease(y - fy));
    let lerp = |a: f32, b: f32, t: f32| a + (b - a) * t;
    let top = lerp(hash(ix, iy, seed), hash(ix + 1, iy, seed), u);
    let bottom = lerp(hash(ix, iy + 1, seed), hash(ix + 1, iy + 1, seed), u);
    lerp(top, bottom, v)
}

/// Sum of smooth noises, each of half the size and half the strength of the one before; 0 to 1.
pub(super) fn layered(x: f32, y: f32, octaves: u32, seed: u32) -> f32 {
    let (mut sum, mut strength, mut size) = (0.0, 0.5, 1.0);
    for octave in 0..octaves {
        sum += strength * smooth(x * size, y * size, seed.wrapping_add(octave));
        (strength, size) = (strength * 0.5, size * 2.03);
    }
    sum / (1.0 - 0.5f32.powi(octaves as i32))
}

/// The grains of a stone: cells around scattered points, about one unit wide.
pub(super) struct Grains {
    left: i32,
    top: i32,
    width: usize,
    /// Place of each cell's point, and the grain's number.
    points: Vec<[f32; 3]>,
}

impl Grains {
    /// Grains that fill a rectangle.
    pub(super) fn over(x: (f32, f32), y: (f32, f32), seed: u32) -> Self {
        let (left, top) = (x.0.floor() as i32 - 2, y.0.floor() as i32 - 2);
        let (width, height) = ((x.1 - left as f32).ceil() as usize + 3, (y.1 - top as f32).ceil() as usize + 3);
        let point = |i: usize| {
            let (x, y) = (left + (i % width) as i32, top + (i / width) as i32);
            let own = hash(x, y, seed);
            [x as f32 + own, y as f32 + (own * 977.0).fract(), (own * 131.0).fract()]
        };
        Self { left, top, width, points: (0..width * height).map(point).collect() }
    }

    /// The grain that a place belongs to. Outside the rectangle, one near the nearest place inside.
    pub(super) fn at(&self, x: f32, y: f32) -> Grain {
        let height = self.points.len() / self.width;
        let column = ((x.floor() as i32 - self.left).max(1) as usize).min(self.width - 2);
        let row = ((y.floor() as i32 - self.top).max(1) as usize).min(height - 2);
        let mut grain = Grain { number: 0.0, nearest: f32::MAX, next: f32::MAX };
        for row in row - 1..=row + 1 {
            for &[px, py, number] in &self.points[row * self.width + column - 1..][..3] {
                let distance = (px - x) * (px - x) + (py - y) * (py - y);
                // Without branches: which point is nearest is as good as random.
                grain.next = grain.next.min(distance.max(grain.nearest));
                grain.number = if distance < grain.nearest { number } else { grain.number };
                grain.nearest = grain.nearest.min(distance);
            }
        }
        grain
    }
}

/// A grain at a place.
pub(super) struct Grain {
    /// From 0 to 1, the same all over the grain.
    pub(super) number: f32,
    nearest: f32,
    next: f32,
}

impl Grain {
    /// How deep inside the grain the place lies: 0 at its edge.
    pub(super) fn inside(&self) -> f32 {
        self.next.sqrt() - self.nearest.sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_even_and_without_order() {
        let n = 200;
        let values: Vec<f32> = (0..n * n).map(|i| hash(i % n, i / n, 7)).collect();
        let mean = values.iter().sum::<f32>() / values.len() as f32;
        let spread = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f32>() / values.len() as f32;
        assert!((mean - 0.5).abs() < 0.005 && (spread - 1.0 / 12.0).abs() < 0.002, "{mean} {spread}");
        let pair = |step: usize| -> f32 {
            let product = values.iter().zip(&values[step..]).map(|(a, b)| (a - mean) * (b - mean)).sum::<f32>();
            product / (values.len() as f32 * spread)
        };
        assert!(pair(1).abs() < 0.02 && pair(n as usize).abs() < 0.02, "{} {}", pair(1), pair(n as usize));
    }

    #[test]
    fn noises_stay_between_nought_and_one_and_smooth_ones_do_not_jump() {
        let grains = Grains::over((-200.0, 100.0), (-90.0, 10.0), 1);
        for i in 0..2000 {
            let (x, y) = (i as f32 * 0.37 - 200.0, i as f32 * 0.11 - 90.0);
            let here = layered(x, y, 4, 3);
            assert!((0.0..=1.0).contains(&here));
            assert!((layered(x + 1e-3, y, 4, 3) - here).abs() < 0.02);
            let grain = grains.at(x, y);
            assert!((0.0..=1.0).contains(&grain.number) && grain.inside() >= 0.0);
        }
    }
}
