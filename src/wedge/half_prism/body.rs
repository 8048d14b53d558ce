use crate::numeric::flat_area;
use crate::opening::{Section, Vec2};
use crate::orientation::Vec3;
use crate::wedge::{Cone, EDGE_ON_SINE, JointFace, OpeningFace, Shape};

/// A border of a face that lies within this share of the wedge's size of a joint plane is a trace
/// of that joint: a joint that strikes along the drive meets the opening in a corner of it.
const ON_JOINT_SHARE: f64 = 1e-10;

/// A part of a facet with less than this share of the wedge's size squared is the rounding of a joint
/// along its border.
const SLIVER_SHARE: f64 = 1e-13;

/// The strips of back, walls and floor are cut off this many wedge sizes behind the wedge.
const BEYOND: f64 = 1.0;

/// A facet above which the apex stands by less than this share of the section's size is not seen:
/// straight ahead of a corner of the section rounding would choose.
const SEEN_SHARE: f64 = 1e-12;

/// A facet that lies beyond a joint by more than this share of the section's size is not cut: nothing would be left of it,
/// whatever rounding does.
const BEYOND_SHARE: f64 = 1e-9;

/// The border of a facet, where a polygon's edge is no trace.
const BORDER: usize = 3;

/// A wedge of a half-prism where caps and volumes are asked for: one pyramid on one section, face
/// at s = 0. It keeps its working memory, so measuring an apex allocates nothing.
#[derive(Debug, Clone)]
pub struct FaceBody<'a> {
    section: &'a Section,
    cone: &'a Cone,
    /// For each facet, how far inside each joint through the origin that of its ends lies which is farther inside.
    inside_m: Vec<[f64; 3]>,
    polygon: Vec<Corner>,
    spare: Vec<Corner>,
}

/// What caps ask of a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measures {
    /// Cubic metres.
    pub volume_m3: f64,
    /// Trace of each joint over all facets and the face, metres.
    pub trace_m: [f64; 3],
    /// Shortest distance from the apex to the opening, metres.
    pub depth_m: f64,
    /// Extent along the drive, apex included, metres.
    pub length_m: f64,
    /// How far it reaches back from the face, metres.
    pub behind_face_m: f64,
}

/// A corner of a polygon, from the apex, and what the edge from it to the next one lies on: one of
/// the joints, or [`BORDER`].
#[derive(Debug, Clone, Copy)]
struct Corner {
    at: Vec3,
    edge: usize,
}

impl<'a> FaceBody<'a> {
    /// The wedges of `cone` (local frame) at the face of a drive with this section.
    #[must_use]
    pub fn new(section: &'a Section, cone: &'a Cone) -> Self {
        let inside_m = section.facets().iter().map(|facet| {
            let ends = [facet.start, facet.start + facet.tangent * facet.length_m];
            cone.inward
                .map(|m| ends.map(|end| m.x * end.x + m.z * end.y).into_iter().fold(f64::MIN, f64::max))
        });
        Self { section, cone, inside_m: inside_m.collect(), polygon: Vec::new(), spare: Vec::new() }
    }

