use crate::orientation::Vec3;

/// Corners nearer to each other than this share of a body's size are one: faces that were cut each for
/// themselves meet there but for rounding.
const SAME_CORNER_SHARE: f64 = 1e-9;

/// A body of triangles that turn counter-clockwise as seen from outside.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Solid {
    /// Its corners, metres.
    pub corners: Vec<Vec3>,
    /// Its faces.
    pub faces: Vec<SolidFace>,
}

/// A face of a body, plane or not.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SolidFace {
    /// What it is called.
    pub name: String,
    /// Triples of corners.
    pub triangles: Vec<[usize; 3]>,
}

impl Solid {
    /// The body between an apex and polygons that it sees, each convex and plane, in the order of faces that
    /// `faces` names: all polygons are one face, `bottom`; the triangles from the apex to where the polygons
    /// end are shared out by `side`, which gives the place in `sides` of the face that an edge lies on.
    #[must_use]
    pub(crate) fn from_apex(
        apex: Vec3,
        polygons: &[&[Vec3]],
        bottom: &str,
        sides: &[&str],
        side: impl Fn(&Vec3, &Vec3) -> usize,
    ) -> Self {
        let size_m = polygons.iter().flat_map(|p| p.iter()).map(|p| (p - apex).norm()).fold(0.0, f64::max);
        let mut corners = vec![apex];
        let mut faces: Vec<SolidFace> =
            sides.iter().map(|name| SolidFace { name: (*name).to_owned(), triangles: Vec::new() }).collect();
        let (mut triangles, mut edges) = (Vec::new(), Vec::<[usize; 2]>::new());
        for polygon in polygons {
            let mut loop_of: Vec<usize> = Vec::with_capacity(polygon.len());
            for point in *polygon {
                let corner = corner_at(&mut corners, point, SAME_CORNER_SHARE * size_m);
                if loop_of.last() != Some(&corner) {
                    loop_of.push(corner);
                }
            }
            if loop_of.first() == loop_of.last() {
                loop_of.pop();
            }
            if loop_of.len() < 3 {
                continue;
            }
            // Away from the apex, since the apex lies inside.
            let area = area_vector(&corners, &loop_of);
            if area.dot(&(corners[loop_of[0]] - apex)) < 0.0 {
                loop_of.reverse();
            }
            fan(&corners, &loop_of, &mut triangles);
            for (i, &from) in loop_of.iter().enumerate() {
                let edge = [from, loop_of[(i + 1) % loop_of.len()]];
                // An edge that two polygons share is inside the bottom.
                match edges.iter().position(|e| *e == [edge[1], edge[0]]) {
                    Some(known) => {
                        edges.swap_remove(known);
                    }
                    None => edges.push(edge),
                }
            }
        }
        edges.sort_unstable();
        for [from, to] in edges {
            let at = side(&corners[from], &corners[to]);
            if let Some(face) = faces.get_mut(at) {
                face.triangles.push([0, to, from]);
            }
        }
        faces.push(SolidFace { name: bottom.to_owned(), triangles });
        faces.retain(|f| !f.triangles.is_empty());
        Self { corners, faces }
    }

    /// The body that a convex polygon (u, v), counter-clockwise seen along s, sweeps from one s to another; a
    /// side of the polygon is on the face that `name_of` gives for its place, its ends are the last two.
    #[must_use]
    pub(crate) fn swept(
        polygon: &[[f64; 2]],
        [from, to]: [f64; 2],
        name_of: impl Fn(usize) -> &'static str,
        ends: [&str; 2],
    ) -> Self {
        let count = polygon.len();
        let at = |s: f64| polygon.iter().map(move |[u, v]| Vec3::new(*u, s, *v));
        let corners: Vec<Vec3> = at(from).chain(at(to)).collect();
        let mut faces: Vec<SolidFace> = Vec::new();
        for i in 0..count {
            let next = (i + 1) % count;
            let two = [[i, next, count + next], [i, count + next, count + i]];
            let name = name_of(i);
            match faces.iter_mut().find(|f| f.name == name) {
                Some(face) => face.triangles.extend(two),
                None => faces.push(SolidFace { name: name.to_owned(), triangles: two.to_vec() }),
            }
        }
        let near: Vec<usize> = (0..count).rev().collect();
        let far: Vec<usize> = (count..2 * count).collect();
        for (name, corner_loop) in ends.into_iter().zip([near, far]) {
            let mut triangles = Vec::new();
            fan(&corners, &corner_loop, &mut triangles);
            faces.push(SolidFace { name: name.to_owned(), triangles });
        }
        let mut solid = Self { corners, faces };
        // Counter-clockwise seen along s may be clockwise seen from the end, by the hand of the frame.
        if solid.volume_m3() < 0.0 {
            solid.faces.iter_mut().flat_map(|f| &mut f.triangles).for_each(|t| t.swap(1, 2));
        }
        solid
    }

