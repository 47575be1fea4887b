//! A relief lit as a height field: slopes, a soft shadow, and what lies low among higher places.

use super::look::Look;
use super::noise::{hash, smooth};
use super::plane::{Place, Plane, resampled};
use super::setting::{Ground, Light, Setting};
use super::tone::step;
use piece::Side;
use plan::Relief;
use rayon::prelude::*;
use std::ops::Range;

/// Towards the light: from the upper left, toward the viewer. Length 1.
const TO_LIGHT: [f32; 3] = [-0.530, -0.663, 0.529];
/// Rise of a ray towards the light over its run across the face.
const RAY_RISE: f32 = 0.623;
/// Steps of a ray. More smooth the shadow's edge.
const RAY_STEPS: usize = 10;

/// A relief at the picture's scale, lit.
pub(super) struct Lit {
    /// Light that its surface sends to the viewer, 1 for a flat bright one.
    pub(super) light: Plane,
    /// Share of each pixel that is carved.
    pub(super) frost: Plane,
    /// Where its pixels lie.
    pub(super) place: Place,
}

/// How a surface takes light.
pub(super) struct Surface {
    /// +1 when what is deep stands toward the viewer (carved from the back), -1 when it lies away.
    toward: f32,
    /// Light of a flat surface from everywhere.
    ambient: f32,
    /// Light of a surface that faces the key light.
    key: f32,
    /// How far light reaches round behind a slope: 0 for stone, more in glass, which scatters inside.
    wrap: f32,
    /// How much a shadow takes.
    shadow: f32,
    /// How much lying low takes.
    hollow: f32,
    /// Light that a steep wall catches from the edge, or, below 0, that it bends away from the eye.
    rim: f32,
    /// Share of it that a wall has whichever way it faces.
    rim_even: f32,
    /// How much brighter the deepest floor is than the shallowest.
    deep: f32,
    /// Strength of single grains.
    grain: f32,
}

impl Surface {
    pub(super) fn of(relief: &Relief, look: Look, setting: Setting) -> Self {
        let toward = if relief.side == Side::Back && !look.is_stone() { 1.0 } else { -1.0 };
        let rough_um = relief.roughness.to_um() as f32;
        if look.is_stone() {
            let grain = 0.10 + 0.008 * rough_um.min(12.0);
            let daylight = Self {
                ambient: 0.42,
                key: 1.1,
                wrap: 0.0,
                shadow: 0.75,
                hollow: 0.35,
                rim: 0.0,
                deep: 0.0,
                ..EDGE_LIT
            };
            return Self { toward, grain, ..daylight };
        }
        // Fine frost is dense and even; coarse frost is a little greyer and glitters.
        let grain = 0.06 + 0.022 * rough_um.min(12.0);
        let body = 1.06 - 0.02 * rough_um.min(12.0);
        let lit = match (setting.light, setting.ground) {
            (Light::Edge, Ground::Dark) => EDGE_LIT,
            (Light::Edge, Ground::Clear) => ROOM_LIT,
            (Light::Behind, Ground::Dark) => THROUGH_DARK,
            (Light::Behind, Ground::Clear) => THROUGH_CLEAR,
        };
        Self { toward, ambient: lit.ambient * body, key: lit.key * body, grain: grain * lit.grain, ..lit }
    }
}

/// Glass lit along its edge before a dark ground: `grain` here and below is how much of the frost's own shows.
const EDGE_LIT: Surface = Surface {
    toward: 1.0,
    ambient: 0.15,
    key: 0.72,
    wrap: 0.12,
    shadow: 0.65,
    hollow: 0.55,
    rim: 0.55,
    rim_even: 0.35,
    deep: 0.62,
    grain: 1.0,
};

/// In a light room the frost is a matte white; its floors lie in soft shade.
const ROOM_LIT: Surface =
    Surface { ambient: 0.34, key: 0.58, wrap: 0.3, shadow: 0.5, hollow: 0.6, rim: 0.12, deep: 0.25, ..EDGE_LIT };

/// A lamp behind, aside of the eye's line: frost scatters it to the eye, thin glass more of it, walls the most.
const THROUGH_DARK: Surface = Surface {
    ambient: 0.24,
    key: 0.30,
    wrap: 0.8,
    shadow: 0.12,
    hollow: 0.1,
    rim: 0.50,
    rim_even: 1.0,
    deep: 1.1,
    grain: 1.5,
    ..EDGE_LIT
};

