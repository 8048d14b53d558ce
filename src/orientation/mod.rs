//! Angles, planes and lines in the geographic frame: x east, y north, z up.
//!
//! Degrees at the boundary, radians only inside. Dips run from 0 to 90, dip directions and
//! trends from 0 to 360 clockwise from the case's north, plunges are positive down.

mod drill_core;
mod fisher;
mod line;
mod plane;
mod pole;
mod projection;
mod strike;
mod tensor;

pub use drill_core::{CoreAngles, CoreError, OrientedHole, ReferenceLine};
pub use fisher::{FisherStatistics, across, fisher_direction};
pub use line::Line;
pub use plane::{Plane, apparent_dip_deg, line_of_intersection};
pub use projection::Projection;
pub use strike::Strike;
pub use tensor::OrientationTensor;

use nalgebra::Vector3;

/// East, north, up.
pub type Vec3 = Vector3<f64>;

/// Two normals closer than this sine (about 1e-10 rad) share no usable line of intersection:
/// their cross product is mostly rounding error.
pub const PARALLEL_SINE: f64 = 1e-10;

/// Brings an azimuth into 0 ≤ a < 360.
///
/// # Units
/// Degrees, clockwise from north.
#[must_use]
pub fn wrap_azimuth_deg(azimuth_deg: f64) -> f64 {
    let wrapped = azimuth_deg.rem_euclid(360.0);
    // rem_euclid rounds a tiny negative angle up to 360 itself.
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

/// The angle between two directions, accurate at 0° and 180° as well as between.
///
/// # Units
/// Degrees, 0 to 180. The vectors need not be of unit length.
#[must_use]
pub fn angle_between_deg(a: &Vec3, b: &Vec3) -> f64 {
    a.cross(b).norm().atan2(a.dot(b)).to_degrees()
}
