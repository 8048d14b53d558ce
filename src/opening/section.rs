use super::{SectionError, Vec2, cross2};
use crate::numeric::signed_area;

/// Facets that turn by more than this meet in a corner; less is the chord of an arc.
pub const CORNER_TURN_DEG: f64 = 10.0;

/// Bounds of a section's width and height, metres: less is no opening, more is another unit.
pub const SECTION_SIZE_M: [f64; 2] = [0.1, 100.0];

/// Points nearer than this to a vertex of the section stand on it: far below a drill bit, far
/// above rounding.
pub const ON_VERTEX_M: f64 = 1e-6;

/// A turn of less than this sine is no vertex at all but a point on a straight facet.
const STRAIGHT_SINE: f64 = 1e-9;

/// One flat strip of the opening, seen in section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facet {
    /// Where it starts, going counter-clockwise.
    pub start: Vec2,
    /// Unit vector along it, counter-clockwise.
    pub tangent: Vec2,
    /// Outward unit normal, into the rock.
    pub normal: Vec2,
    /// Metres along the perimeter.
    pub length_m: f64,
}

/// A place on the perimeter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerimeterPoint {
    /// Metres counter-clockwise from vertex 0.
    pub along_m: f64,
    /// The facet that holds it; on a corner the one nearer the crown.
    pub facet: usize,
    /// Where it is.
    pub point: Vec2,
    /// Outward unit normal: the facet's, or the bisector between two chords of an arc.
    pub normal: Vec2,
}

/// A convex section: vertices counter-clockwise as drawn (looking along the advance), with the
/// tables that do not depend on the joints.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    facets: Vec<Facet>,
    /// Vertices twice round, so that any arc of the perimeter is one slice.
    round: Vec<Vec2>,
    /// Metres along the perimeter at each entry of `round`.
    round_m: Vec<f64>,
    /// Unit tangent of the facet that begins at each entry of `round`.
    tangents: Vec<Vec2>,
    crown_m: f64,
}

impl Section {
    /// The section with these vertices (u, v in metres), in either sense of turning. Points on a
    /// straight facet are dropped; a closing point equal to the first one is too.
    ///
    /// # Errors
    /// [`SectionError`] when fewer than three points are left, when a value is not finite, when
    /// the outline crosses itself or is not convex.
    pub fn from_vertices(points: &[Vec2]) -> Result<Self, SectionError> {
        let mut points = without_repeats(points)?;
        if points.len() < 3 {
            return Err(SectionError::TooFewPoints { found: points.len() });
        }
        refuse_crossings(&points)?;
        let area = signed_area(&points);
        let size = extent(&points);
        if area.abs() <= STRAIGHT_SINE * size * size {
            return Err(SectionError::NoArea);
        }
        if area < 0.0 {
            points.reverse();
        }
        let vertices = corners_only(&points)?;
        Ok(Self::from_convex(&vertices))
    }

    /// Builds the tables; the vertices are known to be convex and counter-clockwise.
    fn from_convex(vertices: &[Vec2]) -> Self {
        let n = vertices.len();
        let facets: Vec<Facet> = (0..n)
            .map(|i| {
                let start = vertices[i];
                let edge = vertices[(i + 1) % n] - start;
                let length_m = edge.norm();
                let tangent = edge / length_m;
                Facet { start, tangent, normal: Vec2::new(tangent.y, -tangent.x), length_m }
            })
            .collect();
        let mut round = Vec::with_capacity(2 * n + 1);
        let mut round_m = Vec::with_capacity(2 * n + 1);
        let mut along = 0.0;
        for i in 0..=2 * n {
            round.push(vertices[i % n]);
            round_m.push(along);
            along += facets[i % n].length_m;
        }
        let tangents = (0..=2 * n).map(|i| facets[i % n].tangent).collect();
        let mut section = Self { facets, round, round_m, tangents, crown_m: 0.0 };
        section.crown_m = section.find_crown();
        section
    }

    /// The facets, counter-clockwise from vertex 0.
    #[must_use]
    pub fn facets(&self) -> &[Facet] {
        &self.facets
    }

