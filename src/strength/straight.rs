use serde::{Deserialize, Serialize};

use super::ShearStrength;

/// A straight strength envelope, τ = c + σ · tan φ (Coulomb).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MohrCoulomb {
    /// Friction angle φ, degrees, 0 to below 90.
    pub friction_deg: f64,
    /// Cohesion c over the joint's face, kPa.
    pub cohesion_kpa: f64,
}

impl MohrCoulomb {
    /// tan φ.
    #[must_use]
    pub fn tan_friction(self) -> f64 {
        self.friction_deg.to_radians().tan()
    }
}

impl ShearStrength for MohrCoulomb {
    fn shear_kpa(&self, normal_kpa: f64) -> f64 {
        self.cohesion_kpa + normal_kpa * self.tan_friction()
    }
}
