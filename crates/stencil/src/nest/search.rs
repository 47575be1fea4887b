//! A better place for one piece: samples over the room and about where it lies, the best of them refined.

use super::board::{Board, Place, Trial};
use super::kind::{Kind, Reach, Turning};
use rand::RngExt as _;
use rand::rngs::SmallRng;
use std::f32::consts::TAU;

/// How hard a place is looked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Samples anywhere in the room.
    pub(super) anywhere: u32,
    /// Samples about where the piece lies.
    pub(super) near: u32,
    /// How many of the best are refined.
    pub(super) refined: usize,
}

/// Steps of the refinement, as shares of the piece's shorter side: first and last, coarse and fine.
const COARSE: (f32, f32) = (0.25, 0.02);
const FINE: (f32, f32) = (0.01, 0.001);
/// The same for turning, in radians.
const COARSE_TURN: (f32, f32) = (0.08, 0.01);
const FINE_TURN: (f32, f32) = (0.01, 0.0008);
/// What a step is multiplied by after it helped, and after it did not.
const LONGER: f32 = 1.1;
const SHORTER: f32 = 0.5;

/// A place and what lying there costs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub(super) place: Place,
    pub(super) cost: f32,
}

/// The least costly place found for a piece; `None` when nothing fits into the room.
///
/// Ends at once with a place that costs nothing.
pub(super) fn find(board: &Board, piece: usize, effort: &Effort, rng: &mut SmallRng) -> Option<Found> {
    let mut search = Search { board, piece, trial: Trial::new(board.kind(piece)), best: Best::new(effort.refined) };
    if let Some(here) = board.place(piece) {
        search.offer(here);
        for _ in 0..effort.near {
            search.near(here, rng);
        }
    }
    for _ in 0..effort.anywhere {
        search.anywhere(rng);
    }
    let refined = search.best.take();
    let best = refined.into_iter().map(|found| search.refine(found, COARSE, COARSE_TURN, rng)).min_by(cheaper)?;
    Some(search.refine(best, FINE, FINE_TURN, rng))
}

fn cheaper(a: &Found, b: &Found) -> std::cmp::Ordering {
    a.cost.total_cmp(&b.cost)
}

struct Search<'b, 'k> {
    board: &'b Board<'k>,
    piece: usize,
    trial: Trial,
    best: Best,
}

/// The few cheapest places so far, cheapest first.
struct Best {
    most: usize,
    found: Vec<Found>,
}

impl Best {
    fn new(most: usize) -> Self {
        Self { most, found: Vec::with_capacity(most + 1) }
    }

    /// What a place must cost less than to be kept.
    fn bound(&self) -> f32 {
        if self.found.len() < self.most { f32::INFINITY } else { self.found[self.most - 1].cost }
    }

    fn keep(&mut self, found: Found) {
        let at = self.found.partition_point(|kept| kept.cost <= found.cost);
        self.found.insert(at, found);
        self.found.truncate(self.most);
    }

    fn is_free(&self) -> bool {
        self.found.first().is_some_and(|found| found.cost <= 0.0)
    }

    fn take(&mut self) -> Vec<Found> {
        std::mem::take(&mut self.found)
    }
}

impl<'k> Search<'_, 'k> {
    fn kind(&self) -> &'k Kind {
        self.board.kind(self.piece)
    }

    fn offer(&mut self, place: Place) {
        let bound = self.best.bound();
        if let Some(cost) = self.board.cost(self.piece, place, &mut self.trial, bound) {
            self.best.keep(Found { place, cost });
        }
    }

    fn anywhere(&mut self, rng: &mut SmallRng) {
        if self.best.is_free() {
            return;
        }
        let turn = self.kind().any_turn(rng.random());
        if let Some(place) = anywhere(self.board, self.kind().reach(turn), turn, rng) {
            self.offer(place);
        }
    }

    /// Within the box of where it lies.
    fn near(&mut self, here: Place, rng: &mut SmallRng) {
        if self.best.is_free() {
            return;
        }
        let turn = match &self.kind().turning {
            Turning::Free => here.turn + rng.random_range(-0.5..0.5),
            Turning::Of(_) => self.kind().any_turn(rng.random()),
        };
        let reach = self.kind().reach(turn);
        let place = Place {
            turn,
            x: here.x + rng.random_range(-0.5..0.5) * (reach.left + reach.right),
            y: here.y + rng.random_range(-0.5..0.5) * (reach.down + reach.up),
        };
        if let Some(place) = self.board.room.inside(place, reach) {
            self.offer(place);
        }
    }

    /// Steps both ways along an axis or a diagonal, or turns, as long as that makes it cheaper.
    fn refine(&mut self, found: Found, step: (f32, f32), turn: (f32, f32), rng: &mut SmallRng) -> Found {
        let side = self.kind().least_side;
        let free = matches!(self.kind().turning, Turning::Free);
        let mut at = found;
        let mut steps = [step.0 * side, step.0 * side, if free { turn.0 } else { 0.0 }];
        let least = [step.1 * side, step.1 * side, turn.1];
        while at.cost > 0.0 && steps.iter().zip(least).any(|(step, least)| *step > least) {
            let way = Way::drawn(free, rng);
            let better = self.better(&at, way.scaled(steps));
            let factor = if better.is_some() { LONGER } else { SHORTER };
            at = better.unwrap_or(at);
            way.lengthen(&mut steps, factor);
        }
        at
    }

    fn better(&mut self, at: &Found, by: [f32; 3]) -> Option<Found> {
        let mut best: Option<Found> = None;
        for sign in [1.0, -1.0] {
            let turn = (at.place.turn + sign * by[2]).rem_euclid(TAU);
            let turn = if by[2] == 0.0 { at.place.turn } else { turn };
            let place = Place { turn, x: at.place.x + sign * by[0], y: at.place.y + sign * by[1] };
            let Some(place) = self.board.room.inside(place, self.kind().reach(turn)) else { continue };
            let bound = best.map_or(at.cost, |best| best.cost);
            if let Some(cost) = self.board.cost(self.piece, place, &mut self.trial, bound) {
                best = Some(Found { place, cost });
            }
        }
        best
    }
}

/// Which of x, y and turn a step changes, and which way.
struct Way([f32; 3]);

impl Way {
    fn drawn(free: bool, rng: &mut SmallRng) -> Self {
        const WAYS: [[f32; 3]; 5] = [[1., 0., 0.], [0., 1., 0.], [1., 1., 0.], [1., -1., 0.], [0., 0., 1.]];
        let count = if free { 5 } else { 4 };
        Self(WAYS[rng.random_range(0..count)])
    }

    fn scaled(&self, steps: [f32; 3]) -> [f32; 3] {
        std::array::from_fn(|i| self.0[i] * steps[i])
    }

    fn lengthen(&self, steps: &mut [f32; 3], factor: f32) {
        for (step, part) in steps.iter_mut().zip(self.0) {
            if part != 0.0 {
                // A diagonal changes two steps: together they come to the same as one.
                *step *= if self.0[0] != 0.0 && self.0[1] != 0.0 { factor.sqrt() } else { factor };
            }
        }
    }
}

/// Anywhere in the room; `None` when it does not fit at that angle.
pub(super) fn anywhere(board: &Board, reach: Reach, turn: f32, rng: &mut SmallRng) -> Option<Place> {
    let (along, across) = (board.room.along(reach)?, board.room.across(reach)?);
    Some(Place { turn, x: rng.random_range(along.0..=along.1), y: rng.random_range(across.0..=across.1) })
}
