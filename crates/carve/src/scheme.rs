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

/// What makes the ground of a tile uneven.
pub(crate) struct Around {
    /// Where the edge runs; `None` where none matters.
    pub(crate) edge: Option<Box<Edge>>,
    /// Share of the dose that each cell gets; `None` where all get all of it.
    pub(crate) flux: Option<Box<Tile>>,
}

/// The edge as a tile sees it, with a halo.
pub(crate) struct Edge {
    /// Signed distance in cells, positive where open.
    distance: Wide,
    /// One over that, or over [`NEAREST_EDGE`].
    inverse: Wide,
}

impl Edge {
    pub(crate) fn new(distance: Wide) -> Self {
        Self { distance, inverse: distance.map(|distance| 1.0 / larger(distance, NEAREST_EDGE)) }
    }
}

/// The equation's constants, in the form that the inner loop wants.
#[derive(Clone, Copy)]
pub(crate) struct Law {
    k: f32,
    /// Full flux over the width of the ramp, in cells.
    ramp: f32,
}

impl Law {
    pub(crate) fn new(grid: Grid, options: &SolveOptions) -> Self {
        let cells = (options.edge_ramp.to_mm() / grid.cell) as f32;
        // Within the first half cell a ramp cannot be told from a sharp edge.
        let ramp = if cells > HALF { 1.0 / cells } else { f32::MAX };
        Self { k: options.exponent as f32, ramp }
    }

    /// `z^((k+1)/k)`.
    #[inline(always)]
    pub(crate) fn fitted(&self, z: f32) -> f32 {
        z * pow(z, 1.0 / self.k)
    }

    /// `y^(k/(k+1))`.
    pub(crate) fn unfitted(&self, y: f32) -> f32 {
        y.powf(self.k / (self.k + 1.0))
    }

    /// Share of the full flux at an edge distance; 0 under resist.
    #[inline(always)]
    pub(crate) fn rate(&self, edge: f32) -> f32 {
        smaller(1.0, larger(0.0, edge) * self.ramp)
    }

    /// One step of one tile: fitted slopes and bends first, then depths, each a plain loop that becomes
    /// vector code.
    ///
    /// * `wide`: `z^((k+1)/k)` with a halo. * `around`: what makes the ground uneven. * `z`: depths, deepened.
    /// * `y_next`: receives their `z^((k+1)/k)`.
    pub(crate) fn step(&self, wide: &Wide, around: &Around, z: &mut Tile, y_next: &mut Tile, dose: f32) {
        let edge = around.edge.as_deref();
        let mut steepest = Steepest { slopes: [0.0; CELLS], bends: [0.0; CELLS] };
        match edge {
            Some(edge) => steepest_at_edge(wide, edge, &mut steepest),
            None => steepest_inside(wide, &mut steepest),
        }
        for row in 0..SIDE {
            let mut doses = match edge {
                Some(edge) => window(&edge.distance, row + HALO, HALO).map(|edge| dose * self.rate(edge)),
                None => [dose; SIDE],
            };
            if let Some(flux) = &around.flux {
                doses.iter_mut().zip(&flux[row * SIDE..]).for_each(|(dose, flux)| *dose *= flux);
            }
            // A covered row stays as it is.
            if doses != [0.0; SIDE] {
                let own = window(wide, row + HALO, HALO);
                let ways = [line(&mut steepest.slopes, row), line(&mut steepest.bends, row)];
                self.deepen(ways.map(|way| &*way), &doses, own, line(z, row), line(y_next, row));
            }
        }
    }

    /// Deepens a row by its doses, slowed by the slopes half-way through the step.
    ///
    /// `∇z = ∇y k/((k+1) z^(1/k))`, and `z^(1/k) = y/z`. Over the step the slope along itself changes with
    /// the bend, `z_tt = c² z_nn`, so that `z += dose (f + ½ dose c² z_nn)`.
    #[inline(never)]
    fn deepen(
        &self,
        [slopes, bends]: [&[f32; SIDE]; 2],
        doses: &[f32; SIDE],
        y: &[f32; SIDE],
        z: &mut [f32; SIDE],
        y_next: &mut [f32; SIDE],
    ) {
        let law = *self;
        let unfit = law.k / (law.k + 1.0);
        for i in 0..SIDE {
            let turned = unfit * z[i] / larger(y[i], TINY);
            let slope = slopes[i] * turned * turned;
            let share = slope_factor(slope, law.k);
            let front = law.k * share / (1.0 + slope);
            let bend = turned * bends[i] - slope / (law.k * larger(z[i], TINY));
            let later = share + 0.5 * doses[i] * front * front * slope * bend;
            z[i] += doses[i] * smaller(1.0, larger(0.0, later));
            y_next[i] = law.fitted(z[i]);
        }
    }
}

/// Only guards a division.
const TINY: f32 = 1e-20;

/// Of each cell of a tile, along its own steepest direction: the square of the fitted slope, and the
/// second difference.
struct Steepest {
    slopes: Tile,
    bends: Tile,
}

impl Steepest {
    #[inline(always)]
    fn row(&mut self, row: usize) -> [&mut [f32; SIDE]; 2] {
        [line(&mut self.slopes, row), line(&mut self.bends, row)]
    }
}

