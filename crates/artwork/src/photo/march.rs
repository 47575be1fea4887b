//! Where a field passes zero, as closed lines (marching squares).

use crate::grid::{Field, Point};
use std::collections::HashMap;

/// Closed lines between cells above zero and cells below, in cells: a cell's centre has halves. The
/// part above zero lies on the left (to the right of the way, as seen with y down). Beyond the field is below.
pub(super) fn contours(field: &Field<f32>) -> Vec<Vec<Point>> {
    let next = links(field);
    let mut starts: Vec<u64> = next.keys().copied().collect();
    starts.sort_unstable();
    let mut next = next;
    let mut found = Vec::new();
    for start in starts {
        let mut line = Vec::new();
        let mut at = start;
        while let Some(link) = next.remove(&at) {
            line.push(link.from);
            at = link.to;
        }
        if line.len() > 2 {
            found.push(line);
        }
    }
    found
}

/// From where a line enters a square to the side that it leaves by.
struct Link {
    from: Point,
    to: u64,
}

/// Each side of a square between four centres that a line crosses, by its number, and where the line goes on.
fn links(field: &Field<f32>) -> HashMap<u64, Link> {
    let (width, height) = (field.grid.width as i64, field.grid.height as i64);
    // One row of cells beyond the field, all below zero.
    let value = |x: i64, y: i64| {
        let inside = x >= 0 && y >= 0 && x < width && y < height;
        if inside { field.values[(y * width + x) as usize] } else { f32::MIN_POSITIVE - 0.5 }
    };
    let mut links = HashMap::new();
    for y in -1..height {
        let mut left = [value(-1, y) > 0.0, value(-1, y + 1) > 0.0];
        for x in -1..width {
            let right = [value(x + 1, y) > 0.0, value(x + 1, y + 1) > 0.0];
            let corners = [left[0], right[0], right[1], left[1]];
            left = right;
            if corners.iter().all(|&c| c == corners[0]) {
                continue;
            }
            let values = [value(x, y), value(x + 1, y), value(x + 1, y + 1), value(x, y + 1)];
            for (enter, leave) in ways(corners, values) {
                let from = crossing(x, y, enter, values);
                links.insert(side(x, y, enter, width), Link { from, to: side(x, y, leave, width) });
            }
        }
    }
    links
}

/// Ways through a square: sides 0 top, 1 right, 2 bottom, 3 left. Walking round the square clockwise, a
/// line enters where above turns to below and leaves where below turns to above, so that above is on one side.
fn ways(above: [bool; 4], values: [f32; 4]) -> Vec<(usize, usize)> {
    let enters: Vec<usize> = (0..4).filter(|&i| above[i] && !above[(i + 1) % 4]).collect();
    let leaves: Vec<usize> = (0..4).filter(|&i| !above[i] && above[(i + 1) % 4]).collect();
    if let ([enter], [leave]) = (&enters[..], &leaves[..]) {
        return vec![(*enter, *leave)];
    }
    // A saddle: the middle's mean says which corners hang together.
    let joined = values.iter().sum::<f32>() > 0.0;
    let leave = |enter: usize| if joined { (enter + 1) % 4 } else { (enter + 3) % 4 };
    enters.into_iter().map(|enter| (enter, leave(enter))).collect()
}

/// Sides are numbered alike from both squares that share them.
fn side(x: i64, y: i64, side: usize, width: i64) -> u64 {
    let (x, y, upright) = match side {
        0 => (x, y, 0),
        1 => (x + 1, y, 1),
        2 => (x, y + 1, 0),
        _ => (x, y, 1),
    };
    (((y + 1) * (width + 2) + x + 1) * 2 + upright) as u64
}

fn crossing(x: i64, y: i64, side: usize, values: [f32; 4]) -> Point {
    let corner = |i: usize| match i {
        0 => (0.5, 0.5),
        1 => (1.5, 0.5),
        2 => (1.5, 1.5),
        _ => (0.5, 1.5),
    };
    let (a, b) = (corner(side), corner((side + 1) % 4));
    let (va, vb) = (f64::from(values[side]), f64::from(values[(side + 1) % 4]));
    let share = (va / (va - vb)).clamp(0.0, 1.0);
    Point { x: x as f64 + a.0 + share * (b.0 - a.0), y: y as f64 + a.1 + share * (b.1 - a.1) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::Grid;
    use crate::region::Ring;
    use proptest::prelude::*;

    fn field(width: usize, height: usize, value: impl Fn(f64, f64) -> f64) -> Field<f32> {
        let grid = Grid { origin: Point::default(), cell: 1.0, width, height };
        let at = |i: usize| value((i % width) as f64 + 0.5, (i / width) as f64 + 0.5) as f32;
        Field { grid, values: (0..width * height).map(at).collect() }
    }

    #[test]
    fn a_disc_is_one_line_of_its_area() {
        let disc = field(60, 60, |x, y| 20.0 - (x - 30.0).hypot(y - 30.0));
        let lines = contours(&disc);
        assert_eq!(lines.len(), 1);
        let area = Ring(lines[0].clone()).signed_area_mm2();
        assert!((area - std::f64::consts::PI * 400.0).abs() < 1.0, "{area}");
    }

    proptest! {
        #[test]
        fn lines_close_and_enclose_as_many_parts_as_there_are(cells in proptest::collection::vec(any::<bool>(), 100)) {
            let random = field(10, 10, |x, y| if cells[y as usize * 10 + x as usize] { 0.5 } else { -0.5 });
            let lines = contours(&random);
            for line in &lines {
                for (a, b) in Ring(line.clone()).edges() {
                    prop_assert!((a.x - b.x).abs() <= 1.0 && (a.y - b.y).abs() <= 1.0, "{a:?} {b:?}");
                }
            }
            let points: usize = lines.iter().map(Vec::len).sum();
            let crossed = links(&random).len();
            prop_assert_eq!(points, crossed);
        }
    }
}
