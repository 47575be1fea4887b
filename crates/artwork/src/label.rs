//! Which cells hang together.

use crate::grid::{Field, Mask};

/// Which cells count as neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Neighbours {
    /// The four that share an edge.
    Four,
    /// Those and the four that share a corner.
    Eight,
}

/// One connected part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// Number of cells.
    pub cells: usize,
    /// Least column.
    pub left: usize,
    /// Least row.
    pub top: usize,
    /// Greatest column.
    pub right: usize,
    /// Greatest row.
    pub bottom: usize,
}

/// Connected parts of a mask.
#[derive(Debug, Clone, PartialEq)]
pub struct Labels {
    /// 0 where the mask is closed, else 1 more than the part's index.
    pub field: Field<u32>,
    /// The parts, in the order of their first cell.
    pub parts: Vec<Part>,
}

/// Finds the connected parts of a mask's open cells.
///
/// Method: runs of open cells in each row, joined to those in the row above by union-find.
#[must_use]
pub fn label(mask: &Mask, neighbours: Neighbours) -> Labels {
    let rows: Vec<Vec<Run>> = (0..mask.grid.height).map(|row| runs(mask.row(row))).collect();
    let mut joined = Joined::default();
    let mut names: Vec<Vec<u32>> = Vec::with_capacity(rows.len());
    for (row, runs) in rows.iter().enumerate() {
        let fresh = runs.iter().map(|_| joined.add()).collect();
        names.push(fresh);
        if let Some(above) = row.checked_sub(1) {
            let (before, after) = names.split_at(row);
            join((&rows[above], &before[above]), (runs, &after[0]), neighbours, &mut joined);
        }
    }
    write(mask, &rows, &names, &mut joined)
}

/// Open cells `start..end` of a row.
#[derive(Clone, Copy)]
struct Run {
    start: usize,
    end: usize,
}

fn runs(row: &[bool]) -> Vec<Run> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(skip) = row[at..].iter().position(|&open| open) {
        let start = at + skip;
        let end = row[start..].iter().position(|&open| !open).map_or(row.len(), |length| start + length);
        found.push(Run { start, end });
        at = end;
    }
    found
}

fn join(above: (&[Run], &[u32]), below: (&[Run], &[u32]), neighbours: Neighbours, joined: &mut Joined) {
    let reach = usize::from(neighbours == Neighbours::Eight);
    let (mut i, mut j) = (0, 0);
    while let (Some(a), Some(b)) = (above.0.get(i), below.0.get(j)) {
        if a.start < b.end + reach && b.start < a.end + reach {
            joined.join(above.1[i], below.1[j]);
        }
        if a.end < b.end { i += 1 } else { j += 1 }
    }
}

/// Union-find: each name points at a smaller one of its part, or at itself.
#[derive(Default)]
struct Joined {
    parent: Vec<u32>,
}

impl Joined {
    fn add(&mut self) -> u32 {
        let name = self.parent.len() as u32;
        self.parent.push(name);
        name
    }

    fn root(&mut self, mut name: u32) -> u32 {
        while self.parent[name as usize] != name {
            let up = self.parent[self.parent[name as usize] as usize];
            self.parent[name as usize] = up;
            name = up;
        }
        name
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b) as usize] = a.min(b);
    }
}

fn write(mask: &Mask, rows: &[Vec<Run>], names: &[Vec<u32>], joined: &mut Joined) -> Labels {
    let mut field = Field::filled(mask.grid, 0_u32);
    let mut parts: Vec<Part> = Vec::new();
    let mut index_of: Vec<u32> = vec![0; joined.parent.len()];
    for (row, (runs, names)) in rows.iter().zip(names).enumerate() {
        for (run, &name) in runs.iter().zip(names) {
            let root = joined.root(name) as usize;
            if index_of[root] == 0 {
                parts.push(Part { cells: 0, left: run.start, top: row, right: run.start, bottom: row });
                index_of[root] = parts.len() as u32;
            }
            let part = &mut parts[index_of[root] as usize - 1];
            part.cells += run.end - run.start;
            part.left = part.left.min(run.start);
            part.right = part.right.max(run.end - 1);
            part.bottom = row;
            field.values[row * mask.grid.width..][run.start..run.end].fill(index_of[root]);
        }
    }
    Labels { field, parts }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::{Grid, Point};
    use proptest::prelude::*;

    fn mask(picture: &[&str]) -> Mask {
        let grid = Grid { origin: Point::default(), cell: 1.0, width: picture[0].len(), height: picture.len() };
        Mask { grid, values: picture.iter().flat_map(|row| row.bytes().map(|b| b == b'#')).collect() }
    }

    /// Flood fill, cell by cell.
    fn flooded(mask: &Mask, neighbours: Neighbours) -> Vec<usize> {
        let (width, height) = (mask.grid.width as i64, mask.grid.height as i64);
        let mut seen = vec![false; mask.values.len()];
        let mut sizes = Vec::new();
        for first in 0..seen.len() {
            let mut stack = vec![first];
            let mut size = 0;
            while let Some(at) = stack.pop() {
                if seen[at] || !mask.values[at] {
                    continue;
                }
                seen[at] = true;
                size += 1;
                let (x, y) = (at as i64 % width, at as i64 / width);
                for (dx, dy) in (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (dx, dy))) {
                    let straight = dx == 0 || dy == 0;
                    let inside = (0..width).contains(&(x + dx)) && (0..height).contains(&(y + dy));
                    if inside && (straight || neighbours == Neighbours::Eight) {
                        stack.push(((y + dy) * width + x + dx) as usize);
                    }
                }
            }
            sizes.extend((size > 0).then_some(size));
        }
        sizes
    }

    #[test]
    fn corners_join_only_among_eight_neighbours() {
        let picture = mask(&["##..#", "..#..", "##..#"]);
        assert_eq!(label(&picture, Neighbours::Four).parts.len(), 5);
        assert_eq!(label(&picture, Neighbours::Eight).parts.len(), 2 + 1);
    }

    #[test]
    fn arms_that_meet_late_are_one_part() {
        let labels = label(&mask(&["#.#.#", "#.#.#", "#####"]), Neighbours::Four);
        let want = Part { cells: 11, left: 0, top: 0, right: 4, bottom: 2 };
        assert_eq!(labels.parts, [want]);
        assert_eq!(labels.field.values.iter().filter(|&&name| name == 1).count(), 11);
    }

    proptest! {
        #[test]
        fn parts_are_those_of_a_flood_fill(width in 1..20_usize, cells in proptest::collection::vec(any::<bool>(), 1..400)) {
            let height = cells.len() / width;
            let grid = Grid { origin: Point::default(), cell: 1.0, width, height };
            let mask = Mask { grid, values: cells[..width * height].to_vec() };
            for neighbours in [Neighbours::Four, Neighbours::Eight] {
                let labels = label(&mask, neighbours);
                let sizes: Vec<usize> = labels.parts.iter().map(|part| part.cells).collect();
                prop_assert_eq!(sizes, flooded(&mask, neighbours));
                let open = labels.field.values.iter().map(|&name| name > 0);
                prop_assert!(open.eq(mask.values.iter().copied()));
            }
        }
    }
}
