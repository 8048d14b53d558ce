//! Wedges of all sizes.

pub mod chart;
pub mod page;
pub mod table;
pub mod words;
