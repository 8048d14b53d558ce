use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

/// What a function of numbers gave, by the bits of the numbers: the same whoever asked first. So many are kept at the most;
/// beyond that all are forgotten.
pub(super) struct Known<T> {
    most: usize,
    found: Mutex<Option<HashMap<Vec<u64>, T>>>,
}

impl<T: Clone> Known<T> {
    pub const fn new(most: usize) -> Self {
        Self { most, found: Mutex::new(None) }
    }

    /// What is known of the key, or found now: outside of the lock, so that two may find the same at once.
    pub fn of(&self, key: Vec<u64>, find: impl FnOnce() -> T) -> T {
        let known = {
            let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
            found.as_ref().and_then(|found| found.get(&key).cloned())
        };
        if let Some(known) = known {
            return known;
        }
        let new = find();
        let mut found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        let found = found.get_or_insert_with(HashMap::new);
        if found.len() >= self.most {
            found.clear();
        }
        found.insert(key, new.clone());
        new
    }
}
