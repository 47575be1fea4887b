//! A tumbler or a bowl before its ground, seen from slightly above.
//!
//! A place at arc length `s` from the middle of the sheet lies at `x = R sin(s/R)`, and stands
//! `R cos(s/R)` toward the viewer, which lowers it in the picture by that times the tilt. On a tapered side the
//! radius depends on the height and the height on the radius: a few turns of both settle it. A bowl's side is an arc.

use super::blank::{Frame, TILT};
use super::light::{Lit, Surface, lit};
use super::look::Look;
use super::panel::{FROST, GROUND, WALL, glow, sky};
use super::plane::{Place, Plane};
use super::setting::{Ground, Light, Seen, Setting};
use super::tone::{Toner, add, mix, step, times};
use piece::Ball;
use plan::Relief;
use quantity::{Diameter, Length};
use rayon::prelude::*;

/// A vessel's outer size.
#[derive(Clone, Copy)]
pub(super) struct Size {
    pub(super) rim: Diameter,
    pub(super) foot: Diameter,
    pub(super) height: Length,
    /// The ball that a bowl's side is of.
    pub(super) ball: Option<Ball>,
}

/// Draws a vessel: rows of 8-bit RGB.
pub(super) fn draw(relief: &Relief, look: Look, frame: &Frame, size: Size, setting: Setting) -> Vec<u8> {
    let px_per_mm = frame.px_per_mm;
    let (radius, foot) = (0.5 * size.rim.to_mm(), 0.5 * size.foot.to_mm());
    let height_mm = size.height.to_mm();
    let ball = size.ball;
    let side_mm = ball.map_or(height_mm.hypot(radius - foot), |ball| ball.side_mm());
    let widest = ball.map_or(radius.max(foot), |ball| ball.widest_mm());
    let around_mm = ball.map_or(std::f64::consts::PI * (radius + foot), |ball| {
        2.0 * std::f64::consts::PI * ball.radius_mm(0.5 * side_mm)
    });
    // The sheet, flat, at the picture's scale. Its outer quarters go to the far side, or, turned, to the near one.
    let place = Place { x_mm: 0.0, y_mm: 0.0, px_per_mm };
    let size = |mm: f64| ((mm * px_per_mm).ceil() as usize).max(4);
    let round = size(around_mm);
    let shown = match setting.seen {
        Seen::Front => round / 4..3 * round / 4 + 1,
        Seen::Back => 0..round,
    };
    let lit = lit(relief, &Surface::of(relief, look, setting), place, (round, size(side_mm)), shown);
    let vessel = Vessel {
        radius: radius as f32,
        foot: foot as f32,
        height: height_mm as f32,
        along: (side_mm / height_mm) as f32,
        ball,
        wall: (relief.thickness.to_mm() as f32).clamp(0.8, 0.3 * radius.min(foot) as f32),
        look,
        setting,
        glow: glow(&lit),
        px_per_mm: px_per_mm as f32,
        lit,
    };
    let width = frame.width_px as usize;
    let x_mm = |x: usize| ((x as f64 + 0.5) / px_per_mm + frame.origin.x - widest) as f32;
    let straight =
        (radius == foot && ball.is_none()).then(|| (0..width).map(|x| vessel.column(x_mm(x), [radius as f32; 2])));
    let columns: Option<Vec<Column>> = straight.map(Iterator::collect);
    let toner = Toner::new();
    let mut pixels = vec![0; 3 * width * frame.height_px as usize];
    pixels.par_chunks_mut(3 * width).enumerate().for_each(|(y, row)| {
        let y_mm = ((y as f64 + 0.5) / px_per_mm + frame.origin.y) as f32;
        for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
            let colour = match &columns {
                Some(columns) => vessel.colour(&columns[x], y_mm),
                None => vessel.colour(&vessel.tapered(x_mm(x), y_mm), y_mm),
            };
            toner.write(pixel, colour, x, y);
        }
    });
    pixels
}

/// What all pixels of a column share.
struct Column {
    /// From the axis, in millimetres.
    x: f32,
    /// The same over the radius.
    across: f32,
    /// How far the near and the far wall stand toward and from the viewer, in millimetres.
    toward: [f32; 2],
    /// Share of the column inside the outline.
    edge: f32,
    /// The near and the far wall's column in the lit sheet, in pixels.
    sheet: [f32; 2],
    /// Light on frost there, by how the wall is turned.
    facing: f32,
    /// Clear glass.
    clear: [f32; 3],
    /// Share of a pale ground that it hides: nearly all where one looks along the wall.
    hides: f32,
    /// Windows mirrored in the outer face, before they fade.
    window: f32,
    /// How strongly its rims catch the light.
    rim: f32,
}

struct Vessel {
    /// At the rim.
    radius: f32,
    /// At the foot.
    foot: f32,
    /// Length of side for each millimetre of height.
    along: f32,
    ball: Option<Ball>,
    height: f32,
    wall: f32,
    look: Look,
    setting: Setting,
    lit: Lit,
    glow: Plane,
    px_per_mm: f32,
}

