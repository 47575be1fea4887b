//! What is left of something that is used up.

use crate::ledger::Movement;
use quantity::{Estimate, Quantity};

/// What happened to an item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act<Q> {
    /// So much more of it is there.
    Bought(Q),
    /// Somebody looked: so much is there, whatever was thought.
    Counted(Q),
    /// A run used so much of it.
    Drawn(Estimate<Q>),
    /// From now on it is bought again when no more than this is left.
    Reorder(Q),
}

/// What is left of an item.
#[derive(Debug, Clone, PartialEq)]
pub struct Level<Q> {
    /// Never below nothing.
    pub left: Estimate<Q>,
    /// By how much more was drawn than was there, at the middle: something was bought and not entered, or the
    /// estimates are too high. A count mends it.
    pub overdrawn: Option<Q>,
    /// At no more than this it is bought again.
    pub reorder: Option<Q>,
    /// When it was counted last.
    pub counted_utc: Option<String>,
    /// Runs that drew since the last count.
    pub draws: usize,
}

/// What is left, by a ledger in order; `None` while nothing was bought or counted.
///
/// `left = counted + bought since - drawn since`. The low end takes the high end of every draw, and the high end the low
/// one: draws are uncertain by what is the same at each run (how much of a grain's charge becomes dust, how much of a
/// strip's offcut is used), so their ends add up and do not even out. What was drawn before the first purchase or count
/// is not known to have been in the ledger's stock, and does not count.
#[must_use]
pub fn level<Q: Quantity>(ledger: &[Movement<Act<Q>>]) -> Option<Level<Q>> {
    let mut left: Option<[f64; 3]> = None;
    let (mut reorder, mut counted_utc, mut draws) = (None, None, 0);
    for Movement { at_utc, act, .. } in ledger {
        match act {
            Act::Counted(amount) => {
                left = Some([amount.to_base(); 3]);
                (counted_utc, draws) = (Some(at_utc.clone()), 0);
            }
            Act::Bought(amount) => left = Some(left.unwrap_or_default().map(|end| end + amount.to_base())),
            Act::Drawn(amount) => {
                if let Some([low, mid, high]) = &mut left {
                    *low -= amount.high().to_base();
                    *mid -= amount.mid().to_base();
                    *high -= amount.low().to_base();
                    draws += 1;
                }
            }
            Act::Reorder(at) => reorder = Some(*at),
        }
    }
    let [low, mid, high] = left?;
    let at = |end: f64| Q::clamped(end.max(0.0));
    let overdrawn = (mid < 0.0).then(|| Q::clamped(-mid));
    let left = Estimate::new(at(low), at(mid), at(high)).unwrap_or(Estimate::exact(at(mid)));
    Some(Level { left, overdrawn, reorder, counted_utc, draws })
}

/// How many whole pieces can be made of what is left: with the least left and the most drawn, and the other way round.
/// `None` when a piece draws none.
#[must_use]
pub fn lasts_for<Q: Quantity>(left: Estimate<Q>, each: Estimate<Q>) -> Option<(u32, u32)> {
    let whole = |left: Q, each: Q| {
        let pieces = left.to_base() / each.to_base();
        // A hair of leeway, so that three thirds make three.
        (pieces.is_finite()).then(|| (pieces * (1.0 + 1e-9)).floor().min(f64::from(u32::MAX)) as u32)
    };
    Some((whole(left.low(), each.high())?, whole(left.high(), each.low())?))
}

/// Whether what is left is enough for something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Suffices {
    /// Even with the least left and the most needed.
    Yes,
    /// At the middle it does, or the ends overlap.
    Perhaps,
    /// Not even at the middle.
    No,
}

/// Whether what is left is enough.
#[must_use]
pub fn suffices<Q: Quantity>(left: Estimate<Q>, needed: Estimate<Q>) -> Suffices {
    match () {
        () if needed.high() <= left.low() => Suffices::Yes,
        () if needed.mid() <= left.mid() => Suffices::Perhaps,
        () => Suffices::No,
    }
}

