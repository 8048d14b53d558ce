//! Wedges of all sizes.

pub mod chart;
pub mod words;
