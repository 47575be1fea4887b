//! Open ground cut into square tiles, each with its own memory, and one step of the scheme on them.
//! Lengths are in cells throughout.

use crate::height_field::SolveOptions;
use crate::power::{pow, slope_factor};
use artwork::grid::{Field, Grid, Mask};
use rayon::prelude::*;

/// Cells along a tile's edge: small enough to follow lettering, long enough for vector code.
const SIDE: usize = 16;
/// Cells around a tile that its own cells look at.
const HALO: usize = 2;
const WIDE: usize = SIDE + 2 * HALO;
const CELLS: usize = SIDE * SIDE;
const AROUND: usize = WIDE * WIDE;
/// An edge nearer to a cell's centre than this, in cells, is moved to it: the step would have to shrink.
const NEAREST_EDGE: f32 = 0.3;

/// The open ground during one stage.
pub(crate) struct Tiles {
    grid: Grid,
    law: Law,
    tiles: Vec<Tile>,
    z: Vec<[f32; CELLS]>,
    /// `z^((k+1)/k)` before and after the step.
    y: Vec<[f32; CELLS]>,
    y_next: Vec<[f32; CELLS]>,
    /// Steps taken and the dose of each.
    steps: u64,
    dose: f32,
}

impl Tiles {
    /// Cuts up the open part of `depth` (millimetres).
    pub(crate) fn new(depth: &Field<f32>, mask: &Mask, edge: Option<&Field<f32>>, options: &SolveOptions) -> Self {
        let ground = Ground { depth, mask, edge, law: Law::new(depth.grid, options, edge.is_some()) };
        let places = ground.open_places();
        let index = index_of(&places, depth.grid);
        let law = ground.law;
        let z: Vec<[f32; CELLS]> = places.par_iter().map(|&place| ground.depths(place)).collect();
        let y = z.par_iter().map(|z| z.map(|z| law.fitted(z))).collect::<Vec<_>>();
        let make = |&place: &Place| Tile { place, around: index.around(place), wait: 0, edge: ground.edges(place) };
        let mut tiles: Vec<Tile> = places.par_iter().map(make).collect();
        let waits = waits(&tiles, &z);
        for (tile, wait) in tiles.iter_mut().zip(waits) {
            tile.wait = wait;
        }
        Self { grid: depth.grid, law, tiles, z, y_next: y.clone(), y, steps: 0, dose: 0.0 }
    }

    /// One step in which flat ground gains `dose` cells; the same dose each time.
    pub(crate) fn advance(&mut self, dose: f32) {
        self.steps += 1;
        self.dose = dose;
        let (n, law, y) = (self.steps, &self.law, &self.y);
        let work = self.tiles.par_iter().zip(&mut self.z).zip(&mut self.y_next).enumerate().with_min_len(8);
        work.for_each(|(i, ((tile, z), y_next))| match tile.phase(n) {
            Phase::Carved => law.carve(tile, i, y, z, y_next, dose),
            Phase::Flat => {
                let level = tile.flat_level(z[0], n, dose);
                *z = [level; CELLS];
                *y_next = [law.fitted(level); CELLS];
            }
            Phase::Waiting => {}
        });
        std::mem::swap(&mut self.y, &mut self.y_next);
    }

    /// Puts the depths back, in millimetres.
    pub(crate) fn write(&self, depth: &mut Field<f32>) {
        let (width, cell) = (self.grid.width, self.grid.cell as f32);
        depth.values.par_chunks_mut(width * SIDE).enumerate().for_each(|(row, band)| {
            let from = self.tiles.partition_point(|tile| tile.place.row < row);
            let to = self.tiles.partition_point(|tile| tile.place.row <= row);
            for (tile, z) in self.tiles[from..to].iter().zip(&self.z[from..to]) {
                let owed = if tile.phase(self.steps) == Phase::Waiting { self.steps as f32 * self.dose } else { 0.0 };
                let left = tile.place.column * SIDE;
                let across = SIDE.min(width - left);
                for (line, z) in band.chunks_mut(width).zip(z.chunks(SIDE)) {
                    for (to, &z) in line[left..left + across].iter_mut().zip(z) {
                        // Cells under resist and beyond the grid hold 0 and are never owed anything.
                        *to = (z + owed) * cell;
                    }
                }
            }
        });
    }
}

