//! Studies: each composes the rooms of the trade into one call on plain data.

mod check;
mod demand;
mod warning;
mod wedges;

pub use check::{Check, CheckError, CheckedWedge, Verdict, check};
pub use demand::{DemandRow, demand};
pub use warning::Warning;
pub use wedges::{LEAST_VOLUME_M3, LONG_WEDGE_RATIO};
