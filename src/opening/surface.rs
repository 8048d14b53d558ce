use serde::{Deserialize, Serialize};

use super::{DriveFrame, Vec2};

/// A facet whose outward normal is steeper than this, up or down, is back or floor, else wall.
pub const STEEP_DEG: f64 = 30.0;

/// Room for rounding in the comparison with [`STEEP_DEG`]: a facet drawn at exactly 30° stays a
/// wall on every machine.
const STEEP_SINE_TOLERANCE: f64 = 1e-9;

/// The surfaces of a drive. Left and right are as seen by somebody walking the advance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Surface {
    /// Overhead.
    #[serde(rename = "back")]
    Back,
    /// To the left of the advance; the lower haunch of an arch belongs to it.
    #[serde(rename = "left wall")]
    LeftWall,
    /// To the right of the advance.
    #[serde(rename = "right wall")]
    RightWall,
    /// Underfoot.
    #[serde(rename = "floor")]
    Floor,
    /// The end of the heading.
    #[serde(rename = "face")]
    Face,
}

impl Surface {
    /// Every surface, in the order in which tables list them.
    pub const ALL: [Self; 5] = [Self::Back, Self::LeftWall, Self::RightWall, Self::Floor, Self::Face];

    /// Its place in [`Surface::ALL`].
    #[must_use]
    pub const fn place(self) -> usize {
        self as usize
    }

    /// The surface of a facet with this outward normal (u, v), by its angle from true level.
    #[must_use]
    pub fn of(normal: &Vec2, frame: &DriveFrame) -> Self {
        let rise = normal.x * frame.right().z + normal.y * frame.up().z;
        let steep = STEEP_DEG.to_radians().sin() + STEEP_SINE_TOLERANCE;
        if rise > steep {
            Self::Back
        } else if rise < -steep {
            Self::Floor
        } else if normal.x > 0.0 {
            Self::RightWall
        } else {
            Self::LeftWall
        }
    }

    /// The trade's word for it, as tables and messages print it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Back => "back",
            Self::LeftWall => "left wall",
            Self::RightWall => "right wall",
            Self::Floor => "floor",
            Self::Face => "face",
        }
    }

    /// Whether it is one of the two walls.
    #[must_use]
    pub fn is_wall(self) -> bool {
        matches!(self, Self::LeftWall | Self::RightWall)
    }
}