const TILT32: f32 = TILT as f32;

impl Vessel {
    /// Radius at a height below the rim.
    fn radius_at(&self, down: f32) -> f32 {
        if let Some(ball) = self.ball {
            return ball.radius_mm(ball.down_mm(f64::from(down))) as f32;
        }
        self.radius + (self.foot - self.radius) * (down / self.height).clamp(0.0, 1.0)
    }

    /// Down the side, at a height below the rim.
    fn side_at(&self, down: f32) -> f32 {
        self.ball.map_or(down * self.along, |ball| ball.down_mm(f64::from(down)) as f32)
    }

    /// A pixel of a tapered body.
    fn tapered(&self, x: f32, y: f32) -> Column {
        const TURNS: usize = 4;
        let settled = |sign: f32| {
            let mut radius = self.radius_at(y - TILT32 * self.radius);
            for _ in 0..TURNS {
                let toward = (radius * radius - x * x).max(0.0).sqrt();
                radius = self.radius_at(y - TILT32 * (self.radius + sign * toward));
            }
            radius
        };
        self.column(x, [settled(1.0), settled(-1.0)])
    }

    /// `radii`: of the near and of the far wall there.
    fn column(&self, x: f32, radii: [f32; 2]) -> Column {
        let across = (x / radii[0]).clamp(-1.0, 1.0);
        let (angle, toward) = (across.asin(), (1.0 - across * across).sqrt());
        let behind = (x / radii[1]).clamp(-1.0, 1.0);
        let width = self.lit.light.width as f32;
        let front = if self.setting.seen == Seen::Back { 0.0 } else { 0.5 };
        let sheet = |turn: f32| (width * (front + turn / std::f32::consts::TAU)).rem_euclid(width) - 0.5;
        // A wall turned to the light from the left is brighter; both sides fall off.
        let facing = (0.80 + 0.34 * (angle + 0.55).cos() - 0.30 * across * across).max(0.15);
        Column {
            x,
            across,
            toward: [radii[0] * toward, radii[1] * (1.0 - behind * behind).sqrt()],
            edge: step(1.0, 1.0 - 1.2 / (radii[0] * self.px_per_mm), (x / radii[0]).abs()),
            sheet: [sheet(angle), sheet(std::f32::consts::PI - behind.asin())],
            facing,
            clear: self.clear(across, toward),
            hides: self.hides(across, toward),
            window: window(across),
            rim: 0.45 + 0.55 * step(0.9, -0.7, across),
        }
    }

    /// The colour at `y` down from the top of the outline.
    fn colour(&self, column: &Column, y: f32) -> [f32; 3] {
        // Heights below the rim of the front and the back wall at this pixel.
        let drop = TILT32 * self.radius;
        let front = y - drop - TILT32 * column.toward[0];
        let back = y - drop + TILT32 * column.toward[1];
        let cover = step(0.3, -0.3, front - self.height) * step(-0.3, 0.3, back) * column.edge;
        if cover <= 0.0 {
            return self.ground(column.x, y);
        }
        let mut colour = if self.is_opaque() {
            [0.02, 0.022, 0.026]
        } else {
            let glass = self.body(column, front, back);
            let behind = match self.clear_ground() {
                true => add(glass, self.ground(column.x, y), 1.0 - column.hides),
                false => glass,
            };
            self.carved(behind, column, back, false)
        };
        if front > 0.0 {
            colour = self.carved(colour, column, front, true);
            let v = front / self.height;
            let fade = step(0.0, 0.14, v) * step(0.96, 0.62, v);
            colour = add(colour, [1.0, 1.03, 1.06], fade * column.window);
        }
        let rings = self.rings(column, y);
        colour = match self.clear_ground() {
            true => mix(colour, times(self.look.tint(), 0.14), (1.6 * rings).min(0.8)),
            false => add(colour, self.look.tint(), rings),
        };
        if cover >= 1.0 { colour } else { mix(self.ground(column.x, y), colour, cover) }
    }

    /// What is opaque is shown on dark ground alone.
    fn clear_ground(&self) -> bool {
        self.setting.ground == Ground::Clear && !self.is_opaque()
    }

    fn is_opaque(&self) -> bool {
        !self.look.is_clear() && self.look != Look::Mirror
    }

