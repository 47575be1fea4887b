//! Parts of the resist that hang on narrow necks.

use super::{narrow, nearest_ring};
use crate::bounds::Bounds;
use crate::edges::Edges;
use crate::grid::Point;
use crate::region::{Region, Rounding};
use crate::ridge::{Of, RidgePoint};
use crate::windows::Windows;
use quantity::{Area, Length, Quantity as _};
use rayon::prelude::*;
use std::collections::HashMap;

/// A part of the resist that hangs on necks narrower than a limit only, and is too small to hold by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Peninsula {
    /// Its middle, or that of its widest part.
    pub at: Point,
    /// Its area beyond the neck.
    pub area: Area,
    /// Width of its widest neck.
    pub neck: Length,
    /// The part itself.
    pub region: Region,
}

/// Roundness of what is drawn in and let out again.
const TOLERANCE_MM: f64 = 0.01;

/// What a peninsula is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hanging {
    /// Narrowest neck that holds.
    pub(crate) neck: Length,
    /// What is as large as this holds by itself.
    pub(crate) holding: Area,
}

/// Peninsulas, smallest first; within windows only, if any are given.
///
/// Method: the resist is drawn in by half a neck, which parts it where a neck is narrower. Of the parts of
/// one piece of resist the largest is its body, the others hang on it.
pub(crate) fn peninsulas(region: &Region, blank: Bounds, hanging: Hanging, within: Option<&Windows>) -> Vec<Peninsula> {
    let half = 0.5 * hanging.neck.to_mm();
    if half <= 0.0 || region.is_empty() {
        return Vec::new();
    }
    let ground = Region::rectangle(blank);
    let cover = within.map(|windows| cover(windows, &hanging).intersect(&ground));
    let resist = cover.as_ref().unwrap_or(&ground).subtract(region);
    let parts: Vec<Region> = resist.inset(half, TOLERANCE_MM, Rounding::Grow).parts().collect();
    let owners = owners(&resist, &parts, half);
    let bodies = bodies(&parts, &owners);
    let cut = cover.map(|cover| Edges::new(&cover, None, 2.0 * half));
    // What reaches a window's side goes on beyond it.
    let goes_on = |part: &Region| {
        let at_side = |p: &Point| {
            cut.as_ref().is_some_and(|cut| nearest_ring(cut, *p, 1.01 * half + 5.0 * TOLERANCE_MM).is_some())
        };
        cut.is_some() && part.rings().flat_map(|ring| &ring.0).any(|p| at_side(p) && inside(blank, *p, 1.5 * half))
    };
    let small = |index: &usize| parts[*index].area().to_square_mm() < hanging.holding.to_square_mm();
    let hangs = |index: &usize| bodies.get(&owners[*index]).is_some_and(|body| body != index);
    let lobes: Vec<usize> =
        (0..parts.len()).filter(small).filter(hangs).filter(|index| !goes_on(&parts[*index])).collect();
    if lobes.is_empty() {
        return Vec::new();
    }
    let beside: Vec<Bounds> =
        lobes.iter().filter_map(|index| parts[*index].bounds()).map(|at| at.grown(3.0 * half)).collect();
    let places = narrow(region, blank, Of::Walls, hanging.neck, Windows::new(beside).as_ref());
    let necks = Necks::new(&places, hanging.neck.to_mm());
    let lobe = |index: usize| {
        let grown = parts[index].outset(half, TOLERANCE_MM, Rounding::Shrink);
        let around = parts[index].bounds()?;
        let neck = necks.widest_beside(&parts[index]).unwrap_or(hanging.neck);
        let found = Peninsula { at: around.centre(), area: grown.area(), neck, region: grown };
        (found.area.to_square_mm() < hanging.holding.to_square_mm()).then_some(found)
    };
    let mut found: Vec<Peninsula> = lobes.into_par_iter().filter_map(lobe).collect();
    found.sort_by(|a, b| a.area.to_square_mm().total_cmp(&b.area.to_square_mm()));
    found
}

/// Windows, and as far around them as a part too small to hold can reach: it is wider than a neck throughout.
fn cover(windows: &Windows, hanging: &Hanging) -> Region {
    let (neck, holding) = (hanging.neck.to_mm(), hanging.holding.to_square_mm());
    let around = windows.boxes().iter().map(|at| Region::rectangle(at.grown(holding / neck + 2.0 * neck)));
    Region::union_of(&around.collect::<Vec<_>>())
}

fn inside(blank: Bounds, p: Point, by: f64) -> bool {
    blank.holds(&Bounds { min: p, max: p }, -by)
}

/// The largest part of each piece of resist.
fn bodies(parts: &[Region], owners: &[usize]) -> HashMap<usize, usize> {
    let mut largest: HashMap<usize, (f64, usize)> = HashMap::new();
    for (index, (part, owner)) in parts.iter().zip(owners).enumerate() {
        let area = part.area().to_square_mm();
        let best = largest.entry(*owner).or_insert((area, index));
        if area > best.0 {
            *best = (area, index);
        }
    }
    largest.into_iter().map(|(owner, (_, body))| (owner, body)).collect()
}

/// For each part, the piece of resist that it is of: its outline lies half a neck from that piece's own.
fn owners(resist: &Region, parts: &[Region], half: f64) -> Vec<usize> {
    let piece_of: Vec<usize> =
        resist.polygons().iter().enumerate().flat_map(|(i, p)| p.rings().map(move |_| i)).collect();
    let edges = Edges::new(resist, None, half);
    let owner = |part: &Region| {
        let point = part.polygons().first()?.outer.0.first()?;
        let (_, ring, _) = nearest_ring(&edges, *point, 1.5 * half + 10.0 * TOLERANCE_MM)?;
        piece_of.get(ring as usize).copied()
    };
    parts.iter().map(|part| owner(part).unwrap_or(usize::MAX)).collect()
}

/// Places in necks, by place.
struct Necks {
    cell: f64,
    cells: HashMap<(i64, i64), Vec<RidgePoint>>,
}

impl Necks {
    fn new(points: &[RidgePoint], cell: f64) -> Self {
        let mut made = Self { cell, cells: HashMap::new() };
        for point in points {
            let key = made.key(point.at);
            made.cells.entry(key).or_default().push(*point);
        }
        made
    }

    fn key(&self, p: Point) -> (i64, i64) {
        ((p.x / self.cell).floor() as i64, (p.y / self.cell).floor() as i64)
    }

    /// Each neck is as narrow as its narrowest place; of several the widest counts. Places of one neck
    /// lie together, so the narrowest in each cell stands for a neck.
    fn widest_beside(&self, part: &Region) -> Option<Length> {
        let mut narrowest: HashMap<(i64, i64), Length> = HashMap::new();
        for p in part.rings().flat_map(|ring| &ring.0) {
            let (column, row) = self.key(*p);
            for cell in (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (column + dx, row + dy))) {
                for point in self.cells.get(&cell).into_iter().flatten() {
                    let near = (point.at.x - p.x).hypot(point.at.y - p.y) < self.cell;
                    let least = narrowest.entry((cell.0.div_euclid(4), cell.1.div_euclid(4)));
                    if near {
                        let least = least.or_insert(point.width);
                        if point.width < *least {
                            *least = point.width;
                        }
                    }
                }
            }
        }
        narrowest.into_values().max_by(|a, b| a.to_base().total_cmp(&b.to_base()))
    }
}
