use nalgebra::Unit;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Line, Plane, Vec3, wrap_azimuth_deg};

/// Holes steeper than this have no top or bottom of core that an orientation tool could find:
/// a tool's own error of about a degree exceeds the tilt that it would have to sense.
pub const STEEPEST_HOLE_WITH_A_TOP_DEG: f64 = 89.0;

/// Which line along the core the angle beta is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ReferenceLine {
    /// The highest line of the core as it lay in the hole.
    Top,
    /// The lowest line of the core as it lay in the hole.
    Bottom,
    /// The line of the core nearest to north, for holes too steep to have a top.
    North,
}

/// Why a core angle cannot be turned into a plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CoreError {
    /// A vertical hole has no top or bottom of core.
    #[error("the hole is vertical, so its core has no top or bottom line")]
    NoTopOfCore,
    /// A hole that runs north and level has no side nearest to north.
    #[error("the hole runs along north, so no side of its core is nearest to north")]
    NoNorthOfCore,
}

/// An oriented hole: its direction going down the hole, and the line that beta counts from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OrientedHole {
    /// Trend and plunge going *down the hole* (away from the collar); an uphole has a negative
    /// plunge.
    pub axis: Line,
    /// The line along the core that beta counts from.
    pub reference: ReferenceLine,
}

/// A plane as it is measured on core.
///
/// # Units
/// `alpha_deg` is the acute angle between the core's axis and the plane, 0 to 90. `beta_deg` is
/// the angle, 0 to 360, clockwise looking down the hole, from the reference line to the end of
/// the ellipse's long axis that lies further down the hole.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CoreAngles {
    /// Acute angle between core axis and plane, degrees.
    pub alpha_deg: f64,
    /// Clockwise angle, looking down the hole, from the reference line to the down-hole end of
    /// the ellipse, degrees.
    pub beta_deg: f64,
}

impl OrientedHole {
    /// Unit vectors (axis down the hole, reference line, and the side 90° clockwise of the
    /// reference line looking down the hole).
    ///
    /// # Errors
    /// When the hole is too steep, or too nearly north, for its reference line to exist.
    pub fn frame(self) -> Result<[Vec3; 3], CoreError> {
        let axis = self.axis.to_vector().into_inner();
        let (toward, missing) = match self.reference {
            ReferenceLine::Top => (Vec3::z(), CoreError::NoTopOfCore),
            ReferenceLine::Bottom => (-Vec3::z(), CoreError::NoTopOfCore),
            ReferenceLine::North => (Vec3::y(), CoreError::NoNorthOfCore),
        };
        let across = toward - axis * axis.dot(&toward);
        if across.norm() < STEEPEST_HOLE_WITH_A_TOP_DEG.to_radians().cos() {
            return Err(missing);
        }
        let reference = across.normalize();
        // Looking along the axis, clockwise is the right-hand turn about the axis.
        Ok([axis, reference, axis.cross(&reference)])
    }

    /// The plane seen on core of this hole.
    ///
    /// The steepest line of the plane against the axis is a = axis·cos α + v·sin α, with
    /// v = reference·cos β + side·sin β; the plane also holds axis × v, so its normal is
    /// axis·sin α − v·cos α.
    ///
    /// # Errors
    /// As [`OrientedHole::frame`].
    pub fn plane(self, angles: CoreAngles) -> Result<Plane, CoreError> {
        Ok(Plane::from_normal(&*self.normal(angles)?))
    }

    /// The unit normal of the plane seen on core; its sense is down the hole.
    ///
    /// # Errors
    /// As [`OrientedHole::frame`].
    pub fn normal(self, angles: CoreAngles) -> Result<Unit<Vec3>, CoreError> {
        let [axis, reference, side] = self.frame()?;
        let (sin_alpha, cos_alpha) = angles.alpha_deg.to_radians().sin_cos();
        let (sin_beta, cos_beta) = angles.beta_deg.to_radians().sin_cos();
        let toward_apex = reference * cos_beta + side * sin_beta;
        Ok(Unit::new_normalize(axis * sin_alpha - toward_apex * cos_alpha))
    }

