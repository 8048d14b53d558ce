use super::sector::FlatSide;
use super::{Chain, Cone, Footprint};
use crate::numeric::flat_area;
use crate::opening::Section;
use crate::orientation::Vec3;

/// Two places along the chain nearer than this share of its length are one station of the shape.
const SAME_PLACE: f64 = 1e-12;

/// The face of a wedge on one of its joint planes: a fan from the apex over the trace.
#[derive(Debug, Clone, PartialEq)]
pub struct JointFace {
    /// The trace on the opening, in order along the perimeter; local (u, s, v), metres.
    pub trace: Vec<Vec3>,
    /// Length of the trace over all facets, metres.
    pub trace_m: f64,
    /// Area of the fan, square metres.
    pub area_m2: f64,
}

/// The part of a wedge's face that lies on one facet of the opening.
#[derive(Debug, Clone, PartialEq)]
pub struct OpeningFace {
    /// Index of the facet in the section; the section's count of facets is the face.
    pub facet: usize,
    /// Its corners in order round it; local (u, s, v), metres.
    pub polygon: Vec<Vec3>,
    /// Square metres.
    pub area_m2: f64,
    /// Height of the apex above the facet, metres.
    pub height_m: f64,
}

/// A wedge as a closed body, exactly: joint faces and opening faces, no sampling. In the drive its
/// apex is at s = 0 of the local frame; at the face, the face is.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The apex.
    pub apex: Vec3,
    /// One a plane, in the order of the cone's planes.
    pub joints: [JointFace; 3],
    /// One a facet that the wedge covers, in order along the perimeter.
    pub openings: Vec<OpeningFace>,
    /// Cubic metres.
    pub volume_m3: f64,
    /// Shortest distance from the apex to the opening, metres.
    pub depth_m: f64,
    /// Extent along the drive, apex included, metres.
    pub length_m: f64,
}

/// A place along the chain at which the shape has corners.
struct Station {
    along_m: f64,
    /// The point of the face with the smallest s, and the one with the largest.
    low: Vec3,
    high: Vec3,
    /// The point on the lone plane, which the middle edge leaves; and on the other.
    lone: Vec3,
    other: Vec3,
}

impl Shape {
    /// Centre of its volume, local (u, s, v), metres: of the pyramids from the apex over each face.
    #[must_use]
    pub fn centroid(&self) -> Vec3 {
        let mut moment = Vec3::zeros();
        for face in &self.openings {
            let anchor = face.polygon[0];
            for pair in face.polygon.windows(2) {
                let area_m2 = 0.5 * (pair[0] - anchor).cross(&(pair[1] - anchor)).norm();
                let centre = 0.25 * (self.apex + anchor + pair[0] + pair[1]);
                moment += centre * (area_m2 * face.height_m / 3.0);
            }
        }
        moment / self.volume_m3
    }

    /// The body of the wedge with this footprint; `cone` in the local frame.
    #[must_use]
    pub fn new(section: &Section, chain: &Chain, cone: &Cone, foot: &Footprint) -> Self {
        let sector = chain.sector();
        let [opposite_start, lone_plane, opposite_end] = sector.order;
        let apex = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        let hits: [Vec3; 3] = std::array::from_fn(|k| apex + cone.edges[sector.order[k]] * foot.edge_m[k]);
        let stations = stations(chain, cone, foot, &apex, &hits);

        let middle_m = foot.along_m[1];
        let between = |from: f64, to: f64, pick: fn(&Station) -> Vec3| {
            stations
                .iter()
                .filter(move |s| s.along_m > from && s.along_m < to)
                .map(pick)
                .collect::<Vec<Vec3>>()
        };
        let same = SAME_PLACE * chain.length_m();
        let [start_m, _, end_m] = foot.along_m;
        let polyline = |from: Vec3, inner: Vec<Vec3>, to: Vec3| {
            let mut line = vec![from];
            line.extend(inner);
            line.push(to);
            line
        };
        let mut joints: [JointFace; 3] =
            std::array::from_fn(|_| JointFace { trace: Vec::new(), trace_m: 0.0, area_m2: 0.0 });
        joints[lone_plane].trace = polyline(
            hits[0],
            stations
                .iter()
                .filter(|s| s.along_m > start_m && s.along_m < end_m && (s.along_m - middle_m).abs() > same)
                .map(|s| s.lone)
                .collect(),
            hits[2],
        );
        joints[opposite_end].trace =
            polyline(hits[0], between(start_m, middle_m - same, |s| s.other), hits[1]);
        joints[opposite_start].trace =
            polyline(hits[1], between(middle_m + same, end_m, |s| s.other), hits[2]);
        for joint in &mut joints {
            joint.trace_m = joint.trace.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
            let fan: Vec3 = joint.trace.windows(2).map(|w| (w[0] - apex).cross(&(w[1] - apex))).sum();
            joint.area_m2 = 0.5 * fan.norm();
        }

        let openings = opening_faces(section, chain, foot, &stations);
        let volume_m3 = openings.iter().map(|f| f.area_m2 * f.height_m / 3.0).sum();
        Self {
            apex,
            joints,
            volume_m3,
            depth_m: chain.depth_m(&foot.apex).0,
            length_m: chain.extent_along_drive_m(foot),
            openings,
        }
    }

