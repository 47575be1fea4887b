//! As much as possible on a sheet of fixed size: what fits at once, then each further piece that separation makes
//! room for.

use super::allowance::Share;
use super::board::{Board, Places, Room};
use super::greedy::{largest_first, lay_back};
use super::kind::Kind;
use super::search::{Effort, find};
use super::separate::{Patience, Separated, separate};
use rand::SeedableRng as _;
use rand::rngs::SmallRng;

/// What may go on a sheet of this size, and how long to try.
pub(super) struct Sheet<'a> {
    pub(super) kinds: &'a [Kind],
    /// The kind of each piece that may go on it.
    pub(super) pieces: Vec<usize>,
    pub(super) room: Room,
    pub(super) seed: u64,
    pub(super) share: Share<'a>,
}

/// Most of a sheet that is believed to be filled; beyond, no further piece is tried.
const FULL: f64 = 0.97;
const PATIENCE: Patience = Patience { rounds: 100, tries: 2, effort: Effort { anywhere: 50, near: 25, refined: 3 } };

/// Where pieces lie on the sheet; `None` for those that found no room.
pub(super) fn fill(sheet: &Sheet) -> Places {
    let mut rng = SmallRng::seed_from_u64(sheet.seed);
    let mut board = Board::new(sheet.kinds, sheet.pieces.clone(), sheet.room);
    let order = largest_first(&board);
    for &piece in &order {
        if fits(&board, piece) {
            lay_back(&mut board, piece, sheet.room.length, &mut rng);
        }
    }
    let go_on = || sheet.share.spend() < 1.0;
    // Chance decides much: as long as the allowance lasts, what found no room is tried again.
    while go_on() && pass(&mut board, &order, &mut rng, &go_on) {}
    board.places()
}

/// Tries one piece of each kind that is not laid and might fit, the largest first. Says whether there was any.
fn pass(board: &mut Board, order: &[usize], rng: &mut SmallRng, go_on: &dyn Fn() -> bool) -> bool {
    let mut refused = vec![false; board.kinds.len()];
    let mut any = false;
    for &piece in order {
        let kind = board.pieces[piece];
        if board.place(piece).is_none() && !refused[kind] && fits(board, piece) && go_on() {
            any = true;
            refused[kind] = !squeeze_in(board, piece, rng, go_on);
        }
    }
    any
}

fn fits(board: &Board, piece: usize) -> bool {
    let laid: f64 = (0..board.count()).filter(|&other| board.place(other).is_some()).map(|o| area(board, o)).sum();
    let room = f64::from(board.room.length) * f64::from(board.room.width);
    laid + area(board, piece) <= FULL * room && board.kind(piece).fits(board.room.length, board.room.width)
}

fn area(board: &Board, piece: usize) -> f64 {
    f64::from(board.kind(piece).shape.area())
}

/// Lays a piece over others and separates them; all lies as before when that fails.
fn squeeze_in(board: &mut Board, piece: usize, rng: &mut SmallRng, go_on: &dyn Fn() -> bool) -> bool {
    let before = board.places();
    board.forget_weights();
    let Some(found) = find(board, piece, &PATIENCE.effort, rng) else { return false };
    board.lay(piece, found.place);
    let free = board.loss() <= 0.0 || separate(board, &PATIENCE, rng, go_on) == Separated::Free;
    if !free {
        board.restore(&before);
    }
    free
}
