//! One step of the scheme of [`crate::height_field`] on one tile. Lengths are in cells throughout.

use crate::height_field::SolveOptions;
use crate::power::{pow, slope_factor};
use artwork::grid::Grid;

/// Cells along a tile's edge: small enough to follow lettering, long enough for vector code.
pub(crate) const SIDE: usize = 16;
/// Cells around a tile that its own cells look at.
pub(crate) const HALO: usize = 2;
/// Cells along the edge of a tile with its halo.
pub(crate) const WIDE: usize = SIDE + 2 * HALO;
/// Cells of a tile.
pub(crate) const CELLS: usize = SIDE * SIDE;
/// Without edge distances the edge lies half a cell from the centre.
pub(crate) const HALF: f32 = 0.5;

/// A tile's values, row by row.
pub(crate) type Tile = [f32; CELLS];
/// The same with a halo.
pub(crate) type Wide = [f32; WIDE * WIDE];

/// The equation's constants, in the form that the inner loop wants.
#[derive(Clone, Copy)]
pub(crate) struct Law {
    k: f32,
    /// Full flux over the width of the ramp, in cells.
    ramp: f32,
}

impl Law {
    pub(crate) fn new(grid: Grid, options: &SolveOptions, has_edges: bool) -> Self {
        let cells = (options.edge_ramp.to_mm() / grid.cell) as f32;
        // Without distances, or within the first half cell, a ramp cannot be told from a sharp edge.
        let ramp = if has_edges && cells > HALF { 1.0 / cells } else { f32::MAX };
        Self { k: options.exponent as f32, ramp }
    }

    /// `z^((k+1)/k)`.
    #[inline(always)]
    pub(crate) fn fitted(&self, z: f32) -> f32 {
        z * pow(z, 1.0 / self.k)
    }

    /// Share of the full flux at an edge distance; 0 under resist.
    #[inline(always)]
    pub(crate) fn rate(&self, edge: f32) -> f32 {
        smaller(1.0, larger(0.0, edge) * self.ramp)
    }

    /// One step of one tile: squares of the fitted slopes first, then depths, each a plain loop that
    /// becomes vector code.
    ///
    /// * `wide`: `z^((k+1)/k)` with a halo. * `edge`: signed distance to the edge with a halo, where one
    ///   matters. * `z`: depths, deepened. * `y_next`: receives their `z^((k+1)/k)`.
    pub(crate) fn step(&self, wide: &Wide, edge: Option<&Wide>, z: &mut Tile, y_next: &mut Tile, dose: f32) {
        let mut slopes = [0.0; CELLS];
        match edge {
            Some(edge) => slopes_at_edge(wide, edge, &mut slopes),
            None => slopes_inside(wide, &mut slopes),
        }
        for row in 0..SIDE {
            let doses = match edge {
                Some(edge) => window(edge, row + HALO, HALO).map(|edge| dose * self.rate(edge)),
                None => [dose; SIDE],
            };
            // A covered row holds 0 before and after.
            if doses != [0.0; SIDE] {
                let own = window(wide, row + HALO, HALO);
                self.deepen(line(&mut slopes, row), &doses, own, line(z, row), line(y_next, row));
            }
        }
    }

    /// Deepens a row by its doses, slowed by the squares of its fitted slopes.
    ///
    /// `∇z = ∇y k/((k+1) z^(1/k))`, and `z^(1/k) = y/z`.
    #[inline(never)]
    fn deepen(
        &self,
        slopes: &[f32; SIDE],
        doses: &[f32; SIDE],
        y: &[f32; SIDE],
        z: &mut [f32; SIDE],
        y_next: &mut [f32; SIDE],
    ) {
        let law = *self;
        let unfit = law.k / (law.k + 1.0);
        for i in 0..SIDE {
            let turned = unfit * z[i] / larger(y[i], 1e-20);
            z[i] += doses[i] * slope_factor(slopes[i] * turned * turned, law.k);
            y_next[i] = law.fitted(z[i]);
        }
    }
}