/// A bright sky behind: frost dims it to an even milk, walls bend it away from the eye and stand dark.
const THROUGH_CLEAR: Surface = Surface {
    ambient: 0.40,
    key: 0.14,
    wrap: 1.0,
    shadow: 0.0,
    hollow: 0.0,
    rim: -0.34,
    rim_even: 1.0,
    deep: 0.45,
    grain: 0.8,
    ..EDGE_LIT
};

/// Resamples and lights a relief. Columns that are not `shown` to the front get flat light only.
pub(super) fn lit(relief: &Relief, surface: &Surface, place: Place, size: (usize, usize), shown: Range<usize>) -> Lit {
    let (width, height) = size;
    let (depth, mut frost) = resampled(&relief.depth_mm, place, width, height);
    if place.px_per_mm * relief.depth_mm.grid.cell > 0.5 {
        // Here edges were smoothed over more than a pixel: they are drawn along the middle of that.
        frost.values.par_iter_mut().for_each(|frost| *frost = step(0.3, 0.7, *frost));
    }
    let deepest = depth.values.par_iter().copied().reduce(|| 0.0, f32::max).max(1e-3);
    let around = depth.quarter().blurred((0.35 * place.px_per_mm as f32).max(0.7));
    let swept = swept(&around, place.px_per_mm as f32);
    let px_per_mm = place.px_per_mm as f32;
    let scene = Scene { depth: &depth, frost: &frost, around: &around, swept: &swept, deepest, px_per_mm };
    let rays = scene.rays();
    let mut light = Plane::zero(width, height);
    light.values.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
        let frosted = row.iter_mut().zip(frost.row(y)).enumerate().filter(|(_, (_, frost))| **frost > 0.0);
        for (x, (value, _)) in frosted {
            *value = if shown.contains(&x) {
                scene.light(x, y, surface, &rays)
            } else {
                surface.ambient + surface.key * TO_LIGHT[2]
            };
        }
    });
    Lit { light, frost, place }
}

/// The hand never goes over a place quite as often as over the next: slow changes of a few percent,
/// on the pixels of a quarter-size plane.
fn swept(like: &Plane, px_per_mm: f32) -> Plane {
    let mut plane = Plane::zero(like.width, like.height);
    let mm = 4.0 / px_per_mm;
    plane.values.par_chunks_mut(like.width).enumerate().for_each(|(y, row)| {
        let y_mm = y as f32 * mm;
        for (x, value) in row.iter_mut().enumerate() {
            let x_mm = x as f32 * mm;
            let noise = smooth(0.11 * x_mm, 0.16 * y_mm, 13) + smooth(0.45 * x_mm, 0.5 * y_mm, 14) - 1.0;
            *value = 0.05 * noise;
        }
    });
    plane
}

struct Scene<'a> {
    depth: &'a Plane,
    frost: &'a Plane,
    around: &'a Plane,
    swept: &'a Plane,
    deepest: f32,
    px_per_mm: f32,
}

/// A step of a ray: pixels to the right and down, and how far the ray has risen, in millimetres.
#[derive(Clone, Copy)]
struct Step {
    dx: isize,
    dy: isize,
    rise_mm: f32,
    /// One over the height above the ray that shuts the light off wholly.
    per_soft_mm: f32,
}

