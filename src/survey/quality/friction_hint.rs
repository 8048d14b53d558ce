use crate::strength::{PEAK_CAP_DEG, Rough};

/// What a hint on friction holds for: the engineer states both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HintConditions {
    /// Effective normal stress on the joint, kPa, above 0.
    pub normal_stress_kpa: f64,
    /// Base friction of the rock, degrees; of weathered joint walls the residual one.
    pub base_friction_deg: f64,
}

/// What JRC and JCS would make of the friction of a joint. A hint, no input: it knows neither filling, scale nor
/// water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionHint {
    /// Peak friction as a secant angle at the stated normal stress, degrees.
    pub peak_deg: f64,
    /// Whether it was capped at [`PEAK_CAP_DEG`].
    pub capped: bool,
    /// JRC that it rests on.
    pub jrc: f64,
    /// JCS that it rests on, MPa.
    pub jcs_mpa: f64,
}

impl FrictionHint {
    /// φ = φ_b + JRC log₁₀(JCS/σ_n), at most [`PEAK_CAP_DEG`]; `None` where the normal stress is not below the JCS,
    /// where the rule does not hold.
    ///
    /// Source: Barton & Choubey (1977), *Rock Mechanics* 10, 1-54, from memory. JRC and JCS are taken as recorded,
    /// without a correction for the length of the joint.
    #[must_use]
    pub fn of(jrc: f64, jcs_mpa: f64, conditions: HintConditions) -> Option<Self> {
        let HintConditions { normal_stress_kpa, base_friction_deg } = conditions;
        let joint = Rough { jrc, jcs_mpa, base_friction_deg, lengths_m: None };
        (jcs_mpa * 1000.0 > normal_stress_kpa).then(|| Self {
            peak_deg: joint.secant_deg(normal_stress_kpa),
            capped: joint.uncapped_deg(normal_stress_kpa) > PEAK_CAP_DEG,
            jrc,
            jcs_mpa,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_peak_by_hand_is_capped_and_ends_at_the_strength_of_the_walls() {
        let at = |normal_stress_kpa| HintConditions { normal_stress_kpa, base_friction_deg: 30.0 };
        // JCS 100 MPa over 100 kPa is a thousand: 30 + 8 × 3.
        let hint = FrictionHint::of(8.0, 100.0, at(100.0)).map(|hint| (hint.peak_deg, hint.capped));
        assert!(hint.is_some_and(|(deg, capped)| (deg - 54.0).abs() < 1e-9 && !capped), "{hint:?}");
        let hint = FrictionHint::of(16.0, 100.0, at(100.0)).map(|hint| (hint.peak_deg, hint.capped));
        assert_eq!(hint, Some((70.0, true)));
        assert_eq!(FrictionHint::of(8.0, 0.1, at(100.0)), None);
    }
}
