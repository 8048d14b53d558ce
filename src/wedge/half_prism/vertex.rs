//! The farthest point of a small polyhedron in a direction, from its corners.

use crate::orientation::Vec3;

/// { d : normal · d ≤ most }.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plane {
    pub normal: Vec3,
    pub most: f64,
}

/// A corner this far outside of a plane, as a share of the box, is on it.
const ON_PLANE_SHARE: f64 = 1e-9;

/// Three planes whose normals span less than this have no corner.
const SPAN: f64 = 1e-9;

/// Of planes that reach into the box so many are looked at, the nearest ones: every three of them are asked.
const MOST_PLANES: usize = 18;

/// Of all d with each coordinate at most `half` either way, on the inner side of every plane, the one with the greatest
/// `rise · d`; no step where there is none.
pub(super) fn farthest(rise: &Vec3, half: f64, planes: impl Iterator<Item = Plane>) -> Vec3 {
    let unit = |plane: Plane| {
        let length = plane.normal.norm();
        (length > 0.0).then(|| Plane { normal: plane.normal / length, most: plane.most / length })
    };
    let reaches = |plane: &Plane| plane.most < half * plane.normal.abs().sum();
    let mut near: Vec<Plane> = planes.filter_map(unit).filter(reaches).collect();
    near.sort_by(|a, b| a.most.total_cmp(&b.most));
    near.truncate(MOST_PLANES);
    for k in 0..3 {
        for side in [1.0, -1.0] {
            let mut normal = Vec3::zeros();
            normal[k] = side;
            near.push(Plane { normal, most: half });
        }
    }
    let inside = |d: &Vec3| near.iter().all(|p| p.normal.dot(d) <= p.most.max(0.0) + ON_PLANE_SHARE * half);
    let mut best = (0.0, Vec3::zeros());
    for i in 0..near.len() {
        for j in i + 1..near.len() {
            let line = near[i].normal.cross(&near[j].normal);
            for k in j + 1..near.len() {
                let span = line.dot(&near[k].normal);
                if span.abs() < SPAN {
                    continue;
                }
                let (a, b, c) = (&near[i], &near[j], &near[k]);
                let at = |p: &Plane| p.most.max(0.0);
                let corner =
                    (b.normal.cross(&c.normal) * at(a) + c.normal.cross(&a.normal) * at(b) + line * at(c))
                        / span;
                let up = rise.dot(&corner);
                if up > best.0 && inside(&corner) {
                    best = (up, corner);
                }
            }
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_of_a_box_and_of_a_cut_box_by_hand() {
        let rise = Vec3::new(1.0, 2.0, 3.0);
        assert_eq!(farthest(&rise, 0.5, std::iter::empty()), Vec3::repeat(0.5));
        // x + z ≤ 0.5 leaves z, which counts for more.
        let cut = Plane { normal: Vec3::new(1.0, 0.0, 1.0), most: 0.5 };
        let found = farthest(&rise, 0.5, std::iter::once(cut));
        assert!((found - Vec3::new(0.0, 0.5, 0.5)).norm() < 1e-12, "{found:?}");
        // Nothing to gain within a plane square to the rise.
        let flat = Plane { normal: rise, most: 0.0 };
        assert!(rise.dot(&farthest(&rise, 0.5, std::iter::once(flat))) < 1e-9);
    }
}
