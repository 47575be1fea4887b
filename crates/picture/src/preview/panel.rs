//! A flat blank before its ground.

use super::blank::Frame;
use super::light::{Lit, Surface, lit};
use super::look::Look;
use super::plane::{Place, Plane};
use super::setting::{Ground, Light, Setting};
use super::stone::Stone;
use super::tone::{Toner, add, mix, step, times};
use plan::Relief;
use rayon::prelude::*;

/// The ground, near-black slate: linear RGB.
pub(super) const GROUND: [f32; 3] = [0.0042, 0.0054, 0.0070];
/// A pale wall in a light room.
pub(super) const WALL: [f32; 3] = [0.28, 0.29, 0.30];
/// Frost under white light.
pub(super) const FROST: [f32; 3] = [0.955, 0.99, 1.0];

/// A sky behind the glass, `v` from its top, 0, down to its foot, 1.
pub(super) fn sky(v: f32) -> [f32; 3] {
    mix([0.74, 0.86, 1.0], [0.92, 0.91, 0.86], step(-0.1, 1.1, v))
}

/// Draws a panel: rows of 8-bit RGB.
pub(super) fn draw(relief: &Relief, look: Look, frame: &Frame, setting: Setting) -> Vec<u8> {
    let place = Place { x_mm: frame.origin.x, y_mm: frame.origin.y, px_per_mm: frame.px_per_mm };
    let (width, height) = (frame.width_px as usize, frame.height_px as usize);
    let lit = lit(relief, &Surface::of(relief, look, setting), place, (width, height), 0..width);
    let glow = glow(&lit);
    let panel = Panel {
        width_mm: relief.body.sheet_width_mm() as f32,
        height_mm: relief.body.sheet_height_mm() as f32,
        thickness_mm: relief.thickness.to_mm() as f32,
        look,
        setting,
        stone: look.is_stone().then(|| Stone::under(look, place, width, height)),
    };
    let toner = Toner::new();
    let mut pixels = vec![0; 3 * width * height];
    pixels.par_chunks_mut(3 * width).enumerate().for_each(|(y, row)| {
        let y_mm = ((y as f64 + 0.5) / place.px_per_mm + place.y_mm) as f32;
        let carved = lit.light.row(y).iter().zip(lit.frost.row(y));
        for (x, (pixel, (&light, &frost))) in row.chunks_exact_mut(3).zip(carved).enumerate() {
            let x_mm = ((x as f64 + 0.5) / place.px_per_mm + place.x_mm) as f32;
            let inside = panel.inside(x_mm, y_mm);
            let face = || match &panel.stone {
                Some(stone) => panel.stone(stone.faces(x, y), (x_mm, y_mm), inside, light, frost),
                None => {
                    let glow = glow.between(x as f32 / 4.0 - 0.375, y as f32 / 4.0 - 0.375);
                    panel.glass(x_mm, y_mm, inside, light, frost, glow)
                }
            };
            toner.write(pixel, panel.colour(x_mm, y_mm, inside, face), x, y);
        }
    });
    pixels
}

/// Light of the frost spread around it, at a quarter of the size.
pub(super) fn glow(lit: &Lit) -> Plane {
    let mut small = lit.light.quarter();
    let frost = lit.frost.quarter();
    small.values.iter_mut().zip(&frost.values).for_each(|(light, frost)| *light *= frost);
    let sigma_px = (1.4 * lit.place.px_per_mm as f32 / 4.0).max(1.0);
    let (near, far) = (small.blurred(sigma_px), small.blurred(5.0 * sigma_px));
    let values = near.values.iter().zip(&far.values).map(|(near, far)| 0.5 * near + 0.5 * far).collect();
    Plane { values, ..near }
}

struct Panel {
    width_mm: f32,
    height_mm: f32,
    thickness_mm: f32,
    look: Look,
    setting: Setting,
    stone: Option<Stone>,
}

impl Panel {
    /// The ground, the face, or at the outline a mixture: it is a third of a millimetre soft.
    fn colour(&self, x: f32, y: f32, inside: f32, face: impl Fn() -> [f32; 3]) -> [f32; 3] {
        if inside < -0.15 {
            self.ground(x, y, -inside)
        } else if inside > 0.15 {
            face()
        } else {
            mix(self.ground(x, y, 0.0), face(), step(-0.15, 0.15, inside))
        }
    }

    /// Millimetres to the nearest edge, negative outside; corners are eased by a millimetre and a half.
    fn inside(&self, x: f32, y: f32) -> f32 {
        const EASE: f32 = 1.5;
        let dx = (x - 0.5 * self.width_mm).abs() - 0.5 * self.width_mm + EASE;
        let dy = (y - 0.5 * self.height_mm).abs() - 0.5 * self.height_mm + EASE;
        let beyond = (dx.max(0.0) * dx.max(0.0) + dy.max(0.0) * dy.max(0.0)).sqrt();
        EASE - beyond - dx.max(dy).min(0.0)
    }

    /// Light falls from above; the piece throws a little of its own around it, or, before a wall, its shadow.
    fn ground(&self, x: f32, y: f32, outside: f32) -> [f32; 3] {
        if self.clear_ground() {
            return self.pale(x, y, outside);
        }
        let (u, v) = (x / self.width_mm - 0.5, y / self.height_mm - 0.5);
        let fall = 1.15 - 0.35 * v - 0.35 * (u * u + v * v);
        let spill = match self.look.is_stone() {
            true => -0.45 * (-outside / 3.5).exp() * step(-0.55, 0.3, v + 0.5 * u),
            false => 0.6 * (-outside / 5.0).exp(),
        };
        times(GROUND, (fall + spill).max(0.25))
    }

