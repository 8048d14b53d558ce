use super::Cone;
use super::sector::{AXIS_TOLERANCE, FlatSide, Sector};
use crate::opening::{Section, Vec2, cross2};
use crate::orientation::Vec3;

/// An edge of a pyramid, or a ray of its sector, whose sine to a plane or facet is below this runs
/// along it: a facet seen edge-on has no height over it and adds no volume, and an edge never meets a
/// plane that it runs along at a distance that means anything.
pub(crate) const EDGE_ON_SINE: f64 = 1e-12;

/// A place this near the edge of a wedge's face, metres, stands on it: a collar or a load there
/// counts as inside, but no collar on the edge of a prism does. Far below a drill bit, far above
/// rounding.
pub const ON_FACE_M: f64 = 1e-9;

/// A ray that passes the section by less than this, metres, is tangent to it: far below any survey.
const GRAZING_M: f64 = 1e-9;

/// The part of a section's perimeter that a sector can reach: the facets that face both of its
/// outer rays. Every finite apex of the pyramid corresponds to one pair of places on it, start
/// before end, where the outer rays daylight; the whole chain belongs to the largest wedge, whose
/// outer rays are tangent to the section.
///
/// Why: all facets between the two tangent points face both rays, so the lines back from any two
/// places, start before end, meet in the rock; and no apex sees a facet that its outer rays do
/// not face.
#[derive(Debug, Clone, Copy)]
pub struct Chain<'a> {
    sector: Sector,
    /// The chain's vertices, counter-clockwise.
    vertices: &'a [Vec2],
    /// Metres along the perimeter at each vertex.
    vertex_m: &'a [f64],
    /// Unit tangents of its facets.
    tangents: &'a [Vec2],
    /// Index of the chain's first facet in the section.
    first_facet: usize,
    /// cross(start ray, end ray), negative.
    opening_sine: f64,
}

/// Where a wedge of the chain's pyramid meets the opening, and its apex.
///
/// Arrays go start, middle, end (see [`Sector`]).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footprint {
    /// The apex in the section, metres.
    pub apex: Vec2,
    /// Where each edge daylights: metres along the chain from its first vertex.
    pub along_m: [f64; 3],
    /// Length of each edge from the apex to the opening, metres.
    pub edge_m: [f64; 3],
}

impl<'a> Chain<'a> {
    /// The chain of `section` that `sector` reaches, or `None` where both tangents meet in one
    /// corner, so that every wedge of the pyramid has volume zero.
    #[must_use]
    pub fn of(section: &'a Section, sector: &Sector) -> Option<Self> {
        let facets = section.facets();
        let n = facets.len();
        let [start, _, end] = sector.rays;
        let (start_norm, end_norm) = (start.norm(), end.norm());
        let faces = |i: usize| {
            let tangent = &facets[i % n].tangent;
            cross2(&start, tangent) < -EDGE_ON_SINE * start_norm
                && cross2(&end, tangent) < -EDGE_ON_SINE * end_norm
        };
        let first_facet = (0..n).find(|&i| faces(i) && !faces(i + n - 1))?;
        let count = (0..n).take_while(|&k| faces(first_facet + k)).count();
        Some(Self {
            sector: *sector,
            vertices: &section.round()[first_facet..=first_facet + count],
            vertex_m: &section.round_m()[first_facet..=first_facet + count],
            tangents: &section.tangents()[first_facet..first_facet + count],
            first_facet,
            opening_sine: cross2(&start, &end),
        })
    }

    /// The sector that reaches this chain.
    #[must_use]
    pub fn sector(&self) -> &Sector {
        &self.sector
    }