/// Of a tile that sees no edge.
#[inline(never)]
fn steepest_inside(y: &Wide, out: &mut Steepest) {
    for row in 0..SIDE {
        let at = |dx: usize, dy: usize| window(y, row + dy, dx);
        let (c, l, ll, r, rr) = (at(2, 2), at(1, 2), at(0, 2), at(3, 2), at(4, 2));
        let (u, uu, d, dd) = (at(2, 1), at(2, 0), at(2, 3), at(2, 4));
        let [slopes, bends] = out.row(row);
        for i in 0..SIDE {
            let across = upwind(c[i], [l[i], r[i]], [ll[i], rr[i]]);
            let down = upwind(c[i], [u[i], d[i]], [uu[i], dd[i]]);
            (slopes[i], bends[i]) = together(across, down);
        }
    }
}

/// The same where some of the cells are covered.
#[inline(never)]
fn steepest_at_edge(y: &Wide, edge: &Edge, out: &mut Steepest) {
    let Edge { distance, inverse } = edge;
    for row in 0..SIDE {
        let at = |dx: usize, dy: usize| {
            [window(y, row + dy, dx), window(distance, row + dy, dx), window(inverse, row + dy, dx)]
        };
        let (c, l, ll, r, rr) = (at(2, 2), at(1, 2), at(0, 2), at(3, 2), at(4, 2));
        let (u, uu, d, dd) = (at(2, 1), at(2, 0), at(2, 3), at(2, 4));
        let [slopes, bends] = out.row(row);
        for i in 0..SIDE {
            let cell = |[y, edge, inverse]: [&[f32; SIDE]; 3]| Cell { y: y[i], edge: edge[i], inverse: inverse[i] };
            let across = cell(c).upwind_of_pair(cell(l), cell(ll), cell(r), cell(rr));
            let down = cell(c).upwind_of_pair(cell(u), cell(uu), cell(d), cell(dd));
            (slopes[i], bends[i]) = together(across, down);
        }
    }
}

/// Square of the slope, and the bend along it, from slope and bend in each direction.
///
/// `y_nn = (p² y_xx + 2 p q y_xy + q² y_yy)/(p² + q²)`; the mixed one is taken from a front without
/// curvature of its own, where `y_xy² = y_xx y_yy`.
#[inline(always)]
fn together([p, xx]: [f32; 2], [q, yy]: [f32; 2]) -> (f32, f32) {
    let square = p * p + q * q;
    let mixed = larger(0.0, xx * yy).sqrt();
    let xy = if xx < 0.0 { -mixed } else { mixed };
    (square, (p * p * xx + 2.0 * p * q * xy + q * q * yy) / larger(square, TINY))
}

/// An open cell whose centre is nearer to an edge than this, in cells, is computed as if it lay here: the
/// step would have to shrink. Its neighbours see the straight line in its place.
pub(crate) const NEAREST_EDGE: f32 = 0.3;

/// A cell's fitted depth, its signed distance to the edge and one over that (or over the nearest allowed).
#[derive(Clone, Copy)]
struct Cell {
    y: f32,
    edge: f32,
    inverse: f32,
}

impl Cell {
    /// [`upwind`] of two opposite directions `a` and `b`, each the next cell and the one after.
    #[inline(always)]
    fn upwind_of_pair(self, a: Self, a_after: Self, b: Self, b_after: Self) -> [f32; 2] {
        let (a_near, b_near) = (self.beyond(a), self.beyond(b));
        let (a_far, b_far) = (self.far(a, a_after, a_near), self.far(b, b_after, b_near));
        upwind(self.y, [a_near, b_near], [a_far, b_far])
    }

    /// What the next cell holds: if covered or all but covered, the straight line from here through zero
    /// at the edge.
    #[inline(always)]
    fn beyond(self, next: Self) -> f32 {
        let straight = self.y * (1.0 - (self.edge - next.edge) * self.inverse);
        if next.edge < NEAREST_EDGE { straight } else { next.y }
    }

    /// What the cell after the next holds; behind an edge, the straight line goes on.
    #[inline(always)]
    fn far(self, next: Self, after: Self, near: f32) -> f32 {
        let straight = near + near - self.y;
        let there = next.beyond(after);
        if next.edge < NEAREST_EDGE { straight } else { there }
    }
}

/// How far `own` lies above the lower of its two neighbours, and the second difference there.
///
/// The difference is of second order where the field is smooth, 0 where both neighbours are higher:
/// `(own - near) + ½ bend`, the bend being the harmonic mean (van Leer's limiter) of the second difference
/// here and the one a cell on.
#[inline(always)]
fn upwind(own: f32, [a, b]: [f32; 2], [a_after, b_after]: [f32; 2]) -> [f32; 2] {
    let near = smaller(a, b);
    // Between equal neighbours the lower of the two behind them, so that the mirrored field goes the same way.
    let behind_lower = if a < b { a_after } else { b_after };
    let far = if a == b { smaller(a_after, b_after) } else { behind_lower };
    let rise = own - near;
    let here = a - own + (b - own);
    let there = far - near + rise;
    let bend = harmonic(here, there);
    [larger(0.0, smaller(rise + 0.5 * bend, rise + rise)), bend]
}

/// `2ab/(a+b)` of two numbers of one sign, 0 for two signs.
#[inline(always)]
fn harmonic(a: f32, b: f32) -> f32 {
    let product = a * b;
    let sum = if product > 0.0 { a + b } else { 1.0 };
    2.0 * larger(0.0, product) / sum
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
