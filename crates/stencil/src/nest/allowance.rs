//! How much may be tried, and how much of it is spent.

use std::sync::atomic::{AtomicU64, Ordering};

/// What the caller allows: told the number of moves tried so far, it says which share is spent.
pub(super) struct Allowance<'a> {
    spent: &'a (dyn Fn(u64) -> f64 + Sync),
    moves: AtomicU64,
}

/// A stretch of an allowance, itself from 0 to 1.
#[derive(Clone, Copy)]
pub(super) struct Share<'a> {
    allowance: &'a Allowance<'a>,
    from: f64,
    to: f64,
}

impl<'a> Allowance<'a> {
    pub(super) fn new(spent: &'a (dyn Fn(u64) -> f64 + Sync)) -> Self {
        Self { spent, moves: AtomicU64::new(0) }
    }

    /// A portion, 0 to 1, of what is left.
    pub(super) fn next(&'a self, portion: f64) -> Share<'a> {
        let from = self.told(self.moves.load(Ordering::Relaxed)).min(1.0);
        Share { allowance: self, from, to: from + portion.clamp(0.0, 1.0) * (1.0 - from) }
    }

    fn told(&self, moves: u64) -> f64 {
        let spent = (self.spent)(moves);
        if spent.is_nan() { 1.0 } else { spent.max(0.0) }
    }
}

impl Share<'_> {
    /// Counts a move, and tells how much of the share is spent.
    pub(super) fn spend(&self) -> f64 {
        self.of_share(self.allowance.told(self.allowance.moves.fetch_add(1, Ordering::Relaxed) + 1))
    }

    fn of_share(&self, spent: f64) -> f64 {
        if spent >= self.to { 1.0 } else { (spent - self.from) / (self.to - self.from) }
    }
}
