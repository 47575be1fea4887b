//! Ground that was opened at once and that nothing opened since has touched: there the closed form is
//! the exact answer, and no grid need be solved.
//!
//! The carving equation's news does not cross resist. So a stretch of open ground, all of which was
//! opened before one stage and which has no other open ground beside it, is as deep as the distance
//! rule says for the doses since. Stretches are told apart by tiles: open tiles that touch, if only at
//! a corner, belong together, which joins too much rather than too little.

use crate::distance_rule::{DistanceRule, RampedProfile};
use crate::scheme::SIDE;
use artwork::grid::{Field, Grid, Mask};
use quantity::{Length, Quantity as _};
use rayon::prelude::*;

/// For each tile of a stage, the stage before which all of its stretch was opened; `None` for tiles
/// without open cells and for stretches of more than one age.
pub(crate) type Births = Vec<Option<u16>>;

/// The births of every stage; the masks only grow.
pub(crate) fn births(masks: &[&Mask]) -> Vec<Births> {
    let counts: Vec<Vec<u16>> = masks.iter().map(|mask| open_counts(mask)).collect();
    (0..masks.len()).into_par_iter().map(|stage| stage_births(&counts[..=stage], masks[stage].grid)).collect()
}

/// Open cells in each tile, tiles row by row.
pub(crate) fn open_counts(mask: &Mask) -> Vec<u16> {
    let grid = mask.grid;
    let across = grid.width.div_ceil(SIDE);
    let mut counts = vec![0u16; across * grid.height.div_ceil(SIDE)];
    counts.par_chunks_mut(across).enumerate().for_each(|(band, counts)| {
        for row in band * SIDE..((band + 1) * SIDE).min(grid.height) {
            for (count, cells) in counts.iter_mut().zip(mask.row(row).chunks(SIDE)) {
                *count += cells.iter().map(|&open| u16::from(open)).sum::<u16>();
            }
        }
    });
    counts
}

fn stage_births(counts: &[Vec<u16>], grid: Grid) -> Births {
    let across = grid.width.div_ceil(SIDE);
    let Some(open) = counts.last() else { return Births::new() };
    let own: Births = (0..open.len()).map(|tile| own_birth(counts, tile)).collect();
    let mut births = vec![None; open.len()];
    let mut seen = vec![false; open.len()];
    for start in 0..open.len() {
        if open[start] == 0 || seen[start] {
            continue;
        }
        seen[start] = true;
        let mut stretch = vec![start];
        let mut at = 0;
        while let Some(&tile) = stretch.get(at) {
            for next in touching(tile, across, open.len()) {
                if open[next] > 0 && !seen[next] {
                    seen[next] = true;
                    stretch.push(next);
                }
            }
            at += 1;
        }
        let birth = own[start];
        if stretch.iter().all(|&tile| own[tile] == birth) {
            stretch.iter().for_each(|&tile| births[tile] = birth);
        }
    }
    births
}

/// The stage that opened all of a tile's open cells, if one did.
fn own_birth(counts: &[Vec<u16>], tile: usize) -> Option<u16> {
    let now = counts.last()?[tile];
    let first = counts.iter().position(|count| count[tile] > 0)?;
    (counts[first][tile] == now).then_some(first as u16)
}

/// The tiles around one, corners included, among `len` tiles in rows of `across`.
fn touching(tile: usize, across: usize, len: usize) -> impl Iterator<Item = usize> {
    let (column, row, rows) = (tile % across, tile / across, len / across);
    let near = |at: usize, end: usize| at.saturating_sub(1)..(at + 2).min(end);
    near(row, rows).flat_map(move |r| near(column, across).map(move |c| r * across + c))
}

/// Depth by distance after one dose.
pub(crate) enum Profile<'a> {
    /// Full flux up to the edge.
    Sharp(&'a DistanceRule, f32),
    /// Flux thinned out towards it.
    Ramped(RampedProfile),
}

impl<'a> Profile<'a> {
    pub(crate) fn new(rule: &'a DistanceRule, dose: Length, ramp: Length) -> Self {
        if ramp.to_metres() > 0.0 {
            return Self::Ramped(rule.ramped(ramp, dose));
        }
        Self::Sharp(rule, (dose.to_mm() as f32).max(f32::MIN_POSITIVE))
    }

    pub(crate) fn depth(&self, distance: f32) -> f32 {
        match self {
            Self::Sharp(rule, dose) => dose * rule.share(distance / dose),
            Self::Ramped(wall) => wall.depth(Length::clamped(f64::from(distance) * 1e-3)).to_mm() as f32,
        }
    }
}

/// Writes the closed form into the tiles that `profile_of` names a profile for.
pub(crate) fn fill<'p>(
    depth: &mut Field<f32>,
    mask: &Mask,
    distance: &Field<f32>,
    profile_of: impl Fn(usize) -> Option<&'p Profile<'p>> + Sync,
) {
    let width = depth.grid.width;
    let across = width.div_ceil(SIDE);
    depth.values.par_chunks_mut(width * SIDE).enumerate().for_each(|(band, lines)| {
        let profiles: Vec<Option<&Profile>> = (0..across).map(|column| profile_of(band * across + column)).collect();
        for (line, row) in lines.chunks_mut(width).zip(band * SIDE..) {
            let cells = line.chunks_mut(SIDE).zip(mask.row(row).chunks(SIDE)).zip(distance.row(row).chunks(SIDE));
            for (((line, open), distance), profile) in cells.zip(&profiles) {
                let Some(profile) = profile else { continue };
                for ((z, &open), &distance) in line.iter_mut().zip(open).zip(distance) {
                    *z = if open { profile.depth(distance) } else { 0.0 };
                }
            }
        }
    });
}