impl<Q: Quantity> Level<Q> {
    /// Whether it is time to buy: at the middle no more is left than was set.
    #[must_use]
    pub fn is_low(&self) -> bool {
        self.reorder.is_some_and(|at| self.left.mid() <= at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quantity::Mass;

    fn kg(kg: f64) -> Mass {
        Mass::kilograms(kg).unwrap()
    }

    fn range(low: f64, mid: f64, high: f64) -> Estimate<Mass> {
        Estimate::new(kg(low), kg(mid), kg(high)).unwrap()
    }

    fn ledger(acts: &[Act<Mass>]) -> Vec<Movement<Act<Mass>>> {
        let at = |id: usize| format!("2026-03-01T08:{id:02}:00Z");
        acts.iter().enumerate().map(|(id, act)| Movement { id: id as i64, at_utc: at(id), act: *act }).collect()
    }

    fn check(acts: &[Act<Mass>], expected: Option<(f64, f64, f64)>) -> Option<Level<Mass>> {
        let level = level(&ledger(acts));
        let ends = level.as_ref().map(|level| level.left);
        let ends = ends.map(|left| (left.low().to_base(), left.mid().to_base(), left.high().to_base()));
        match (ends, expected) {
            (None, None) => {}
            (Some(found), Some(want)) => {
                let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
                let same = near(found.0, want.0) && near(found.1, want.1) && near(found.2, want.2);
                assert!(same, "{found:?}, not {want:?}");
            }
            other => panic!("{other:?}"),
        }
        level
    }

    #[test]
    fn a_ledger_worked_by_hand() {
        // 25 bought; two runs of 0.4 to 2: 25 - 4, 25 - 2, 25 - 0.8.
        let run = Act::Drawn(range(0.4, 1.0, 2.0));
        let level = check(&[Act::Bought(kg(25.0)), run, run], Some((21.0, 23.0, 24.2))).unwrap();
        assert_eq!((level.draws, level.counted_utc, level.overdrawn), (2, None, None));
        // A count ends all doubt.
        let level =
            check(&[Act::Bought(kg(25.0)), run, run, Act::Counted(kg(22.0))], Some((22.0, 22.0, 22.0))).unwrap();
        assert_eq!((level.draws, level.counted_utc.is_some()), (0, true));
        check(&[Act::Counted(kg(22.0)), run, Act::Bought(kg(5.0))], Some((25.0, 26.0, 26.6)));
    }

    #[test]
    fn nothing_is_known_before_something_was_bought_or_counted() {
        let run = Act::Drawn(range(0.4, 1.0, 2.0));
        check(&[], None);
        check(&[run, Act::Reorder(kg(5.0))], None);
        check(&[run, Act::Bought(kg(5.0))], Some((5.0, 5.0, 5.0)));
    }

    #[test]
    fn less_than_nothing_is_nothing_and_is_told() {
        let level = check(&[Act::Counted(kg(1.0)), Act::Drawn(range(1.0, 3.0, 4.0))], Some((0.0, 0.0, 0.0))).unwrap();
        assert_eq!(level.overdrawn, Some(kg(2.0)));
    }

    #[test]
    fn it_is_low_at_the_level_that_was_set_last() {
        let acts = [Act::Counted(kg(6.0)), Act::Reorder(kg(10.0)), Act::Reorder(kg(5.0))];
        assert!(!level(&ledger(&acts)).unwrap().is_low());
        assert!(level(&ledger(&acts[..2])).unwrap().is_low());
    }

    #[test]
    fn pieces_are_whole_ones_between_the_worst_and_the_best() {
        assert_eq!(lasts_for(range(2.0, 3.0, 4.0), range(0.5, 0.8, 1.0)), Some((2, 8)));
        assert_eq!(lasts_for(range(3.0, 3.0, 3.0), range(0.3, 0.3, 0.3)), Some((10, 10)));
        assert_eq!(lasts_for(range(3.0, 3.0, 3.0), range(0.0, 0.0, 0.0)), None);
    }

    #[test]
    fn enough_is_judged_at_the_ends_and_in_the_middle() {
        let left = range(2.0, 3.0, 4.0);
        for (needed, expected) in [
            (range(1.0, 1.5, 2.0), Suffices::Yes),
            (range(1.0, 2.5, 3.0), Suffices::Perhaps),
            (range(3.0, 3.5, 5.0), Suffices::No),
        ] {
            assert_eq!(suffices(left, needed), expected, "{needed:?}");
        }
    }

    proptest! {
        #[test]
        fn the_ends_stay_in_order_and_a_draw_never_adds(
            acts in prop::collection::vec((0u8..4, 0.0..50.0f64, 0.0..1.0f64), 0..20),
        ) {
            let act = |(kind, amount, spread): &(u8, f64, f64)| match kind {
                0 => Act::Bought(kg(*amount)),
                1 => Act::Counted(kg(*amount)),
                2 => Act::Reorder(kg(*amount)),
                _ => Act::Drawn(range(amount * (1.0 - spread), *amount, amount * (1.0 + spread))),
            };
            let mut acts: Vec<_> = acts.iter().map(act).collect();
            let before = level(&ledger(&acts));
            acts.push(Act::Drawn(range(0.1, 0.2, 0.4)));
            let after = level(&ledger(&acts));
            if let (Some(before), Some(after)) = (&before, &after) {
                prop_assert!(after.left.low() <= after.left.mid() && after.left.mid() <= after.left.high());
                prop_assert!(after.left.low() <= before.left.low() && after.left.high() <= before.left.high());
            }
            prop_assert_eq!(before.is_some(), after.is_some());
        }
    }
}