/// A tile's column and row among the tiles.
#[derive(Clone, Copy, PartialEq)]
struct Place {
    column: usize,
    row: usize,
}

/// A tile with at least one open cell.
struct Tile {
    place: Place,
    /// The tiles left, right, above and below.
    around: [Option<u32>; 4],
    /// First step at which a wall's news can be here; 0 for ground that is not flat.
    wait: u64,
    /// Signed distance to the edge in cells, with a halo; `None` where no edge matters.
    edge: Option<Box<[f32; AROUND]>>,
}

#[derive(Clone, Copy, PartialEq)]
enum Phase {
    /// Flat and out of everybody's sight: nothing is stored until it is needed.
    Waiting,
    /// Flat, but a neighbour looks at it.
    Flat,
    /// Computed cell by cell.
    Carved,
}

impl Tile {
    /// What the tile does in step `n`: it is flat one tile's crossing, and one step, before its own turn.
    fn phase(&self, n: u64) -> Phase {
        if n >= self.wait {
            Phase::Carved
        } else if n + SIDE as u64 + 1 >= self.wait {
            Phase::Flat
        } else {
            Phase::Waiting
        }
    }

    /// Level of a flat tile after step `n`, from its level as stored.
    fn flat_level(&self, stored: f32, n: u64, dose: f32) -> f32 {
        let missed = if n > 1 && self.phase(n - 1) == Phase::Waiting { n } else { 1 };
        stored + missed as f32 * dose
    }
}

/// What the tiles are cut from.
struct Ground<'a> {
    depth: &'a Field<f32>,
    mask: &'a Mask,
    edge: Option<&'a Field<f32>>,
    law: Law,
}

impl Ground<'_> {
    fn open_places(&self) -> Vec<Place> {
        let grid = self.mask.grid;
        let across = grid.width.div_ceil(SIDE);
        let in_row = |row: usize| {
            let mut open = vec![false; across];
            for y in row * SIDE..((row + 1) * SIDE).min(grid.height) {
                for (open, cells) in open.iter_mut().zip(self.mask.row(y).chunks(SIDE)) {
                    *open |= cells.contains(&true);
                }
            }
            (0..across).filter(move |&column| open[column]).map(move |column| Place { column, row }).collect::<Vec<_>>()
        };
        (0..grid.height.div_ceil(SIDE)).into_par_iter().flat_map_iter(in_row).collect()
    }

    /// Depths of a tile in cells, 0 under resist and beyond the grid.
    fn depths(&self, place: Place) -> [f32; CELLS] {
        let grid = self.depth.grid;
        let mut z = [0.0; CELLS];
        for (line, y) in z.chunks_mut(SIDE).zip(place.row * SIDE..grid.height) {
            let start = y * grid.width + place.column * SIDE;
            let end = (start + SIDE).min((y + 1) * grid.width);
            for ((z, &depth), &open) in line.iter_mut().zip(&self.depth.values[start..end]).zip(&self.mask.values[start..end]) {
                *z = if open { depth / grid.cell as f32 } else { 0.0 };
            }
        }
        z
    }

    /// Edge distances of a tile with their halo; `None` when no cell is covered or thinned out.
    fn edges(&self, place: Place) -> Option<Box<[f32; AROUND]>> {
        let start = |at: usize| (at * SIDE) as isize - HALO as isize;
        let (left, top) = (start(place.column), start(place.row));
        let mut edge = Box::new([0.0; AROUND]);
        let mut matters = false;
        for (i, to) in edge.iter_mut().enumerate() {
            *to = self.edge_at(left + (i % WIDE) as isize, top + (i / WIDE) as isize);
            matters |= self.law.rate(*to) < 1.0;
        }
        matters.then_some(edge)
    }

    fn edge_at(&self, x: isize, y: isize) -> f32 {
        let grid = self.mask.grid;
        if x < 0 || y < 0 || x as usize >= grid.width || y as usize >= grid.height {
            return -HALF;
        }
        let i = y as usize * grid.width + x as usize;
        let open = self.mask.values[i];
        match self.edge {
            Some(edge) if open => (edge.values[i] / grid.cell as f32).max(NEAREST_EDGE),
            Some(edge) if edge.values[i] < 0.0 => edge.values[i] / grid.cell as f32,
            _ if open => HALF,
            _ => -HALF,
        }
    }
}

