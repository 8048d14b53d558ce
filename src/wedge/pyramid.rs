use crate::orientation::Vec3;

/// A triple of joint planes whose thinnest joint pyramid has a solid angle below this nearly
/// shares one line: its wedges are needles whose size hangs on the last digit of a compass
/// reading. Steradians; 1e-5 is a pyramid about 0.2° wide.
pub const THIN_TRIPLE_SR: f64 = 1e-5;

/// One of the eight joint pyramids of three planes: for each plane the side the block is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct JointPyramid {
    /// For each plane, whether the block lies on its lower side (digit 1).
    pub lower: [bool; 3],
}

impl JointPyramid {
    /// All eight, 000 to 111.
    #[must_use]
    pub fn all() -> [Self; 8] {
        std::array::from_fn(|code| Self { lower: [code & 4 != 0, code & 2 != 0, code & 1 != 0] })
    }

    /// Its place in [`JointPyramid::all`].
    #[must_use]
    pub fn number(self) -> usize {
        self.lower.iter().fold(0, |number, &lower| 2 * number + usize::from(lower))
    }

    /// A digit a plane: 0 for its upper side, 1 for its lower.
    #[must_use]
    pub fn code(self) -> String {
        self.lower.iter().map(|&l| if l { '1' } else { '0' }).collect()
    }
}

/// A joint pyramid as a cone { x : mᵢ · x ≥ 0 }, in whatever frame the normals were given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    /// Unit normals of the three planes, pointing into the block.
    pub inward: [Vec3; 3],
    /// Unit edges; edge i lies in the two other planes and leaves plane i.
    pub edges: [Vec3; 3],
}

impl Cone {
    /// The cone of `pyramid` over three planes with these upward unit normals. The planes must
    /// not share a line (see [`smallest_solid_angle_sr`]).
    #[must_use]
    pub fn new(upward: &[Vec3; 3], pyramid: JointPyramid) -> Self {
        let inward: [Vec3; 3] =
            std::array::from_fn(|i| if pyramid.lower[i] { -upward[i] } else { upward[i] });
        let edges = std::array::from_fn(|i| {
            let edge = inward[(i + 1) % 3].cross(&inward[(i + 2) % 3]).normalize();
            if edge.dot(&inward[i]) < 0.0 { -edge } else { edge }
        });
        Self { inward, edges }
    }

    /// Whether a block with this pyramid can leave through one flat surface: every edge points
    /// out of the rock, against the surface's outward normal. Goodman & Shi (1985): removable
    /// from a half-space.
    #[must_use]
    pub fn is_removable_through(&self, outward_normal: &Vec3) -> bool {
        self.edges.iter().all(|edge| edge.dot(outward_normal) < 0.0)
    }

    /// Solid angle, steradians; Van Oosterom & Strackee (1983).
    #[must_use]
    pub fn solid_angle_sr(&self) -> f64 {
        let [a, b, c] = &self.edges;
        let volume = a.dot(&b.cross(c)).abs();
        2.0 * volume.atan2(1.0 + a.dot(b) + b.dot(c) + c.dot(a))
    }
}

/// The smallest solid angle among the eight pyramids of three planes, steradians; 0 where the
/// planes share a line.
#[must_use]
pub fn smallest_solid_angle_sr(upward: &[Vec3; 3]) -> f64 {
    let det = upward[0].dot(&upward[1].cross(&upward[2]));
    if det == 0.0 {
        return 0.0;
    }
    // Opposite pyramids are equal: four are enough.
    JointPyramid::all()[..4]
        .iter()
        .map(|&pyramid| Cone::new(upward, pyramid).solid_angle_sr())
        // Two planes that coincide have no line: not a number is the thinnest of all.
        .fold(f64::INFINITY, |least, angle| if angle.is_nan() { 0.0 } else { least.min(angle) })
}

/// The side codes of every non-empty joint pyramid that n planes in general position make,
/// sorted. Each is found at the lines in which two planes meet: four pyramids touch there.
/// Goodman & Shi (1985) count n(n − 1) + 2 of them.
#[must_use]
pub fn joint_pyramid_codes(upward: &[Vec3]) -> Vec<Vec<bool>> {
    let n = upward.len();
    let mut codes = std::collections::BTreeSet::new();
    for i in 0..n {
        for j in i + 1..n {
            for sense in [1.0, -1.0] {
                let line = sense * upward[i].cross(&upward[j]);
                let sides: Vec<bool> = upward.iter().map(|normal| normal.dot(&line) < 0.0).collect();
                for corner in 0..4 {
                    let mut code = sides.clone();
                    code[i] = corner & 1 != 0;
                    code[j] = corner & 2 != 0;
                    codes.insert(code);
                }
            }
        }
    }
    codes.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn upward() -> [Vec3; 3] {
        [
            Vec3::new(0.8, 0.1, 0.6).normalize(),
            Vec3::new(-0.5, 0.7, 0.4).normalize(),
            Vec3::new(-0.2, -0.9, 0.5).normalize(),
        ]
    }

    #[test]
    fn edges_lie_in_two_planes_and_leave_the_third() {
        for pyramid in JointPyramid::all() {
            let cone = Cone::new(&upward(), pyramid);
            for i in 0..3 {
                assert!(cone.edges[i].dot(&cone.inward[i]) > 0.0);
                assert!(cone.edges[i].dot(&cone.inward[(i + 1) % 3]).abs() < 1e-15);
            }
        }
    }

    #[test]
    fn the_eight_pyramids_fill_the_sphere() {
        let sum: f64 = JointPyramid::all().iter().map(|&p| Cone::new(&upward(), p).solid_angle_sr()).sum();
        assert!((sum - 4.0 * std::f64::consts::PI).abs() < 1e-12);
    }

    #[test]
    fn a_plane_given_twice_leaves_no_angle() {
        for normal in upward() {
            // Whether the triple product of rounded normals is zero or a hair off it.
            assert!(smallest_solid_angle_sr(&[normal, upward()[0], normal]) == 0.0);
        }
    }

    #[test]
    fn codes_count_up_in_binary() {
        let codes: Vec<String> = JointPyramid::all().iter().map(|p| p.code()).collect();
        assert_eq!(codes[1], "001");
        assert_eq!(codes[6], "110");
    }
}
