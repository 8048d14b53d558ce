use super::Cone;
use crate::opening::{Vec2, cross2};

/// A joint normal whose part along the drive is smaller than this counts as square to the drive:
/// its plane contains the axis. It is far below any compass and far above rounding.
pub const AXIS_TOLERANCE: f64 = 1e-9;

/// A joint pyramid seen along the drive: a sector of the section plane, less than 180° wide,
/// bounded by two of its three edges.
///
/// Rays are named in the order in which they daylight along the perimeter, counter-clockwise:
/// start, middle, end. Seen from the apex that order turns clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sector {
    /// Which edge of the cone is start, middle, end. Plane `order[k]` is the one that edge does
    /// not lie in.
    pub order: [usize; 3],
    /// The edges' section parts (u, v), start, middle, end; per metre along the edge.
    pub rays: [Vec2; 3],
    /// The edges' parts along the drive, per metre along the edge.
    pub axial: [f64; 3],
    /// Length of the cone along the drive where it is longest, at the middle ray, per metre
    /// along the middle edge.
    pub ridge: f64,
    /// The outer ray that the middle ray coincides with, where a plane contains the axis.
    pub flat_side: Option<FlatSide>,
}

/// Which outer ray carries two edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlatSide {
    /// Start and middle coincide.
    Start,
    /// Middle and end coincide.
    End,
}

impl Sector {
    /// The sector of a cone given in local (u, s, v), or `None` where the cone holds the drive's
    /// axis in either sense: such a block runs along the drive without end (Shi's theorem for
    /// tunnels, Goodman & Shi 1985).
    #[must_use]
    pub fn of(cone: &Cone) -> Option<Self> {
        let along = cone.inward.map(|m| if m.y.abs() <= AXIS_TOLERANCE { 0.0 } else { m.y });
        let forward: Vec3Set = along.map(|a| a > 0.0);
        let backward: Vec3Set = along.map(|a| a < 0.0);
        let count = |set: Vec3Set| set.iter().filter(|&&b| b).count();
        let (ahead, behind) = (count(forward), count(backward));
        if ahead == 0 || behind == 0 {
            return None;
        }
        let position = |set: Vec3Set| (0..3).find(|&i| set[i]).unwrap_or(0);
        let ray = |i: usize| Vec2::new(cone.edges[i].x, cone.edges[i].z);
        let flat = (0..3).find(|&i| along[i] == 0.0);
        // The plane alone on its side of the axis faces the other two; the edge in which those
        // two meet is the ridge, the middle ray. With a plane that contains the axis, its two
        // edges share one ray and either can be called the middle.
        let (middle, a, b) = match flat {
            None => {
                let lone = if ahead == 1 { position(forward) } else { position(backward) };
                (lone, (lone + 1) % 3, (lone + 2) % 3)
            }
            Some(plane) => (position(forward), position(backward), plane),
        };
        let (start, end) = if cross2(&ray(a), &ray(b)) < 0.0 { (a, b) } else { (b, a) };
        let order = [start, middle, end];
        let flat_side = flat.map(|plane| if start == plane { FlatSide::End } else { FlatSide::Start });
        // From the middle edge along the drive to the plane that it leaves.
        let ridge = cone.inward[middle].dot(&cone.edges[middle]) / along[middle].abs();
        Some(Self { order, rays: order.map(ray), axial: order.map(|i| cone.edges[i].y), ridge, flat_side })
    }
}

type Vec3Set = [bool; 3];

#[cfg(test)]
mod tests {
    use super::super::JointPyramid;
    use super::*;
    use crate::orientation::Vec3;

    #[test]
    fn two_pyramids_hold_the_axis_and_six_are_sectors() {
        let upward = [
            Vec3::new(0.8, 0.1, 0.6).normalize(),
            Vec3::new(-0.5, 0.7, 0.4).normalize(),
            Vec3::new(-0.2, -0.9, 0.5).normalize(),
        ];
        let sectors: Vec<Sector> =
            JointPyramid::all().iter().filter_map(|&p| Sector::of(&Cone::new(&upward, p))).collect();
        assert_eq!(sectors.len(), 6);
        for sector in sectors {
            let [start, middle, end] = sector.rays;
            assert!(cross2(&start, &end) < 0.0);
            assert!(cross2(&start, &middle) < 0.0 && cross2(&middle, &end) < 0.0);
            assert!(sector.ridge > 0.0 && sector.flat_side.is_none());
        }
    }

    #[test]
    fn a_plane_along_the_drive_carries_two_edges_on_one_ray() {
        let upward = [
            Vec3::new(0.6, 0.0, 0.8),
            Vec3::new(-0.5, 0.7, 0.4).normalize(),
            Vec3::new(-0.2, -0.9, 0.5).normalize(),
        ];
        for pyramid in JointPyramid::all() {
            if let Some(sector) = Sector::of(&Cone::new(&upward, pyramid)) {
                let [start, middle, end] = sector.rays;
                let shared = match sector.flat_side {
                    Some(FlatSide::Start) => cross2(&start, &middle),
                    Some(FlatSide::End) => cross2(&middle, &end),
                    None => f64::NAN,
                };
                assert!(shared.abs() < 1e-15, "{pyramid:?}");
                assert!(cross2(&start, &end) < 0.0);
            }
        }
    }
}
