use crate::orientation::Vec3;

/// A force that presses on a plane, or pulls from it, by less than this share of itself does not
/// touch it: no friction and no cohesion come from a contact that rounding could undo.
pub const NO_CONTACT_SHARE: f64 = 1e-9;

/// How a wedge moves under its active force. Planes are indices into the wedge's three.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// It drops free of all three joints.
    Falling,
    /// It slides on one joint.
    SlidingOnOne(usize),
    /// It slides along the line of two joints, lower index first.
    SlidingOnTwo(usize, usize),
    /// It stays where it is.
    NoMotion,
}

impl Mode {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Falling => "falling",
            Self::SlidingOnOne(_) | Self::SlidingOnTwo(..) => "sliding",
            Self::NoMotion => "no motion",
        }
    }

    /// The joints it slides on.
    #[must_use]
    pub fn slides_on(self) -> Vec<usize> {
        match self {
            Self::SlidingOnOne(i) => vec![i],
            Self::SlidingOnTwo(i, j) => vec![i, j],
            Self::Falling | Self::NoMotion => Vec::new(),
        }
    }
}

/// A mode with its direction and forces, decided from the planes and the force alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Falling, sliding on one or two joints, or none.
    pub mode: Mode,
    /// Unit vector of the movement; zero where there is none.
    pub direction: Vec3,
    /// Force along the movement, kN.
    pub driving_kn: f64,
    /// Compression on each joint, kN; zero where there is no contact.
    pub normal_kn: [f64; 3],
}

impl Motion {
    /// The motion of a block of three planes with unit normals `inward` (into the block) under
    /// `force_kn`. The active force's projection on the block's cone is the direction: inside it
    /// the block falls, on a face it slides on that plane, on an edge along two planes, and at
    /// the apex it stays.
    #[must_use]
    pub fn of(inward: &[Vec3; 3], force_kn: &Vec3) -> Self {
        if let Some(motion) = Self::on_at_most_one(inward, force_kn) {
            return motion;
        }
        let tolerance = NO_CONTACT_SHARE * force_kn.norm();
        for k in 0..3 {
            let (i, j) = match k {
                0 => (1, 2),
                1 => (0, 2),
                _ => (0, 1),
            };
            let line = inward[i].cross(&inward[j]).normalize();
            let direction = if line.dot(&inward[k]) < 0.0 { -line } else { line };
            let driving_kn = force_kn.dot(&direction);
            let (on_i, on_j) = components(&inward[i], &inward[j], force_kn);
            if driving_kn > tolerance && on_i > tolerance && on_j > tolerance {
                let mut normal_kn = [0.0; 3];
                normal_kn[i] = on_i;
                normal_kn[j] = on_j;
                return Self { mode: Mode::SlidingOnTwo(i, j), direction, driving_kn, normal_kn };
            }
        }
        Self::none()
    }
}

impl Motion {
    /// The motion of a prism between two joints (unit normals `inward`, into it) whose ends are
    /// released: the same projection on the space that the two joints leave it (Warburton 1981). A
    /// prism that presses on both joints rests in their groove; all that is left to it is their line,
    /// along the drive, where the rock ahead is in the way: it stays. Its third joint is none.
    #[must_use]
    pub fn of_prism(inward: &[Vec3; 2], force_kn: &Vec3) -> Self {
        Self::on_at_most_one(inward, force_kn).unwrap_or_else(Self::none)
    }

    fn none() -> Self {
        Self { mode: Mode::NoMotion, direction: Vec3::zeros(), driving_kn: 0.0, normal_kn: [0.0; 3] }
    }

    /// Falling, or sliding on one of up to three joints, or no motion where no force acts; `None`
    /// where the force presses on two of them.
    fn on_at_most_one(inward: &[Vec3], force_kn: &Vec3) -> Option<Self> {
        let size = force_kn.norm();
        if size == 0.0 {
            return Some(Self::none());
        }
        let tolerance = NO_CONTACT_SHARE * size;
        if inward.iter().all(|m| force_kn.dot(m) >= -tolerance) {
            let direction = force_kn / size;
            return Some(Self { mode: Mode::Falling, direction, driving_kn: size, ..Self::none() });
        }
        for (i, m) in inward.iter().enumerate() {
            let away = force_kn.dot(m);
            if away >= -tolerance {
                continue;
            }
            let along = force_kn - m * away;
            let driving_kn = along.norm();
            let leaves = inward.iter().enumerate().all(|(k, other)| k == i || along.dot(other) >= -tolerance);
            if driving_kn > tolerance && leaves {
                let mut normal_kn = [0.0; 3];
                normal_kn[i] = -away;
                return Some(Self {
                    mode: Mode::SlidingOnOne(i),
                    direction: along / driving_kn,
                    driving_kn,
                    normal_kn,
                });
            }
        }
        None
    }
}