    /// The chain's vertices, counter-clockwise.
    #[must_use]
    pub fn vertices(&self) -> &'a [Vec2] {
        self.vertices
    }

    /// Metres from the chain's first vertex to vertex `k`.
    #[must_use]
    pub fn vertex_along_m(&self, k: usize) -> f64 {
        self.vertex_m[k] - self.vertex_m[0]
    }

    /// Length of the chain, metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.vertex_along_m(self.vertices.len() - 1)
    }

    /// Metres along the section's perimeter from its vertex 0 to the chain's first vertex.
    #[must_use]
    pub fn offset_m(&self) -> f64 {
        self.vertex_m[0]
    }

    /// Index in the section of facet `k` of the chain (the section's count is `facets`).
    #[must_use]
    pub fn facet_index(&self, k: usize, facets: usize) -> usize {
        (self.first_facet + k) % facets
    }

    /// The chain's facet that holds the place `along_m` from its first vertex.
    #[must_use]
    pub fn facet_at(&self, along_m: f64) -> usize {
        let along = self.vertex_m[0] + along_m;
        self.vertex_m.partition_point(|&m| m <= along).clamp(1, self.vertices.len() - 1) - 1
    }

    /// The point `along_m` from the chain's first vertex.
    #[must_use]
    pub fn point_at(&self, along_m: f64) -> Vec2 {
        let k = self.facet_at(along_m);
        let (from, to) = (self.vertices[k], self.vertices[k + 1]);
        let length = self.vertex_m[k + 1] - self.vertex_m[k];
        from + (to - from) * ((along_m - self.vertex_along_m(k)) / length)
    }

    /// The wedge of greatest volume: both outer rays tangent to the section. Its apex is where
    /// the tangents cross.
    #[must_use]
    pub fn largest(&self) -> Footprint {
        self.footprint(0.0, self.length_m())
    }

    /// The wedge whose outer rays daylight at these two places, 0 ≤ start < end ≤ the chain's
    /// length (metres along the chain).
    #[must_use]
    pub fn footprint(&self, start_m: f64, end_m: f64) -> Footprint {
        let [start, middle, end] = self.sector.rays;
        let (from, to) = (self.point_at(start_m), self.point_at(end_m));
        let chord = to - from;
        let start_edge = -cross2(&chord, &end) / self.opening_sine;
        let end_edge = cross2(&start, &chord) / self.opening_sine;
        let apex = from - start * start_edge;
        let (middle_m, middle_edge) = match self.sector.flat_side {
            Some(FlatSide::Start) => (start_m, start_edge * start.norm() / middle.norm()),
            Some(FlatSide::End) => (end_m, end_edge * end.norm() / middle.norm()),
            None => self.daylight(&apex, &middle, start_m, end_m),
        };
        Footprint { apex, along_m: [start_m, middle_m, end_m], edge_m: [start_edge, middle_edge, end_edge] }
    }

    /// How far off the start ray's line and the end ray's line lie that daylight at two places: each falls as
    /// its place moves on, and the apex is linear in both ([`Chain::apex_of`]).
    #[must_use]
    pub fn lines_at(&self, start_m: f64, end_m: f64) -> [f64; 2] {
        let [start, _, end] = self.sector.rays;
        [cross2(&start, &self.point_at(start_m)), cross2(&end, &self.point_at(end_m))]
    }

    /// Where two such lines cross.
    #[must_use]
    pub fn apex_of(&self, lines: [f64; 2]) -> Vec2 {
        let [start, _, end] = self.sector.rays;
        (end * lines[0] - start * lines[1]) / self.opening_sine
    }

    /// The wedge with its apex at this place in the section; `None` where an outer ray does not
    /// daylight, or where the place is in the opening.
    #[must_use]
    pub fn footprint_at(&self, apex: &Vec2) -> Option<Footprint> {
        let [start, _, end] = self.sector.rays;
        let (from, to) = (self.first_hit_m(apex, &start)?, self.first_hit_m(apex, &end)?);
        (from < to).then(|| self.footprint(from, to))
    }

    /// The part of a line from which both outer rays meet the chain: each end of the chain lies on
    /// its side of either ray. From a point of it along its direction, in lengths of that.
    #[must_use]
    pub fn line_span_m(&self, through: &Vec2, along: &Vec2) -> Option<(f64, f64)> {
        let [start, _, end] = self.sector.rays;
        let (first, last) = (self.vertices.first()?, self.vertices.last()?);
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for ray in [start, end] {
            for (vertex, sense) in [(first, 1.0), (last, -1.0)] {
                // sense · cross(ray, vertex − through − t · along) ≥ 0
                let room = sense * cross2(&ray, &(vertex - through));
                let rate = sense * cross2(&ray, along);
                if rate > 0.0 {
                    high = high.min(room / rate);
                } else if rate < 0.0 {
                    low = low.max(room / rate);
                } else if room < 0.0 {
                    return None;
                }
            }
        }
        (low <= high && low.is_finite() && high.is_finite()).then_some((low, high))
    }

    fn first_hit_m(&self, apex: &Vec2, ray: &Vec2) -> Option<f64> {
        self.crossing(apex, ray).and_then(|(along_m, multiple)| (multiple > 0.0).then_some(along_m))
    }

    /// Where the line of a ray through `apex` crosses the chain, metres along it, and multiples of the ray to
    /// there; `None` where it does not.
    fn crossing(&self, apex: &Vec2, ray: &Vec2) -> Option<(f64, f64)> {
        let left_of_ray = |p: &Vec2| cross2(ray, &(p - apex)) / ray.norm();
        let (first, last) = (self.vertices.first()?, self.vertices.last()?);
        let crosses = left_of_ray(first) >= -GRAZING_M && left_of_ray(last) <= GRAZING_M;
        crosses.then(|| self.daylight(apex, ray, 0.0, self.length_m()))
    }

    /// Where the lines of both outer rays through a place in the section cross the chain, metres along it: start
    /// and end of the wedge with its apex there; the start is not before the end where the place is in the
    /// opening. `None` where one does not cross it.
    #[must_use]
    pub fn outer_places_m(&self, apex: &Vec2) -> Option<[f64; 2]> {
        let [start, _, end] = self.sector.rays;
        Some([self.crossing(apex, &start)?.0, self.crossing(apex, &end)?.0])
    }

    /// Where the ray from `apex` along `ray` meets the chain between two places: metres along
    /// the chain, and multiples of `ray`.
    fn daylight(&self, apex: &Vec2, ray: &Vec2, start_m: f64, end_m: f64) -> (f64, f64) {
        let left_of_ray = |p: &Vec2| cross2(ray, &(p - apex));
        let (first, last) = (self.facet_at(start_m), self.facet_at(end_m));
        // The chain's points cross from the ray's left to its right once.
        let (mut low, mut high) = (first, last + 1);
        while high - low > 1 {
            let mid = usize::midpoint(low, high);
            if left_of_ray(&self.vertices[mid]) > 0.0 {
                low = mid;
            } else {
                high = mid;
            }
        }
        let (from, to) = (self.vertices[low], self.vertices[low + 1]);
        let (before, after) = (left_of_ray(&from), left_of_ray(&to));
        let share = if before == after { 0.0 } else { (before / (before - after)).clamp(0.0, 1.0) };
        let length = self.vertex_m[low + 1] - self.vertex_m[low];
        let along = (self.vertex_along_m(low) + share * length).clamp(start_m, end_m);
        let hit = from + (to - from) * share;
        (along, (hit - apex).dot(ray) / ray.norm_squared())
    }

    /// Where the end ray of an apex on the start ray's line daylights, metres along the chain.
    pub(super) fn end_daylight_m(&self, apex: &Vec2, start_m: f64) -> f64 {
        self.daylight(apex, &self.sector.rays[2], start_m, self.length_m()).0
    }

    /// Calls `visit(k, from_m, to_m)` for each facet k of the chain that the stretch between two
    /// places covers, with the part that it covers.
    pub fn each_facet(&self, start_m: f64, end_m: f64, mut visit: impl FnMut(usize, f64, f64)) {
        if end_m <= start_m {
            return;
        }
        let mut k = self.facet_at(start_m);
        let mut from = start_m;
        while from < end_m {
            let facet_end = self.vertex_along_m(k + 1);
            let last = k + 2 == self.vertices.len();
            let to = if last { end_m } else { facet_end.min(end_m) };
            if to > from {
                visit(k, from, to);
            }
            if last {
                break;
            }
            from = from.max(facet_end);
            k += 1;
        }
    }

    /// How the wedge's cross-cut along the drive grows with the section offset from its apex: its length is the cross
    /// product of this with the offset, zero on the rays that bound it, greatest along the middle ray.
    fn breadth(&self, after_middle: bool) -> Vec2 {
        let [start, middle, end] = self.sector.rays;
        let flat = self.sector.flat_side;
        let outer = match (flat, after_middle) {
            (Some(FlatSide::Start), _) | (None, true) => end,
            (Some(FlatSide::End), _) | (None, false) => start,
        };
        outer * (self.sector.ridge / cross2(&outer, &middle))
    }

    /// Sums `visit(chord, offset of its first end from the apex, offset of its second end,
    /// breadths there)` over the straight pieces of the wedge's face.
    pub(super) fn each_piece(&self, foot: &Footprint, mut visit: impl FnMut(usize, Vec2, Vec2, f64, f64)) {
        let [start_m, middle_m, end_m] = foot.along_m;
        for (from_m, to_m, after_middle) in [(start_m, middle_m, false), (middle_m, end_m, true)] {
            if to_m <= from_m {
                continue;
            }
            // Every search for a size sums volumes: what one piece ends with the next one begins with.
            let grows = self.breadth(after_middle);
            let mut k = self.facet_at(from_m);
            let mut a = self.point_on(k, from_m) - foot.apex;
            let mut breadth_a = cross2(&grows, &a);
            loop {
                let ends = k + 2 == self.vertices.len() || self.vertex_along_m(k + 1) >= to_m;
                let b = if ends { self.point_on(k, to_m) } else { self.vertices[k + 1] } - foot.apex;
                let breadth_b = cross2(&grows, &b);
                visit(k, a, b, breadth_a, breadth_b);
                if ends {
                    break;
                }
                (a, breadth_a) = (b, breadth_b);
                k += 1;
            }
        }
    }

    /// The point `along_m` on facet `k` of the chain.
    pub(super) fn point_on(&self, k: usize, along_m: f64) -> Vec2 {
        let (from, to) = (self.vertices[k], self.vertices[k + 1]);
        let length = self.vertex_m[k + 1] - self.vertex_m[k];
        from + (to - from) * ((along_m - self.vertex_along_m(k)) / length)
    }

    /// Volume of the wedge, cubic metres: over each facet it covers, a third of the facet's
    /// share of the face times the apex's height above the facet.
    #[must_use]
    pub fn volume_m3(&self, foot: &Footprint) -> f64 {
        let mut volume = 0.0;
        self.each_piece(foot, |_, a, b, breadth_a, breadth_b| {
            volume -= cross2(&a, &b) * (breadth_a + breadth_b) / 6.0;
        });
        volume
    }

    /// Area of the wedge's face on each facet it covers: calls `visit(k, square metres)`, once or
    /// twice a facet.
    pub fn face_areas_m2(&self, foot: &Footprint, mut visit: impl FnMut(usize, f64)) {
        self.each_piece(foot, |k, a, b, breadth_a, breadth_b| {
            visit(k, 0.5 * (b - a).norm() * (breadth_a + breadth_b));
        });
    }

    /// Metres of trace that the plane with this inward normal (local u, s, v) draws on facet `k`
    /// for each metre of perimeter; meaningless for a plane that contains the axis.
    #[must_use]
    pub fn trace_per_metre(&self, k: usize, inward: &Vec3) -> f64 {
        let length = self.vertex_m[k + 1] - self.vertex_m[k];
        let tangent = (self.vertices[k + 1] - self.vertices[k]) / length;
        // Along the drive for each metre along the perimeter.
        let drift = (inward.x * tangent.x + inward.z * tangent.y) / inward.y;
        1f64.hypot(drift)
    }

    /// Extent along the drive, apex included, metres. All of the wedge lies within the
    /// tetrahedron of its apex and the three places where its edges daylight.
    #[must_use]
    pub fn extent_along_drive_m(&self, foot: &Footprint) -> f64 {
        let (mut low, mut high) = (0.0f64, 0.0f64);
        for k in 0..3 {
            let s = foot.edge_m[k] * self.sector.axial[k];
            low = low.min(s);
            high = high.max(s);
        }
        high - low
    }

    /// Areas of the three joint faces, square metres, in the order of the cone's planes.
    #[must_use]
    pub fn joint_areas_m2(&self, cone: &Cone, foot: &Footprint) -> [f64; 3] {
        let mut areas = [0.0; 3];
        for position in 0..3 {
            areas[self.sector.order[position]] = self.joint_area_m2(cone, foot, position);
        }
        areas
    }

    /// The two rays that bound the joint face opposite a ray.
    pub(super) fn bounds_of(position: usize) -> (usize, usize) {
        match position {
            0 => (1, 2),
            1 => (0, 2),
            _ => (0, 1),
        }
    }

    /// Area of the joint face that the edge at a position (start, middle, end) does not lie in, square
    /// metres.
    #[must_use]
    pub fn joint_area_m2(&self, cone: &Cone, foot: &Footprint, position: usize) -> f64 {
        let (from, to) = Self::bounds_of(position);
        let along = cone.inward[self.sector.order[position]].y.abs();
        if along <= AXIS_TOLERANCE {
            let (a, b) = (self.sector.order[from], self.sector.order[to]);
            let sine = cone.edges[a].cross(&cone.edges[b]).norm();
            0.5 * sine * foot.edge_m[from] * foot.edge_m[to]
        } else {
            // The face seen along the drive, turned back into its plane.
            let mut seen = 0.0;
            self.each_facet(foot.along_m[from], foot.along_m[to], |k, a_m, b_m| {
                let (a, b) = (self.point_on(k, a_m) - foot.apex, self.point_on(k, b_m) - foot.apex);
                seen -= 0.5 * cross2(&a, &b);
            });
            seen / along
        }
    }

    /// How that area grows with each of [`Chain::lines_at`]; `None` for a plane along the drive. The area is
    /// convex in both: so is the distance from the apex to the opening along each ray of the face.
    #[must_use]
    pub fn joint_area_slopes(&self, cone: &Cone, foot: &Footprint, position: usize) -> Option<[f64; 2]> {
        let along = cone.inward[self.sector.order[position]].y.abs();
        if along <= AXIS_TOLERANCE {
            return None;
        }
        let (from, to) = Self::bounds_of(position);
        let side = |k: usize| self.sector.rays[k] * foot.edge_m[k];
        let slope = |way: Vec2| (cross2(&side(from), &way) - cross2(&side(to), &way)) / along;
        let origin = self.apex_of([0.0, 0.0]);
        Some([slope(self.apex_of([1.0, 0.0]) - origin), slope(self.apex_of([0.0, 1.0]) - origin)])
    }

    /// Shortest distance from an apex to the opening, metres, and where it is reached: metres
    /// along the chain.
    #[must_use]
    pub fn depth_m(&self, apex: &Vec2) -> (f64, f64) {
        let mut best = (f64::INFINITY, 0.0);
        for (k, tangent) in self.tangents.iter().enumerate() {
            let length = self.vertex_m[k + 1] - self.vertex_m[k];
            let offset = apex - self.vertices[k];
            let along = offset.dot(tangent).clamp(0.0, length);
            let squared = (offset - tangent * along).norm_squared();
            if squared < best.0 {
                best = (squared, self.vertex_along_m(k) + along);
            }
        }
        (best.0.sqrt(), best.1)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Cone, JointPyramid};
    use super::*;
    use crate::opening::SectionShape;
    use crate::orientation::{Plane, Vec3};

    /// A wedge in a flat back, worked as a tetrahedron: the face is the triangle of the three
    /// places where the edges daylight, the volume a third of face times height.
    #[test]
    fn a_wedge_in_a_flat_back_is_a_tetrahedron() {
        let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
        let normals = [(55.0, 40.0), (50.0, 165.0), (60.0, 290.0)]
            .map(|(dip, dd)| Plane { dip_deg: dip, dip_direction_deg: dd }.upward_normal().into_inner());
        let cone = Cone::new(&normals, JointPyramid { lower: [true, true, true] });
        let sector = Sector::of(&cone).unwrap();
        let chain = Chain::of(&section, &sector).unwrap();
        let foot = chain.largest();
        let apex = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        let corners: Vec<Vec3> =
            (0..3).map(|k| apex + cone.edges[sector.order[k]] * foot.edge_m[k]).collect();
        for corner in &corners {
            assert!((corner.z - 4.0).abs() < 1e-12);
        }
        let width = corners.iter().map(|c| c.x).fold(f64::MIN, f64::max)
            - corners.iter().map(|c| c.x).fold(f64::MAX, f64::min);
        assert!((width - 5.0).abs() < 1e-12);
        let volume = (corners[0] - apex).dot(&(corners[1] - apex).cross(&(corners[2] - apex))).abs() / 6.0;
        assert!((chain.volume_m3(&foot) - volume).abs() < 1e-12 * volume);
        let mut area = 0.0;
        chain.face_areas_m2(&foot, |_, a| area += a);
        let triangle = 0.5 * (corners[1] - corners[0]).cross(&(corners[2] - corners[0])).norm();
        assert!((area - triangle).abs() < 1e-12 * area);
        assert!((chain.depth_m(&foot.apex).0 - (foot.apex.y - 4.0)).abs() < 1e-12);
    }
}
