//! The ground that a stage starts from, as tiles see it: depths, edges and shares of the dose.

use crate::distance_rule::DistanceRule;
use crate::history::Profile;
use crate::scheme::Tile as Values;
use crate::scheme::{CELLS, Edge, HALF, HALO, Law, NEAREST_EDGE, SIDE, WIDE};
use artwork::grid::{Field, Mask};
use quantity::{Length, Quantity as _};
use rayon::prelude::*;

/// The ground before a stage, in millimetres, and what is open in it.
#[derive(Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub(crate) depth: &'a Field<f32>,
    pub(crate) mask: &'a Mask,
    /// Distance to the edge, positive where open.
    pub(crate) edge: &'a Field<f32>,
    /// Share of the dose that each cell gets.
    pub(crate) flux: Option<&'a Field<f32>>,
}

/// A tile's column and row among the tiles.
#[derive(Clone, Copy, PartialEq)]
pub(crate) struct Place {
    pub(crate) column: usize,
    pub(crate) row: usize,
}

/// A cell whose edge was moved away to [`NEAREST_EDGE`]: its depth is `share` of the one computed there,
/// as `z^((k+1)/k)` is a straight line beside an edge.
#[derive(Clone, Copy)]
pub(crate) struct Pinched {
    pub(crate) tile: usize,
    pub(crate) cell: usize,
    pub(crate) share: f32,
}

/// How young ground starts at its edges.
pub(crate) struct Start<'a> {
    pub(crate) rule: &'a DistanceRule,
    /// Dose up to which it follows the closed form.
    pub(crate) dose_mm: f64,
    pub(crate) edge_ramp: Length,
}

impl Start<'_> {
    pub(crate) fn profile(&self, dose_mm: f64) -> Profile<'_> {
        Profile::new(self.rule, Length::clamped(dose_mm * 1e-3), self.edge_ramp)
    }
}

