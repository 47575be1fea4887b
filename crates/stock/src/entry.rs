//! An entry of a ledger as it is stored and handed on: words and numbers, read into movements here.

use crate::item::{Item, Measure};
use crate::ledger::{Movement, standing};
use crate::level::Act;
use crate::wear::Event;
use language::say;
use quantity::{Diameter, Estimate, Quantity, Time};

/// An entry, in its item's own unit: m², kg, s, and m for a bore.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its number.
    pub id: i64,
    /// The item's [key](Item::key).
    pub item: String,
    /// What happened.
    pub verb: Verb,
    /// How much: low, middle and high; all the same where it is known.
    pub amount: [f64; 3],
    /// Of a run of a nozzle: the id of the abrasive.
    pub abrasive: Option<String>,
    /// When it happened, as ISO 8601 in UTC.
    pub at_utc: String,
    /// Of an entry that takes another back: its number.
    pub takes_back: Option<i64>,
}

/// What an entry says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verb {
    /// Bought.
    Bought,
    /// Counted by hand.
    Counted,
    /// Drawn by a run.
    Drawn,
    /// When to buy again.
    Reorder,
    /// The bore of a nozzle when its ledger was begun.
    Began,
    /// A nozzle was open in a run.
    Open,
    /// A bore was gauged.
    Gauged,
    /// A new nozzle took the place of the worn one.
    Renewed,
    /// Another entry was a mistake.
    TakenBack,
}

/// An entry that does not read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EntryFault {
    /// No such word.
    #[error("{}", say!("a ledger does not know \"{word}\"; it knows bought, counted, drawn, reorder, began, open, gauged, renewed, taken back", word = _0))]
    Verb(String),
    /// No such item.
    #[error("{}", say!("a ledger does not know the item \"{item}\"", item = _0))]
    Item(String),
    /// Such a thing does not happen to such an item.
    #[error("{}", say!("\"{verb}\" does not go with {item}"))]
    Unfit {
        /// The word.
        verb: &'static str,
        /// The item's key.
        item: String,
    },
    /// Numbers out of order or range.
    #[error("{}", say!("the amounts of {item} are not three numbers in order, of 0 or more"))]
    Amount {
        /// The item's key.
        item: String,
    },
}

impl Verb {
    const ALL: [Self; 9] = [
        Self::Bought,
        Self::Counted,
        Self::Drawn,
        Self::Reorder,
        Self::Began,
        Self::Open,
        Self::Gauged,
        Self::Renewed,
        Self::TakenBack,
    ];

    /// The word in a ledger.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bought => "bought",
            Self::Counted => "counted",
            Self::Drawn => "drawn",
            Self::Reorder => "reorder",
            Self::Began => "began",
            Self::Open => "open",
            Self::Gauged => "gauged",
            Self::Renewed => "renewed",
            Self::TakenBack => "taken back",
        }
    }

    /// What a word says.
    ///
    /// # Errors
    /// [`EntryFault::Verb`].
    pub fn of(word: &str) -> Result<Self, EntryFault> {
        let found = Self::ALL.into_iter().find(|verb| verb.word() == word);
        found.ok_or_else(|| EntryFault::Verb(word.to_owned()))
    }

    /// The unit in which its amounts are written.
    #[must_use]
    pub const fn unit(self, measure: Measure) -> &'static str {
        match (measure, self) {
            (Measure::Area, _) => "m2",
            (Measure::Mass, _) => "kg",
            (Measure::Wear, Self::Open) => "s",
            (Measure::Wear, _) => "m",
        }
    }
}

impl Entry {
    /// That it reads.
    ///
    /// # Errors
    /// [`EntryFault`].
    pub fn check(&self) -> Result<(), EntryFault> {
        let item = Item::of_key(&self.item).ok_or_else(|| EntryFault::Item(self.item.clone()))?;
        let [low, mid, high] = self.amount;
        if !(0.0 <= low && low <= mid && mid <= high && high.is_finite()) {
            return Err(EntryFault::Amount { item: self.item.clone() });
        }
        use Verb::{Began, Bought, Counted, Drawn, Gauged, Open, Renewed, Reorder, TakenBack};
        let wears = item.measure() == Measure::Wear;
        let fits = match self.verb {
            Bought | Counted | Drawn | Reorder => !wears,
            Began | Open | Gauged | Renewed => wears,
            TakenBack => true,
        };
        if fits { Ok(()) } else { Err(EntryFault::Unfit { verb: self.verb.word(), item: self.item.clone() }) }
    }
}