    /// The vertices, counter-clockwise.
    #[must_use]
    pub fn vertices(&self) -> &[Vec2] {
        &self.round[..self.facets.len()]
    }

    /// The vertices twice round and once more the first: `round()[i..=i + k]` is the chain of
    /// facets `i` to `i + k − 1` for any start.
    #[must_use]
    pub fn round(&self) -> &[Vec2] {
        &self.round
    }

    /// Metres along the perimeter at each entry of [`Section::round`].
    #[must_use]
    pub fn round_m(&self) -> &[f64] {
        &self.round_m
    }

    /// Unit tangent of the facet that begins at each entry of [`Section::round`].
    #[must_use]
    pub fn tangents(&self) -> &[Vec2] {
        &self.tangents
    }

    /// Length of the whole perimeter, metres.
    #[must_use]
    pub fn perimeter_m(&self) -> f64 {
        self.round_m[self.facets.len()]
    }

    /// Area of the section, square metres.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        signed_area(self.vertices())
    }

    /// Smallest and largest u and v: (lower corner, upper corner).
    #[must_use]
    pub fn bounds(&self) -> (Vec2, Vec2) {
        bounds(self.vertices())
    }

    /// The larger of width and height, metres.
    #[must_use]
    pub fn size_m(&self) -> f64 {
        extent(self.vertices())
    }

    /// Where the crown is: metres along the perimeter.
    #[must_use]
    pub fn crown_m(&self) -> f64 {
        self.crown_m
    }

    /// Arc length from the crown of a place on the perimeter, metres, positive to the right of
    /// the advance, within half a perimeter either way.
    #[must_use]
    pub fn arc_from_crown_m(&self, along_m: f64) -> f64 {
        let perimeter = self.perimeter_m();
        let arc = (self.crown_m - along_m).rem_euclid(perimeter);
        if arc > 0.5 * perimeter { arc - perimeter } else { arc }
    }

    /// Whether the vertex at the start of facet `index` is a corner of the opening.
    #[must_use]
    pub fn is_corner(&self, index: usize) -> bool {
        let n = self.facets.len();
        let before = &self.facets[(index + n - 1) % n];
        let after = &self.facets[index % n];
        let turn = cross2(&before.tangent, &after.tangent).atan2(before.tangent.dot(&after.tangent));
        turn.to_degrees() > CORNER_TURN_DEG
    }

    /// The place at `along_m` metres counter-clockwise from vertex 0 (any number of turns).
    /// Within `corner_m` of a corner it belongs to the facet nearer the crown.
    #[must_use]
    pub fn at(&self, along_m: f64, corner_m: f64) -> PerimeterPoint {
        let n = self.facets.len();
        let along_m = along_m.rem_euclid(self.perimeter_m());
        let mut facet = self.round_m[..=n].partition_point(|&m| m <= along_m).clamp(1, n) - 1;
        let point = self.facets[facet].start + self.facets[facet].tangent * (along_m - self.round_m[facet]);
        let mut normal = self.facets[facet].normal;
        // The vertex nearer to the place, and how far it is.
        let to_start = along_m - self.round_m[facet];
        let to_end = self.round_m[facet + 1] - along_m;
        let (vertex, distance) =
            if to_start <= to_end { (facet, to_start) } else { ((facet + 1) % n, to_end) };
        let (before, after) = ((vertex + n - 1) % n, vertex);
        if self.is_corner(vertex) {
            if distance <= corner_m {
                facet = self.nearer_crown(before, after);
                normal = self.facets[facet].normal;
            }
        } else if distance <= ON_VERTEX_M {
            normal = (self.facets[before].normal + self.facets[after].normal).normalize();
            facet = self.nearer_crown(before, after);
        }
        PerimeterPoint { along_m, facet, point, normal }
    }

    /// The place of the perimeter nearest to a point, metres counter-clockwise from vertex 0, and how
    /// far off the point lies, metres.
    #[must_use]
    pub fn nearest_m(&self, point: &Vec2) -> (f64, f64) {
        let mut best = (0.0, f64::INFINITY);
        for (facet, from_m) in self.facets.iter().zip(&self.round_m) {
            let step = (point - facet.start).dot(&facet.tangent).clamp(0.0, facet.length_m);
            let off = (facet.start + facet.tangent * step - point).norm();
            if off < best.1 {
                best = (from_m + step, off);
            }
        }
        best
    }

    /// The facets that can be reached from a place of the perimeter by going at most `reach_m` along
    /// it, the one or two that the place is on included.
    pub fn facets_within(&self, along_m: f64, reach_m: f64) -> impl Iterator<Item = &Facet> {
        let round_m = self.perimeter_m();
        let along_m = along_m.rem_euclid(round_m);
        (0..self.facets.len())
            .filter(move |&i| {
                let (from, to) = (self.round_m[i] - reach_m, self.round_m[i + 1] + reach_m);
                [-round_m, 0.0, round_m].iter().any(|turn| (from..=to).contains(&(along_m + turn)))
            })
            .map(|i| &self.facets[i])
    }

    /// Of two facets, the one whose middle is nearer the crown along the perimeter.
    fn nearer_crown(&self, a: usize, b: usize) -> usize {
        let off = |i: usize| {
            let middle = 0.5 * (self.round_m[i] + self.round_m[i + 1]);
            self.arc_from_crown_m(middle).abs()
        };
        if off(a) < off(b) { a } else { b }
    }

    /// The top of the section at mid-width.
    fn find_crown(&self) -> f64 {
        let (low, high) = self.bounds();
        let middle = 0.5 * (low.x + high.x);
        for (i, facet) in self.facets.iter().enumerate() {
            // Counter-clockwise, the top is walked from right to left.
            if facet.tangent.x >= 0.0 {
                continue;
            }
            let step = (middle - facet.start.x) / facet.tangent.x;
            if step.abs() <= ON_VERTEX_M {
                return self.round_m[i];
            }
            if step > 0.0 && step <= facet.length_m - ON_VERTEX_M {
                return self.round_m[i] + step;
            }
        }
        // Only a vertex can be left over: the highest one.
        let mut best = 0;
        for (i, vertex) in self.vertices().iter().enumerate() {
            if vertex.y > self.round[best].y {
                best = i;
            }
        }
        self.round_m[best]
    }
}

