use super::{AsBuilt, Case, Joint, JointKind};
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::stability::{HungLoad, Shaking, Water};
use crate::stress::RockStress;
use crate::wedge::{Located, PlacedPlane};

/// What is at a place besides what was designed for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Site {
    /// What hangs from the surface.
    pub hung_loads: Vec<HungLoad>,
    /// The bolts as they stand over a stretch of the drive.
    pub as_built: Option<AsBuilt>,
    /// What shakes the rock.
    pub shaking: Option<Shaking>,
    /// The water on the joint faces.
    pub water: Option<Water>,
    /// The stress in the rock; no verdict counts it.
    pub stress: Option<RockStress>,
}

impl Site {
    /// The water, where it presses on anything.
    #[must_use]
    pub fn pressing(&self) -> Option<&Water> {
        self.water.as_ref().filter(|water| water.presses())
    }
}

impl Case {
    /// The joints that are sets, each with its place in [`Case::joints`].
    pub fn sets(&self) -> impl Iterator<Item = (usize, &Joint)> {
        self.joints.iter().enumerate().filter(|(_, joint)| joint.kind == JointKind::Set)
    }

    /// The joints that are mapped structures, each with its place in [`Case::joints`] and a point that
    /// it passes through, local (u, s, v), metres.
    pub fn structures(&self) -> impl Iterator<Item = (usize, &Joint, Vec3)> {
        self.joints.iter().enumerate().filter_map(|(index, joint)| match joint.kind {
            JointKind::Structure { through } => Some((index, joint, through)),
            JointKind::Set => None,
        })
    }

    /// Whether the joint at this place of [`Case::joints`] is a structure.
    #[must_use]
    pub fn is_structure(&self, joint: usize) -> bool {
        self.joints.get(joint).is_some_and(|j| j.kind != JointKind::Set)
    }

    /// Where the structures among three joints put the apex of their wedge; `None` without one, or
    /// where two are parallel.
    #[must_use]
    pub fn located(&self, opening: &Opening, joints: &[usize; 3]) -> Option<Located> {
        let planes: Vec<PlacedPlane> = self
            .structures()
            .filter(|(index, ..)| joints.contains(index))
            .map(|(_, joint, through)| PlacedPlane {
                normal: opening.frame.to_local(&joint.plane.upward_normal()),
                through,
            })
            .collect();
        Located::of(&planes)
    }
}
