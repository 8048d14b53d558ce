//! What a field over a wedge's joint faces comes to: its integral and where its resultant acts, exactly.

use super::sector::AXIS_TOLERANCE;
use super::{Chain, Cone, Footprint};
use crate::orientation::Vec3;

/// A field over the joint faces of a wedge, nowhere below zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FaceField {
    /// This at the apex, from there falling linearly to zero at the trace.
    FromApex(f64),
    /// Linear in space, and zero where that would be below: its value at the origin, and how it grows, per metre.
    Linear {
        /// At the origin.
        at_origin: f64,
        /// Along each axis, per metre.
        per_m: Vec3,
    },
}

/// The integral of a field over a face.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FaceIntegral {
    /// Field times square metres.
    pub whole: f64,
    /// Where its resultant acts, in the frame of the face, metres; the origin where the field is zero.
    pub centre: Vec3,
}

impl FaceField {
    fn at(&self, point: &Vec3, is_apex: bool) -> f64 {
        match *self {
            Self::FromApex(value) => {
                if is_apex {
                    value
                } else {
                    0.0
                }
            }
            Self::Linear { at_origin, per_m } => at_origin + per_m.dot(point),
        }
    }

    /// Its mean along a line from an apex to the trace, where it is above zero.
    #[must_use]
    pub fn over_line(&self, apex: &Vec3, to: &Vec3) -> f64 {
        let (first, last) = (self.at(apex, true), self.at(to, false));
        if first >= 0.0 && last >= 0.0 {
            return 0.5 * (first + last);
        }
        let most = first.max(last);
        if most <= 0.0 { 0.0 } else { 0.5 * most * most / (first - last).abs() }
    }

    /// Its integral over a fan of triangles from an apex: `fan` calls with both ends of each piece of the trace.
    /// A linear field times a place is a quadratic, so the sums over corners are exact; a field that changes sign
    /// in a triangle is integrated over the part where it is above zero.
    pub fn over_fan(&self, apex: &Vec3, fan: impl FnOnce(&mut dyn FnMut(&Vec3, &Vec3))) -> FaceIntegral {
        let (mut whole, mut moment) = (0.0, Vec3::zeros());
        fan(&mut |from, to| {
            let corners =
                [(*apex, self.at(apex, true)), (*from, self.at(from, false)), (*to, self.at(to, false))];
            if corners.iter().all(|c| c.1 >= 0.0) {
                add_triangle(apex, &corners, &mut whole, &mut moment);
                return;
            }
            // The corners of the part above zero, in order: at most four.
            let mut kept = [(Vec3::zeros(), 0.0); 4];
            let mut count = 0;
            for k in 0..3 {
                let (here, next) = (corners[k], corners[(k + 1) % 3]);
                if here.1 >= 0.0 {
                    kept[count] = here;
                    count += 1;
                }
                if (here.1 >= 0.0) != (next.1 >= 0.0) {
                    let share = here.1 / (here.1 - next.1);
                    kept[count] = (here.0 + (next.0 - here.0) * share, 0.0);
                    count += 1;
                }
            }
            for k in 2..count {
                add_triangle(apex, &[kept[0], kept[k - 1], kept[k]], &mut whole, &mut moment);
            }
        });
        FaceIntegral { whole, centre: if whole > 0.0 { apex + moment / whole } else { Vec3::zeros() } }
    }
}

/// Adds a triangle on which the field is linear, given at its corners; the moment is about the apex.
fn add_triangle(apex: &Vec3, corners: &[(Vec3, f64); 3], whole: &mut f64, moment: &mut Vec3) {
    let [a, b, c] = corners.map(|(at, _)| at - apex);
    let area = 0.5 * (b - a).cross(&(c - a)).norm();
    let sum: f64 = corners.iter().map(|c| c.1).sum();
    *whole += area * sum / 3.0;
    // Of the products of two barycentric coordinates: a sixth of the area with itself, a twelfth with another.
    let weighted = a * corners[0].1 + b * corners[1].1 + c * corners[2].1;
    *moment += ((a + b + c) * sum + weighted) * (area / 12.0);
}

