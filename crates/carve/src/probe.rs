//! Reading a depth field: at a point, and along a line.

use artwork::grid::{Field, Point};

/// Depth at a point in millimetres, bilinear between cell centres; within half a cell of the field's border the
/// value of the nearest centre line. `None` outside the grid and for a field without cells.
#[must_use]
pub fn depth_at(depth: &Field<f32>, point: Point) -> Option<f64> {
    let grid = depth.grid;
    let (x, y) = ((point.x - grid.origin.x) / grid.cell, (point.y - grid.origin.y) / grid.cell);
    let inside = 0.0 <= x && x <= grid.width as f64 && 0.0 <= y && y <= grid.height as f64 && !grid.is_empty();
    if !inside {
        return None;
    }
    let [left, right, across] = between(x - 0.5, grid.width);
    let [up, down, along] = between(y - 0.5, grid.height);
    let at = |column: f64, row: f64| f64::from(depth.values[row as usize * grid.width + column as usize]);
    let line = |row: f64| at(left, row) + (at(right, row) - at(left, row)) * across;
    Some(line(up) + (line(down) - line(up)) * along)
}

/// The two centres around a coordinate in cells, and the share of the way between them.
fn between(at: f64, count: usize) -> [f64; 3] {
    let last = count as f64 - 1.0;
    let before = at.floor().clamp(0.0, last);
    [before, (before + 1.0).min(last), (at - before).clamp(0.0, 1.0)]
}

/// A place on a cross-section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Millimetres from the section's start.
    pub along_mm: f64,
    /// Where.
    pub at: Point,
    /// Depth in millimetres; `None` outside the field.
    pub depth_mm: Option<f64>,
}

/// Depths along a straight line, both ends included, at even steps of at most half a cell.
///
/// A line without length gives its one point.
#[must_use]
pub fn section(depth: &Field<f32>, from: Point, to: Point) -> Vec<Station> {
    let length = (to.x - from.x).hypot(to.y - from.y);
    let steps = (2.0 * length / depth.grid.cell).ceil().clamp(0.0, STATIONS_MAX) as usize;
    let station = |i: usize| {
        let share = i as f64 / steps.max(1) as f64;
        let at = Point { x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share };
        Station { along_mm: length * share, at, depth_mm: depth_at(depth, at) }
    };
    (0..=steps).map(station).collect()
}

/// No picture shows more; a line from end to end of any field of 16 million cells needs fewer.
const STATIONS_MAX: f64 = 65_536.0;

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::grid::Grid;

    /// A plane, which bilinear interpolation gives exactly.
    fn plane() -> Field<f32> {
        let grid = Grid { origin: Point { x: 1.0, y: 2.0 }, cell: 0.25, width: 12, height: 8 };
        let value = |i: usize| {
            let p = grid.centre(i % grid.width, i / grid.width);
            (0.5 * p.x - 0.25 * p.y + 3.0) as f32
        };
        Field { grid, values: (0..grid.len()).map(value).collect() }
    }

    #[test]
    fn a_plane_is_read_exactly_between_centres() {
        for (x, y) in [(1.2, 2.2), (2.0, 3.0), (3.71, 3.83), (1.125, 2.125)] {
            let got = depth_at(&plane(), Point { x, y }).unwrap();
            assert!((got - (0.5 * x - 0.25 * y + 3.0)).abs() < 1e-6, "({x}, {y}): {got}");
        }
    }

    #[test]
    fn the_border_holds_and_beyond_it_is_nothing() {
        let field = plane();
        let (corner, centre) = (Point { x: 1.0, y: 2.0 }, Point { x: 1.125, y: 2.125 });
        assert_eq!(depth_at(&field, corner), depth_at(&field, centre));
        for (x, y) in [(0.99, 3.0), (4.01, 3.0), (2.0, 1.9), (2.0, 4.1), (f64::NAN, 3.0)] {
            assert_eq!(depth_at(&field, Point { x, y }), None, "({x}, {y})");
        }
    }

    #[test]
    fn a_section_starts_and_ends_where_it_was_asked_to() {
        let (from, to) = (Point { x: 0.5, y: 3.0 }, Point { x: 3.5, y: 3.4 });
        let stations = section(&plane(), from, to);
        assert_eq!((stations[0].at, stations.last().unwrap().at), (from, to));
        assert!((stations.last().unwrap().along_mm - 3.0f64.hypot(0.4)).abs() < 1e-12);
        assert!(stations.windows(2).all(|pair| pair[1].along_mm - pair[0].along_mm <= 0.125 + 1e-9));
        assert!(stations[0].depth_mm.is_none(), "it starts outside");
        let inner = stations.iter().filter_map(|s| Some((s.at, s.depth_mm?)));
        let far = inner.filter(|(at, _)| at.x > 1.2).map(|(at, d)| (d - (0.5 * at.x - 0.25 * at.y + 3.0)).abs());
        assert!(far.fold(0.0, f64::max) < 1e-6);
    }
}
