use super::polygon::NetPolygon;
use crate::orientation::{Plane, Vec3};

/// A reading this little outside of a round border is on it, degrees: whole degrees turned into directions and
/// back are off by no more, and no compass reads a ten-millionth of it.
const ON_BORDER_DEG: f64 = 1e-9;

/// What a set by hand takes in. Poles are axes: a pole and its opposite are one. What lies on a border is within it.
#[derive(Debug, Clone, PartialEq)]
pub enum SetBorder {
    /// All planes whose poles are within an angle of that of a mean plane.
    Round {
        /// The plane in the middle.
        mean: Plane,
        /// The angle, degrees, above 0 to 90.
        within_deg: f64,
    },
    /// All planes whose poles lie in a polygon on the net.
    Polygon(NetPolygon),
}

impl SetBorder {
    /// Whether it holds the plane with this unit normal, of either sense.
    #[must_use]
    pub fn holds(&self, axis: &Vec3) -> bool {
        match self {
            Self::Round { mean, within_deg } => {
                between_axes_deg(&normal(*mean), axis) <= within_deg + ON_BORDER_DEG
            }
            Self::Polygon(polygon) => polygon.holds(axis),
        }
    }

    /// Whether it shares more than its line with another border.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Round { mean, within_deg }, Self::Round { mean: of, within_deg: to }) => {
                between_axes_deg(&normal(*mean), &normal(*of)) < within_deg + to - ON_BORDER_DEG
            }
            (Self::Round { mean, within_deg }, Self::Polygon(polygon))
            | (Self::Polygon(polygon), Self::Round { mean, within_deg }) => {
                polygon.distance_deg(&normal(*mean)) < within_deg - ON_BORDER_DEG
            }
            (Self::Polygon(one), Self::Polygon(two)) => one.overlaps(two),
        }
    }
}

fn normal(plane: Plane) -> Vec3 {
    plane.upward_normal().into_inner()
}

/// The angle between two axes, degrees, 0 to 90.
pub(super) fn between_axes_deg(a: &Vec3, b: &Vec3) -> f64 {
    a.cross(b).norm().atan2(a.dot(b).abs()).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(dip_deg: f64, dip_direction_deg: f64, within_deg: f64) -> SetBorder {
        SetBorder::Round { mean: Plane { dip_deg, dip_direction_deg }, within_deg }
    }

    #[test]
    fn a_round_border_reaches_over_the_edge_of_the_net() {
        let steep = round(85.0, 90.0, 15.0);
        let holds = |dip_deg, dip_direction_deg| steep.holds(&normal(Plane { dip_deg, dip_direction_deg }));
        assert!(holds(85.0, 90.0) && holds(70.0, 90.0) && holds(80.0, 270.0), "15 degrees off on both sides");
        assert!(!holds(69.9, 90.0) && !holds(79.9, 270.0));
    }

    #[test]
    fn round_borders_that_touch_do_not_overlap() {
        assert!(!round(60.0, 0.0, 10.0).overlaps(&round(80.0, 0.0, 10.0)));
        assert!(round(60.0, 0.0, 10.1).overlaps(&round(80.0, 0.0, 10.0)));
    }
}
