use super::{AsBuilt, Case};
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::stability::HungLoad;
use crate::wedge::{Located, PlacedPlane};

/// What is at a place besides what was designed for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Site {
    /// Mapped structures.
    pub structures: Vec<Structure>,
    /// What hangs from the surface.
    pub hung_loads: Vec<HungLoad>,
    /// The bolts as they stand over a stretch of the drive.
    pub as_built: Option<AsBuilt>,
}

/// One mapped plane, a fault or a single joint, that is where it is and nowhere else. Its plane and
/// its strength stand among the case's joint sets, behind all that are sets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Structure {
    /// Its index in [`Case::joint_sets`].
    pub set: usize,
    /// A point that it passes through: u and v in the section, s the chainage, metres.
    pub through: Vec3,
}

impl Case {
    /// How many of [`Case::joint_sets`] are sets: the rest are structures.
    #[must_use]
    pub fn set_count(&self) -> usize {
        self.site.structures.iter().map(|s| s.set).min().unwrap_or(self.joint_sets.len())
    }

    /// Whether one of three joints is a structure.
    #[must_use]
    pub fn has_structure(&self, sets: &[usize; 3]) -> bool {
        self.site.structures.iter().any(|s| sets.contains(&s.set))
    }

    /// Where the structures among three joints put the apex of their wedge; `None` without one, or
    /// where two are parallel.
    #[must_use]
    pub fn located(&self, opening: &Opening, sets: &[usize; 3]) -> Option<Located> {
        let planes: Vec<PlacedPlane> = self
            .site
            .structures
            .iter()
            .filter(|s| sets.contains(&s.set))
            .map(|s| PlacedPlane {
                normal: opening.frame.to_local(&self.joint_sets[s.set].plane.upward_normal()),
                through: s.through,
            })
            .collect();
        Located::of(&planes)
    }
}