    /// Stone is shown on dark ground alone.
    fn clear_ground(&self) -> bool {
        self.setting.ground == Ground::Clear && !self.look.is_stone()
    }

    fn pale(&self, x: f32, y: f32, outside: f32) -> [f32; 3] {
        let (u, v) = (x / self.width_mm - 0.5, y / self.height_mm - 0.5);
        match self.setting.light {
            Light::Behind => sky(v + 0.5),
            Light::Edge => {
                let fall = 1.06 - 0.16 * v - 0.10 * (u * u + v * v);
                let shadow = 0.30 * (-outside / 4.0).exp() * step(-0.55, 0.35, v + 0.5 * u);
                times(WALL, fall - shadow)
            }
        }
    }

    fn glass(&self, x: f32, y: f32, inside: f32, light: f32, frost: f32, glow: f32) -> [f32; 3] {
        if self.clear_ground() {
            return self.glass_before_pale(x, y, inside, light, frost);
        }
        let (u, v) = (x / self.width_mm, y / self.height_mm);
        let tint = self.look.tint();
        // The lit edge is the upper one: its light thins out along the glass.
        let fed = 1.06 - 0.22 * v;
        let clear = match self.look {
            Look::Mirror => mirror(u, v),
            _ => add(times(tint, 0.0062 + 0.0025 * (1.0 - v)), [1.0, 1.04, 1.1], reflection(u, v)),
        };
        let clear = add(clear, tint, 0.055 * glow);
        let frosted = times(FROST, light * fed + 0.05 * glow);
        let face = mix(clear, frosted, frost);
        add(face, tint, self.rim(inside, v) * (1.0 - 0.6 * frost))
    }

    /// Glass takes a little of what is behind it; frost hides that; the edges, seen along the glass, are dark.
    fn glass_before_pale(&self, x: f32, y: f32, inside: f32, light: f32, frost: f32) -> [f32; 3] {
        let (u, v) = (x / self.width_mm, y / self.height_mm);
        let tint = self.look.tint();
        let clear = match self.look {
            Look::Mirror => mirror(u, v),
            _ => {
                let behind = self.pale(x, y, 1e3);
                let passes = tint.map(|tint| 0.94 * tint.powf(0.008 * self.thickness_mm));
                let seen: [f32; 3] = std::array::from_fn(|i| behind[i] * passes[i]);
                add(seen, [1.0, 1.04, 1.1], 4.0 * reflection(u, v))
            }
        };
        // Light through the glass is the sky's; in a room it is white.
        let white = match self.setting.light {
            Light::Behind => mix(FROST, sky(v), 0.5),
            Light::Edge => FROST,
        };
        let face = mix(clear, times(white, light), frost);
        let edge = (1.9 * self.rim(inside, v)).min(0.85) * (1.0 - 0.5 * frost);
        mix(face, times(tint, 0.16), edge)
    }

    /// Light that leaves along the edges: the arris, the far arris seen through the glass, and the
    /// thickness between them, which is where the tint shows.
    fn rim(&self, inside: f32, v: f32) -> f32 {
        let thick = self.thickness_mm.clamp(2.0, 25.0);
        if inside > 6.0 * thick {
            return 0.0;
        }
        let line = |at: f32, half: f32| 1.0 - step(0.0, half, (inside - at).abs());
        let edge = 1.15 - 0.45 * v;
        let between = step(0.42 * thick, 0.0, inside) * 0.035;
        let spread = (-inside / (1.1 * thick)).exp() * 0.020;
        edge * (0.34 * line(0.30, 0.45) + 0.10 * line(0.42 * thick, 0.4) + between + spread)
    }

    fn stone(&self, faces: ([f32; 3], [f32; 3]), at: (f32, f32), inside: f32, light: f32, frost: f32) -> [f32; 3] {
        let ((polished, matte), (x, y)) = (faces, at);
        let (u, v) = (x / self.width_mm, y / self.height_mm);
        let daylight = 1.12 - 0.18 * v - 0.10 * u;
        let gloss = if self.look == Look::Slate { 0.25 } else { 1.0 };
        let polished = add(times(polished, daylight), [0.92, 0.97, 1.05], gloss * (0.010 + 1.3 * reflection(u, v)));
        let carved = times(matte, light * daylight);
        let face = mix(polished, carved, frost);
        times(face, 1.0 + self.arris(x, y, inside))
    }

    /// The eased edge of a slab: it catches light above and at the left, and loses it below.
    fn arris(&self, x: f32, y: f32, inside: f32) -> f32 {
        let near = step(1.1, 0.2, inside);
        let (right, below) = (self.width_mm - x, self.height_mm - y);
        let upper = f32::min(x, y) <= f32::min(right, below);
        near * if upper { 1.1 } else { -0.55 }
    }
}

/// Something bright in the room, mirrored faintly: a tall window, slanting.
pub(super) fn reflection(u: f32, v: f32) -> f32 {
    let along = u + 0.32 * v;
    let pane = step(0.10, 0.34, along) * step(0.62, 0.40, along);
    let second = step(0.80, 0.92, along) * step(1.06, 0.98, along);
    (0.0065 * pane + 0.0035 * second) * (1.15 - 0.75 * v)
}

/// A silvered back shows a dim room: lighter above, with a soft bright window.
fn mirror(u: f32, v: f32) -> [f32; 3] {
    let room = 0.075 + 0.10 * step(1.1, 0.0, v + 0.15 * u) + 6.5 * reflection(u, v);
    times([0.93, 1.0, 0.99], room)
}
