//! Pieces that overlap are moved until none do: guided local search.
//!
//! Each round moves every piece that overlaps, in random order, to where its weighted overlaps are least. Then the
//! weight of each pair that still overlaps grows, so that what is stuck becomes more pressing than what is not.
//!
//! Source: arXiv 2509.13329, the separation procedure; from its description.

use super::board::{Board, Places};
use super::search::{Effort, find};
use rand::rngs::SmallRng;
use rand::seq::SliceRandom as _;

/// How long pieces are moved before it is given up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Rounds without a clear gain that end a try.
    pub(super) rounds: u32,
    /// Tries without a clear gain that end it all.
    pub(super) tries: u32,
    pub(super) effort: Effort,
}

/// A loss this much below the last is a clear gain.
const CLEAR: f32 = 0.98;

/// How a separation ended.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Separated {
    /// No two pieces overlap.
    Free,
    /// Given up; the board lies as it overlapped least, by this much.
    Stuck(f32),
    /// The caller said so; the board lies as it did then.
    Stopped,
}

/// Moves pieces until none overlap. `go_on` is asked before every move.
pub(super) fn separate(
    board: &mut Board,
    patience: &Patience,
    rng: &mut SmallRng,
    go_on: &dyn Fn() -> bool,
) -> Separated {
    board.forget_weights();
    let mut least = Least { loss: board.loss(), places: board.places() };
    let mut tries = 0;
    while tries < patience.tries {
        let before = least.loss;
        match rounds(board, patience, &mut least, rng, go_on) {
            Separated::Stuck(_) => board.restore(&least.places),
            ended => return ended,
        }
        tries = if least.loss < CLEAR * before { 0 } else { tries + 1 };
    }
    Separated::Stuck(least.loss)
}

/// The board as it overlapped least.
struct Least {
    loss: f32,
    places: Places,
}

fn rounds(
    board: &mut Board,
    patience: &Patience,
    least: &mut Least,
    rng: &mut SmallRng,
    go_on: &dyn Fn() -> bool,
) -> Separated {
    let mut idle = 0;
    let mut clear = least.loss;
    while idle < patience.rounds {
        if !round(board, &patience.effort, rng, go_on) {
            return Separated::Stopped;
        }
        let loss = board.loss();
        if loss <= 0.0 {
            return Separated::Free;
        }
        board.reweigh();
        if loss < least.loss {
            *least = Least { loss, places: board.places() };
        }
        idle = if loss < CLEAR * clear { 0 } else { idle + 1 };
        clear = clear.min(if idle == 0 { loss } else { clear });
    }
    Separated::Stuck(least.loss)
}

/// Moves each piece that overlaps once. Says whether it came to its end.
fn round(board: &mut Board, effort: &Effort, rng: &mut SmallRng, go_on: &dyn Fn() -> bool) -> bool {
    let mut pieces: Vec<usize> = (0..board.count()).filter(|&piece| board.overlaps(piece)).collect();
    pieces.shuffle(rng);
    for piece in pieces {
        let now = board.weighted(piece);
        if now <= 0.0 {
            continue; // Freed by another's move.
        }
        if !go_on() {
            return false;
        }
        if let Some(found) = find(board, piece, effort, rng)
            && found.cost < now
        {
            board.lay(piece, found.place);
        }
    }
    true
}
