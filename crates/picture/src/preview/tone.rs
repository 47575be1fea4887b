//! Linear light into 8-bit sRGB.

use super::noise::hash;
use std::sync::LazyLock;

/// Steps of the table: finer than an 8-bit level even at black, where the curve is steepest.
const STEPS: usize = 4096;

static CURVE: LazyLock<Vec<f32>> = LazyLock::new(|| {
    let level = |i: usize| {
        let x = i as f32 / STEPS as f32;
        255.0 * if x <= 0.003_130_8 { 12.92 * x } else { 1.055 * x.powf(1.0 / 2.4) - 0.055 }
    };
    (0..=STEPS).map(level).collect()
});

/// Writes rows of pixels.
pub(super) struct Toner {
    curve: &'static [f32],
}

impl Toner {
    pub(super) fn new() -> Self {
        Self { curve: &CURVE }
    }

    /// One pixel of linear light, highlights rolled off, dark gradients dithered.
    pub(super) fn write(&self, pixel: &mut [u8], light: [f32; 3], x: usize, y: usize) {
        let dither = hash(x as i32, y as i32, 0x5eed) - 0.5;
        for (channel, light) in pixel.iter_mut().zip(light) {
            let level = self.curve[(shoulder(light) * STEPS as f32) as usize];
            *channel = (level + dither + 0.5) as u8;
        }
    }
}

/// Straight to 0.7, then bent so that bright light approaches 1.
fn shoulder(x: f32) -> f32 {
    if x <= 0.7 {
        return x.max(0.0);
    }
    let over = (x - 0.7).min(1e3);
    (0.7 + over / (1.0 + over / 0.3)).min(1.0)
}

pub(super) fn mix(a: [f32; 3], b: [f32; 3], share: f32) -> [f32; 3] {
    std::array::from_fn(|i| a[i] + (b[i] - a[i]) * share)
}

pub(super) fn add(a: [f32; 3], b: [f32; 3], times: f32) -> [f32; 3] {
    std::array::from_fn(|i| a[i] + b[i] * times)
}

pub(super) fn times(a: [f32; 3], factor: f32) -> [f32; 3] {
    a.map(|v| v * factor)
}

/// 0 below `from`, 1 above `to`, smooth between.
pub(super) fn step(from: f32, to: f32, x: f32) -> f32 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_light_is_never_darker_and_white_is_white() {
        let toner = Toner::new();
        let tone = |light: f32| {
            let mut pixel = [0; 3];
            toner.write(&mut pixel, [light; 3], 3, 5);
            pixel[0]
        };
        let levels: Vec<u8> = (0..=300).map(|i| tone(i as f32 / 100.0)).collect();
        assert!(levels.windows(2).all(|pair| pair[0] <= pair[1]));
        assert!(tone(0.0) <= 1 && tone(9.0) >= 250 && tone(-1.0) <= 1 && tone(f32::INFINITY) >= 254);
        // 18 % grey is sRGB 118 (IEC 61966-2-1 curve).
        assert!((i32::from(tone(0.18)) - 118).abs() <= 1, "{}", tone(0.18));
    }
}