    /// Every triangle.
    pub(crate) fn triangles(&self) -> impl Iterator<Item = [Vec3; 3]> + '_ {
        self.faces.iter().flat_map(|f| &f.triangles).map(|t| t.map(|i| self.corners[i]))
    }

    /// What it encloses by the divergence theorem, cubic metres: positive where its triangles face outward.
    #[must_use]
    pub(crate) fn volume_m3(&self) -> f64 {
        // About a corner of its own: far from the origin the sum would lose digits.
        let Some(about) = self.corners.first() else { return 0.0 };
        self.triangles().map(|[a, b, c]| (a - about).dot(&(b - about).cross(&(c - about))) / 6.0).sum()
    }

    /// The same body with its corners moved so.
    #[must_use]
    pub(crate) fn moved(&self, to: impl Fn(&Vec3) -> Vec3) -> Self {
        Self { corners: self.corners.iter().map(to).collect(), faces: self.faces.clone() }
    }

    /// Whether each edge of a triangle is that of just one other, the other way round.
    #[cfg(test)]
    pub(crate) fn is_watertight(&self) -> bool {
        let mut edges: Vec<[usize; 2]> = Vec::new();
        for t in self.faces.iter().flat_map(|f| &f.triangles) {
            edges.extend([[t[0], t[1]], [t[1], t[2]], [t[2], t[0]]]);
        }
        let all = edges.len();
        edges.sort_unstable();
        edges.dedup();
        all > 0 && edges.len() == all && edges.iter().all(|[a, b]| edges.binary_search(&[*b, *a]).is_ok())
    }
}

fn corner_at(corners: &mut Vec<Vec3>, point: &Vec3, within_m: f64) -> usize {
    if let Some(known) = corners.iter().position(|c| (c - point).norm() <= within_m) {
        return known;
    }
    corners.push(*point);
    corners.len() - 1
}

/// Twice the area of a plane polygon, along its normal.
fn area_vector(corners: &[Vec3], corner_loop: &[usize]) -> Vec3 {
    let first = corners[corner_loop[0]];
    corner_loop.windows(2).map(|w| (corners[w[0]] - first).cross(&(corners[w[1]] - first))).sum()
}

/// Triangles of a convex polygon about the corner that gives the least slender ones: about another, corners
/// on a straight line would give triangles without area.
fn fan(corners: &[Vec3], corner_loop: &[usize], triangles: &mut Vec<[usize; 3]>) {
    let count = corner_loop.len();
    let about = |k: usize| {
        (1..count - 1)
            .map(move |i| [corner_loop[k], corner_loop[(k + i) % count], corner_loop[(k + i + 1) % count]])
    };
    let least = |k: usize| {
        let area = |[a, b, c]: [usize; 3]| {
            (corners[b] - corners[a]).cross(&(corners[c] - corners[a])).norm_squared()
        };
        about(k).map(area).fold(f64::INFINITY, f64::min)
    };
    // The first of equals, so that a last digit decides nothing it need not.
    let mut best = (0, least(0));
    for k in 1..count {
        let area = least(k);
        if area > best.1 {
            best = (k, area);
        }
    }
    triangles.extend(about(best.0));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pyramid_over_two_slopes_is_closed_and_faces_outward() {
        // A roof seen from an apex above it: two rectangles that meet in a ridge, one of them with a corner
        // on a straight side.
        let apex = Vec3::new(0.0, 0.0, 3.0);
        let left = [
            Vec3::new(-1.0, -1.0, 0.0),
            Vec3::new(0.0, -1.0, 0.5),
            Vec3::new(0.0, 1.0, 0.5),
            Vec3::new(-1.0, 1.0, 0.0),
            Vec3::new(-1.0, 0.2, 0.0),
        ];
        let right = [
            Vec3::new(0.0, -1.0, 0.5),
            Vec3::new(0.0, 1.0, 0.5 + 1e-12),
            Vec3::new(1.0, 1.0, 0.0),
            Vec3::new(1.0, -1.0, 0.0),
        ];
        let side = |a: &Vec3, b: &Vec3| if (a + b).y.abs() > 1.9 { 0 } else { 1 };
        let solid = Solid::from_apex(apex, &[&left, &right], "opening", &["ends", "sides"], side);
        assert!(solid.is_watertight(), "{solid:?}");
        // The pyramid over the square less the two prisms' worth of roof: 2·2·3/3 - 2·(0.5·1/2).. by hand:
        // over each slope area·height/3 = the apex's height 3 over z = 0.5 - |x|/2 taken along the normal.
        let slope_area = 2.0 * 1.25f64.sqrt();
        let height = (3.0 - 0.5) / 1.25f64.sqrt();
        assert!((solid.volume_m3() - 2.0 * slope_area * height / 3.0).abs() < 1e-9, "{}", solid.volume_m3());
        let names: Vec<&str> = solid.faces.iter().map(|f| f.name.as_str()).collect();
        assert_eq!(names, ["ends", "sides", "opening"]);
    }

    #[test]
    fn a_swept_section_is_closed_and_faces_outward() {
        let square = [[-2.0, 0.0], [2.0, 0.0], [2.0, 3.0], [-2.0, 3.0]];
        let name = |i: usize| ["floor", "wall", "back", "wall"][i];
        let solid = Solid::swept(&square, [10.0, 15.0], name, ["start", "end"]);
        assert!(solid.is_watertight());
        assert!((solid.volume_m3() - 60.0).abs() < 1e-12);
        let names: Vec<&str> = solid.faces.iter().map(|f| f.name.as_str()).collect();
        assert_eq!(names, ["floor", "wall", "back", "start", "end"]);
    }
}