/// Squares of the upwind slopes of a tile that sees no edge.
#[inline(never)]
fn slopes_inside(y: &Wide, slopes: &mut Tile) {
    for row in 0..SIDE {
        let at = |dx: usize, dy: usize| window(y, row + dy, dx);
        let (c, l, ll, r, rr) = (at(2, 2), at(1, 2), at(0, 2), at(3, 2), at(4, 2));
        let (u, uu, d, dd) = (at(2, 1), at(2, 0), at(2, 3), at(2, 4));
        let slopes = line(slopes, row);
        for i in 0..SIDE {
            let across = larger(upwind(c[i], l[i], ll[i], r[i]), upwind(c[i], r[i], rr[i], l[i]));
            let down = larger(upwind(c[i], u[i], uu[i], d[i]), upwind(c[i], d[i], dd[i], u[i]));
            slopes[i] = across * across + down * down;
        }
    }
}

/// The same where some of the cells are covered: `edge` is the signed distance to the edge.
#[inline(never)]
fn slopes_at_edge(y: &Wide, edge: &Wide, slopes: &mut Tile) {
    let inverse = edge.map(|edge| 1.0 / edge);
    for row in 0..SIDE {
        let at = |dx: usize, dy: usize| {
            [window(y, row + dy, dx), window(edge, row + dy, dx), window(&inverse, row + dy, dx)]
        };
        let (c, l, ll, r, rr) = (at(2, 2), at(1, 2), at(0, 2), at(3, 2), at(4, 2));
        let (u, uu, d, dd) = (at(2, 1), at(2, 0), at(2, 3), at(2, 4));
        let slopes = line(slopes, row);
        for i in 0..SIDE {
            let cell = |[y, edge, inverse]: [&[f32; SIDE]; 3]| Cell { y: y[i], edge: edge[i], inverse: inverse[i] };
            let across = cell(c).upwind_of_pair(cell(l), cell(ll), cell(r), cell(rr));
            let down = cell(c).upwind_of_pair(cell(u), cell(uu), cell(d), cell(dd));
            slopes[i] = across * across + down * down;
        }
    }
}

/// A cell's fitted depth, its signed distance to the edge and one over that.
#[derive(Clone, Copy)]
struct Cell {
    y: f32,
    edge: f32,
    inverse: f32,
}

impl Cell {
    /// The larger upwind difference of two opposite directions `a` and `b`, each the next cell and the
    /// one after.
    #[inline(always)]
    fn upwind_of_pair(self, a: Self, a_after: Self, b: Self, b_after: Self) -> f32 {
        let (a_near, b_near) = (self.beyond(a), self.beyond(b));
        let (a_far, b_far) = (self.far(a, a_after, a_near), self.far(b, b_after, b_near));
        larger(upwind(self.y, a_near, a_far, b_near), upwind(self.y, b_near, b_far, a_near))
    }

    /// What the next cell holds: if covered, the straight line from here through zero at the edge.
    #[inline(always)]
    fn beyond(self, next: Self) -> f32 {
        let straight = self.y * next.edge * self.inverse;
        if next.edge < 0.0 { straight } else { next.y }
    }

    /// What the cell after the next holds; behind an edge, the straight line goes on.
    #[inline(always)]
    fn far(self, next: Self, after: Self, near: f32) -> f32 {
        let straight = near + near - self.y;
        let there = next.beyond(after);
        if next.edge < 0.0 { straight } else { there }
    }
}

/// How far `own` lies above the value on one side, to second order where the field is smooth, and 0
/// when it does not: `(own - near) + minmod(second differences)/2`.
#[inline(always)]
fn upwind(own: f32, near: f32, far: f32, opposite: f32) -> f32 {
    let rise = own - near;
    let here = near - own + (opposite - own);
    let there = far - near + rise;
    larger(0.0, smaller(rise + 0.5 * minmod(here, there), rise + rise))
}

/// The smaller of two numbers of one sign, 0 for two signs.
#[inline(always)]
fn minmod(a: f32, b: f32) -> f32 {
    larger(0.0, smaller(a, b)) + smaller(0.0, larger(a, b))
}

// `f32::max` also settles what a NaN gives, which costs the vector code two more instructions.
#[inline(always)]
fn larger(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

#[inline(always)]
fn smaller(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

/// A row of a haloed tile, moved by `dx` cells.
#[inline(always)]
fn window(wide: &Wide, row: usize, dx: usize) -> &[f32; SIDE] {
    let start = row * WIDE + dx;
    wide[start..start + SIDE].try_into().expect("a window has a tile's width")
}

/// A row of a tile.
#[inline(always)]
fn line(tile: &mut Tile, row: usize) -> &mut [f32; SIDE] {
    (&mut tile[row * SIDE..(row + 1) * SIDE]).try_into().expect("a row has a tile's width")
}
