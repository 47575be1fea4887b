//! The shortest strip: explore, then compress.
//!
//! From a first layout the strip is made shorter by a share, and the pieces that then overlap are separated. When
//! that succeeds it is made shorter again; when not, one of the layouts that overlapped least is shaken, by swapping
//! two large pieces, and separated anew. For the last part of the allowance the best layout is compressed by ever
//! smaller shares instead.
//!
//! Workers do this side by side and share the best layout only: one that finds the other ahead goes on from there.
//!
//! Source: arXiv 2509.13329, exploration and compression; from its description. Workers there share each round;
//! here each searches for itself, so that none waits.

use super::allowance::Share;
use super::board::{Board, Place, Places, Room};
use super::greedy::{largest_first, lay_back};
use super::kind::Kind;
use super::search::Effort;
use super::separate::{Patience, Separated, separate};
use rand::rngs::SmallRng;
use rand::{RngExt as _, SeedableRng as _};
use std::sync::{Mutex, PoisonError};

/// What is to be packed into how wide a strip, and how long to try.
pub(super) struct Task<'a> {
    pub(super) kinds: &'a [Kind],
    /// The kind of each piece.
    pub(super) pieces: Vec<usize>,
    /// In mm.
    pub(super) width: f32,
    pub(super) seed: u64,
    /// At least 1.
    pub(super) workers: usize,
    /// To go on from; `None` begins anew.
    pub(super) start: Option<Layout>,
    pub(super) share: Share<'a>,
}

/// Places of all pieces in a strip of this length.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub(super) length: f32,
    pub(super) places: Places,
}

/// Share of the allowance after which the best layout is only compressed.
const EXPLORE: f64 = 0.8;
/// Shares that the strip is made shorter by: at first, and at the least while exploring.
const SHORTER_FIRST: f32 = 0.02;
const SHORTER_LEAST: f32 = 0.001;
/// Shares while compressing: at first and at the end.
const COMPRESS: (f64, f64) = (5e-4, 1e-5);
const EXPLORING: Patience = Patience { rounds: 100, tries: 2, effort: Effort { anywhere: 25, near: 15, refined: 2 } };
const COMPRESSING: Patience = Patience { rounds: 100, tries: 5, effort: Effort { anywhere: 20, near: 20, refined: 2 } };
/// Pieces of at least this share of the largest one's area are swapped.
const LARGE: f64 = 0.3;
/// A strip this near to the pieces' own area is as short as it gets.
const FULL: f32 = 1.0 + 1e-5;

/// Layouts without overlaps, each shorter than the one before; at least one.
pub(super) fn pack(task: &Task) -> Vec<Layout> {
    let mut rng = SmallRng::seed_from_u64(task.seed);
    let start = task.start.clone().unwrap_or_else(|| first(task, &mut rng));
    let shared = Shared { found: Mutex::new(vec![start]), task };
    std::thread::scope(|scope| {
        for worker in 1..task.workers {
            let shared = &shared;
            let mut rng = SmallRng::seed_from_u64(task.seed.wrapping_add(worker as u64 * 0x9E37_79B9));
            scope.spawn(move || Worker::new(shared).work(&mut rng));
        }
        Worker::new(&shared).work(&mut rng);
    });
    shared.found.into_inner().unwrap_or_else(PoisonError::into_inner)
}

/// The largest pieces first, each as far back as it goes; what finds no place is put at the end.
fn first(task: &Task, rng: &mut SmallRng) -> Layout {
    let room = Room { length: row_length(task), width: task.width };
    let mut board = Board::new(task.kinds, task.pieces.clone(), room);
    let mut end = 0.0_f32;
    for piece in largest_first(&board) {
        let reach_most = end + board.kind(piece).shape.diameter();
        if !lay_back(&mut board, piece, reach_most, rng) {
            let place = at_the_end(board.kind(piece), task.width, end);
            board.lay(piece, place);
        }
        end = end.max(reached(&board));
    }
    Layout { length: end, places: board.places() }
}

/// All pieces in a row: they surely fit.
fn row_length(task: &Task) -> f32 {
    task.pieces.iter().map(|&kind| 1.01 * task.kinds[kind].shape.diameter()).sum()
}

