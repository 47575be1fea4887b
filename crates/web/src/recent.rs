//! The last few answers to expensive questions.

use std::sync::{Mutex, PoisonError};

/// Keeps the last `N` values used; a value is found by its whole key.
#[derive(Debug)]
pub(crate) struct Recent<K, V, const N: usize> {
    kept: Mutex<Vec<(K, V)>>,
}

impl<K: PartialEq, V: Clone, const N: usize> Recent<K, V, N> {
    pub(crate) const fn new() -> Self {
        Self { kept: Mutex::new(Vec::new()) }
    }

    /// The kept value of a key, or the one that `make` gives, which is then kept. Two callers may both
    /// make it; nobody waits for another.
    ///
    /// # Errors
    /// What `make` says; a failure is not kept.
    pub(crate) fn get<E>(&self, key: K, make: impl FnOnce() -> Result<V, E>) -> Result<V, E> {
        if let Some(value) = self.find(&key) {
            return Ok(value);
        }
        let value = make()?;
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.insert(0, (key, value.clone()));
        kept.truncate(N);
        Ok(value)
    }

    fn find(&self, key: &K) -> Option<V> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(known, _)| known == key)?;
        kept[..=at].rotate_right(1);
        Some(kept[0].1.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_used_last_stays_longest() {
        let recent = Recent::<u32, u32, 2>::new();
        let mut made = 0;
        for key in [1, 2, 1, 3, 1, 2] {
            recent
                .get(key, || {
                    made += 1;
                    Ok::<_, ()>(key * 10)
                })
                .unwrap();
        }
        // 1, 2 and 3 are made, 1 is found twice, 2 had to go for 3 and is made again.
        assert_eq!(made, 4);
    }

    #[test]
    fn a_failure_is_tried_again() {
        let recent = Recent::<u32, u32, 2>::new();
        assert_eq!(recent.get(1, || Err("no")), Err("no"));
        assert_eq!(recent.get(1, || Ok::<_, ()>(7)), Ok(7));
    }
}