    /// A dark table under a dark room, and a little light on the table around the foot.
    fn ground(&self, x: f32, y: f32) -> [f32; 3] {
        let drop = TILT32 * self.radius;
        let foot = self.height + drop;
        if self.clear_ground() {
            let table = step(foot - 2.5 * drop, foot + 0.5 * drop, y);
            let shade = 0.35 * (-((x / (1.1 * self.radius)).powi(2) + ((y - foot) / (1.6 * drop)).powi(2))).exp();
            let behind = match self.setting.light {
                Light::Behind => sky(y / foot),
                Light::Edge => times(WALL, 1.08 - 0.14 * y / foot),
            };
            return times(mix(behind, times(behind, 0.86), table), 1.0 - shade);
        }
        let (dx, dy) = (x / (1.7 * self.radius), (y - foot) / (5.0 * drop));
        let pool = (-(dx * dx + dy * dy)).exp() * step(-2.2 * drop, 1.5 * drop, y - foot);
        let shade = 0.7 * (-((x / self.radius).powi(2) + ((y - foot) / (1.25 * drop)).powi(2)).powi(2)).exp();
        times(GROUND, 1.0 + 1.6 * pool * (1.0 - shade))
    }

    /// Clear glass: dark, greener where one looks along the wall.
    fn clear(&self, across: f32, toward: f32) -> [f32; 3] {
        let side = step(0.80, 0.985, across.abs()) * step(1.0, 0.975, across.abs());
        times(self.look.tint(), 0.007 + 0.035 * self.along(across, toward) + 0.10 * side * side)
    }

    fn hides(&self, across: f32, toward: f32) -> f32 {
        0.08 + 0.62 * self.along(across, toward) * step(0.7, 1.0, across.abs())
    }

    /// How far one looks along the wall: 0 in the middle, 1 at the sides.
    fn along(&self, across: f32, toward: f32) -> f32 {
        let inner = 1.0 - self.wall / self.radius;
        // Length of the view through both walls, over the radius.
        let through = if across.abs() < inner { toward - (inner * inner - across * across).sqrt() } else { toward };
        step(0.06, 0.5, through)
    }

    /// Clear glass with its solid foot, which gathers light, and the far wall seen over the rim.
    fn body(&self, column: &Column, front: f32, back: f32) -> [f32; 3] {
        let foot = 2.4 * self.wall;
        let solid = step(foot + 0.8, foot - 0.8, self.height - front);
        let caustic = 0.045 * (0.5 + 0.5 * (column.across * 9.0 + 0.4).sin()) * (1.0 - 0.5 * column.across.abs());
        let inside = step(-0.5, 0.5, -front) * step(-0.5, 0.5, back);
        add(column.clear, self.look.tint(), solid * (0.028 + caustic) + 0.010 * inside)
    }

    /// The frost of the near or the far wall over what is behind it.
    fn carved(&self, behind: [f32; 3], column: &Column, down: f32, near: bool) -> [f32; 3] {
        if !(0.0..self.height).contains(&down) {
            return behind;
        }
        let (x, y) = (column.sheet[usize::from(!near)], self.side_at(down) * self.px_per_mm - 0.5);
        let frost = self.lit.frost.between(x, y);
        let (seen, hides) = if near { (1.0, 0.93) } else { (0.21, 0.5) };
        let lit = if near {
            let glow = self.glow.between(x / 4.0 - 0.375, y / 4.0 - 0.375);
            add(behind, self.look.tint(), 0.05 * glow)
        } else {
            behind
        };
        if frost <= 0.0 {
            return lit;
        }
        let fed = 1.04 - 0.2 * down / self.height;
        let light = self.lit.light.between(x, y) * column.facing * fed * seen;
        add(times(lit, 1.0 - hides * frost), FROST, frost * light)
    }

    /// The rim's ring, and the foot's.
    fn rings(&self, column: &Column, y: f32) -> f32 {
        let drop = TILT32 * self.radius;
        let line = |at: f32, half: f32| step(half, 0.0, (y - at).abs());
        let half = (0.28 * self.wall).clamp(0.35, 0.9);
        let rim = column.rim;
        // A ring is seen where the column crosses it; beside it there is none.
        let sag = |radius: f32| TILT32 * (radius * radius - column.x * column.x).max(0.0).sqrt();
        let on = |radius: f32| if column.x.abs() <= radius { 1.0 } else { 0.0 };
        let (upper, lower) = (sag(self.radius), sag(self.foot));
        let rim_front = line(drop + upper, half) * 0.42 * rim * on(self.radius);
        let rim_back = line(drop - upper, half) * 0.26 * (1.45 - rim) * on(self.radius);
        let foot_front = line(self.height + drop + lower - 0.9, half * 1.2) * 0.34 * rim * on(self.foot);
        let foot_back = line(self.height + drop - lower * 0.9 - 1.6 * self.wall, half) * 0.05 * on(self.foot);
        rim_front + rim_back + foot_front + foot_back
    }
}

/// Windows mirrored in the outer face, upright and soft.
fn window(across: f32) -> f32 {
    let band = |from: f32, to: f32, soft: f32| step(from - soft, from, across) * step(to + soft, to, across);
    0.13 * band(-0.775, -0.73, 0.03)
        + 0.022 * band(-0.68, -0.56, 0.06)
        + 0.035 * band(0.84, 0.87, 0.03)
        + 0.006 * band(0.30, 0.50, 0.12)
}
