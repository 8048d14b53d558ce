//! A stretch as designed and as built.

pub(super) mod bolts;
pub(super) mod compared;
pub(super) mod page;
pub(super) mod rings;
pub(super) mod spots;
pub(super) mod wedges;
pub(super) mod words;
