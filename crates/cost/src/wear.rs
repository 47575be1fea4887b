//! Abrasive by its turns.

use quantity::Estimate;

/// Share of the abrasive that a pass turns into dust: the middle of 2-10 % (carving-physics.md section 6, judgement).
pub const DUST_SHARE: f64 = 0.05;

/// The ends of that range.
pub const DUST_SHARES: [f64; 2] = [0.02, 0.10];

/// New abrasive for each kilogram through the nozzle, when a charge is thrown away after so many turns.
///
/// Of one kilogram `(1 - d)^k` is left after `k` passes, so `T` turns put `(1 - (1 - d)^T) / d` kilograms through the
/// nozzle: the share is `d / (1 - (1 - d)^T)`. `None` (never thrown away, only topped up) is `d` alone.
///
/// Checked: one turn uses each kilogram once, 1; two turns 1 / 1.95; it falls towards `d` with more.
#[must_use]
pub fn new_for_each(turns: Option<u32>) -> f64 {
    at_share(turns, DUST_SHARE)
}

/// The same over the range of shares that become dust: a 90 % interval as judged.
#[must_use]
pub fn new_for_each_range(turns: Option<u32>) -> Estimate<f64> {
    let [low, high] = DUST_SHARES.map(|share| at_share(turns, share));
    let mid = new_for_each(turns);
    Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid))
}

fn at_share(turns: Option<u32>, dust: f64) -> f64 {
    let left = |turns: u32| (1.0 - dust).powi(i32::try_from(turns.max(1)).unwrap_or(i32::MAX));
    turns.map_or(dust, |turns| dust / (1.0 - left(turns)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_are_worked_by_hand() {
        // d = 0.05: T = 1: 0.05 / 0.05. T = 2: 0.05 / (1 - 0.9025) = 0.05 / 0.0975. T = 6: 1 - 0.95^6 = 0.264908.
        for (turns, want) in [(Some(1), 1.0), (Some(2), 1.0 / 1.95), (Some(6), 0.188_745), (None, 0.05)] {
            assert!((new_for_each(turns) - want).abs() < 1e-6, "{turns:?}: {}", new_for_each(turns));
        }
        assert!((new_for_each(Some(100_000)) - DUST_SHARE).abs() < 1e-12);
    }

    #[test]
    fn a_charge_that_is_only_topped_up_is_the_most_uncertain() {
        let range = new_for_each_range(None);
        assert_eq!((range.low(), range.mid(), range.high()), (0.02, 0.05, 0.10));
        // T = 6: 0.02 / (1 - 0.98^6) = 0.02 / 0.114158; 0.1 / (1 - 0.9^6) = 0.1 / 0.468559.
        let six = new_for_each_range(Some(6));
        assert!((six.low() - 0.175_196).abs() < 1e-5 && (six.high() - 0.213_420).abs() < 1e-5, "{six:?}");
        assert!((new_for_each_range(Some(1)).high() - 1.0).abs() < 1e-12);
    }
}
