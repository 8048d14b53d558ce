use super::ShearStrength;

/// Peak angles beyond this are not to be used, degrees (Barton & Choubey 1977, from memory).
pub const PEAK_CAP_DEG: f64 = 70.0;

/// A rough joint without filling: τ = σ · tan(φ_b + JRC · log₁₀(JCS / σ)) (Barton & Choubey 1977), roughness and wall
/// strength brought from the length they were measured on to that of a block by JRC_n = JRC₀ (L_n/L₀)^(−0.02 JRC₀) and
/// JCS_n = JCS₀ (L_n/L₀)^(−0.03 JRC₀) (Barton & Bandis 1982; both from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rough {
    /// Joint roughness coefficient as measured, 0 to 20.
    pub jrc: f64,
    /// Joint wall compressive strength as measured, MPa.
    pub jcs_mpa: f64,
    /// Base friction of the rock, degrees; of weathered walls the residual one.
    pub base_friction_deg: f64,
    /// Length over which both were measured, and length of the block's joint, metres; `None` leaves them as measured.
    pub lengths_m: Option<[f64; 2]>,
}

impl Rough {
    /// JRC and JCS in MPa of the block's joint.
    #[must_use]
    pub fn at_block(&self) -> (f64, f64) {
        let Some([measured_m, block_m]) = self.lengths_m else { return (self.jrc, self.jcs_mpa) };
        // A joint shorter than the one measured is not made rougher by the rule: it was found for longer ones.
        let ratio = (block_m / measured_m).max(1.0);
        (self.jrc * ratio.powf(-0.02 * self.jrc), self.jcs_mpa * ratio.powf(-0.03 * self.jrc))
    }

    /// The secant angle at a normal stress above 0, degrees: base friction where the walls are no stronger, at most
    /// [`PEAK_CAP_DEG`].
    #[must_use]
    pub fn secant_deg(&self, normal_kpa: f64) -> f64 {
        self.uncapped_deg(normal_kpa).min(PEAK_CAP_DEG.max(self.base_friction_deg))
    }

    /// The same without the cap.
    #[must_use]
    pub fn uncapped_deg(&self, normal_kpa: f64) -> f64 {
        let (jrc, jcs_mpa) = self.at_block();
        self.base_friction_deg + jrc * (jcs_mpa * 1000.0 / normal_kpa).log10().max(0.0)
    }
}

impl ShearStrength for Rough {
    fn shear_kpa(&self, normal_kpa: f64) -> f64 {
        if normal_kpa > 0.0 { normal_kpa * self.secant_deg(normal_kpa).to_radians().tan() } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Barton & Choubey (1977), the worked table as handbooks print it: φ 29°, JRC 16.9, JCS 96 MPa. Table from memory.
    #[test]
    fn the_worked_table_comes_out() {
        let joint = Rough { jrc: 16.9, jcs_mpa: 96.0, base_friction_deg: 29.0, lengths_m: None };
        for (normal_mpa, shear_mpa) in
            [(0.360, 0.989), (0.720, 1.538), (1.440, 2.476), (2.880, 4.073), (5.759, 6.779)]
        {
            let found = joint.shear_kpa(1000.0 * normal_mpa) / 1000.0;
            assert!((found - shear_mpa).abs() < 1e-3, "{normal_mpa}: {found}");
        }
    }

    /// Barton & Bandis (1982), from memory: JRC₀ 10, JCS₀ 100 from 0.1 to 1 m.
    #[test]
    fn longer_joints_are_smoother() {
        let joint = Rough { jrc: 10.0, jcs_mpa: 100.0, base_friction_deg: 30.0, lengths_m: Some([0.1, 1.0]) };
        let (jrc, jcs_mpa) = joint.at_block();
        assert!((jrc - 6.3096).abs() < 1e-4 && (jcs_mpa - 50.119).abs() < 1e-3, "{jrc} {jcs_mpa}");
        let shorter = Rough { lengths_m: Some([0.1, 0.05]), ..joint };
        assert_eq!(shorter.at_block(), (10.0, 100.0));
    }

    #[test]
    fn beyond_the_strength_of_the_walls_base_friction_is_left() {
        let joint = Rough { jrc: 10.0, jcs_mpa: 1.0, base_friction_deg: 30.0, lengths_m: None };
        assert_eq!(joint.secant_deg(5000.0), 30.0);
        assert_eq!(joint.secant_deg(1e-9), PEAK_CAP_DEG);
        assert_eq!(joint.shear_kpa(0.0), 0.0);
    }
}
