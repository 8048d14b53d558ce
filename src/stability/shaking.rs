use std::f64::consts::TAU;

use crate::orientation::{Line, Vec3};

/// Standard acceleration of free fall, m/s² (ISO 80000-3).
const FREE_FALL_M_S2: f64 = 9.806_65;

/// An earthquake or a blast as a steady force on the rock (pseudo-static): shares of the weight. It says
/// nothing of how long it lasts, and grows with nothing but the weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Shaking {
    /// Level coefficient, share of the weight, 0 or more.
    pub horizontal: f64,
    /// Vertical coefficient, share of the weight, positive down: it adds to the weight.
    pub vertical: f64,
    /// Azimuth that the rock is pushed towards, degrees; `None` is the worst one of each wedge.
    pub trend_deg: Option<f64>,
    /// The velocity that the level coefficient was worked out from; `None` where it was given.
    pub velocity: Option<GroundVelocity>,
    /// Where the numbers come from.
    pub source: Option<String>,
}

/// A harmonic shaking by its greatest velocity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundVelocity {
    /// Peak particle velocity, mm/s.
    pub ppv_mm_s: f64,
    /// Its frequency, Hz.
    pub frequency_hz: f64,
}

impl GroundVelocity {
    /// The coefficient of the greatest acceleration: a harmonic motion of velocity v has an acceleration of
    /// 2π f v (kinematics), over that of free fall. Real shaking is no sine, and acts on a wedge for as long as
    /// its peak lasts.
    #[must_use]
    pub fn coefficient(self) -> f64 {
        TAU * self.frequency_hz * self.ppv_mm_s * 1e-3 / FREE_FALL_M_S2
    }
}

impl Shaking {
    /// The force on rock of unit weight towards an azimuth, (east, north, up): what comes to the weight.
    #[must_use]
    pub fn share_towards(&self, trend_deg: f64) -> Vec3 {
        let level = Line { trend_deg, plunge_deg: 0.0 }.to_vector().into_inner();
        level * self.horizontal - Vec3::z() * self.vertical
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_harmonic_of_100_mm_s_at_10_hz_shakes_with_0_64_g() {
        let v = GroundVelocity { ppv_mm_s: 100.0, frequency_hz: 10.0 };
        // By hand: 2 × 3.14159 × 10 × 0.1 = 6.2832 m/s², over 9.80665.
        assert!((v.coefficient() - 0.640_706).abs() < 1e-6);
    }

    #[test]
    fn it_pushes_towards_its_azimuth_and_down() {
        let shaking =
            Shaking { horizontal: 0.2, vertical: 0.1, trend_deg: None, velocity: None, source: None };
        let share = shaking.share_towards(90.0);
        assert!((share - Vec3::new(0.2, 0.0, -0.1)).norm() < 1e-15);
        assert!((shaking.share_towards(180.0) - Vec3::new(0.0, -0.2, -0.1)).norm() < 1e-15);
    }
}
