use super::{Bridged, MohrCoulomb, Rough, Stepped};

/// What a joint resists along itself under a normal stress.
pub trait ShearStrength {
    /// Shear strength, kPa, at a normal stress of 0 or more, kPa.
    fn shear_kpa(&self, normal_kpa: f64) -> f64;
}

/// A strength that is not typed as a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StrengthLaw {
    /// A rough joint, and the normal stress up to which its line is drawn, kPa.
    Rough(Rough, f64),
    /// A joint of steps, and the same.
    Stepped(Stepped, f64),
    /// A joint interrupted by rock; it is a straight line.
    Bridged(Bridged),
}

impl StrengthLaw {
    /// The straight line that wedges are balanced with. Of a curve it goes from the origin to the curve at the stated
    /// normal stress: the secant angle of both curves grows smaller with the stress, so that the line lies nowhere
    /// above the curve up to there.
    #[must_use]
    pub fn line(&self) -> MohrCoulomb {
        let secant = |law: &dyn ShearStrength, kpa: f64| MohrCoulomb {
            friction_deg: law.shear_kpa(kpa).atan2(kpa).to_degrees(),
            cohesion_kpa: 0.0,
        };
        match self {
            Self::Rough(law, up_to_kpa) => secant(law, *up_to_kpa),
            Self::Stepped(law, up_to_kpa) => secant(law, *up_to_kpa),
            Self::Bridged(law) => law.together(),
        }
    }

    /// The normal stress up to which [`StrengthLaw::line`] holds, kPa; `None` where it does at any.
    #[must_use]
    pub fn up_to_kpa(&self) -> Option<f64> {
        match self {
            Self::Rough(_, kpa) | Self::Stepped(_, kpa) => Some(*kpa),
            Self::Bridged(_) => None,
        }
    }
}

impl ShearStrength for StrengthLaw {
    fn shear_kpa(&self, normal_kpa: f64) -> f64 {
        match self {
            Self::Rough(law, _) => law.shear_kpa(normal_kpa),
            Self::Stepped(law, _) => law.shear_kpa(normal_kpa),
            Self::Bridged(law) => law.shear_kpa(normal_kpa),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_lies_above_its_law_up_to_where_it_is_drawn() {
        for jrc in [0.0, 2.0, 8.0, 14.0, 20.0] {
            for up_to_kpa in [1.0, 50.0, 300.0, 2000.0] {
                let rough =
                    Rough { jrc, jcs_mpa: 40.0, base_friction_deg: 28.0, lengths_m: Some([0.1, 2.0]) };
                let stepped =
                    Stepped { friction_deg: 28.0, step_deg: jrc, sheared_off_kpa: 100.0, residual_deg: 24.0 };
                for law in [StrengthLaw::Rough(rough, up_to_kpa), StrengthLaw::Stepped(stepped, up_to_kpa)] {
                    let line = law.line();
                    for share in 0..=100 {
                        let kpa = up_to_kpa * f64::from(share) / 100.0;
                        let (below, above) = (line.shear_kpa(kpa), law.shear_kpa(kpa));
                        assert!(below <= above * (1.0 + 1e-12) + 1e-12, "{law:?} at {kpa}: {below} {above}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_rougher_joint_or_a_stronger_wall_never_has_a_lower_line() {
        let line = |jrc: f64, jcs_mpa: f64| {
            let law = Rough { jrc, jcs_mpa, base_friction_deg: 28.0, lengths_m: None };
            StrengthLaw::Rough(law, 200.0).line().friction_deg
        };
        for at in 0..20 {
            let jrc = f64::from(at);
            assert!(line(jrc + 1.0, 60.0) >= line(jrc, 60.0) && line(jrc, 61.0) >= line(jrc, 60.0));
        }
    }
}
