//! Open ground cut into square tiles, each with its own memory, and which of them a step concerns.
//! Lengths are in cells throughout.

use crate::ground::{Ground, Pinched, Place, Start};
use crate::height_field::SolveOptions;
use crate::history::open_counts;
use crate::scheme::Tile as Values;
use crate::scheme::{Around, CELLS, HALO, Law, SIDE, WIDE, Wide};
use artwork::grid::{Field, Grid, Mask};
use rayon::prelude::*;

/// The open ground during one stage.
pub(crate) struct Tiles {
    grid: Grid,
    law: Law,
    tiles: Vec<Tile>,
    z: Vec<Values>,
    /// `z^((k+1)/k)` before and after the step.
    y: Vec<Values>,
    y_next: Vec<Values>,
    /// Depth in cells that the closed form gave before the first step.
    begun: f32,
    /// Steps taken and the dose of each.
    steps: u64,
    dose: f32,
    /// Places of the tiles with young cells near an edge, and the edge distances of these in millimetres,
    /// 0 for all other cells.
    young: Vec<(usize, Box<Values>)>,
    /// Cells whose centre lies too near to an edge.
    pinched: Vec<Pinched>,
}

impl Tiles {
    /// Cuts up the open part of the ground, but for the tiles that `skip` names by their place in the rows
    /// of tiles.
    ///
    /// Ground of depth 0 is *young*: near an edge it follows `start`, the profile of the first few cells of
    /// dose, until a grid can tell its wall. If all of it is young, it starts there at once.
    pub(crate) fn new(ground: Ground, options: &SolveOptions, start: &Start, skip: impl Fn(usize) -> bool) -> Self {
        let grid = ground.depth.grid;
        let law = Law::new(grid, options);
        let across = grid.width.div_ceil(SIDE);
        let open = open_counts(ground.mask).into_iter().enumerate().filter(|&(i, count)| count > 0 && !skip(i));
        let places: Vec<Place> = open.map(|(i, _)| Place { column: i % across, row: i / across }).collect();
        let index = index_of(&places, grid);
        let mut z: Vec<Values> = places.par_iter().map(|&place| ground.depths(place)).collect();
        let untouched = z.par_iter().all(|z| *z == [0.0; CELLS]);
        let pinched = places.par_iter().enumerate().flat_map_iter(|(i, &place)| ground.pinched(i, place, &law));
        let pinched: Vec<Pinched> = pinched.collect();
        let mut young = Vec::new();
        let begins = untouched && ground.flux.is_none();
        if begins {
            let profile = start.profile(start.dose_mm);
            z.par_iter_mut().zip(&places).for_each(|(z, &place)| *z = ground.young_depths(place, &profile));
        } else if ground.flux.is_none() && !ground.holds() {
            let near =
                |(i, &place): (usize, &Place)| Some((i, ground.young_edges(place, &z[i], start.dose_mm as f32)?));
            young = places.par_iter().enumerate().filter_map(near).collect();
        }
        if !begins {
            pinched.iter().for_each(|pinched| z[pinched.tile][pinched.cell] /= pinched.share);
        }
        let y = z.par_iter().map(|z| z.map(|z| law.fitted(z))).collect::<Vec<_>>();
        let make = |&place: &Place| {
            let uneven = Around { edge: ground.edges(place, &law), flux: ground.fluxes(place) };
            Tile { place, around: index.around(place), wait: 0, uneven }
        };
        let mut tiles: Vec<Tile> = places.par_iter().map(make).collect();
        let waits = waits(&tiles, &z);
        for (tile, wait) in tiles.iter_mut().zip(waits) {
            tile.wait = wait;
        }
        let begun = if begins { (start.dose_mm / grid.cell) as f32 } else { 0.0 };
        Self { grid, law, tiles, z, y_next: y.clone(), y, begun, steps: 0, dose: 0.0, young, pinched }
    }

    /// Depth that flat ground has gained, in millimetres.
    pub(crate) fn gained_mm(&self) -> f64 {
        f64::from(self.begun + self.steps as f32 * self.dose) * self.grid.cell
    }

