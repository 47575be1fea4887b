//! Abrasive by its turns.

/// Share of the abrasive that a pass turns into dust: the middle of 2-10 % (carving-physics.md section 6, judgement).
pub const DUST_SHARE: f64 = 0.05;

/// New abrasive for each kilogram through the nozzle, when a charge is thrown away after so many turns.
///
/// Of one kilogram `(1 - d)^k` is left after `k` passes, so `T` turns put `(1 - (1 - d)^T) / d` kilograms through the
/// nozzle: the share is `d / (1 - (1 - d)^T)`. `None` (never thrown away, only topped up) is `d` alone.
///
/// Checked: one turn uses each kilogram once, 1; two turns 1 / 1.95; it falls towards `d` with more.
#[must_use]
pub fn new_for_each(turns: Option<u32>) -> f64 {
    let left = |turns: u32| (1.0 - DUST_SHARE).powi(i32::try_from(turns.max(1)).unwrap_or(i32::MAX));
    turns.map_or(DUST_SHARE, |turns| DUST_SHARE / (1.0 - left(turns)))
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
}
