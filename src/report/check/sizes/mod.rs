//! Wedges of all sizes.

pub(super) mod chart;
pub(super) mod page;
pub(super) mod table;
pub(super) mod words;