    /// Area of the whole face on the opening, square metres.
    #[must_use]
    pub fn opening_area_m2(&self) -> f64 {
        self.openings.iter().map(|f| f.area_m2).sum()
    }

    /// The corners of the body, the apex first; local (u, s, v), metres.
    #[must_use]
    pub fn vertices(&self) -> Vec<Vec3> {
        let mut vertices = vec![self.apex];
        let points =
            self.joints.iter().flat_map(|j| &j.trace).chain(self.openings.iter().flat_map(|o| &o.polygon));
        for point in points {
            if !vertices.contains(point) {
                vertices.push(*point);
            }
        }
        vertices
    }

    /// Sum of the outward area vectors of all faces, square metres: zero for a closed body.
    /// `section` and `cone` are those it was made from.
    #[must_use]
    pub fn open_area(&self, section: &Section, cone: &Cone) -> Vec3 {
        let joints: Vec3 = (0..3).map(|i| -cone.inward[i] * self.joints[i].area_m2).sum();
        let openings: Vec3 = self
            .openings
            .iter()
            .map(|face| {
                let normal = section
                    .facets()
                    .get(face.facet)
                    .map_or_else(Vec3::y, |f| Vec3::new(f.normal.x, 0.0, f.normal.y));
                -normal * flat_area(face.polygon.iter().copied())
            })
            .sum();
        joints + openings
    }
}

fn stations(chain: &Chain, cone: &Cone, foot: &Footprint, apex: &Vec3, hits: &[Vec3; 3]) -> Vec<Station> {
    let sector = chain.sector();
    let [opposite_start, lone_plane, opposite_end] = sector.order;
    let [start_m, middle_m, end_m] = foot.along_m;
    let lone_is_low = cone.inward[lone_plane].y > 0.0;
    let on_plane = |plane: usize, along_m: f64| {
        let point = chain.point_at(along_m);
        let m = &cone.inward[plane];
        let s = -(m.x * (point.x - apex.x) + m.z * (point.y - apex.z)) / m.y;
        Vec3::new(point.x, s, point.y)
    };
    let station = |along_m: f64, lone: Vec3, other: Vec3| {
        let (low, high) = if lone_is_low { (lone, other) } else { (other, lone) };
        Station { along_m, low, high, lone, other }
    };
    let same = SAME_PLACE * chain.length_m();
    let mut inner: Vec<f64> = (0..chain.vertices().len())
        .map(|k| chain.vertex_along_m(k))
        .filter(|&m| m > start_m + same && m < end_m - same && (m - middle_m).abs() > same)
        .collect();
    let middle_inside = sector.flat_side.is_none();
    if middle_inside {
        inner.push(middle_m);
        inner.sort_by(f64::total_cmp);
    }
    let mut stations = Vec::with_capacity(inner.len() + 2);
    // Where a plane contains the axis the face begins or ends with a whole length, not a point:
    // from the middle edge, on the far plane, to the outer edge, on the lone one.
    let first_other = if sector.flat_side == Some(FlatSide::Start) { hits[1] } else { hits[0] };
    stations.push(station(start_m, hits[0], first_other));
    for along_m in inner {
        if middle_inside && along_m == middle_m {
            stations.push(station(along_m, on_plane(lone_plane, along_m), hits[1]));
        } else {
            let before = along_m < middle_m;
            let other = if before { opposite_end } else { opposite_start };
            stations.push(station(along_m, on_plane(lone_plane, along_m), on_plane(other, along_m)));
        }
    }
    let last_other = if sector.flat_side == Some(FlatSide::End) { hits[1] } else { hits[2] };
    stations.push(station(end_m, hits[2], last_other));
    stations
}

fn opening_faces(
    section: &Section,
    chain: &Chain,
    foot: &Footprint,
    stations: &[Station],
) -> Vec<OpeningFace> {
    let mut faces = Vec::new();
    let [start_m, _, end_m] = foot.along_m;
    let same = SAME_PLACE * chain.length_m();
    chain.each_facet(start_m, end_m, |k, from_m, to_m| {
        let part: Vec<&Station> =
            stations.iter().filter(|s| s.along_m >= from_m - same && s.along_m <= to_m + same).collect();
        if part.len() < 2 {
            return;
        }
        let mut polygon: Vec<Vec3> = part.iter().map(|s| s.low).collect();
        for high in part.iter().rev().map(|s| s.high) {
            if polygon.last() != Some(&high) && polygon.first() != Some(&high) {
                polygon.push(high);
            }
        }
        let facet = chain.facet_index(k, section.facets().len());
        let strip = &section.facets()[facet];
        let offset = foot.apex - strip.start;
        faces.push(OpeningFace {
            facet,
            area_m2: flat_area(polygon.iter().copied()),
            height_m: offset.dot(&strip.normal),
            polygon,
        });
    });
    faces
}
