use nalgebra::Unit;
use serde::{Deserialize, Serialize};

use super::{Line, PARALLEL_SINE, Vec3, wrap_azimuth_deg};

/// The orientation of a plane by its line of steepest descent.
///
/// # Units
/// `dip_deg` 0 (level) to 90 (vertical); `dip_direction_deg` 0 to 360 clockwise from north.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Plane {
    /// Angle of steepest descent below level, degrees.
    pub dip_deg: f64,
    /// Azimuth of steepest descent, degrees clockwise from north.
    pub dip_direction_deg: f64,
}

impl Plane {
    /// The upward unit normal, (sin dip · sin dd, sin dip · cos dd, cos dip). A vertical plane's
    /// upper side is the one toward its dip direction.
    #[must_use]
    pub fn upward_normal(self) -> Unit<Vec3> {
        let (sin_dip, cos_dip) = self.dip_deg.to_radians().sin_cos();
        let (sin_dd, cos_dd) = self.dip_direction_deg.to_radians().sin_cos();
        Unit::new_normalize(Vec3::new(sin_dip * sin_dd, sin_dip * cos_dd, cos_dip))
    }

    /// The plane across `normal`, which may point up or down and need not be of unit length.
    /// A level plane has no dip direction of its own; it is given 0.
    #[must_use]
    pub fn from_normal(normal: &Vec3) -> Self {
        let up = if normal.z < 0.0 { -normal } else { *normal };
        let level = up.x.hypot(up.y);
        let dip_direction_deg =
            if level == 0.0 { 0.0 } else { wrap_azimuth_deg(up.x.atan2(up.y).to_degrees()) };
        Self { dip_deg: level.atan2(up.z).to_degrees(), dip_direction_deg }
    }

    /// The acute angle between two planes, degrees, 0 to 90.
    #[must_use]
    pub fn angle_to_deg(self, other: Self) -> f64 {
        let angle = super::angle_between_deg(&self.upward_normal(), &other.upward_normal());
        angle.min(180.0 - angle)
    }
}

/// The line in which two planes meet, written with a plunge of 0 or more, or `None` where they
/// are parallel within [`PARALLEL_SINE`].
#[must_use]
pub fn line_of_intersection(first: Plane, second: Plane) -> Option<Line> {
    let along = first.upward_normal().cross(&second.upward_normal());
    if along.norm() < PARALLEL_SINE { None } else { Some(Line::from_vector(&along).downward()) }
}

/// The dip of a plane as a vertical section shows it, degrees, positive where the plane goes
/// down toward `section_trend_deg`. tan(apparent) = tan(dip) · cos(dd − trend); Brady & Brown
/// (2004), ch. 3.
#[must_use]
pub fn apparent_dip_deg(plane: Plane, section_trend_deg: f64) -> f64 {
    let off = (plane.dip_direction_deg - section_trend_deg).to_radians();
    let (sin_dip, cos_dip) = plane.dip_deg.to_radians().sin_cos();
    // atan2 keeps a vertical plane at ±90 instead of dividing by zero.
    let down = sin_dip * off.cos();
    down.atan2(cos_dip).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_returns_from_its_normal() {
        for dip in [0.5, 12.0, 45.0, 89.5] {
            for dd in [0.0, 42.0, 180.0, 301.0] {
                let plane = Plane { dip_deg: dip, dip_direction_deg: dd };
                let back = Plane::from_normal(&plane.upward_normal());
                assert!((back.dip_deg - dip).abs() < 1e-11);
                assert!((back.dip_direction_deg - dd).abs() < 1e-11);
            }
        }
    }

    #[test]
    fn the_upper_side_of_a_vertical_plane_is_toward_its_dip_direction() {
        let normal = Plane { dip_deg: 90.0, dip_direction_deg: 90.0 }.upward_normal();
        assert!((normal.x - 1.0).abs() < 1e-15 && normal.y.abs() < 1e-15);
    }

    #[test]
    fn parallel_planes_have_no_line() {
        let plane = Plane { dip_deg: 40.0, dip_direction_deg: 10.0 };
        assert_eq!(line_of_intersection(plane, plane), None);
    }
}
