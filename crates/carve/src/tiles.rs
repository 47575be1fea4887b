//! Open ground cut into square tiles, each with its own memory, and which of them a step concerns.
//! Lengths are in cells throughout.

use crate::height_field::{Opening, SolveOptions};
use crate::history::open_counts;
use crate::scheme::Tile as Values;
use crate::scheme::{CELLS, HALF, HALO, Law, SIDE, WIDE, Wide};
use artwork::grid::{Field, Grid, Mask};
use rayon::prelude::*;

/// An edge nearer to a cell's centre than this, in cells, is moved to it: the step would have to shrink.
const NEAREST_EDGE: f32 = 0.3;

/// The open ground during one stage.
pub(crate) struct Tiles {
    grid: Grid,
    law: Law,
    tiles: Vec<Tile>,
    z: Vec<Values>,
    /// `z^((k+1)/k)` before and after the step.
    y: Vec<Values>,
    y_next: Vec<Values>,
    /// Steps taken and the dose of each.
    steps: u64,
    dose: f32,
}

impl Tiles {
    /// Cuts up the open part of `depth` (millimetres), but for the tiles that `skip` names by their
    /// place in the rows of tiles.
    pub(crate) fn new(
        depth: &Field<f32>,
        stage: &Opening,
        options: &SolveOptions,
        skip: impl Fn(usize) -> bool,
    ) -> Self {
        let law = Law::new(depth.grid, options, stage.edge.is_some());
        let ground = Ground { depth, mask: stage.mask, edge: stage.edge, law };
        let across = depth.grid.width.div_ceil(SIDE);
        let open = open_counts(stage.mask).into_iter().enumerate().filter(|&(i, count)| count > 0 && !skip(i));
        let places: Vec<Place> = open.map(|(i, _)| Place { column: i % across, row: i / across }).collect();
        let index = index_of(&places, depth.grid);
        let z: Vec<Values> = places.par_iter().map(|&place| ground.depths(place)).collect();
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
            Phase::Carved => law.step(&widened(i, tile, y), tile.edge.as_deref(), z, y_next, dose),
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
        if self.tiles.is_empty() {
            return;
        }
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
    edge: Option<Box<Wide>>,
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
    /// Depths of a tile in cells, 0 under resist and beyond the grid.
    fn depths(&self, place: Place) -> Values {
        let grid = self.depth.grid;
        let mut z = [0.0; CELLS];
        for (line, y) in z.chunks_mut(SIDE).zip(place.row * SIDE..grid.height) {
            let start = y * grid.width + place.column * SIDE;
            let end = (start + SIDE).min((y + 1) * grid.width);
            for ((z, &depth), &open) in
                line.iter_mut().zip(&self.depth.values[start..end]).zip(&self.mask.values[start..end])
            {
                *z = if open { depth / grid.cell as f32 } else { 0.0 };
            }
        }
        z
    }

    /// Edge distances of a tile with their halo; `None` when no cell is covered or thinned out.
    fn edges(&self, place: Place) -> Option<Box<Wide>> {
        let start = |at: usize| (at * SIDE) as isize - HALO as isize;
        let (left, top) = (start(place.column), start(place.row));
        let mut edge = Box::new([0.0; WIDE * WIDE]);
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
        let at =
            |there: bool, column: usize, row: usize| if there { self.tile[row * self.across + column] } else { None };
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
fn waits(tiles: &[Tile], z: &[Values]) -> Vec<u64> {
    let level = |i: usize| {
        let even = tiles[i].edge.is_none() && z[i].iter().all(|&cell| cell == z[i][0]);
        even.then_some(z[i][0])
    };
    let levels: Vec<Option<f32>> = (0..tiles.len()).into_par_iter().map(level).collect();
    let still = |i: usize| {
        levels[i].is_some() && tiles[i].around.iter().all(|n| n.is_some_and(|n| levels[n as usize] == levels[i]))
    };
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
    rings
        .into_iter()
        .map(|ring| ring.map_or(u64::MAX, |ring| if ring == 0 { 0 } else { (ring - 1) * SIDE as u64 + 1 }))
        .collect()
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

/// A tile with the cells of its four neighbours around it; 0 beyond covered tiles and at the corners,
/// where nothing is read.
fn widened(i: usize, tile: &Tile, y: &[Values]) -> Wide {
    let mut wide = [0.0; WIDE * WIDE];
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
