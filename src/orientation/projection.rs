use nalgebra::Unit;
use serde::{Deserialize, Serialize};

use super::Vec3;

/// How the lower hemisphere is laid flat.
///
/// With θ the angle from straight down, the distance from the centre is √2·sin(θ/2) for equal
/// area and tan(θ/2) for equal angle, so that the rim (θ = 90°) is at 1 for both. Snyder (1987),
/// *Map Projections: A Working Manual*, USGS Professional Paper 1395, chapters 24 (Lambert
/// azimuthal equal-area) and 21 (stereographic).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Projection {
    /// Equal areas on the sphere stay equal: for judging densities.
    #[default]
    EqualArea,
    /// Circles on the sphere stay circles: for constructing angles.
    EqualAngle,
}

/// A point this little outside the unit disc still counts as on its rim.
const RIM_TOLERANCE: f64 = 1e-9;

impl Projection {
    /// The name that stands in the drawing's corner.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::EqualArea => "equal area",
            Self::EqualAngle => "equal angle",
        }
    }

    /// Where an axis pierces the lower hemisphere, on the unit disc: x east, y north, centre
    /// straight down. An upward direction is shown by its downward opposite; a level one is
    /// shown at the end it points to.
    ///
    /// The vector (east, north, up) need not be of unit length; `None` if it has no direction.
    #[must_use]
    pub fn project(self, direction: &Vec3) -> Option<[f64; 2]> {
        let unit = Unit::try_new(*direction, 0.0).filter(|u| u.iter().all(|c| c.is_finite()))?;
        let lower = if unit.z > 0.0 { -unit.into_inner() } else { unit.into_inner() };
        // With d = cos θ: √2·sin(θ/2) = √(1 − d) and sin θ = √(1 − d)·√(1 + d); tan(θ/2) =
        // sin θ/(1 + d). Written so, nothing is divided by zero at the centre.
        let down = -lower.z;
        let shrink = match self {
            Self::EqualArea => (1.0 + down).sqrt(),
            Self::EqualAngle => 1.0 + down,
        };
        Some([lower.x / shrink, lower.y / shrink])
    }

    /// The downward direction (east, north, up) shown at a point of the unit disc; `None` outside
    /// the disc.
    #[must_use]
    pub fn unproject(self, point: [f64; 2]) -> Option<Unit<Vec3>> {
        let [x, y] = point;
        let square = x * x + y * y;
        if square.is_nan() || square.sqrt() > 1.0 + RIM_TOLERANCE {
            return None;
        }
        let (down, stretch) = match self {
            Self::EqualArea => (1.0 - square, (2.0 - square).sqrt()),
            Self::EqualAngle => ((1.0 - square) / (1.0 + square), 2.0 / (1.0 + square)),
        };
        Some(Unit::new_normalize(Vec3::new(x * stretch, y * stretch, -down.max(0.0))))
    }

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
    use crate::orientation::{Line, Plane, angle_between_deg};

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

    const BOTH: [Projection; 2] = [Projection::EqualArea, Projection::EqualAngle];

    /// A few roundings of numbers up to 1.
    const ROUNDING: f64 = 1e-14;

    #[test]
    fn directions_return_over_the_whole_hemisphere() {
        let mut tried = 0;
        for projection in BOTH {
            for trend in (0..360).step_by(7) {
                for plunge in 0..=90 {
                    let line = Line { trend_deg: f64::from(trend), plunge_deg: f64::from(plunge) };
                    let point = projection.project(&line.to_vector()).unwrap();
                    let back = projection.unproject(point).unwrap();
                    // At the rim the depth is a square root of rounding errors: 1e-7 degrees is
                    // 2e-9 rad.
                    let off = angle_between_deg(&back, &line.to_vector());
                    assert!(off < 1e-7, "{projection:?} {line:?} {off}");
                    tried += 1;
                }
            }
        }
        assert_eq!(tried, 2 * 52 * 91);
    }

    #[test]
    fn distances_from_the_centre_follow_their_formulas() {
        for plunge in 0..=90 {
            let theta = f64::from(90 - plunge).to_radians();
            let line = Line { trend_deg: 63.0, plunge_deg: f64::from(plunge) };
            let radius = |p: Projection| {
                let [x, y] = p.project(&line.to_vector()).unwrap();
                x.hypot(y)
            };
            let equal_area = 2.0_f64.sqrt() * (theta / 2.0).sin();
            let equal_angle = (theta / 2.0).tan();
            assert!((radius(Projection::EqualArea) - equal_area).abs() < ROUNDING);
            assert!((radius(Projection::EqualAngle) - equal_angle).abs() < ROUNDING);
        }
    }

    #[test]
    fn the_pole_of_a_level_plane_is_the_centre_and_level_lines_are_on_the_rim() {
        let level = Plane { dip_deg: 0.0, dip_direction_deg: 0.0 };
        for projection in BOTH {
            let [x, y] = projection.project(&level.upward_normal()).unwrap();
            assert!(x.abs() < ROUNDING && y.abs() < ROUNDING);
            let east = Line { trend_deg: 90.0, plunge_deg: 0.0 };
            let [x, y] = projection.project(&east.to_vector()).unwrap();
            assert!((x - 1.0).abs() < ROUNDING && y.abs() < ROUNDING);
        }
    }

    #[test]
    fn upward_directions_are_shown_by_their_opposite() {
        let up = Line { trend_deg: 30.0, plunge_deg: -40.0 };
        for projection in BOTH {
            assert_eq!(
                projection.project(&up.to_vector()),
                projection.project(&-up.to_vector().into_inner())
            );
        }
    }

    #[test]
    fn what_has_no_direction_is_not_shown() {
        for projection in BOTH {
            assert_eq!(projection.project(&Vec3::zeros()), None);
            assert_eq!(projection.project(&Vec3::new(f64::NAN, 0.0, 1.0)), None);
            assert_eq!(projection.unproject([0.8, 0.8]), None);
            assert_eq!(projection.unproject([f64::NAN, 0.0]), None);
        }
    }

    #[test]
    fn equal_area_keeps_areas() {
        // The cap within 60° of straight down holds half of the hemisphere's area (2π(1 − cos
        // 60°) of 2π), so its circle holds half of the disc: radius √½.
        let line = Line { trend_deg: 211.0, plunge_deg: 30.0 };
        let [x, y] = Projection::EqualArea.project(&line.to_vector()).unwrap();
        assert!((x.hypot(y) - 0.5_f64.sqrt()).abs() < ROUNDING);
    }
}
