//! The wall of a tumbler as a closed solid: its carved sheet bent round, the inside, and the two rims. It has no floor.
//!
//! A place `s` along a sheet of width `w = 2 π R` stands at the angle `(s - w/2) / R` from the front, at the radius of
//! its height less its depth; z is the axis, from the foot up. On a tapered side `R` is the mean radius and depth is
//! taken toward the axis, which errs by the cosine of the taper: 1 % at 8 degrees.

use super::mesh::Making;

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
}

impl Bend {
    /// How far the middle of a side lies from the bent sheet, for a side over so many columns.
    pub(super) fn sag_mm(self, columns: usize) -> f32 {
        let half_angle = 0.5 * columns as f64 * self.step_mm / self.mean_mm();
        (self.foot_mm.max(self.rim_mm) * (1.0 - half_angle.min(std::f64::consts::PI).cos())) as f32
    }

    fn mean_mm(self) -> f64 {
        0.5 * (self.foot_mm + self.rim_mm)
    }

    /// A place `s` along the sheet, so far under the outer face; `up`: share of the height, 0 at the foot.
    pub(super) fn place(self, s_mm: f64, under_mm: f64, up: f64) -> [f32; 3] {
        let angle = s_mm / self.mean_mm() - std::f64::consts::PI;
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
    inside(made, &top, &foot);
}

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