/// Without edge distances the edge lies half a cell from the centre.
const HALF: f32 = 0.5;

/// Which tile lies where.
struct Index {
    across: usize,
    down: usize,
    tile: Vec<Option<u32>>,
}

fn index_of(places: &[Place], grid: Grid) -> Index {
    let (across, down) = (grid.width.div_ceil(SIDE), grid.height.div_ceil(SIDE));
    let mut tile = vec![None; across * down];
    for (i, place) in places.iter().enumerate() {
        tile[place.row * across + place.column] = Some(i as u32);
    }
    Index { across, down, tile }
}

impl Index {
    fn around(&self, Place { column, row }: Place) -> [Option<u32>; 4] {
        let at = |there: bool, column: usize, row: usize| if there { self.tile[row * self.across + column] } else { None };
        [
            at(column > 0, column.wrapping_sub(1), row),
            at(column + 1 < self.across, column + 1, row),
            at(row > 0, column, row.wrapping_sub(1)),
            at(row + 1 < self.down, column, row + 1),
        ]
    }
}

/// For each tile the first step at which a wall's news can have reached it.
///
/// A tile is still when it and its four neighbours are flat, open and equally deep. Counted from the
/// tiles that are not, news needs at least one step to enter the next tile and `SIDE` to cross it; a
/// corner is turned by way of a side, so tiles that touch at a corner count as neighbours too.
fn waits(tiles: &[Tile], z: &[[f32; CELLS]]) -> Vec<u64> {
    let level = |i: usize| {
        let even = tiles[i].edge.is_none() && z[i].iter().all(|&cell| cell == z[i][0]);
        even.then_some(z[i][0])
    };
    let levels: Vec<Option<f32>> = (0..tiles.len()).into_par_iter().map(level).collect();
    let still = |i: usize| levels[i].is_some() && tiles[i].around.iter().all(|n| n.is_some_and(|n| levels[n as usize] == levels[i]));
    let mut rings: Vec<Option<u64>> = (0..tiles.len()).map(|i| if still(i) { None } else { Some(0) }).collect();
    let mut front: Vec<usize> = (0..tiles.len()).filter(|&i| rings[i].is_some()).collect();
    let mut ring = 0;
    while !front.is_empty() {
        ring += 1;
        let mut next = Vec::new();
        for i in front {
            for neighbour in with_corners(tiles, i) {
                if rings[neighbour].is_none() {
                    rings[neighbour] = Some(ring);
                    next.push(neighbour);
                }
            }
        }
        front = next;
    }
    rings.into_iter().map(|ring| ring.map_or(u64::MAX, |ring| if ring == 0 { 0 } else { (ring - 1) * SIDE as u64 + 1 })).collect()
}

