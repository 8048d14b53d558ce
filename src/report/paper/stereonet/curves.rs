//! Circles on the sphere, cut at the horizon.

use nalgebra::Unit;

use crate::orientation::{Line, Plane, Vec3, angle_between_deg};

/// Steps along a circle, degrees: chords of a net 110 mm wide are then 1 mm long.
const STEP_DEG: f64 = 1.0;

/// The lower half of a plane's great circle, from one level end over the steepest line to the
/// other, in steps of 1°.
#[must_use]
pub(super) fn great_circle(plane: Plane) -> Vec<Vec3> {
    let strike = Line { trend_deg: plane.dip_direction_deg - 90.0, plunge_deg: 0.0 }.to_vector();
    let steepest = Line { trend_deg: plane.dip_direction_deg, plunge_deg: plane.dip_deg }.to_vector();
    let steps = (180.0 / STEP_DEG) as u32;
    (0..=steps)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * STEP_DEG).to_radians().sin_cos();
            let mut along = strike.into_inner() * cos + steepest.into_inner() * sin;
            // The last point is level up to rounding; above the horizon it would jump across.
            along.z = along.z.min(0.0);
            along
        })
        .collect()
}

/// The small circle at `half_angle_deg` round an axis, closed, in steps of 1°; it may rise above
/// the horizon.
#[must_use]
pub(crate) fn small_circle(axis: &Unit<Vec3>, half_angle_deg: f64) -> Vec<Vec3> {
    // Any direction that is not near the axis starts the frame across it.
    let helper = if axis.z.abs() < 0.9 { Vec3::z() } else { Vec3::x() };
    let first = axis.cross(&helper).normalize();
    let second = axis.cross(&first);
    let (sin_half, cos_half) = half_angle_deg.to_radians().sin_cos();
    let steps = (360.0 / STEP_DEG) as u32;
    (0..=steps)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * STEP_DEG).to_radians().sin_cos();
            axis.into_inner() * cos_half + (first * cos + second * sin) * sin_half
        })
        .collect()
}

/// The arcs of great circles from corner to corner and back to the first, in steps of at most 1°. Corners are unit
/// vectors, neighbours less than 180° apart.
#[must_use]
pub(crate) fn great_arcs(corners: &[Vec3]) -> Vec<Vec3> {
    let nexts = corners.iter().cycle().skip(1);
    let mut line: Vec<Vec3> = Vec::new();
    for (from, to) in corners.iter().zip(nexts) {
        let steps = (angle_between_deg(from, to) / STEP_DEG).ceil().max(1.0);
        // Along the chord and out to the sphere: steps within an arc need not be equal.
        line.extend((0..steps as u32).map(|i| (from + (to - from) * (f64::from(i) / steps)).normalize()));
    }
    line.extend(corners.first());
    line
}

/// A line of axes as the lower hemisphere shows it: where it rises through the horizon it ends at
/// the rim and goes on from the opposite side.
#[must_use]
pub(super) fn lower_parts(points: &[Vec3]) -> Vec<Vec<Vec3>> {
    let mut parts: Vec<Vec<Vec3>> = Vec::new();
    let Some(first) = points.first() else {
        return parts;
    };
    let side = |v: &Vec3| if v.z > 0.0 { -1.0 } else { 1.0 };
    let mut part = vec![first * side(first)];
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        if side(&from) != side(&to) {
            let share = from.z / (from.z - to.z);
            let mut level = from + (to - from) * share;
            level.z = 0.0;
            part.push(level * side(&from));
            parts.push(std::mem::replace(&mut part, vec![level * side(&to)]));
        }
        part.push(to * side(&to));
    }
    parts.push(part);
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Projection;

    #[test]
    fn every_point_of_a_great_circle_lies_in_its_plane_and_below() {
        for (dip, direction) in [(0.0, 10.0), (37.0, 251.0), (90.0, 42.0)] {
            let plane = Plane { dip_deg: dip, dip_direction_deg: direction };
            let circle = great_circle(plane);
            assert_eq!(circle.len(), 181);
            for v in circle {
                assert!(v.dot(&plane.upward_normal()).abs() < 1e-14);
                assert!(v.z <= 0.0);
            }
        }
    }

    #[test]
    fn every_point_of_a_small_circle_is_at_its_angle() {
        for (trend, plunge) in [(0.0, 90.0), (200.0, 5.0), (17.0, -80.0)] {
            let axis = Line { trend_deg: trend, plunge_deg: plunge }.to_vector();
            for v in small_circle(&axis, 23.0) {
                assert!((angle_between_deg(&v, &axis) - 23.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_circle_through_the_horizon_returns_on_the_other_side() {
        let axis = Line { trend_deg: 90.0, plunge_deg: 5.0 }.to_vector();
        let parts = lower_parts(&small_circle(&axis, 20.0));
        // It rises once and sinks once: three parts, of which the first and last are one.
        assert_eq!(parts.len(), 3);
        for part in &parts {
            assert!(part.iter().all(|v| v.z <= 0.0));
            for pair in part.windows(2) {
                assert!(angle_between_deg(&pair[0], &pair[1]) < 1.5 * STEP_DEG);
            }
        }
        let (end, begin) = (parts[0].last().unwrap(), parts[1].first().unwrap());
        assert!((end + begin).norm() < 1e-12 && end.z == 0.0);
    }

    #[test]
    fn nothing_gives_nothing() {
        assert!(lower_parts(&[]).is_empty() && great_arcs(&[]).is_empty());
    }

    #[test]
    fn arcs_go_from_corner_to_corner_in_small_steps() {
        let corners = [(10.0, 60.0), (95.0, 40.0), (200.0, 70.0)]
            .map(|(trend_deg, plunge_deg)| Line { trend_deg, plunge_deg }.to_vector().into_inner());
        let line = great_arcs(&corners);
        let passes = |corner: &Vec3| line.iter().any(|v| (v - corner).norm() < 1e-12);
        assert!((line[0] - line[line.len() - 1]).norm() < 1e-12 && corners.iter().all(passes));
        let normals =
            [corners[0].cross(&corners[1]), corners[1].cross(&corners[2]), corners[2].cross(&corners[0])];
        for pair in line.windows(2) {
            assert!(angle_between_deg(&pair[0], &pair[1]) < 1.5 * STEP_DEG);
            assert!(normals.iter().any(|n| pair.iter().all(|v| v.dot(n).abs() < 1e-12)));
        }
    }

    #[test]
    fn equal_angle_keeps_circles() {
        // Three points of a small circle fix a circle on the disc; the others lie on it.
        let axis = Line { trend_deg: 110.0, plunge_deg: 50.0 };
        let circle = small_circle(&axis.to_vector(), 20.0);
        let points: Vec<[f64; 2]> =
            circle.iter().map(|v| Projection::EqualAngle.project(v).unwrap()).collect();
        let (centre, radius) = through(points[0], points[40], points[90]);
        for [x, y] in points {
            let off = (x - centre[0]).hypot(y - centre[1]) - radius;
            assert!(off.abs() < 1e-12, "{off}");
        }
    }

    /// Centre and radius of the circle through three points.
    fn through(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> ([f64; 2], f64) {
        let (bx, by, cx, cy) = (b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]);
        let d = 2.0 * (bx * cy - by * cx);
        let (b2, c2) = (bx * bx + by * by, cx * cx + cy * cy);
        let (x, y) = ((cy * b2 - by * c2) / d, (bx * c2 - cx * b2) / d);
        ([a[0] + x, a[1] + y], x.hypot(y))
    }
}
