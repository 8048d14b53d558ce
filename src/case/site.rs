use crate::stability::HungLoad;

/// What is at a place besides what was designed for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Site {
    /// What hangs from the surface.
    pub hung_loads: Vec<HungLoad>,
}