fn at_the_end(kind: &Kind, width: f32, end: f32) -> Place {
    let room = Room { length: f32::INFINITY, width };
    let turn = kind.some_turns().find(|&turn| room.across(kind.reach(turn)).is_some());
    let turn = turn.expect("kinds that do not fit across are sorted out before");
    let reach = kind.reach(turn);
    Place { turn, x: end + 1.001 * reach.left + 1e-4 * kind.least_side, y: reach.down }
}

/// How far the pieces on a board reach along it.
fn reached(board: &Board) -> f32 {
    let end = |piece| board.place(piece).map(|place: Place| place.x + board.kind(piece).reach(place.turn).right);
    (0..board.count()).filter_map(end).fold(0.0, f32::max)
}

struct Shared<'a> {
    found: Mutex<Vec<Layout>>,
    task: &'a Task<'a>,
}

impl Shared<'_> {
    fn best(&self) -> Layout {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        found.last().expect("the first layout is always there").clone()
    }

    fn length(&self) -> f32 {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        found.last().expect("the first layout is always there").length
    }

    fn offer(&self, layout: Layout) {
        let mut found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        if found.last().is_none_or(|best| layout.length < best.length) {
            found.push(layout);
        }
    }

    /// No strip is shorter: the pieces' area over its width, or the longest of them.
    fn shortest(&self) -> f32 {
        let (kinds, width) = (self.task.kinds, self.task.width);
        let area: f32 = self.task.pieces.iter().map(|&kind| kinds[kind].shape.area()).sum();
        let longest = self.task.pieces.iter().filter_map(|&kind| kinds[kind].shortest_within(width));
        longest.fold(area / width, f32::max)
    }

    fn is_full(&self) -> bool {
        self.length() <= FULL * self.shortest()
    }
}

struct Worker<'s, 'a> {
    shared: &'s Shared<'a>,
    board: Board<'a>,
}

impl<'s, 'a> Worker<'s, 'a> {
    fn new(shared: &'s Shared<'a>) -> Self {
        let best = shared.best();
        let room = Room { length: best.length, width: shared.task.width };
        let mut board = Board::new(shared.task.kinds, shared.task.pieces.clone(), room);
        board.restore(&best.places);
        Self { shared, board }
    }

    fn work(mut self, rng: &mut SmallRng) {
        self.explore(rng);
        self.compress(rng);
    }

    fn explore(&mut self, rng: &mut SmallRng) {
        let mut stuck = Stuck::default();
        let mut shorter = SHORTER_FIRST;
        // Every turn counts, so that the allowance ends even where there is nothing to move.
        while self.shared.task.share.spend() < EXPLORE && !self.shared.is_full() {
            let target = self.target(shorter);
            self.shorten(target, rng);
            match self.separate(&EXPLORING, EXPLORE, rng) {
                Separated::Free => {
                    self.publish();
                    stuck.clear();
                }
                Separated::Stopped => {
                    self.catch_up();
                    stuck.clear();
                }
                Separated::Stuck(loss) => {
                    shorter = (0.5 * shorter).max(SHORTER_LEAST);
                    stuck.add(loss, self.board.places());
                    self.board.restore(stuck.draw(rng));
                    shake(&mut self.board, rng);
                }
            }
        }
    }

    fn compress(&mut self, rng: &mut SmallRng) {
        loop {
            let spent = self.shared.task.share.spend();
            if spent >= 1.0 || self.shared.is_full() {
                return;
            }
            let done = ((spent - EXPLORE) / (1.0 - EXPLORE)).clamp(0.0, 1.0);
            let shorter = COMPRESS.0 * (COMPRESS.1 / COMPRESS.0).powf(done);
            self.catch_up();
            let target = self.target(shorter as f32);
            self.shorten(target, rng);
            if self.separate(&COMPRESSING, 1.0, rng) == Separated::Free {
                self.publish();
            }
        }
    }

    fn target(&self, shorter: f32) -> f32 {
        (self.shared.length() * (1.0 - shorter)).max(self.shared.shortest())
    }

    /// Until it is free, stuck, beaten by another worker, or the share of the allowance is spent.
    fn separate(&mut self, patience: &Patience, until: f64, rng: &mut SmallRng) -> Separated {
        let length = self.board.room.length;
        let go_on = || self.shared.task.share.spend() < until && self.shared.length() > length;
        separate(&mut self.board, patience, rng, &go_on)
    }