fn taken_back(entries: &[&Entry]) -> Vec<i64> {
    entries.iter().filter_map(|entry| entry.takes_back).collect()
}

fn of<'a>(entries: &'a [Entry], item: &Item) -> Vec<&'a Entry> {
    let key = item.key();
    entries.iter().filter(|entry| entry.item == key && entry.check().is_ok()).collect()
}

fn ordered<A>(entries: &[&Entry], act: impl Fn(&Entry) -> Option<A>) -> Vec<Movement<A>> {
    let movement = |entry: &&Entry| Some(Movement { id: entry.id, at_utc: entry.at_utc.clone(), act: act(entry)? });
    standing(entries.iter().filter_map(movement).collect(), &taken_back(entries))
}

/// The movements of an item's stock that count, in order.
#[must_use]
pub fn stock_movements<Q: Quantity>(entries: &[Entry], item: &Item) -> Vec<Movement<Act<Q>>> {
    ordered(&of(entries, item), |entry| {
        let [low, mid, high] = entry.amount.map(Q::clamped);
        Some(match entry.verb {
            Verb::Bought => Act::Bought(mid),
            Verb::Counted => Act::Counted(mid),
            Verb::Drawn => Act::Drawn(Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid))),
            Verb::Reorder => Act::Reorder(mid),
            _ => return None,
        })
    })
}

/// What happened to a nozzle, in order.
#[must_use]
pub fn nozzle_movements(entries: &[Entry], name: &str) -> Vec<Movement<Event>> {
    ordered(&of(entries, &Item::Nozzle(name.to_owned())), |entry| {
        let amount = entry.amount[1];
        Some(match entry.verb {
            Verb::Open => Event::Open { time: Time::clamped(amount), abrasive: entry.abrasive.clone()? },
            Verb::Began => Event::Began(Diameter::clamped(amount)),
            Verb::Gauged => Event::Gauged(Diameter::clamped(amount)),
            Verb::Renewed => Event::Renewed(Diameter::clamped(amount)),
            _ => return None,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::level;
    use quantity::Area;

    fn entry(id: i64, verb: Verb, amount: f64, takes_back: Option<i64>) -> Entry {
        let (item, at_utc) = (Item::Resist("rubber_thin".into()).key(), format!("2026-03-01T08:{id:02}:00Z"));
        Entry { id, item, verb, amount: [amount; 3], abrasive: None, at_utc, takes_back }
    }

    #[test]
    fn an_entry_that_was_taken_back_counts_no_more() {
        let entries = [
            entry(1, Verb::Bought, 10.0, None),
            entry(2, Verb::Bought, 100.0, None),
            entry(3, Verb::Drawn, 2.0, None),
            entry(4, Verb::TakenBack, 0.0, Some(2)),
        ];
        let left = |entries: &[Entry]| {
            let ledger = stock_movements::<Area>(entries, &Item::Resist("rubber_thin".into()));
            level(&ledger).unwrap().left.mid().to_base()
        };
        assert!((left(&entries) - 8.0).abs() < 1e-12);
        assert!((left(&entries[..3]) - 108.0).abs() < 1e-12);
        assert!(level(&stock_movements::<Area>(&entries, &Item::Tape)).is_none());
    }

    #[test]
    fn words_are_read_as_they_are_written_and_others_refused() {
        for verb in Verb::ALL {
            assert_eq!(Verb::of(verb.word()), Ok(verb));
        }
        assert!(Verb::of("stolen").unwrap_err().to_string().contains("taken back"));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let fault = |change: fn(&mut Entry)| {
            let mut entry = entry(1, Verb::Bought, 1.0, None);
            change(&mut entry);
            entry.check()
        };
        assert_eq!(fault(|_| ()), Ok(()));
        assert!(matches!(fault(|entry| entry.item = "glass".into()), Err(EntryFault::Item(_))));
        assert!(matches!(fault(|entry| entry.verb = Verb::Gauged), Err(EntryFault::Unfit { .. })));
        assert!(matches!(fault(|entry| entry.amount = [2.0, 1.0, 3.0]), Err(EntryFault::Amount { .. })));
        assert!(matches!(fault(|entry| entry.amount = [f64::NAN; 3]), Err(EntryFault::Amount { .. })));
        assert!(matches!(fault(|entry| entry.amount = [-1.0; 3]), Err(EntryFault::Amount { .. })));
    }
}
