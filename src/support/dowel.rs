use super::{BoltKind, Serving};
use crate::stability::{Mode, Reaction, Stability};

/// A bolt whose direction goes with the slide by more than this share of a unit is shortened by it.
const WITH_THE_SLIDE: f64 = 1e-9;

/// What is said wherever the shear resistance of dowels is shown.
pub const DOWEL_LIMITS: &str = "Shear resistance of dowels after Spang & Egger (1990), formula from memory: bars of kind resin in set resin over their whole length, sliding on the joint that they cross, the slide lengthening them. The range of the tests behind it could not be read. It takes displacements of the joint that nothing here works out, to which other bolts and cohesion may not hold out. It stands instead of the axial share of these bolts, in a second factor that never decides";

/// What the shear resistance of dowels rests on besides the bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DowelShear {
    /// Uniaxial compressive strength of the rock, MPa.
    pub rock_strength_mpa: f64,
    /// Dilation angle i of the joints, degrees.
    pub dilation_deg: f64,
}

impl DowelShear {
    /// T₀/P, the shear resistance of a bolted joint over the tensile load of the bolt, where the bolt
    /// stands at `angle_deg` to the joint (90 square to it) and the joint has this friction angle,
    /// degrees.
    ///
    /// T₀ = P·[1.55 + 0.011·σc^1.07·sin²(α + i)]·σc^−0.14·(0.85 + 0.45·tan φ), σc in MPa. Source: Spang &
    /// Egger (1990), *Action of fully-grouted bolts in jointed rock and factors of influence*, formula
    /// from memory. It counts dowel and axial part together: it may be above 1.
    #[must_use]
    pub fn over_tensile(&self, angle_deg: f64, friction_deg: f64) -> f64 {
        let strength = self.rock_strength_mpa;
        let across = (angle_deg + self.dilation_deg).to_radians().sin();
        (1.55 + 0.011 * strength.powf(1.07) * across * across)
            * strength.powf(-0.14)
            * (0.85 + 0.45 * friction_deg.to_radians().tan())
    }

    /// Shear resistance that a bolt gives to a sliding wedge along its slide, kN; `None` where the
    /// relation does not speak of it: another kind, a joint that the wedge does not slide on, a slide
    /// that shortens the bolt. `friction_deg` is of the wedge's three joints.
    ///
    /// P is the bolt's capacity at the crossing, the least of steel, toe and head, instead of its
    /// steel: one that pulls out cannot be stretched until it breaks.
    #[must_use]
    pub fn shear_kn(
        &self,
        kind: BoltKind,
        bolt: &Serving,
        stability: &Stability,
        inward: &crate::orientation::Vec3,
        friction_deg: &[f64; 3],
    ) -> Option<f64> {
        let slides = match stability.motion.mode {
            Mode::SlidingOnOne(i) => bolt.plane == i,
            Mode::SlidingOnTwo(i, j) => bolt.plane == i || bolt.plane == j,
            Mode::Falling | Mode::NoMotion => false,
        };
        let with = bolt.direction.dot(&stability.motion.direction);
        if kind != BoltKind::Resin || !slides || with > WITH_THE_SLIDE {
            return None;
        }
        let angle_deg = inward.dot(&bolt.direction).abs().min(1.0).asin().to_degrees();
        Some(bolt.capacity.kn * self.over_tensile(angle_deg, friction_deg[bolt.plane]))
    }

    /// The factor of safety of a sliding wedge with the shear resistance of the dowels among the bolts
    /// that serve it instead of what they give along their axes, at that placement; `None` where none
    /// of them is a dowel. `kind_of` gives the kind of a pattern's bolts, `inward` the joints' unit
    /// normals into the wedge.
    #[must_use]
    pub fn fs(
        &self,
        kind_of: impl Fn(usize) -> BoltKind,
        serving: &[Serving],
        stability: &Stability,
        inward: &[crate::orientation::Vec3; 3],
        friction_deg: &[f64; 3],
    ) -> Option<f64> {
        let mut along = Reaction::default();
        let mut shear_kn = None;
        for bolt in serving {
            let kind = kind_of(bolt.pattern);
            match self.shear_kn(kind, bolt, stability, &inward[bolt.plane], friction_deg) {
                Some(kn) => *shear_kn.get_or_insert(0.0) += kn,
                None => along += stability.effect(&bolt.direction).times(bolt.capacity.kn),
            }
        }
        shear_kn.map(|kn| stability.fs(&along) + kn / stability.motion.driving_kn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half of the last printed digit.
    const DIGIT: f64 = 0.5001e-4;

    /// R8: Spang & Egger (1990), formula from memory: σc 50 MPa, 90°, φ 35, i 0 gives 1.5316; σc 100,
    /// 45°, φ 40 gives 1.4877.
    #[test]
    fn r8_shear_over_tensile() {
        let rock = |rock_strength_mpa| DowelShear { rock_strength_mpa, dilation_deg: 0.0 };
        assert!((rock(50.0).over_tensile(90.0, 35.0) - 1.5316).abs() < DIGIT);
        assert!((rock(100.0).over_tensile(45.0, 40.0) - 1.4877).abs() < DIGIT);
        // An unlike twin, worked step by step: σc 80, α 30 + i 5 = 35°, φ 30. 80^1.07 = 108.72,
        // sin² 35° = 0.32899, 1.55 + 0.39345 = 1.94345; 80^−0.14 = 0.54146; 0.85 + 0.25981 = 1.10981.
        let twin = DowelShear { rock_strength_mpa: 80.0, dilation_deg: 5.0 };
        assert!((twin.over_tensile(30.0, 30.0) - 1.94345 * 0.54146 * 1.10981).abs() < 1e-4);
    }
}