impl Ground<'_> {
    /// Calls `with` with the place in the tile and in the field of each open cell of a tile.
    fn each_open(&self, place: Place, mut with: impl FnMut(usize, usize)) {
        let grid = self.mask.grid;
        let left = place.column * SIDE;
        for (line, y) in (place.row * SIDE..grid.height).take(SIDE).enumerate() {
            let row = y * grid.width;
            for x in left..(left + SIDE).min(grid.width) {
                if self.mask.values[row + x] {
                    with(line * SIDE + x - left, row + x);
                }
            }
        }
    }

    /// Depths of young ground in cells.
    pub(crate) fn young_depths(&self, place: Place, profile: &Profile) -> Values {
        let mut z = [0.0; CELLS];
        let cell = self.mask.grid.cell as f32;
        self.each_open(place, |to, from| z[to] = profile.depth(self.edge_mm(from)) / cell);
        z
    }

    /// Edge distances of a tile's young cells that are nearer than `reach`, 0 for all others; `None` without any.
    pub(crate) fn young_edges(&self, place: Place, z: &Values, reach: f32) -> Option<Box<Values>> {
        let mut edges = Box::new([0.0; CELLS]);
        self.each_open(place, |to, from| {
            let edge = self.edge_mm(from);
            if z[to] == 0.0 && edge < reach {
                edges[to] = edge;
            }
        });
        (*edges != [0.0; CELLS]).then_some(edges)
    }

    pub(crate) fn pinched(&self, tile: usize, place: Place, law: &Law) -> Vec<Pinched> {
        let mut pinched = Vec::new();
        self.each_open(place, |cell, from| {
            let share = self.edge.values[from] / self.edge_mm(from);
            if share < 1.0 {
                pinched.push(Pinched { tile, cell, share: law.unfitted(larger_than_nothing(share)) });
            }
        });
        pinched
    }

    fn edge_mm(&self, cell: usize) -> f32 {
        self.edge.values[cell].max(NEAREST_EDGE * self.edge.grid.cell as f32)
    }

    /// Whether covered ground is held at a depth: resist was put back on it.
    pub(crate) fn holds(&self) -> bool {
        self.depth.values.par_iter().zip(&self.mask.values).any(|(&depth, &open)| depth > 0.0 && !open)
    }

    /// Depths of a tile in cells, 0 beyond the grid.
    pub(crate) fn depths(&self, place: Place) -> Values {
        let grid = self.depth.grid;
        let mut z = [0.0; CELLS];
        for (line, y) in z.chunks_mut(SIDE).zip(place.row * SIDE..grid.height) {
            let start = y * grid.width + place.column * SIDE;
            let end = (start + SIDE).min((y + 1) * grid.width);
            for (z, &depth) in line.iter_mut().zip(&self.depth.values[start..end]) {
                *z = depth / grid.cell as f32;
            }
        }
        z
    }

    /// Share of the dose for each cell of a tile; `None` when it is all or nothing, and nothing only under
    /// untouched resist.
    pub(crate) fn fluxes(&self, place: Place) -> Option<Box<Values>> {
        let mut shares = Box::new([0.0; CELLS]);
        self.each_open(place, |to, from| shares[to] = self.flux.map_or(1.0, |flux| flux.values[from]));
        let held = self.depths(place).iter().zip(shares.iter()).any(|(&z, &share)| z > 0.0 && share == 0.0);
        let uneven = self.flux.is_some() && shares.iter().any(|&share| share != 1.0);
        (held || uneven).then_some(shares)
    }

    /// Edge distances of a tile with their halo; `None` when no cell is covered or thinned out.
    pub(crate) fn edges(&self, place: Place, law: &Law) -> Option<Box<Edge>> {
        let start = |at: usize| (at * SIDE) as isize - HALO as isize;
        let (left, top) = (start(place.column), start(place.row));
        let mut edge = [0.0; WIDE * WIDE];
        let mut matters = false;
        for (i, to) in edge.iter_mut().enumerate() {
            *to = self.edge_at(left + (i % WIDE) as isize, top + (i / WIDE) as isize);
            matters |= law.rate(*to) < 1.0;
        }
        matters.then(|| Box::new(Edge::new(edge)))
    }

    fn edge_at(&self, x: isize, y: isize) -> f32 {
        let grid = self.mask.grid;
        if x < 0 || y < 0 || x as usize >= grid.width || y as usize >= grid.height {
            return -HALF;
        }
        let i = y as usize * grid.width + x as usize;
        match (self.mask.values[i], self.edge.values[i]) {
            (true, open) => open / grid.cell as f32,
            // Covered again: a floor of its own, and no edge.
            (false, _) if self.depth.values[i] > 0.0 => HALF,
            (false, covered) if covered < 0.0 => covered / grid.cell as f32,
            (false, _) => self.beside(x as usize, y as usize),
        }
    }

    /// Edge distance of a covered cell that brings none: the open cell beside it that is farthest from the
    /// edge has the edge one cell less its own distance away.
    fn beside(&self, x: usize, y: usize) -> f32 {
        let grid = self.mask.grid;
        let (left, up) = (x.checked_sub(1), y.checked_sub(1));
        let (right, down) = ((x + 1 < grid.width).then_some(x + 1), (y + 1 < grid.height).then_some(y + 1));
        let sides = [(left, Some(y)), (right, Some(y)), (Some(x), up), (Some(x), down)];
        let open = sides.into_iter().filter_map(|(x, y)| Some(y? * grid.width + x?)).filter(|&i| self.mask.values[i]);
        let farthest = open.map(|i| self.edge.values[i] / grid.cell as f32).fold(f32::NEG_INFINITY, f32::max);
        if farthest.is_finite() { (farthest - 1.0).clamp(-1.0, 0.0) } else { -HALF }
    }
}

/// An open cell's centre lies inside, if only by a thousandth of the least distance.
fn larger_than_nothing(share: f32) -> f32 {
    share.max(1e-3)
}