fn without_repeats(points: &[Vec2]) -> Result<Vec<Vec2>, SectionError> {
    let mut kept: Vec<Vec2> = Vec::with_capacity(points.len());
    for (index, point) in points.iter().enumerate() {
        if !point.x.is_finite() || !point.y.is_finite() {
            return Err(SectionError::NotFinite { index });
        }
        if kept.last().is_none_or(|last| (point - last).norm() > ON_VERTEX_M) {
            kept.push(*point);
        }
    }
    while kept.len() > 1 && (kept[0] - kept[kept.len() - 1]).norm() <= ON_VERTEX_M {
        kept.pop();
    }
    Ok(kept)
}

fn refuse_crossings(points: &[Vec2]) -> Result<(), SectionError> {
    let n = points.len();
    for i in 0..n {
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue; // neighbours round the end
            }
            let (a, b) = (points[i], points[i + 1]);
            let (c, d) = (points[j], points[(j + 1) % n]);
            let (ab, cd) = (b - a, d - c);
            let apart = cross2(&ab, &(c - a)) * cross2(&ab, &(d - a)) < 0.0
                && cross2(&cd, &(a - c)) * cross2(&cd, &(b - c)) < 0.0;
            if apart {
                return Err(SectionError::CrossesItself { first: i, second: j });
            }
        }
    }
    Ok(())
}

/// Keeps the points where the outline turns left; a right turn is not convex.
fn corners_only(points: &[Vec2]) -> Result<Vec<Vec2>, SectionError> {
    let n = points.len();
    let mut kept = Vec::with_capacity(n);
    for i in 0..n {
        let into = points[i] - points[(i + n - 1) % n];
        let out = points[(i + 1) % n] - points[i];
        let sine = cross2(&into, &out) / (into.norm() * out.norm());
        if sine < -STRAIGHT_SINE || (sine.abs() <= STRAIGHT_SINE && into.dot(&out) < 0.0) {
            return Err(SectionError::NotConvex { u_m: points[i].x, v_m: points[i].y });
        }
        if sine > STRAIGHT_SINE {
            kept.push(points[i]);
        }
    }
    if kept.len() < 3 {
        return Err(SectionError::NoArea);
    }
    Ok(kept)
}

