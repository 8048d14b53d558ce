use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// What a long study is at, counted for whoever shows it: the study knows neither clocks nor terminals.
#[derive(Debug, Default)]
pub struct Steps {
    stage: Mutex<(&'static str, usize)>,
    done: AtomicUsize,
}

/// What a study was at when it was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepsSeen {
    /// What is being done, in words; empty before anything is.
    pub doing: &'static str,
    /// Steps of it that are done.
    pub done: usize,
    /// Steps that it has; 0 where that is not known.
    pub of: usize,
}

impl Steps {
    /// Something else is done from now on, in so many steps; 0 where that is not known.
    pub fn begin(&self, doing: &'static str, of: usize) {
        let mut stage = self.stage.lock().unwrap_or_else(PoisonError::into_inner);
        self.done.store(0, Ordering::Relaxed);
        *stage = (doing, of);
    }

    /// One step more is done.
    pub fn step(&self) {
        self.done.fetch_add(1, Ordering::Relaxed);
    }

    /// So many steps are done.
    pub fn reach(&self, done: usize) {
        self.done.store(done, Ordering::Relaxed);
    }

    /// What is being done now.
    #[must_use]
    pub fn seen(&self) -> StepsSeen {
        let stage = self.stage.lock().unwrap_or_else(PoisonError::into_inner);
        let (doing, of) = *stage;
        StepsSeen { doing, done: self.done.load(Ordering::Relaxed).min(of), of }
    }
}
