//! Ctrl-C: the run stops at the next safe point, and a half-made folder is removed.

use std::sync::atomic::{AtomicBool, Ordering};

use super::outcome::Failure;

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Starts to listen. Where the system has no such signal, Ctrl-C ends the process as usual.
pub(super) fn watch() {
    let _ = ctrlc::set_handler(|| INTERRUPTED.store(true, Ordering::SeqCst));
}

/// A point at which the run may stop.
pub(super) fn safe_point() -> Result<(), Failure> {
    if INTERRUPTED.load(Ordering::SeqCst) { Err(Failure::Interrupted) } else { Ok(()) }
}
