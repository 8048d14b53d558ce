use nalgebra::Unit;
use serde::{Deserialize, Serialize};

use super::{Vec3, wrap_azimuth_deg};

/// A direction in space as mines write it: where it heads and how steeply it goes down.
///
/// # Units
/// `trend_deg` 0 to 360 clockwise from north; `plunge_deg` positive down, −90 to 90.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Azimuth of the direction, degrees clockwise from north.
    pub trend_deg: f64,
    /// Angle below level, degrees, positive down.
    pub plunge_deg: f64,
}

impl Line {
    /// The unit vector (east, north, up) of this direction.
    #[must_use]
    pub fn to_vector(self) -> Unit<Vec3> {
        let (sin_trend, cos_trend) = self.trend_deg.to_radians().sin_cos();
        let (sin_plunge, cos_plunge) = self.plunge_deg.to_radians().sin_cos();
        Unit::new_normalize(Vec3::new(cos_plunge * sin_trend, cos_plunge * cos_trend, -sin_plunge))
    }

    /// The line along `direction`, which need not be of unit length. A vertical direction has
    /// no trend of its own; it is given trend 0.
    #[must_use]
    pub fn from_vector(direction: &Vec3) -> Self {
        let level = direction.x.hypot(direction.y);
        let trend_deg =
            if level == 0.0 { 0.0 } else { wrap_azimuth_deg(direction.x.atan2(direction.y).to_degrees()) };
        Self { trend_deg, plunge_deg: (-direction.z).atan2(level).to_degrees() }
    }

    /// The same line written with a plunge of 0 or more: an axis without sense.
    #[must_use]
    pub fn downward(self) -> Self {
        if self.plunge_deg < 0.0 {
            Self { trend_deg: wrap_azimuth_deg(self.trend_deg + 180.0), plunge_deg: -self.plunge_deg }
        } else {
            self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_returns_from_its_vector() {
        for trend in [0.0, 17.0, 90.0, 181.5, 359.0] {
            for plunge in [-89.0, -12.0, 0.0, 33.0, 89.0] {
                let line = Line { trend_deg: trend, plunge_deg: plunge };
                let back = Line::from_vector(&line.to_vector());
                assert!((back.trend_deg - trend).abs() < 1e-11, "{line:?} {back:?}");
                assert!((back.plunge_deg - plunge).abs() < 1e-11, "{line:?} {back:?}");
            }
        }
    }

    #[test]
    fn an_upward_line_is_written_downward() {
        let line = Line { trend_deg: 30.0, plunge_deg: -10.0 }.downward();
        assert_eq!(line, Line { trend_deg: 210.0, plunge_deg: 10.0 });
    }
}