/// The up to eight tiles around one. A still tile has all four sides, so its corners are found by them.
fn with_corners(tiles: &[Tile], i: usize) -> impl Iterator<Item = usize> {
    let [left, right, above, below] = tiles[i].around;
    let beside = |tile: Option<u32>, side: usize| tile.and_then(|tile| tiles[tile as usize].around[side]);
    let corner = |a: Option<u32>, a_side: usize, b: Option<u32>, b_side: usize| beside(a, a_side).or(beside(b, b_side));
    [
        left,
        right,
        above,
        below,
        corner(above, 0, left, 2),
        corner(above, 1, right, 2),
        corner(below, 0, left, 3),
        corner(below, 1, right, 3),
    ]
    .into_iter()
    .flatten()
    .map(|tile| tile as usize)
}

/// The equation's constants, in the form that the inner loop wants.
#[derive(Clone, Copy)]
struct Law {
    k: f32,
    /// Full flux over the width of the ramp, in cells.
    ramp: f32,
}

impl Law {
    fn new(grid: Grid, options: &SolveOptions, has_edges: bool) -> Self {
        let cells = (options.edge_ramp.to_mm() / grid.cell) as f32;
        // Without distances, or within the first half cell, a ramp cannot be told from a sharp edge.
        let ramp = if has_edges && cells > HALF { 1.0 / cells } else { f32::MAX };
        Self { k: options.exponent as f32, ramp }
    }

    /// `z^((k+1)/k)`.
    #[inline(always)]
    fn fitted(&self, z: f32) -> f32 {
        z * pow(z, 1.0 / self.k)
    }

    /// Share of the full flux at an edge distance; 0 under resist.
    #[inline(always)]
    fn rate(&self, edge: f32) -> f32 {
        smaller(1.0, larger(0.0, edge) * self.ramp)
    }

    /// One step of one tile.
    fn carve(
        &self, tile: &Tile, i: usize, y: &[[f32; CELLS]], z: &mut [f32; CELLS], y_next: &mut [f32; CELLS], dose: f32,
    ) {
        let wide = widened(i, tile, y);
        match &tile.edge {
            Some(edge) => self.carve_at_edge(&wide, edge, z, y_next, dose),
            None => self.carve_inside(&wide, z, y_next, dose),
        }
    }

    fn carve_inside(&self, y: &[f32; AROUND], z: &mut [f32; CELLS], y_next: &mut [f32; CELLS], dose: f32) {
        for row in 0..SIDE {
            let at = |dx: usize, dy: usize| window(y, row + dy, dx);
            let (c, l, ll, r, rr) = (at(2, 2), at(1, 2), at(0, 2), at(3, 2), at(4, 2));
            let (u, uu, d, dd) = (at(2, 1), at(2, 0), at(2, 3), at(2, 4));
            let (z, y_next) = (line(z, row), line(y_next, row));
            for i in 0..SIDE {
                let across = larger(upwind(c[i], l[i], ll[i], r[i]), upwind(c[i], r[i], rr[i], l[i]));
                let down = larger(upwind(c[i], u[i], uu[i], d[i]), upwind(c[i], d[i], dd[i], u[i]));
                z[i] += dose * self.slowed(across, down, z[i], c[i]);
                y_next[i] = self.fitted(z[i]);
            }
        }
    }

    fn carve_at_edge(
        &self, y: &[f32; AROUND], edge: &[f32; AROUND], z: &mut [f32; CELLS], y_next: &mut [f32; CELLS], dose: f32,
    ) {
        for row in 0..SIDE {
            let at = |dx: usize, dy: usize| (window(y, row + dy, dx), window(edge, row + dy, dx));
            let (c, l, ll, r, rr) = (at(2, 2), at(1, 2), at(0, 2), at(3, 2), at(4, 2));
            let (u, uu, d, dd) = (at(2, 1), at(2, 0), at(2, 3), at(2, 4));
            let (z, y_next) = (line(z, row), line(y_next, row));
            for i in 0..SIDE {
                let cell = |(y, edge): (&[f32; SIDE], &[f32; SIDE])| Cell { y: y[i], edge: edge[i] };
                let own = cell(c);
                let across = own.upwind_of_pair([cell(l), cell(ll)], [cell(r), cell(rr)]);
                let down = own.upwind_of_pair([cell(u), cell(uu)], [cell(d), cell(dd)]);
                z[i] += dose * self.rate(own.edge) * self.slowed(across, down, z[i], own.y);
                y_next[i] = self.fitted(z[i]);
            }
        }
    }

