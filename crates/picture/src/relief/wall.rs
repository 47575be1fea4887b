//! The wall of a tumbler or a bowl as a closed solid: its carved sheet bent round, the inside, and the two rims. It has no floor.
//!
//! A place `s` along a sheet of width `w = 2 π R` stands at the angle `(s - w/2) / R` from the front, at the radius of
//! its height less its depth; z is the axis, from the foot up. On a tapered side `R` is the mean radius and depth is
//! taken toward the axis, which errs by the cosine of the taper: 1 % at 8 degrees. On a bowl it is taken toward the
//! ball's middle, and heights go along the arc.

use super::mesh::Making;
use piece::Ball;

/// A sheet that is bent round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bend {
    /// Of the outer face at the foot and at the rim, in millimetres.
    pub(super) foot_mm: f64,
    pub(super) rim_mm: f64,
    /// From foot to rim.
    pub(super) height_mm: f64,
    /// Between two columns of the grid, in millimetres.
    pub(super) step_mm: f64,
    /// The ball of a bowl, and between two rows of the grid, along its side, in millimetres.
    pub(super) ball: Option<(Ball, f64)>,
}

impl Bend {
    /// How far the middle of a side lies from the bent sheet, for a side over so many columns and rows.
    pub(super) fn sag_mm(self, columns: usize, rows: usize) -> f32 {
        let sag = |radius_mm: f64, half_angle: f64| radius_mm * (1.0 - half_angle.min(std::f64::consts::PI).cos());
        let widest_mm = self.ball.map_or(self.foot_mm.max(self.rim_mm), |(ball, _)| ball.widest_mm());
        let around = sag(widest_mm, 0.5 * columns as f64 * self.step_mm / self.mean_mm());
        let up = self.ball.map_or(0.0, |(ball, step_mm)| {
            sag(ball.radius_of_ball_mm(), 0.5 * rows as f64 * step_mm / ball.radius_of_ball_mm())
        });
        (around + up) as f32
    }

    /// The radius at which a millimetre of the sheet is a millimetre around.
    fn mean_mm(self) -> f64 {
        self.ball.map_or(0.5 * (self.foot_mm + self.rim_mm), |(ball, _)| ball.radius_mm(0.5 * ball.side_mm()))
    }

    /// A place `s` along the sheet, so far under the outer face; `up`: share of the side, 0 at the foot.
    pub(super) fn place(self, s_mm: f64, under_mm: f64, up: f64) -> [f32; 3] {
        let angle = s_mm / self.mean_mm() - std::f64::consts::PI;
        if let Some((ball, _)) = self.ball {
            let down_mm = (1.0 - up) * ball.side_mm();
            let share = 1.0 - under_mm / ball.radius_of_ball_mm();
            // Toward the ball's middle, which lies as far below the rim's plane as the equator's upright distance.
            let middle_mm = self.height_mm - ball.middle_mm();
            let (radius_mm, outer_mm) = (share * ball.radius_mm(down_mm), self.height_mm - ball.upright_mm(down_mm));
            let z_mm = middle_mm + share * (outer_mm - middle_mm);
            return [(radius_mm * angle.sin()) as f32, (-radius_mm * angle.cos()) as f32, z_mm as f32];
        }
        let radius_mm = self.foot_mm + (self.rim_mm - self.foot_mm) * up - under_mm;
        [(radius_mm * angle.sin()) as f32, (-radius_mm * angle.cos()) as f32, (self.height_mm * up) as f32]
    }
}

/// A vertex of a rim, its fellow on the inside, and how far along the sheet both stand.
#[derive(Clone, Copy)]
struct Pair {
    outer: u32,
    inner: u32,
    along_mm: f64,
}

/// Adds the rims and the inside.
pub(super) fn close(made: &mut Making<'_>, bend: Bend, wall_mm: f64) {
    let rows = made.ground.size;
    let top = rim(made, 0, |along| bend.place(along, wall_mm, 1.0));
    let foot = rim(made, rows, |along| bend.place(along, wall_mm, 0.0));
    for (here, next) in neighbours(&top) {
        made.triangles.extend([[here.outer, next.outer, next.inner], [here.outer, next.inner, here.inner]]);
    }
    for (here, next) in neighbours(&foot) {
        made.triangles.extend([[here.outer, next.inner, next.outer], [here.outer, here.inner, next.inner]]);
    }
    // A straight band would cut through what is round: the inside of a bowl goes down in steps.
    let steps = if bend.ball.is_some() { INNER_STEPS } else { 1 };
    let mut above = top;
    for step in 1..steps {
        let up = 1.0 - step as f64 / steps as f64;
        let ring = |pair: &Pair| Pair { inner: made.add(bend.place(pair.along_mm, wall_mm, up)), ..*pair };
        let below: Vec<Pair> = above.iter().map(ring).collect();
        inside(made, &above, &below);
        above = below;
    }
    inside(made, &above, &foot);
}

/// Bands of a bowl's inside from rim to foot.
const INNER_STEPS: usize = 48;

fn rim(made: &mut Making<'_>, row: usize, place: impl Fn(f64) -> [f32; 3]) -> Vec<Pair> {
    let outer: Vec<(u32, f64)> = made.row(row).collect();
    let pair = |(outer, along_mm): (u32, f64)| Pair { outer, inner: made.add(place(along_mm)), along_mm };
    outer.into_iter().map(pair).collect()
}

fn neighbours(rim: &[Pair]) -> impl Iterator<Item = (Pair, Pair)> {
    rim.iter().enumerate().map(|(i, &here)| (here, rim[(i + 1) % rim.len()]))
}

/// The inner face between two rims that need not have their vertices at the same places: a band of triangles that
/// always steps on along the rim that lies behind.
fn inside(made: &mut Making<'_>, top: &[Pair], foot: &[Pair]) {
    let along = |rim: &[Pair], i: usize| rim.get(i).map_or(f64::MAX, |pair| pair.along_mm);
    let inner = |rim: &[Pair], i: usize| rim[i % rim.len()].inner;
    let (mut i, mut j) = (0, 0);
    while i < top.len() || j < foot.len() {
        let (t, b) = (inner(top, i), inner(foot, j));
        let step_top = j == foot.len() || (i < top.len() && along(top, i + 1) <= along(foot, j + 1));
        if step_top {
            i += 1;
            made.triangles.push([t, inner(top, i), b]);
        } else {
            j += 1;
            made.triangles.push([inner(foot, j), b, t]);
        }
    }
}