/// The parts of `force` along −first and −second, when it is written in −first, −second and
/// their common line.
pub(crate) fn components(first: &Vec3, second: &Vec3, force: &Vec3) -> (f64, f64) {
    let cosine = first.dot(second);
    let det = 1.0 - cosine * cosine;
    let (a, b) = (force.dot(first), force.dot(second));
    (-(a - cosine * b) / det, -(b - cosine * a) / det)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Plane;
    use crate::wedge::{Cone, JointPyramid};

    fn down() -> Vec3 {
        Vec3::new(0.0, 0.0, -1.0)
    }

    #[test]
    fn an_upright_pyramid_under_its_apex_falls() {
        let upward = [(60.0, 0.0), (60.0, 120.0), (60.0, 240.0)]
            .map(|(dip, dd)| Plane { dip_deg: dip, dip_direction_deg: dd }.upward_normal().into_inner());
        let under = Cone::new(&upward, JointPyramid { lower: [true; 3] });
        assert_eq!(Motion::of(&under.inward, &down()).mode, Mode::Falling);
        let over = Cone::new(&upward, JointPyramid { lower: [false; 3] });
        assert_eq!(Motion::of(&over.inward, &down()).mode, Mode::NoMotion);
    }

    #[test]
    fn a_block_on_one_plane_slides_down_its_dip() {
        let upward = [(35.0, 200.0), (80.0, 110.0), (85.0, 20.0)]
            .map(|(dip, dd)| Plane { dip_deg: dip, dip_direction_deg: dd }.upward_normal().into_inner());
        let cone = Cone::new(&upward, JointPyramid { lower: [false, true, true] });
        let motion = Motion::of(&cone.inward, &down());
        if let Mode::SlidingOnOne(0) = motion.mode {
            let line = crate::orientation::Line::from_vector(&motion.direction);
            assert!((line.trend_deg - 200.0).abs() < 1e-9 && (line.plunge_deg - 35.0).abs() < 1e-9);
            assert!((motion.normal_kn[0] - 35f64.to_radians().cos()).abs() < 1e-12);
            assert!((motion.driving_kn - 35f64.to_radians().sin()).abs() < 1e-12);
        } else {
            panic!("{motion:?}");
        }
    }

    #[test]
    fn a_prism_falls_slides_or_rests() {
        let below =
            |dip: f64, dd: f64| -Plane { dip_deg: dip, dip_direction_deg: dd }.upward_normal().into_inner();
        let roof = [below(60.0, 90.0), below(45.0, 270.0)];
        assert_eq!(Motion::of_prism(&roof, &down()).mode, Mode::Falling);
        // Above a joint of 70° and below one of 40°, both toward the east: it slides on the first.
        let wall = [-below(70.0, 90.0), below(40.0, 90.0)];
        let motion = Motion::of_prism(&wall, &down());
        assert_eq!(motion.mode, Mode::SlidingOnOne(0));
        assert!((motion.driving_kn - 70f64.to_radians().sin()).abs() < 1e-12);
        assert!((motion.normal_kn[0] - 70f64.to_radians().cos()).abs() < 1e-12);
        // Its twin between the same joints opens uphill: the steep one is in its way.
        let behind = [-below(40.0, 90.0), below(70.0, 90.0)];
        assert_eq!(Motion::of_prism(&behind, &down()).mode, Mode::NoMotion);
        let groove = [-below(60.0, 90.0), -below(45.0, 270.0)];
        assert_eq!(Motion::of_prism(&groove, &down()).mode, Mode::NoMotion);
    }

    #[test]
    fn a_vertical_joint_that_only_touches_gives_nothing() {
        // Gravity runs along the vertical joint: no contact, so the block falls.
        let upward = [(90.0, 0.0), (50.0, 130.0), (50.0, 230.0)]
            .map(|(dip, dd)| Plane { dip_deg: dip, dip_direction_deg: dd }.upward_normal().into_inner());
        let cone = Cone::new(&upward, JointPyramid { lower: [true, true, true] });
        let motion = Motion::of(&cone.inward, &down());
        assert_eq!(motion.mode, Mode::Falling);
        assert_eq!(motion.normal_kn, [0.0; 3]);
    }
}
