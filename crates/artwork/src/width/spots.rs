//! Circles that lie close together, as one spot each.

use super::starts::step;
use super::{Spot, millimetres};
use crate::grid::Point;
use crate::groups::Groups;
use crate::medial::{Ball, apart};

/// One spot for each group of circles, tips or others.
pub(super) fn spots(balls: &[Ball], tips: bool, limit_mm: f64) -> Vec<Spot> {
    let balls: Vec<Ball> = balls.iter().copied().filter(|ball| ball.tip == tips).collect();
    let mut found = clusters(balls, 1.5 * step(limit_mm) + 0.5 * limit_mm);
    if tips {
        found.sort_by(|a, b| b.length.to_mm().total_cmp(&a.length.to_mm()));
    } else {
        found.sort_by(|a, b| a.width.to_mm().total_cmp(&b.width.to_mm()));
    }
    found
}

/// Groups of circles, each linked to the others of its group by steps no longer than `link`.
///
/// Circles are filed in squares so small that all in one are linked; then only squares are joined.
fn clusters(mut balls: Vec<Ball>, link: f64) -> Vec<Spot> {
    let square = link * std::f64::consts::FRAC_1_SQRT_2;
    let key = |p: Point| ((p.y / square).floor() as i64, (p.x / square).floor() as i64);
    balls.sort_by_cached_key(|ball| key(ball.centre));
    let squares: Vec<&[Ball]> = balls.chunk_by(|a, b| key(a.centre) == key(b.centre)).collect();
    let keys: Vec<(i64, i64)> = squares.iter().map(|square| key(square[0].centre)).collect();
    let mut groups = Groups::new(squares.len());
    for (index, (row, column)) in keys.iter().copied().enumerate() {
        // Squares further on, two rows and two columns: what is further away is not linked.
        for (from, to) in [
            ((row, column + 1), (row, column + 2)),
            ((row + 1, column - 2), (row + 1, column + 2)),
            ((row + 2, column - 2), (row + 2, column + 2)),
        ] {
            let start = keys.partition_point(|key| *key < from);
            for other in (start..keys.len()).take_while(|&other| keys[other] <= to) {
                if groups.root(index) != groups.root(other) && linked(squares[index], squares[other], link) {
                    groups.join(index, other);
                }
            }
        }
    }
    let mut made: Vec<Option<(Ball, f64)>> = vec![None; squares.len()];
    for (index, square) in squares.iter().enumerate() {
        for ball in *square {
            let (least, length) = made[groups.root(index)].get_or_insert((*ball, 0.0));
            *length += ball.weight_mm;
            *least = if ball.radius < least.radius { *ball } else { *least };
        }
    }
    made.into_iter().flatten().map(|(least, length)| spot(&least, length)).collect()
}

fn linked(a: &[Ball], b: &[Ball], link: f64) -> bool {
    a.iter().any(|a| b.iter().any(|b| apart(a.centre, b.centre) <= link))
}

fn spot(least: &Ball, length_mm: f64) -> Spot {
    // The ridge is seen from both sides of it.
    Spot { at: least.centre, width: millimetres(2.0 * least.radius), length: millimetres(0.5 * length_mm) }
}
