use serde::{Deserialize, Serialize};

use super::Vec3;

/// How the lower hemisphere is laid flat. Both have a primitive circle of radius 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Projection {
    /// Lambert azimuthal equal-area: densities can be compared across the net.
    #[default]
    EqualArea,
    /// Stereographic: small circles stay circles.
    EqualAngle,
}

impl Projection {
    /// Where a direction falls on the net: (east, north) with the rim at radius 1. A direction
    /// that points up falls outside the rim; straight up has no place and gives infinities.
    #[must_use]
    pub fn to_net(self, direction: &Vec3) -> [f64; 2] {
        let d = direction / direction.norm();
        let scale = match self {
            // sqrt(2)·sin(θ/2)/sin θ, θ from straight down, divided by the rim's sqrt(2)·sin 45°.
            Self::EqualArea => 1.0 / (1.0 - d.z).sqrt(),
            Self::EqualAngle => 1.0 / (1.0 - d.z),
        };
        [d.x * scale, d.y * scale]
    }

    /// The unit direction at a place on the net, or `None` outside of what the projection
    /// reaches. Inside the rim it points down.
    #[must_use]
    pub fn from_net(self, place: [f64; 2]) -> Option<Vec3> {
        let [x, y] = place;
        let square = x * x + y * y;
        match self {
            Self::EqualArea => {
                if square > 2.0 {
                    return None;
                }
                let scale = (2.0 - square).sqrt();
                Some(Vec3::new(x * scale, y * scale, square - 1.0))
            }
            Self::EqualAngle => {
                let scale = 2.0 / (1.0 + square);
                Some(Vec3::new(x * scale, y * scale, 1.0 - scale))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Line;

    #[test]
    fn a_direction_returns_from_the_net() {
        for projection in [Projection::EqualArea, Projection::EqualAngle] {
            for trend_deg in [0.0, 33.0, 181.0, 300.0] {
                for plunge_deg in [0.0, 1.0, 45.0, 89.0, 90.0] {
                    let line = Line { trend_deg, plunge_deg };
                    let vector = line.to_vector().into_inner();
                    let place = projection.to_net(&vector);
                    let back = projection.from_net(place).unwrap();
                    assert!((back - vector).norm() < 1e-14, "{line:?}");
                    assert!((back.norm() - 1.0).abs() < 1e-14);
                }
            }
        }
    }

    /// Textbook radii for a line of plunge 45°: equal area √2·sin(22.5°) = 0.541196, equal
    /// angle tan(22.5°) = 0.414214.
    #[test]
    fn a_line_at_45_degrees_falls_where_textbooks_put_it() {
        let line = Line { trend_deg: 90.0, plunge_deg: 45.0 };
        let vector = line.to_vector().into_inner();
        let [x, y] = Projection::EqualArea.to_net(&vector);
        assert!((x - 0.541_196_1).abs() < 1e-7 && y.abs() < 1e-15);
        let [x, _] = Projection::EqualAngle.to_net(&vector);
        assert!((x - 0.414_213_56).abs() < 1e-8);
    }
}