    fn publish(&self) {
        self.shared.offer(Layout { length: reached(&self.board), places: self.board.places() });
    }

    /// Goes on from the best layout.
    fn catch_up(&mut self) {
        let best = self.shared.best();
        self.board.set_length(best.length);
        self.board.restore(&best.places);
    }

    /// Takes a band out of the strip, anywhere: what lies beyond its middle moves back.
    fn shorten(&mut self, length: f32, rng: &mut SmallRng) {
        let by = self.board.room.length - length;
        let from = rng.random_range(0.0..=length);
        self.board.set_length(length);
        if by <= 0.0 {
            return;
        }
        for piece in 0..self.board.count() {
            let Some(place) = self.board.place(piece) else { continue };
            let x = if place.x > from { place.x - by } else { place.x };
            self.put(piece, Place { x, ..place });
        }
    }

    fn put(&mut self, piece: usize, place: Place) {
        put(&mut self.board, piece, place);
    }
}

/// Lays a piece as near to a place as the room allows: at its angle, or, where that has become too long, at another.
fn put(board: &mut Board, piece: usize, place: Place) {
    let kind = board.kind(piece);
    let at = |turn| board.room.inside(Place { turn, ..place }, kind.reach(turn));
    if let Some(inside) = at(place.turn).or_else(|| kind.some_turns().find_map(at))
        && board.place(piece) != Some(inside)
    {
        board.lay(piece, inside);
    }
}

/// Layouts that could not be separated, least overlap first.
#[derive(Default)]
struct Stuck(Vec<(f32, Places)>);

impl Stuck {
    fn clear(&mut self) {
        self.0.clear();
    }

    fn add(&mut self, loss: f32, places: Places) {
        let at = self.0.partition_point(|(kept, _)| *kept <= loss);
        self.0.insert(at, (loss, places));
    }

    /// One of them, more likely one with little overlap.
    fn draw(&self, rng: &mut SmallRng) -> &Places {
        let draw = rng.random::<f32>().powi(3);
        &self.0[((draw * self.0.len() as f32) as usize).min(self.0.len() - 1)].1
    }
}

/// Swaps two large pieces of different kinds; small ones that lie in their way go along.
fn shake(board: &mut Board, rng: &mut SmallRng) {
    let largest = (0..board.count()).map(|piece| board.kind(piece).area).fold(0.0, f64::max);
    let large: Vec<usize> = (0..board.count()).filter(|&piece| board.kind(piece).area >= LARGE * largest).collect();
    let a = large[rng.random_range(0..large.len())];
    let others: Vec<usize> = large.iter().copied().filter(|&b| board.pieces[b] != board.pieces[a]).collect();
    let b = match others.len() {
        0 => large[rng.random_range(0..large.len())],
        count => others[rng.random_range(0..count)],
    };
    let (Some(at_a), Some(at_b)) = (board.place(a), board.place(b)) else { return };
    let (with_a, with_b) = (within(board, a, b), within(board, b, a));
    let by = (at_b.x - at_a.x, at_b.y - at_a.y);
    put(board, a, Place { x: at_b.x, y: at_b.y, turn: at_a.turn });
    put(board, b, Place { x: at_a.x, y: at_a.y, turn: at_b.turn });
    with_a.into_iter().for_each(|piece| shift(board, piece, by));
    with_b.into_iter().for_each(|piece| shift(board, piece, (-by.0, -by.1)));
}

/// Smaller pieces whose middle is within the box of a large one.
fn within(board: &Board, large: usize, other: usize) -> Vec<usize> {
    let Some(bounds) = board.bounds(large) else { return Vec::new() };
    let inside = |place: Place| {
        (bounds.x_min..bounds.x_max).contains(&place.x) && (bounds.y_min..bounds.y_max).contains(&place.y)
    };
    let small = |piece: usize| board.kind(piece).area < 0.5 * board.kind(large).area;
    let lies = |piece: usize| board.place(piece).is_some_and(inside);
    (0..board.count()).filter(|&piece| piece != large && piece != other && small(piece) && lies(piece)).collect()
}

fn shift(board: &mut Board, piece: usize, (dx, dy): (f32, f32)) {
    if let Some(place) = board.place(piece) {
        put(board, piece, Place { x: place.x + dx, y: place.y + dy, ..place });
    }
}