    /// The section.
    #[must_use]
    pub fn section(&self) -> &'a Section {
        self.section
    }

    /// The pyramid.
    #[must_use]
    pub fn cone(&self) -> &'a Cone {
        self.cone
    }

    /// Length of each edge from an apex that the pyramid may have to the opening, metres: an edge
    /// that daylights is inside once it has passed every facet that it enters by.
    #[must_use]
    pub fn edges_m(&self, apex: &Vec3) -> [f64; 3] {
        self.cone.edges.map(|edge| {
            let ray = Vec2::new(edge.x, edge.z);
            let place = Vec2::new(apex.x, apex.z);
            let mut reach = if edge.y < -EDGE_ON_SINE { (apex.y / -edge.y).max(0.0) } else { 0.0 };
            for facet in self.section.facets() {
                let rate = facet.normal.dot(&ray);
                if rate < -EDGE_ON_SINE {
                    reach = reach.max(facet.normal.dot(&(place - facet.start)) / -rate);
                }
            }
            reach
        })
    }

    /// What the wedge with this apex measures.
    pub fn measure(&mut self, apex: &Vec3) -> Measures {
        Measures { depth_m: self.depth_m(apex).0, ..self.measure_but_depth(apex) }
    }

    /// The same without its depth, which takes a walk over all facets and is asked for by a cap on it alone: 0 stands there.
    pub fn measure_but_depth(&mut self, apex: &Vec3) -> Measures {
        let edges_m = self.edges_m(apex);
        let (low, high) = axial_extent(self.cone, &edges_m);
        let mut measures = Measures {
            length_m: high - low,
            behind_face_m: (-(apex.y + low)).max(0.0),
            ..Measures::default()
        };
        self.each_face(apex, &edges_m, |_, height_m, polygon| {
            measures.volume_m3 += flat_area(polygon.iter().map(|c| c.at)) * height_m / 3.0;
            for (i, corner) in polygon.iter().enumerate() {
                if corner.edge != BORDER {
                    let next = polygon[(i + 1) % polygon.len()].at;
                    measures.trace_m[corner.edge] += (next - corner.at).norm();
                }
            }
        });
        measures
    }

    /// Areas of the three joint faces of the wedge with this apex, square metres.
    pub fn joint_areas_m2(&mut self, apex: &Vec3) -> [f64; 3] {
        let edges_m = self.edges_m(apex);
        let mut areas = [0.0; 3];
        self.each_face(apex, &edges_m, |_, _, polygon| {
            for (i, corner) in polygon.iter().enumerate() {
                if corner.edge != BORDER {
                    let next = polygon[(i + 1) % polygon.len()].at;
                    areas[corner.edge] += 0.5 * corner.at.cross(&next).norm();
                }
            }
        });
        areas
    }

    /// Shortest distance from an apex to the opening, metres, and the nearest point of it.
    #[must_use]
    pub fn depth_m(&self, apex: &Vec3) -> (f64, Vec3) {
        let place = Vec2::new(apex.x, apex.z);
        let mut inside = true;
        let mut best = (f64::INFINITY, place);
        for facet in self.section.facets() {
            let offset = place - facet.start;
            inside &= offset.dot(&facet.normal) <= 0.0;
            let foot = facet.start + facet.tangent * offset.dot(&facet.tangent).clamp(0.0, facet.length_m);
            let distance = (place - foot).norm();
            if distance < best.0 {
                best = (distance, foot);
            }
        }
        if inside {
            best = (0.0, place);
        }
        let foot = Vec3::new(best.1.x, apex.y.min(0.0), best.1.y);
        (best.0.hypot(apex.y.max(0.0)), foot)
    }

    /// The whole body of the wedge with this apex; its coordinates are those of the face, s = 0
    /// there. The face of the heading has the index of the section's facet count.
    #[must_use]
    pub fn shape(&mut self, apex: &Vec3) -> Shape {
        let edges_m = self.edges_m(apex);
        let (low, high) = axial_extent(self.cone, &edges_m);
        let mut openings = Vec::new();
        let mut segments: [Vec<[Vec3; 2]>; 3] = std::array::from_fn(|_| Vec::new());
        self.each_face(apex, &edges_m, |facet, height_m, polygon| {
            for (i, corner) in polygon.iter().enumerate() {
                if corner.edge != BORDER {
                    segments[corner.edge].push([corner.at, polygon[(i + 1) % polygon.len()].at]);
                }
            }
            openings.push(OpeningFace {
                facet,
                polygon: polygon.iter().map(|c| apex + c.at).collect(),
                area_m2: flat_area(polygon.iter().map(|c| c.at)),
                height_m,
            });
        });
        let cone = self.cone;
        let joints = std::array::from_fn(|i| {
            let first = cone.edges[(i + 1) % 3];
            joint_face(apex, &first, std::mem::take(&mut segments[i]))
        });
        Shape {
            apex: *apex,
            joints,
            volume_m3: openings.iter().map(|f| f.area_m2 * f.height_m / 3.0).sum(),
            depth_m: self.depth_m(apex).0,
            length_m: high - low,
            openings,
        }
    }

    /// Calls `visit(facet, height of the apex above it, polygon)` for each facet that the apex
    /// sees, the face last, with the part of it that lies in the pyramid.
    fn each_face(&mut self, apex: &Vec3, edges_m: &[f64; 3], mut visit: impl FnMut(usize, f64, &[Corner])) {
        let size = edges_m.iter().fold(0.0f64, |a, &b| a.max(b));
        let (low, _) = axial_extent(self.cone, edges_m);
        let back = (apex.y + low).min(0.0) - BEYOND * size;
        let place = Vec2::new(apex.x, apex.z);
        let facets = self.section.facets();
        let seen_m = SEEN_SHARE * self.section.size_m();
        let beyond_m = -BEYOND_SHARE * self.section.size_m();
        // Of each joint, how far inside it the farther end of a strip may be besides what its facet is.
        let farther_m = self.cone.inward.map(|m| (m.y * back).max(0.0) - m.dot(apex));
        for (index, facet) in facets.iter().enumerate() {
            let height_m = facet.normal.dot(&(place - facet.start));
            if height_m <= seen_m {
                continue;
            }
            let inside_m = &self.inside_m[index];
            if (0..3).any(|joint| inside_m[joint] + farther_m[joint] < beyond_m) {
                continue;
            }
            let (a, b) = (facet.start, facet.start + facet.tangent * facet.length_m);
            self.polygon.clear();
            for (p, s) in [(a, back), (a, 0.0), (b, 0.0), (b, back)] {
                self.polygon.push(Corner { at: Vec3::new(p.x, s, p.y) - apex, edge: BORDER });
            }
            if self.cut(size) {
                visit(index, height_m, &self.polygon);
            }
        }
        if apex.y > seen_m {
            self.polygon.clear();
            for facet in facets {
                let at = Vec3::new(facet.start.x, 0.0, facet.start.y) - apex;
                self.polygon.push(Corner { at, edge: BORDER });
            }
            if self.cut(size) {
                visit(facets.len(), apex.y, &self.polygon);
            }
        }
    }

    /// Cuts the polygon to the pyramid; whether anything is left.
    fn cut(&mut self, size: f64) -> bool {
        for (joint, m) in self.cone.inward.iter().enumerate() {
            let polygon = &self.polygon;
            if polygon.iter().all(|c| m.dot(&c.at) < 0.0) {
                return false;
            }
            self.spare.clear();
            for i in 0..polygon.len() {
                let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
                let (at_a, at_b) = (m.dot(&a.at), m.dot(&b.at));
                if at_a >= 0.0 {
                    self.spare.push(a);
                }
                if (at_a >= 0.0) != (at_b >= 0.0) {
                    let at = a.at + (b.at - a.at) * (at_a / (at_a - at_b));
                    let edge = if at_a >= 0.0 { joint } else { a.edge };
                    self.spare.push(Corner { at, edge });
                }
            }
            std::mem::swap(&mut self.polygon, &mut self.spare);
            if self.polygon.len() < 3 {
                return false;
            }
        }
        // A border on a joint is its trace, whichever side rounding put it on.
        let near = ON_JOINT_SHARE * size;
        let count = self.polygon.len();
        for i in 0..count {
            let (a, b) = (self.polygon[i].at, self.polygon[(i + 1) % count].at);
            if self.polygon[i].edge == BORDER
                && let Some(joint) =
                    self.cone.inward.iter().position(|m| m.dot(&a).abs() <= near && m.dot(&b).abs() <= near)
            {
                self.polygon[i].edge = joint;
            }
        }
        flat_area(self.polygon.iter().map(|c| c.at)) > SLIVER_SHARE * size * size
    }
}

