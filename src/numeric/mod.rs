//! Numbers and plane figures, for every other room: searches on a line, picks of a list, areas, hulls. It knows
//! nothing of drives, joints or files.
//!
//! Points of a plane are whatever turns into two coordinates: `[f64; 2]`, a section's vector. The
//! order of every operation is fixed, so a result is the same to the last bit on each run.

mod interval;
mod lanes;
mod pick;
mod plane;
mod search;

pub use interval::wilson_95;
pub use lanes::{ln_1p, normal_quantile, normal_quantiles, sin_cos_turn, whole_below};
pub use pick::{evenly_picked, triples};
pub use plane::{convex_hull, flat_area, signed_area};
pub use search::{bisect, bisect_to, golden_greatest, golden_least};
