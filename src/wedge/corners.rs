use super::{Chain, Cone, Footprint};
use crate::orientation::Vec3;

impl Chain<'_> {
    /// The corners of the wedge's hull: its apex, then where edge 0, 1 and 2 daylight; local
    /// (u, s, v), metres, apex at s = 0.
    ///
    /// Joint face i has the corners 0 and those of the two edges other than i, and no others that
    /// matter for what acts on it: the opening is convex, so the chord between the two ends of a
    /// trace lies in it, and the trace, seen from the apex, lies before the chord. The whole face
    /// is within that triangle, however many chords an arc has.
    #[must_use]
    pub fn corners(&self, cone: &Cone, foot: &Footprint) -> [Vec3; 4] {
        let apex = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        let mut corners = [apex; 4];
        for (edge_m, edge) in foot.edge_m.iter().zip(self.sector().order) {
            corners[1 + edge] += cone.edges[edge] * *edge_m;
        }
        corners
    }

    /// The wedge's centroid, local (u, s, v), metres, exactly: pyramids from the apex over the
    /// straight pieces of its face.
    #[must_use]
    pub fn centroid(&self, cone: &Cone, foot: &Footprint) -> Vec3 {
        let lone = &cone.inward[self.sector().order[1]];
        // Of a cross-cut along the drive: from the plane that the middle edge leaves, half way.
        let half_way = |x: f64, z: f64, breadth: f64| {
            -(lone.x * x + lone.z * z) / lone.y + 0.5 * breadth * lone.y.signum()
        };
        let mut volume = 0.0;
        let mut sum = Vec3::zeros();
        self.each_piece(foot, |_, a, b, breadth_a, breadth_b| {
            // Six times the pyramid's volume, over the sum of its breadths.
            let twice = a.y * b.x - a.x * b.y;
            let (middle_a, middle_b) = (half_way(a.x, a.y, breadth_a), half_way(b.x, b.y, breadth_b));
            volume += twice * (breadth_a + breadth_b);
            // Breadth times position, both linear along the piece, integrated.
            let at_a = Vec3::new(a.x, middle_a, a.y);
            let at_b = Vec3::new(b.x, middle_b, b.y);
            sum +=
                (at_a * (2.0 * breadth_a + breadth_b) + at_b * (breadth_a + 2.0 * breadth_b)) * (twice / 3.0);
        });
        let apex = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        // A pyramid's centroid lies three quarters of the way from its apex to that of its base.
        if volume > 0.0 { apex + sum * (0.75 / volume) } else { apex }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{JointPyramid, Sector, Shape};
    use super::*;
    use crate::opening::{Section, SectionShape};
    use crate::orientation::Plane;

    fn sections() -> [Section; 3] {
        [
            SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
            SectionShape::Circular { diameter_m: 4.5 },
            SectionShape::Flat { width_m: 4.0, height_m: 3.5 },
        ]
        .map(|s| s.section().unwrap())
    }

    /// Calls `visit` for every wedge of triples of planes that turn round the compass: the largest
    /// one, and a smaller one inside its chain. Every fifth triple has a plane along the drive.
    fn each_wedge(mut visit: impl FnMut(&Section, &Chain, &Cone, &Footprint)) {
        for section in &sections() {
            for k in 0..60 {
                let k = f64::from(k);
                let turned = if k % 5.0 == 0.0 { 90.0 } else { 37.0 * k };
                let upward = [(40.0 + k % 41.0, turned), (55.0, 120.0 + 19.0 * k), (63.0, 250.0 + 7.0 * k)]
                    .map(|(dip_deg, dd)| Plane { dip_deg, dip_direction_deg: dd % 360.0 }.upward_normal())
                    .map(|n| n.into_inner());
                for pyramid in JointPyramid::all() {
                    let cone = Cone::new(&upward, pyramid);
                    let Some(sector) = Sector::of(&cone) else { continue };
                    let Some(chain) = Chain::of(section, &sector) else { continue };
                    let length = chain.length_m();
                    for foot in [chain.largest(), chain.footprint(0.3 * length, 0.9 * length)] {
                        if chain.volume_m3(&foot) > 1e-6 {
                            visit(section, &chain, &cone, &foot);
                        }
                    }
                }
            }
        }
    }

    /// Centroid of the body within closed triangles, by the theorem of Gauss about an origin that is not the apex:
    /// ∫ x dV = Σ over triangles of signed tetrahedra, whatever the origin.
    fn centroid_by_surface(section: &Section, shape: &Shape) -> Vec3 {
        // Outside the wedge, but no further than its size: the sum is one of differences.
        let origin = shape.apex + Vec3::new(0.6, -0.4, 0.8) * shape.length_m;
        let (mut volume, mut sum) = (0.0, Vec3::zeros());
        let mut add = |a: Vec3, b: Vec3, c: Vec3, outward: Vec3| {
            let flat = (b - a).cross(&(c - a));
            let sign = if flat.dot(&outward) < 0.0 { -1.0 } else { 1.0 };
            let six = sign * (a - origin).dot(&(b - origin).cross(&(c - origin)));
            volume += six;
            sum += (a + b + c + origin) / 4.0 * six;
        };
        for face in &shape.openings {
            let n = section.facets()[face.facet].normal;
            for pair in face.polygon[1..].windows(2) {
                add(face.polygon[0], pair[0], pair[1], -Vec3::new(n.x, 0.0, n.y));
            }
        }
        let middle = shape.vertices().iter().sum::<Vec3>() / shape.vertices().len() as f64;
        for joint in &shape.joints {
            let fan: Vec3 =
                joint.trace.windows(2).map(|w| (w[0] - shape.apex).cross(&(w[1] - shape.apex))).sum();
            let outward = if fan.dot(&(middle - shape.apex)) > 0.0 { -fan } else { fan };
            for pair in joint.trace.windows(2) {
                add(shape.apex, pair[0], pair[1], outward);
            }
        }
        sum / volume
    }

    #[test]
    fn the_centroid_is_that_of_the_closed_surface() {
        let (mut wedges, mut worst) = (0, 0.0f64);
        each_wedge(|section, chain, cone, foot| {
            let shape = Shape::new(section, chain, cone, foot);
            // Needles lose digits in the surface sum, not here.
            if shape.depth_m < 0.02 * shape.length_m {
                return;
            }
            let other = centroid_by_surface(section, &shape);
            worst = worst.max((chain.centroid(cone, foot) - other).norm() / shape.length_m);
            wedges += 1;
        });
        println!("{wedges} wedges, worst difference {worst:.1e} of the length");
        assert!(wedges > 500 && worst < 1e-10, "{wedges} {worst}");
    }

    #[test]
    fn a_tetrahedron_has_its_centroid_at_the_mean_of_its_corners() {
        let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
        let normals = [(55.0, 40.0), (50.0, 165.0), (60.0, 290.0)]
            .map(|(dip, dd)| Plane { dip_deg: dip, dip_direction_deg: dd }.upward_normal().into_inner());
        let cone = Cone::new(&normals, JointPyramid { lower: [true; 3] });
        let chain = Chain::of(&section, &Sector::of(&cone).unwrap()).unwrap();
        let foot = chain.largest();
        let mean = chain.corners(&cone, &foot).iter().sum::<Vec3>() / 4.0;
        assert!((chain.centroid(&cone, &foot) - mean).norm() < 1e-13);
    }

    /// What the joint check rests on: no corner of a trace leaves the triangle of apex and ends.
    #[test]
    fn every_joint_face_lies_within_the_triangle_of_its_corners() {
        let (mut checked, mut worst) = (0, 0.0f64);
        each_wedge(|section, chain, cone, foot| {
            let shape = Shape::new(section, chain, cone, foot);
            let corners = chain.corners(cone, foot);
            for (i, joint) in shape.joints.iter().enumerate() {
                let (a, b) = (corners[1 + (i + 1) % 3] - shape.apex, corners[1 + (i + 2) % 3] - shape.apex);
                let across = a.cross(&b);
                for point in &joint.trace {
                    let r = point - shape.apex;
                    let share_a = r.cross(&b).dot(&across) / across.norm_squared();
                    let share_b = a.cross(&r).dot(&across) / across.norm_squared();
                    worst = worst.max(-share_a).max(-share_b).max(share_a + share_b - 1.0);
                    checked += 1;
                }
            }
        });
        println!("{checked} corners, worst share outside {worst:.1e}");
        assert!(checked > 5_000 && worst < 1e-9, "{checked} {worst}");
    }
}
