//! The case: one drive, its joints, limits, support and criteria, as plain values; and the TOML
//! file that it is read from.

mod model;

pub use model::{Case, Criteria, JointSet, SizeLimits};