    /// Share of the flat rate where the fitted depth `y` of depth `z` has these differences.
    #[inline(always)]
    fn slowed(&self, across: f32, down: f32, z: f32, y: f32) -> f32 {
        // ∇z = ∇y k/((k+1) z^(1/k)), and z^(1/k) = y/z.
        let unfit = self.k / (self.k + 1.0) * z / larger(y, 1e-20);
        slope_factor((across * across + down * down) * unfit * unfit, self.k)
    }
}

/// A cell's fitted depth and its signed distance to the edge.
#[derive(Clone, Copy)]
struct Cell {
    y: f32,
    edge: f32,
}

impl Cell {
    /// The larger upwind difference of two opposite directions, each the next cell and the one after.
    #[inline(always)]
    fn upwind_of_pair(self, a: [Self; 2], b: [Self; 2]) -> f32 {
        let (a_near, b_near) = (self.beyond(a[0]), self.beyond(b[0]));
        let (a_far, b_far) = (self.far(a, a_near), self.far(b, b_near));
        larger(upwind(self.y, a_near, a_far, b_near), upwind(self.y, b_near, b_far, a_near))
    }

    /// What the next cell holds: if covered, the straight line from here through zero at the edge.
    #[inline(always)]
    fn beyond(self, next: Self) -> f32 {
        if next.edge < 0.0 { self.y * next.edge / self.edge } else { next.y }
    }

    /// What the cell after the next holds; behind an edge, the straight line goes on.
    #[inline(always)]
    fn far(self, [next, after]: [Self; 2], near: f32) -> f32 {
        let straight = near + near - self.y;
        if next.edge < 0.0 { straight } else { next.beyond(after) }
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
fn window(wide: &[f32; AROUND], row: usize, dx: usize) -> &[f32; SIDE] {
    let start = row * WIDE + dx;
    wide[start..start + SIDE].try_into().expect("a window has a tile's width")
}

/// A row of a tile.
#[inline(always)]
fn line(tile: &mut [f32; CELLS], row: usize) -> &mut [f32; SIDE] {
    (&mut tile[row * SIDE..(row + 1) * SIDE]).try_into().expect("a row has a tile's width")
}

/// A tile with the cells of its four neighbours around it; 0 beyond covered tiles and at the corners,
/// where nothing is read.
fn widened(i: usize, tile: &Tile, y: &[[f32; CELLS]]) -> [f32; AROUND] {
    let mut wide = [0.0; AROUND];
    let [left, right, above, below] = tile.around.map(|n| n.map(|n| &y[n as usize]));
    for row in 0..SIDE {
        let (from, to) = (row * SIDE, (row + HALO) * WIDE);
        wide[to + HALO..to + HALO + SIDE].copy_from_slice(&y[i][from..from + SIDE]);
        if let Some(left) = left {
            wide[to..to + HALO].copy_from_slice(&left[from + SIDE - HALO..from + SIDE]);
        }
        if let Some(right) = right {
            wide[to + HALO + SIDE..to + WIDE].copy_from_slice(&right[from..from + HALO]);
        }
    }
    for row in 0..HALO {
        if let Some(above) = above {
            let (from, to) = ((SIDE - HALO + row) * SIDE, row * WIDE + HALO);
            wide[to..to + SIDE].copy_from_slice(&above[from..from + SIDE]);
        }
        if let Some(below) = below {
            let (from, to) = (row * SIDE, (HALO + SIDE + row) * WIDE + HALO);
            wide[to..to + SIDE].copy_from_slice(&below[from..from + SIDE]);
        }
    }
    wide
}
