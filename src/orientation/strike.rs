use serde::{Deserialize, Serialize};

use super::{Plane, wrap_azimuth_deg};

/// A plane by its strike under the right-hand rule: facing along the strike, the plane goes
/// down to the right, so dip direction = strike + 90°.
///
/// # Units
/// `strike_deg` 0 to 360 clockwise from north; `dip_deg` 0 (level) to 90 (vertical).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Strike {
    /// Azimuth of the level line in the plane that has the dip on its right, degrees.
    pub strike_deg: f64,
    /// Angle of steepest descent below level, degrees.
    pub dip_deg: f64,
}

impl Strike {
    /// The strike of `plane`, right-hand rule.
    #[must_use]
    pub fn from_plane(plane: Plane) -> Self {
        Self { strike_deg: wrap_azimuth_deg(plane.dip_direction_deg - 90.0), dip_deg: plane.dip_deg }
    }

    /// The plane with this strike. No trigonometry is involved, so a level plane keeps its
    /// dip direction.
    #[must_use]
    pub fn to_plane(self) -> Plane {
        Plane { dip_deg: self.dip_deg, dip_direction_deg: wrap_azimuth_deg(self.strike_deg + 90.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dip_is_on_the_right_of_the_strike() {
        // Facing north, the right hand is east.
        let strike = Strike { strike_deg: 0.0, dip_deg: 35.0 };
        assert!((strike.to_plane().dip_direction_deg - 90.0).abs() < f64::EPSILON);
        // The asymmetric twin: facing 300, the right hand is 030.
        let strike = Strike { strike_deg: 300.0, dip_deg: 12.0 };
        assert!((strike.to_plane().dip_direction_deg - 30.0).abs() < 1e-12);
    }
}