    /// The angles that `plane` would show on this hole's core. At alpha 90 beta has no meaning
    /// and is given 0; at alpha 0 the ellipse has no down-hole end, and beta is given in
    /// 0 ≤ β < 180.
    ///
    /// # Errors
    /// As [`OrientedHole::frame`].
    pub fn core_angles(self, plane: Plane) -> Result<CoreAngles, CoreError> {
        let [axis, reference, side] = self.frame()?;
        let upward = plane.upward_normal().into_inner();
        let normal = if upward.dot(&axis) < 0.0 { -upward } else { upward };
        let (along, to_reference, to_side) = (normal.dot(&axis), -normal.dot(&reference), -normal.dot(&side));
        let across = to_reference.hypot(to_side);
        let beta_deg =
            if across == 0.0 { 0.0 } else { wrap_azimuth_deg(to_side.atan2(to_reference).to_degrees()) };
        let beta_deg = if along == 0.0 { beta_deg.rem_euclid(180.0) } else { beta_deg };
        Ok(CoreAngles { alpha_deg: along.atan2(across).to_degrees(), beta_deg })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plane_of(hole: (f64, f64), reference: ReferenceLine, alpha: f64, beta: f64) -> Plane {
        let axis = Line { trend_deg: hole.0, plunge_deg: hole.1 };
        OrientedHole { axis, reference }.plane(CoreAngles { alpha_deg: alpha, beta_deg: beta }).unwrap()
    }

    fn assert_plane(found: Plane, dip: f64, dip_direction: f64) {
        let wanted = Plane { dip_deg: dip, dip_direction_deg: dip_direction };
        assert!(found.angle_to_deg(wanted) < 1e-9, "{found:?} is not {wanted:?}");
    }

    /// By hand, first hole: level, drilled due east, reference on top. At beta 0 the down-hole
    /// end of the ellipse is on top of the core, so the plane's line leaning into the hole goes
    /// east and up at alpha: the plane dips alpha to the west. At beta 90 the end is on the
    /// right-hand side looking east, which is south: the line is level at alpha from east
    /// toward south, azimuth 90 + alpha, and the plane stands on it. At beta 180 it is the
    /// mirror image of beta 0.
    #[test]
    fn a_level_hole_by_hand() {
        let hole = (90.0, 0.0);
        assert_plane(plane_of(hole, ReferenceLine::Top, 60.0, 0.0), 60.0, 270.0);
        assert_plane(plane_of(hole, ReferenceLine::Top, 60.0, 90.0), 90.0, 60.0);
        assert_plane(plane_of(hole, ReferenceLine::Top, 25.0, 180.0), 25.0, 90.0);
    }

    /// By hand, second hole: 60° down to the north, reference at the bottom. At beta 0 and
    /// alpha 30 the line leans 30° from the axis toward the bottom of the core, so it plunges
    /// 60 + 30 = 90: the plane is vertical and strikes east, as its other line, across the hole,
    /// is level. At beta 180 the line leans toward the top: plunge 60 − 30 = 30 to the north.
    /// At beta 90 (the west side: looking north and down from above with the bottom of the
    /// core as reference, clockwise from the bottom is the left hand) the line is
    /// axis·cos 30 + west·sin 30 = (−0.5, 0.433, −0.75) and the plane's other line is
    /// axis × west = the top of the core, (0, 0.866, 0.5). Their cross product is
    /// (0.86603, 0.25, −0.43301) up to sign, so the plane has
    /// cos dip = 0.43301, dip 64.3411°, and its upward normal (−0.86603, −0.25, 0.43301) heads
    /// to azimuth 180 + atan(0.86603/0.25) = 253.8979°.
    #[test]
    fn an_inclined_hole_by_hand() {
        let hole = (0.0, 60.0);
        assert_plane(plane_of(hole, ReferenceLine::Bottom, 30.0, 0.0), 90.0, 0.0);
        assert_plane(plane_of(hole, ReferenceLine::Bottom, 30.0, 180.0), 30.0, 0.0);
        let dip = 0.433_012_701_892_219_3_f64.acos().to_degrees();
        let dip_direction = 180.0 + (0.866_025_403_784_438_6_f64 / 0.25).atan().to_degrees();
        assert!((dip - 64.3411).abs() < 1e-4 && (dip_direction - 253.8979).abs() < 1e-4);
        assert_plane(plane_of(hole, ReferenceLine::Bottom, 30.0, 90.0), dip, dip_direction);
        // The other reference line is half a turn away.
        assert_plane(plane_of(hole, ReferenceLine::Top, 30.0, 270.0), dip, dip_direction);
    }

    #[test]
    fn a_vertical_hole_has_no_top_but_has_a_north() {
        let vertical =
            OrientedHole { axis: Line { trend_deg: 0.0, plunge_deg: 90.0 }, reference: ReferenceLine::Top };
        assert_eq!(vertical.frame(), Err(CoreError::NoTopOfCore));
        // Looking down, clockwise from north is the azimuth: the ellipse's low end at azimuth
        // 35 means dip direction 35, and the dip is 90 - alpha.
        assert_plane(plane_of((0.0, 90.0), ReferenceLine::North, 40.0, 35.0), 50.0, 35.0);
    }
}
