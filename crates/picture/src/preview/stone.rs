//! Faces of stone: polished as quarried, and matte where they are carved. Linear RGB.
//!
//! Slow changes are worked out at a quarter of the picture's size, and read between.

use super::look::Look;
use super::noise::{Grains, layered, smooth};
use super::plane::{Place, Plane};
use super::tone::{add, mix, step, times};
use rayon::prelude::*;

/// A stone under a picture.
pub(super) struct Stone {
    look: Look,
    place: Place,
    /// Three slow noises, 0 to 1; what they are for is each stone's own.
    slow: [Plane; 3],
    /// Coarse and fine crystals, for granite.
    crystals: Option<Crystals>,
}

struct Crystals {
    coarse: Grains,
    fine: Grains,
    /// Coarse and fine crystals in a millimetre.
    per_mm: (f32, f32),
}

impl Stone {
    /// A stone under a picture of so many pixels.
    pub(super) fn under(look: Look, place: Place, width: usize, height: usize) -> Self {
        let slow = [0, 1, 2].map(|i| slow_plane(place, width, height, |x, y| slow(look, i, x, y)));
        let crystals = (look == Look::Granite).then(|| Crystals::under(place, width, height));
        Self { look, place, slow, crystals }
    }

    /// The polished face and the carved one at a pixel, before any light.
    pub(super) fn faces(&self, x: usize, y: usize) -> ([f32; 3], [f32; 3]) {
        let slow = |i: usize| self.slow[i].between(x as f32 / 4.0 - 0.375, y as f32 / 4.0 - 0.375);
        let mm = 1.0 / self.place.px_per_mm as f32;
        let (x_mm, y_mm) = (x as f32 * mm + self.place.x_mm as f32, y as f32 * mm + self.place.y_mm as f32);
        match (&self.crystals, self.look) {
            (Some(crystals), _) => granite(crystals, x_mm, y_mm, slow(0), slow(1)),
            (None, Look::Marble) => marble(x_mm, y_mm, slow(0) - 0.5, slow(1), slow(2) - 0.5),
            (None, _) => slate(slow(0), smooth(x_mm * 1.2, y_mm * 4.5, 42)),
        }
    }
}

impl Crystals {
    /// Crystals of about 1.2 and 0.45 mm, or larger where those would be finer than a pixel.
    fn under(place: Place, width: usize, height: usize) -> Self {
        let px_per_mm = place.px_per_mm as f32;
        let per_mm = (f32::min(0.82, 0.35 * px_per_mm), f32::min(2.2, 0.8 * px_per_mm));
        let span = |from: f64, pixels: usize, per_mm: f32| {
            let from = from as f32 * per_mm;
            (from - 1.0, from + pixels as f32 / px_per_mm * per_mm + 1.0)
        };
        let over = |per_mm: f32, seed: u32| {
            Grains::over(span(place.x_mm, width, per_mm), span(place.y_mm, height, per_mm), seed)
        };
        Self { coarse: over(per_mm.0, 21), fine: over(per_mm.1, 22), per_mm }
    }
}

fn slow(look: Look, which: usize, x: f32, y: f32) -> f32 {
    match (look, which) {
        (Look::Granite, 0) => smooth(x * 0.7, y * 0.7, 5),
        (Look::Granite, 1) => layered(x * 0.035, y * 0.035, 3, 23),
        (Look::Marble, 0) => layered(x * 0.010, y * 0.010, 4, 31),
        (Look::Marble, 1) => layered(x * 0.018, y * 0.018, 2, 33),
        (Look::Marble, _) => layered(x * 0.03, y * 0.03, 3, 32),
        (Look::Slate, 0) => layered(x * 0.035, y * 0.14, 4, 41),
        _ => 0.0,
    }
}

fn slow_plane(place: Place, width: usize, height: usize, noise: impl Fn(f32, f32) -> f32 + Sync) -> Plane {
    let mut plane = Plane::zero(width.div_ceil(4), height.div_ceil(4));
    let mm = 4.0 / place.px_per_mm as f32;
    let width = plane.width;
    plane.values.par_chunks_mut(width).enumerate().for_each(|(row, values)| {
        for (column, value) in values.iter_mut().enumerate() {
            *value = noise(column as f32 * mm + place.x_mm as f32, row as f32 * mm + place.y_mm as f32);
        }
    });
    plane
}

/// Dark feldspar and mica, greys between, a few pale flakes.
fn granite(crystals: &Crystals, x: f32, y: f32, bend: f32, cloud: f32) -> ([f32; 3], [f32; 3]) {
    let bend = bend - 0.5;
    let coarse = crystals.coarse.at(x * crystals.per_mm.0 + 0.9 * bend, y * crystals.per_mm.0 - 0.9 * bend);
    let fine = crystals.fine.at(x * crystals.per_mm.1 - bend, y * crystals.per_mm.1 + bend);
    let grey = if coarse.number > 0.62 { 0.030 * step(0.0, 0.35, coarse.inside()) } else { 0.0 };
    let pale_at = fine.number - 0.93;
    let flake = if pale_at > 0.0 { (0.05 + 1.6 * pale_at) * step(0.0, 0.3, fine.inside()) } else { 0.0 };
    let fine = fine.number;
    let tone = 0.006 + 0.014 * fine + grey * (0.5 + fine) * (0.4 + 1.2 * cloud) + flake;
    // Broken crystals scatter: all minerals become pale, the dark ones least.
    let pale = 0.34 + 0.16 * tone.sqrt() + 0.10 * (fine - 0.5) + 0.05 * (cloud - 0.5);
    (times([1.0, 1.005, 1.03], tone), times([1.0, 0.99, 0.965], pale))
}

/// White ground with soft veins along bent bands, thin ones beside them that come and go.
fn marble(x: f32, y: f32, bend: f32, strength: f32, cloud: f32) -> ([f32; 3], [f32; 3]) {
    let along = 0.011 * (x * 0.8 + y * 0.55) + 1.9 * bend;
    let band = |along: f32| 1.0 - (2.0 * (along.rem_euclid(1.0) - 0.5)).abs();
    let strength = step(0.35, 0.75, strength);
    let (wide, thin) = (band(along), band(1.9 * along + 0.8 * bend + 0.3));
    let broad = 0.22 * step(0.70, 1.0, wide) + 0.40 * step(0.95, 1.0, wide) * strength;
    let vein = (broad + 0.16 * step(0.965, 1.0, thin) * (1.0 - strength)).min(0.85);
    let ground = add([0.60, 0.595, 0.575], [0.10, 0.10, 0.10], cloud);
    (mix(ground, [0.19, 0.20, 0.215], vein), mix([0.80, 0.79, 0.765], [0.48, 0.485, 0.49], 0.6 * vein))
}

/// Dark, with the faint grain of its cleavage.
fn slate(cleft: f32, fine: f32) -> ([f32; 3], [f32; 3]) {
    let tone = 0.019 + 0.016 * cleft + 0.006 * fine;
    (times([0.92, 1.0, 1.10], tone), times([0.96, 1.0, 1.03], 0.235 + 0.06 * cleft + 0.05 * fine))
}
