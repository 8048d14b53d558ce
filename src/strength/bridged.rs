use super::{MohrCoulomb, ShearStrength};

/// A joint plane that is interrupted by rock: over a share of its area it is joint, over the rest rock, and both give
/// at once (Jennings 1970, from memory): c = k c_j + (1 − k) c_r, tan φ = k tan φ_j + (1 − k) tan φ_r.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bridged {
    /// Share of the plane's area that is joint, k, above 0 to 1.
    pub persistence: f64,
    /// Strength of the joint.
    pub joint: MohrCoulomb,
    /// Strength of the rock between.
    pub rock: MohrCoulomb,
}

impl Bridged {
    /// Both together: a straight line.
    #[must_use]
    pub fn together(&self) -> MohrCoulomb {
        let share = |joint: f64, rock: f64| self.persistence * joint + (1.0 - self.persistence) * rock;
        MohrCoulomb {
            friction_deg: share(self.joint.tan_friction(), self.rock.tan_friction()).atan().to_degrees(),
            cohesion_kpa: share(self.joint.cohesion_kpa, self.rock.cohesion_kpa),
        }
    }
}

impl ShearStrength for Bridged {
    fn shear_kpa(&self, normal_kpa: f64) -> f64 {
        self.together().shear_kpa(normal_kpa)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 0.98 × 10 + 0.02 × 5000 = 109.8 kPa; 0.98 tan 30° + 0.02 tan 50° = 0.58964.
    #[test]
    fn joint_and_rock_share_the_plane_by_area() {
        let of = |friction_deg, cohesion_kpa| MohrCoulomb { friction_deg, cohesion_kpa };
        let plane = Bridged { persistence: 0.98, joint: of(30.0, 10.0), rock: of(50.0, 5000.0) };
        let line = plane.together();
        assert!((line.cohesion_kpa - 109.8).abs() < 1e-9, "{line:?}");
        assert!((line.tan_friction() - 0.589_638).abs() < 1e-6, "{line:?}");
        assert!((Bridged { persistence: 1.0, ..plane }.together().friction_deg - 30.0).abs() < 1e-12);
    }
}
