use super::AsBuilt;
use crate::stability::HungLoad;

/// What is at a place besides what was designed for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Site {
    /// What hangs from the surface.
    pub hung_loads: Vec<HungLoad>,
    /// The bolts as they stand over a stretch of the drive.
    pub as_built: Option<AsBuilt>,
}
