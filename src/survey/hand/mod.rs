//! Sets whose borders somebody draws, instead of having them found: which poles each border holds.

mod border;
#[cfg(feature = "files")]
mod file;
mod polygon;
mod told;

pub use border::SetBorder;
#[cfg(feature = "files")]
pub use file::read_hand_sets;
pub use polygon::{NetPolygon, PolygonFault};
pub(crate) use told::warn_about_borders;

use crate::orientation::Vec3;

/// A set by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct HandSet {
    /// Its name: letters, digits and `_`.
    pub name: String,
    /// What it takes in.
    pub border: SetBorder,
}

/// The set that an axis belongs to: of borders that overlap the first one has it; none outside of all.
pub(crate) fn set_of(sets: &[HandSet], axis: &Vec3) -> Option<usize> {
    sets.iter().position(|set| set.border.holds(axis))
}