fn bounds(points: &[Vec2]) -> (Vec2, Vec2) {
    let mut low = points[0];
    let mut high = points[0];
    for p in points {
        low = low.inf(p);
        high = high.sup(p);
    }
    (low, high)
}

fn extent(points: &[Vec2]) -> f64 {
    let (low, high) = bounds(points);
    (high - low).max()
}

#[cfg(test)]
mod tests {
    use super::super::SectionShape;
    use super::*;

    fn square() -> Section {
        SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap()
    }

    #[test]
    fn the_crown_of_a_square_is_the_middle_of_its_back() {
        let section = square();
        let crown = section.at(section.crown_m(), 0.0);
        assert!((crown.point - Vec2::new(0.0, 4.0)).norm() < 1e-12);
        // 2 m to the right of the crown, then round the corner and down.
        let right = section.at(section.crown_m() - 2.0, 0.0);
        assert!((right.point - Vec2::new(2.0, 4.0)).norm() < 1e-12);
        let wall = section.at(section.crown_m() - 3.5, 0.0);
        assert!((wall.point - Vec2::new(2.5, 3.0)).norm() < 1e-12);
        assert!((section.arc_from_crown_m(wall.along_m) - 3.5).abs() < 1e-12);
    }

    #[test]
    fn a_collar_on_a_corner_belongs_to_the_back() {
        let section = square();
        for off in [-0.0009, 0.0, 0.0009] {
            let corner = section.at(section.crown_m() - 2.5 + off, 1e-3);
            assert!((section.facets()[corner.facet].normal - Vec2::y()).norm() < 1e-12);
        }
        let beyond = section.at(section.crown_m() - 2.5011, 1e-3);
        assert!((section.facets()[beyond.facet].normal - Vec2::x()).norm() < 1e-12);
    }

    #[test]
    fn the_sense_of_turning_does_not_matter() {
        let points = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (2.0, 4.0), (0.0, 3.0)];
        let forward: Vec<Vec2> = points.iter().map(|&(u, v)| Vec2::new(u, v)).collect();
        let backward: Vec<Vec2> = forward.iter().rev().copied().collect();
        let (a, b) = (Section::from_vertices(&forward).unwrap(), Section::from_vertices(&backward).unwrap());
        assert!((a.area_m2() - 14.0).abs() < 1e-12);
        assert!((b.area_m2() - 14.0).abs() < 1e-12);
        assert!((a.at(a.crown_m(), 0.0).point - Vec2::new(2.0, 4.0)).norm() < 1e-12);
    }

    #[test]
    fn outlines_that_are_no_section_are_refused() {
        let section = |points: &[(f64, f64)]| {
            let points: Vec<Vec2> = points.iter().map(|&(u, v)| Vec2::new(u, v)).collect();
            Section::from_vertices(&points)
        };
        assert!(matches!(section(&[(0.0, 0.0), (1.0, 0.0)]), Err(SectionError::TooFewPoints { found: 2 })));
        assert!(matches!(
            section(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)]),
            Err(SectionError::CrossesItself { .. })
        ));
        assert!(matches!(
            section(&[(0.0, 0.0), (4.0, 0.0), (2.0, 1.0), (0.0, 4.0)]),
            Err(SectionError::NotConvex { .. })
        ));
        assert!(matches!(
            section(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)]),
            Err(SectionError::NoArea | SectionError::TooFewPoints { .. })
        ));
        assert!(matches!(
            section(&[(0.0, 0.0), (f64::NAN, 0.0), (2.0, 1.0)]),
            Err(SectionError::NotFinite { index: 1 })
        ));
    }

    #[test]
    fn points_on_a_straight_facet_are_dropped() {
        let points = [(0.0, 0.0), (2.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0)];
        let points: Vec<Vec2> = points.iter().map(|&(u, v)| Vec2::new(u, v)).collect();
        assert_eq!(Section::from_vertices(&points).unwrap().facets().len(), 4);
    }
}