impl Scene<'_> {
    fn light(&self, x: usize, y: usize, surface: &Surface, rays: &[Step; RAY_STEPS]) -> f32 {
        let here = self.at(x as isize, y as isize);
        let (sx, sy) = self.slope(x, y);
        let (sx, sy) = (surface.toward * sx, surface.toward * sy);
        let steep = sx * sx + sy * sy;
        let facing = (TO_LIGHT[2] - sx * TO_LIGHT[0] - sy * TO_LIGHT[1]) / (1.0 + steep).sqrt();
        let facing = ((facing + surface.wrap) / (1.0 + surface.wrap)).max(0.0);
        let around = self.around.between(x as f32 / 4.0 - 0.375, y as f32 / 4.0 - 0.375);
        // On wide flat ground nothing stands near enough to throw a shadow.
        let flat = (around - here).abs() < 0.004 * self.deepest;
        let shadow = if flat { 0.0 } else { self.shadow(x, y, here, surface.toward, rays) };
        let shade = 1.0 - surface.shadow * shadow;
        let lower = (surface.toward * (around - here) / (0.6 * self.deepest)).clamp(0.0, 1.0);
        let open = 1.0 - surface.hollow * lower;
        // Walls that face the lit edge of the glass send its light on.
        let wall = step(0.15, 1.1, steep.sqrt())
            * (surface.rim_even + (1.0 - surface.rim_even) * step(-0.2, 0.9, sy + 0.6 * sx));
        let floor = 1.0 + surface.deep * ((here / self.deepest).sqrt() - 0.85);
        let light = (surface.ambient * open + surface.key * facing * shade) * floor + surface.rim * wall * shade;
        light.max(0.0) * self.grained(x, y, surface.grain)
    }

    fn at(&self, x: isize, y: isize) -> f32 {
        let x = x.clamp(0, self.depth.width as isize - 1) as usize;
        let y = y.clamp(0, self.depth.height as isize - 1) as usize;
        self.depth.values[y * self.depth.width + x]
    }

    /// Growth of depth to the right and down, mm/mm. At the rim of the frost only the frosted side
    /// counts: a pixel that is half clear is not a wall.
    fn slope(&self, x: usize, y: usize) -> (f32, f32) {
        let (x, y) = (x as isize, y as isize);
        let along = |dx: isize, dy: isize| 0.5 * (self.at(x + dx, y + dy) - self.at(x - dx, y - dy)) * self.px_per_mm;
        let frost = self.frost.values[y as usize * self.frost.width + x as usize];
        (along(1, 0) * frost, along(0, 1) * frost)
    }

    /// 0 in the open, 1 in full shadow.
    fn shadow(&self, x: usize, y: usize, here: f32, toward: f32, rays: &[Step; RAY_STEPS]) -> f32 {
        let over = |step: &Step, there: f32| (toward * (there - here) - step.rise_mm) * step.per_soft_mm;
        let (x, y) = (x as isize, y as isize);
        let (width, height) = (self.depth.width as isize, self.depth.height as isize);
        let last = &rays[RAY_STEPS - 1];
        let inside = x + last.dx >= 0 && y + last.dy >= 0 && x + last.dx < width && y + last.dy < height;
        let covered = if inside {
            let start = y * width + x;
            let there = |step: &Step| self.depth.values[(start + step.dy * width + step.dx) as usize];
            rays.iter().map(|step| over(step, there(step))).fold(0.0, f32::max)
        } else {
            rays.iter().map(|step| over(step, self.at(x + step.dx, y + step.dy))).fold(0.0, f32::max)
        };
        covered.min(1.0)
    }

    /// The ray's steps, as long as the deepest wall's shadow.
    fn rays(&self) -> [Step; RAY_STEPS] {
        let reach_mm = (self.deepest / RAY_RISE).max(2.0 / self.px_per_mm);
        let across = (TO_LIGHT[0] * TO_LIGHT[0] + TO_LIGHT[1] * TO_LIGHT[1]).sqrt();
        std::array::from_fn(|i| {
            let run_mm = reach_mm * ((i + 1) as f32 / RAY_STEPS as f32).powf(1.3);
            let px = |part: f32| (run_mm * self.px_per_mm * part / across).round() as isize;
            Step {
                dx: px(TO_LIGHT[0]),
                dy: px(TO_LIGHT[1]),
                rise_mm: run_mm * RAY_RISE,
                per_soft_mm: 1.0 / (0.25 * self.deepest + 0.4 * run_mm),
            }
        })
    }

    fn grained(&self, x: usize, y: usize, strength: f32) -> f32 {
        let fine = hash(x as i32, y as i32, 11) - 0.5;
        let pair = hash(x as i32 / 2, y as i32 / 2, 12) - 0.5;
        let swept = self.swept.between(x as f32 / 4.0 - 0.375, y as f32 / 4.0 - 0.375);
        1.0 + strength * (0.7 * fine + 0.5 * pair) + swept
    }
}
