use crate::orientation::Vec3;

/// What acts on a wedge before its joints and bolts react. Later loads (water) are further terms of the same
/// resultant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loads {
    /// Its own weight, kN.
    pub weight_kn: f64,
    /// What hangs from it, kN.
    pub hung_kn: f64,
}

impl Loads {
    /// The weight of `volume_m3` of rock at `unit_weight_kn_m3`.
    #[must_use]
    pub fn weight(volume_m3: f64, unit_weight_kn_m3: f64) -> Self {
        Self { weight_kn: volume_m3 * unit_weight_kn_m3, hung_kn: 0.0 }
    }

    /// The active resultant, kN, in the frame in which `up` is the unit vector upward.
    #[must_use]
    pub fn resultant_kn(&self, up: &Vec3) -> Vec3 {
        self.pulled_kn(&-up)
    }

    /// The same where `pull` is the force on unit weight: down, and what shaking adds; what hangs is shaken with the
    /// rock.
    #[must_use]
    pub fn pulled_kn(&self, pull: &Vec3) -> Vec3 {
        pull * (self.weight_kn + self.hung_kn)
    }
}
