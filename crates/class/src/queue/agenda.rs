//! What is to happen when, the earliest first.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// Something to happen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Event {
    /// A job joins its first queue.
    Arrives(usize),
    /// A load's hand time is over.
    HandsDone(usize),
    /// A load leaves its server.
    Leaves(usize),
}

/// Events in the order of their time; those of one instant in the order in which they were entered.
#[derive(Debug, Default)]
pub(super) struct Agenda {
    heap: BinaryHeap<Reverse<Entry>>,
    entered: u64,
}

#[derive(Debug, PartialEq)]
struct Entry {
    at_s: f64,
    number: u64,
    event: Event,
}

impl Eq for Entry {}

impl Ord for Entry {
    fn cmp(&self, other: &Self) -> Ordering {
        self.at_s.total_cmp(&other.at_s).then(self.number.cmp(&other.number))
    }
}

impl PartialOrd for Entry {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Agenda {
    pub(super) fn enter(&mut self, at_s: f64, event: Event) {
        self.heap.push(Reverse(Entry { at_s, number: self.entered, event }));
        self.entered += 1;
    }

    /// When the next one is due.
    pub(super) fn next_s(&self) -> Option<f64> {
        self.heap.peek().map(|Reverse(entry)| entry.at_s)
    }

    /// The next one that is due by now.
    pub(super) fn due(&mut self, now_s: f64) -> Option<Event> {
        if self.next_s()? > now_s {
            return None;
        }
        self.heap.pop().map(|Reverse(entry)| entry.event)
    }
}
