//! What is said of bolts, and where their numbers come from.

pub mod pull_tests;
pub mod serving;
pub mod words;
