//! What is said of bolts, and where their numbers come from.

pub(super) mod pull_tests;
pub(super) mod serving;
pub(super) mod words;