/// Least and greatest s of a wedge from its apex: that of the tetrahedron of the apex and the
/// places where its edges daylight, which holds it, since the opening is convex.
fn axial_extent(cone: &Cone, edges_m: &[f64; 3]) -> (f64, f64) {
    cone.edges.iter().zip(edges_m).fold((0.0f64, 0.0f64), |(low, high), (edge, length)| {
        (low.min(edge.y * length), high.max(edge.y * length))
    })
}

/// A joint face from the segments of its trace, given from the apex in no order; seen from the
/// apex the trace turns one way from the edge `first`.
fn joint_face(apex: &Vec3, first: &Vec3, mut segments: Vec<[Vec3; 2]>) -> JointFace {
    let turn = |p: &Vec3| first.cross(p).norm().atan2(first.dot(p));
    for segment in &mut segments {
        if turn(&segment[1]) < turn(&segment[0]) {
            segment.swap(0, 1);
        }
    }
    segments.sort_by(|a, b| turn(&(a[0] + a[1])).total_cmp(&turn(&(b[0] + b[1]))));
    let trace_m = segments.iter().map(|s| (s[1] - s[0]).norm()).sum();
    let area_m2 = segments.iter().map(|s| 0.5 * s[0].cross(&s[1]).norm()).sum();
    let mut trace: Vec<Vec3> = Vec::with_capacity(segments.len() + 1);
    for [from, to] in segments {
        if trace.is_empty() {
            trace.push(apex + from);
        }
        trace.push(apex + to);
    }
    JointFace { trace, trace_m, area_m2 }
}