    /// Tiles of the grid, those with open cells, and those that the next step computes cell by cell.
    pub(crate) fn counts(&self) -> [u64; 3] {
        let carved = self.tiles.iter().filter(|tile| tile.phase(self.steps + 1) == Phase::Carved).count();
        let all = self.grid.width.div_ceil(SIDE) * self.grid.height.div_ceil(SIDE);
        [all as u64, self.tiles.len() as u64, carved as u64]
    }

    /// Sets the young cells near an edge to the profile of their dose; nothing, once they are old enough.
    pub(crate) fn follow(&mut self, start: &Start) {
        let gained = self.gained_mm();
        if self.young.is_empty() {
            return;
        }
        if gained > start.dose_mm {
            self.young = Vec::new();
            return;
        }
        let (profile, cell) = (start.profile(gained), self.grid.cell as f32);
        for (i, edges) in &self.young {
            let (z, y) = (&mut self.z[*i], &mut self.y[*i]);
            for ((z, y), &edge) in z.iter_mut().zip(y).zip(edges.iter()) {
                if edge > 0.0 {
                    *z = profile.depth(edge) / cell;
                    *y = self.law.fitted(*z);
                }
            }
        }
    }

    /// One step in which flat ground gains `dose` cells; the same dose each time.
    pub(crate) fn advance(&mut self, dose: f32) {
        self.steps += 1;
        self.dose = dose;
        let (n, law, y) = (self.steps, &self.law, &self.y);
        let work = self.tiles.par_iter().zip(&mut self.z).zip(&mut self.y_next).enumerate().with_min_len(8);
        work.for_each(|(i, ((tile, z), y_next))| match tile.phase(n) {
            Phase::Carved => law.step(&widened(i, tile, y), &tile.uneven, z, y_next, dose),
            Phase::Flat => {
                let level = tile.flat_level(z[0], n, dose);
                *z = [level; CELLS];
                *y_next = [law.fitted(level); CELLS];
            }
            Phase::Waiting => {}
        });
        std::mem::swap(&mut self.y, &mut self.y_next);
    }

    /// Puts the depths of the open cells back, in millimetres.
    pub(crate) fn write(mut self, depth: &mut Field<f32>, mask: &Mask) {
        if self.tiles.is_empty() {
            return;
        }
        self.pinched.iter().for_each(|pinched| self.z[pinched.tile][pinched.cell] *= pinched.share);
        let (width, cell) = (self.grid.width, self.grid.cell as f32);
        let bands = depth.values.par_chunks_mut(width * SIDE).zip(mask.values.par_chunks(width * SIDE));
        bands.enumerate().for_each(|(row, (band, mask))| {
            let from = self.tiles.partition_point(|tile| tile.place.row < row);
            let to = self.tiles.partition_point(|tile| tile.place.row <= row);
            for (tile, z) in self.tiles[from..to].iter().zip(&self.z[from..to]) {
                let owed = if tile.phase(self.steps) == Phase::Waiting { self.steps as f32 * self.dose } else { 0.0 };
                let left = tile.place.column * SIDE;
                let across = SIDE.min(width - left);
                for ((line, open), z) in band.chunks_mut(width).zip(mask.chunks(width)).zip(z.chunks(SIDE)) {
                    let cells = line[left..left + across].iter_mut().zip(&open[left..left + across]);
                    for ((to, &open), &z) in cells.zip(z) {
                        *to = if open { (z + owed) * cell } else { *to };
                    }
                }
            }
        });
    }
}

/// A tile with at least one open cell.
struct Tile {
    place: Place,
    /// The tiles left, right, above and below.
    around: [Option<u32>; 4],
    /// First step at which a wall's news can be here; 0 for ground that is not flat.
    wait: u64,
    uneven: Around,
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
        let Around { edge, flux } = &tiles[i].uneven;
        let even = edge.is_none() && flux.is_none() && z[i].iter().all(|&cell| cell == z[i][0]);
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
