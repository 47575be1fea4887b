//! A ledger in order.

/// An entry of a ledger.
#[derive(Debug, Clone, PartialEq)]
pub struct Movement<A> {
    /// Its number, in the order in which entries were made.
    pub id: i64,
    /// When it happened, as ISO 8601 in UTC: such texts sort as times. A run's log may come days after the run.
    pub at_utc: String,
    /// What happened.
    pub act: A,
}

/// The entries that count, in the order in which they happened: without those that were taken back.
///
/// * `taken_back`: numbers of the entries that another took back.
#[must_use]
pub fn standing<A>(mut movements: Vec<Movement<A>>, taken_back: &[i64]) -> Vec<Movement<A>> {
    movements.retain(|movement| !taken_back.contains(&movement.id));
    movements.sort_by(|a, b| a.at_utc.cmp(&b.at_utc).then(a.id.cmp(&b.id)));
    movements
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_that_came_late_stands_where_it_happened_and_what_was_taken_back_is_gone() {
        let at = |id, at_utc: &str| Movement { id, at_utc: at_utc.to_owned(), act: () };
        let all = vec![
            at(1, "2026-03-02T08:00:00Z"),
            at(2, "2026-03-03T08:00:00Z"),
            at(3, "2026-03-01T17:00:00Z"),
            at(4, "2026-03-02T08:00:00Z"),
        ];
        let ids: Vec<i64> = standing(all, &[2]).iter().map(|movement| movement.id).collect();
        assert_eq!(ids, [3, 1, 4]);
    }
}
