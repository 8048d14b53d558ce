use super::ShearStrength;

/// A joint of steps that ride over each other and are sheared off under more load: τ = σ · tan(φ + i) up to a normal
/// stress, then on with the residual friction (Patton 1966).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stepped {
    /// Friction φ of the steps' flanks, degrees.
    pub friction_deg: f64,
    /// How steep the flanks are against the mean plane, i, degrees.
    pub step_deg: f64,
    /// Normal stress at which steps are sheared off, kPa.
    pub sheared_off_kpa: f64,
    /// Friction from there on, degrees.
    pub residual_deg: f64,
}

impl ShearStrength for Stepped {
    fn shear_kpa(&self, normal_kpa: f64) -> f64 {
        let riding = (self.friction_deg + self.step_deg).to_radians().tan();
        let sheared = self.residual_deg.to_radians().tan();
        let below_kpa = normal_kpa.min(self.sheared_off_kpa);
        below_kpa * riding + (normal_kpa - below_kpa) * sheared
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Patton (1966): S/N = tan(φ + i) while steps ride.
    #[test]
    fn steps_ride_and_then_shear() {
        let joint =
            Stepped { friction_deg: 30.0, step_deg: 10.0, sheared_off_kpa: 200.0, residual_deg: 25.0 };
        assert!((joint.shear_kpa(100.0) / 100.0 - 40_f64.to_radians().tan()).abs() < 1e-15);
        let beyond = joint.shear_kpa(300.0) - joint.shear_kpa(200.0);
        assert!((beyond - 100.0 * 25_f64.to_radians().tan()).abs() < 1e-12);
    }
}
