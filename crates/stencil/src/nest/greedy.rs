//! A first layout: the largest pieces first, each as far back in the room as a few samples find.

use super::board::{Board, Place, Trial};
use super::kind::Kind;
use super::search::anywhere;
use rand::RngExt as _;
use rand::rngs::SmallRng;

/// Samples for each piece.
const SAMPLES: u32 = 300;
/// Steps back and aside that end a refinement, as shares of the shorter side: first and last.
const STEPS: (f32, f32) = (0.5, 0.01);

/// The pieces of a board, largest first.
pub(super) fn largest_first(board: &Board) -> Vec<usize> {
    let mut order: Vec<usize> = (0..board.count()).collect();
    order.sort_by(|&a, &b| board.kind(b).area.total_cmp(&board.kind(a).area));
    order
}

/// Lays a piece where it overlaps nothing and reaches least along the room. Says whether there was such a place.
///
/// Looked for up to `reach_most` along the room.
pub(super) fn lay_back(board: &mut Board, piece: usize, reach_most: f32, rng: &mut SmallRng) -> bool {
    let kind = board.kind(piece);
    let mut trial = Trial::new(kind);
    let length = board.room.length;
    board.room.length = reach_most.min(length);
    let mut best: Option<(Place, f32)> = None;
    for _ in 0..SAMPLES {
        let turn = kind.any_turn(rng.random());
        let Some(place) = anywhere(board, kind.reach(turn), turn, rng) else { continue };
        if best.is_none_or(|(_, least)| far(kind, place) < least) && is_free(board, piece, place, &mut trial) {
            best = Some((place, far(kind, place)));
        }
    }
    let best = best.map(|(place, _)| push_back(board, piece, place, &mut trial));
    board.room.length = length;
    if let Some(place) = best {
        board.lay(piece, place);
    }
    best.is_some()
}

/// How far a piece would reach: along the room above all, then across.
fn far(kind: &Kind, place: Place) -> f32 {
    let reach = kind.reach(place.turn);
    place.x + reach.right + 0.1 * (place.y + reach.up)
}

fn is_free(board: &Board, piece: usize, place: Place, trial: &mut Trial) -> bool {
    board.cost(piece, place, trial, f32::MIN_POSITIVE).is_some()
}

fn push_back(board: &Board, piece: usize, from: Place, trial: &mut Trial) -> Place {
    let kind = board.kind(piece);
    let reach = kind.reach(from.turn);
    let mut at = from;
    let mut step = STEPS.0 * kind.least_side;
    while step > STEPS.1 * kind.least_side {
        let moved = [(-step, 0.0), (0.0, -step)].into_iter().find_map(|(dx, dy)| {
            let place = board.room.inside(Place { x: at.x + dx, y: at.y + dy, ..at }, reach)?;
            (place != at && is_free(board, piece, place, trial)).then_some(place)
        });
        match moved {
            Some(place) => at = place,
            None => step *= 0.5,
        }
    }
    at
}
