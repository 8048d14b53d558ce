//! Tables of the case file for bolts in more depth: a boom, the shear resistance of dowels.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::opening::Vec2;
use crate::support::{Boom, DowelShear};

/// The boom that a ring is drilled with. No limit has a default.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoomTable {
    /// Its pivot, metres to the right of the middle of the floor.
    #[schemars(range(min = -100.0, max = 100.0))]
    pub pivot_u_m: f64,
    /// Its pivot, metres above the floor.
    #[schemars(range(min = -100.0, max = 100.0))]
    pub pivot_v_m: f64,
    /// The most that the feed tilts off the line from the pivot to the collar, degrees.
    #[schemars(range(min = 0.0, max = 180.0))]
    pub tilt_deg: f64,
    /// The most that a hole may lie off the normal of the surface, degrees.
    #[schemars(range(min = 0.0, max = 84.0))]
    pub off_normal_deg: f64,
    /// The farthest collar from the pivot, metres; absent means that nothing limits it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.1, max = 100.0))]
    pub reach_m: Option<f64>,
}

impl From<BoomTable> for Boom {
    fn from(table: BoomTable) -> Self {
        Self {
            pivot: Vec2::new(table.pivot_u_m, table.pivot_v_m),
            tilt_deg: table.tilt_deg,
            off_normal_deg: table.off_normal_deg,
            reach_m: table.reach_m,
        }
    }
}

/// What the shear resistance of dowels rests on (Spang & Egger 1990, formula from memory).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DowelShearTable {
    /// Uniaxial compressive strength of the rock, MPa.
    #[schemars(range(min = 1.0, max = 500.0))]
    pub rock_strength_mpa: f64,
    /// Dilation angle of the joints, degrees; 0 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 45.0))]
    pub dilation_deg: Option<f64>,
}

impl From<DowelShearTable> for DowelShear {
    fn from(table: DowelShearTable) -> Self {
        Self { rock_strength_mpa: table.rock_strength_mpa, dilation_deg: table.dilation_deg.unwrap_or(0.0) }
    }
}