impl Chain<'_> {
    /// The fan of the joint face on a plane of the cone, of the wedge with this footprint (apex at s = 0): calls
    /// `visit` with both ends of each piece of its trace, local (u, s, v), metres.
    pub fn fan(&self, cone: &Cone, foot: &Footprint, plane: usize, mut visit: impl FnMut(&Vec3, &Vec3)) {
        let sector = self.sector();
        let position = (0..3).find(|&k| sector.order[k] == plane).unwrap_or_default();
        let (from, to) = Self::bounds_of(position);
        let apex = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        let normal = &cone.inward[plane];
        if normal.y.abs() <= AXIS_TOLERANCE {
            let hit = |k: usize| apex + cone.edges[sector.order[k]] * foot.edge_m[k];
            visit(&hit(from), &hit(to));
            return;
        }
        let on_plane = |k: usize, along_m: f64| {
            let point = self.point_on(k, along_m);
            let off = point - foot.apex;
            Vec3::new(point.x, -(normal.x * off.x + normal.z * off.y) / normal.y, point.y)
        };
        self.each_facet(foot.along_m[from], foot.along_m[to], |k, a_m, b_m| {
            visit(&on_plane(k, a_m), &on_plane(k, b_m));
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const APEX: Vec3 = Vec3::new(0.3, -0.2, 2.0);

    fn over(field: FaceField, apex: &Vec3, from: Vec3, to: Vec3) -> FaceIntegral {
        field.over_fan(apex, |visit| visit(&from, &to))
    }

    #[test]
    fn a_field_that_falls_from_the_apex_has_a_third_of_it_and_acts_half_way_to_the_middle_of_the_trace() {
        let (from, to) = (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.5, 0.2));
        let found = over(FaceField::FromApex(6.0), &APEX, from, to);
        let area = 0.5 * (from - APEX).cross(&(to - APEX)).norm();
        assert!((found.whole - 6.0 * area / 3.0).abs() < 1e-14);
        // By hand: weights a half, a quarter, a quarter.
        assert!((found.centre - (APEX * 0.5 + from * 0.25 + to * 0.25)).norm() < 1e-14);
    }

    #[test]
    fn hydrostatic_pressure_on_an_upright_triangle_acts_where_books_say() {
        // Base down, depth h from the surface at its top corner: force γ h/2·b·(2h/3), at 3/4 of the depth.
        let (h, b) = (2.0, 1.5);
        let top = Vec3::new(0.0, 0.0, 0.0);
        let field = FaceField::Linear { at_origin: 0.0, per_m: Vec3::new(0.0, 0.0, -9.81) };
        let found = over(field, &top, Vec3::new(-b / 2.0, 0.0, -h), Vec3::new(b / 2.0, 0.0, -h));
        assert!((found.whole - 9.81 * 0.5 * b * h * 2.0 * h / 3.0).abs() < 1e-13);
        assert!((found.centre - Vec3::new(0.0, 0.0, -0.75 * h)).norm() < 1e-14);
    }

    #[test]
    fn only_what_lies_below_the_surface_counts() {
        // The surface half way down: below it a trapezium, the whole triangle's field less that of its top half.
        let top = Vec3::new(0.0, 0.0, 2.0);
        let field = FaceField::Linear { at_origin: 1.0, per_m: Vec3::new(0.0, 0.0, -1.0) };
        let found = over(field, &top, Vec3::new(-1.0, 0.0, 0.0), Vec3::new(1.0, 0.0, 0.0));
        // ∫ (1 − z)·(2 − z) dz from 0 to 1 = 5/6; moment of height ∫ z (1 − z)(2 − z) dz = 1/4.
        assert!((found.whole - 5.0 / 6.0).abs() < 1e-15);
        assert!((found.centre - Vec3::new(0.0, 0.0, 0.3)).norm() < 1e-15);
        // A surface that only touches leaves nothing.
        let under = FaceField::Linear { at_origin: 0.0, per_m: Vec3::new(0.0, 0.0, -1.0) };
        let dry = over(under, &top, Vec3::new(-1.0, 0.0, 0.5), Vec3::new(1.0, 0.0, 0.5));
        assert_eq!(dry, FaceIntegral::default());
    }
}
