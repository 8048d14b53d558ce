use crate::numeric::signed_area;
use crate::opening::{Section, Vec2, cross2};

/// A cut held against the section that was designed.
#[derive(Debug, Clone, PartialEq)]
pub struct Overbreak {
    /// The designed section, counter-clockwise; same origin as the cut.
    pub design: Vec<Vec2>,
    /// Its area, square metres.
    pub design_area_m2: f64,
    /// Area of the cut outside of the design, square metres.
    pub overbreak_m2: f64,
    /// Area of the design outside of the cut, square metres: rock, or muck, that still stands in
    /// it.
    pub underbreak_m2: f64,
    /// How far the cut goes beyond the design, metres; 0 where it nowhere does.
    pub farthest_m: f64,
    /// The point of the cut where that is.
    pub farthest_at: Vec2,
}

/// Compares a closed cut (counter-clockwise, either form) with a convex design.
pub(super) fn compare(cut: &[Vec2], design: &Section) -> Overbreak {
    let vertices = design.vertices();
    let design_area_m2 = design.area_m2();
    let both_m2 = signed_area(&clipped(cut, vertices));
    let mut farthest = (0.0, cut.first().copied().unwrap_or_default());
    for point in cut {
        let off = distance_outside_m(point, vertices);
        if off > farthest.0 {
            farthest = (off, *point);
        }
    }
    Overbreak {
        design: vertices.to_vec(),
        design_area_m2,
        // Rounding may leave a hair below nothing.
        overbreak_m2: (signed_area(cut) - both_m2).max(0.0),
        underbreak_m2: (design_area_m2 - both_m2).max(0.0),
        farthest_m: farthest.0,
        farthest_at: farthest.1,
    }
}

/// The part of a polygon inside a convex one, clipped by one side after the other (Sutherland &
/// Hodgman 1974). Where the part falls apart, pieces stay joined by lines there and back, which
/// have no area.
fn clipped(polygon: &[Vec2], convex: &[Vec2]) -> Vec<Vec2> {
    let mut part = polygon.to_vec();
    for (i, a) in convex.iter().enumerate() {
        let along = convex[(i + 1) % convex.len()] - a;
        let inside = |p: &Vec2| cross2(&along, &(p - a));
        let mut next = Vec::with_capacity(part.len() + 8);
        for (j, p) in part.iter().enumerate() {
            let q = &part[(j + 1) % part.len()];
            let (at_p, at_q) = (inside(p), inside(q));
            if at_p >= 0.0 {
                next.push(*p);
            }
            if (at_p >= 0.0) != (at_q >= 0.0) {
                next.push(p + (q - p) * (at_p / (at_p - at_q)));
            }
        }
        part = next;
    }
    part
}

/// Distance from a point to a convex polygon, 0 inside.
fn distance_outside_m(point: &Vec2, convex: &[Vec2]) -> f64 {
    let mut nearest = f64::INFINITY;
    let mut outside = false;
    for (i, a) in convex.iter().enumerate() {
        let along = convex[(i + 1) % convex.len()] - a;
        outside |= cross2(&along, &(point - a)) < 0.0;
        let step = ((point - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        nearest = nearest.min((point - (a + along * step)).norm());
    }
    if outside { nearest } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::opening::SectionShape;

    fn points(points: &[(f64, f64)]) -> Vec<Vec2> {
        points.iter().map(|&(u, v)| Vec2::new(u, v)).collect()
    }

    #[test]
    fn a_cut_moved_aside_has_as_much_over_as_under() {
        let design = SectionShape::Flat { width_m: 4.0, height_m: 3.0 }.section().unwrap();
        let cut = points(&[(-1.5, 0.2), (2.5, 0.2), (2.5, 3.2), (-1.5, 3.2)]);
        let found = compare(&cut, &design);
        let shared = 3.5 * 2.8;
        assert!((found.overbreak_m2 - (12.0 - shared)).abs() < 1e-12);
        assert!((found.underbreak_m2 - (12.0 - shared)).abs() < 1e-12);
        assert!((found.farthest_m - (0.25f64 + 0.04).sqrt()).abs() < 1e-12);
        assert_eq!(found.farthest_at, Vec2::new(2.5, 3.2));
    }

    #[test]
    fn a_notched_cut_is_clipped_exactly() {
        // A U whose legs rise out of the design by 1 m, 1 m wide each, with a floor 1 m thick.
        let design = SectionShape::Flat { width_m: 4.0, height_m: 2.0 }.section().unwrap();
        let cut = points(&[
            (-2.0, 0.0),
            (2.0, 0.0),
            (2.0, 3.0),
            (1.0, 3.0),
            (1.0, 1.0),
            (-1.0, 1.0),
            (-1.0, 3.0),
            (-2.0, 3.0),
        ]);
        let found = compare(&cut, &design);
        assert!((found.overbreak_m2 - 2.0).abs() < 1e-12);
        assert!((found.underbreak_m2 - 2.0).abs() < 1e-12);
        assert!((found.farthest_m - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_cut_inside_its_design_has_no_overbreak() {
        let design = SectionShape::Flat { width_m: 4.0, height_m: 3.0 }.section().unwrap();
        let found = compare(&points(&[(-1.0, 1.0), (1.0, 1.0), (0.0, 2.0)]), &design);
        assert_eq!((found.overbreak_m2, found.farthest_m), (0.0, 0.0));
        assert!((found.underbreak_m2 - 11.0).abs() < 1e-12);
    }
}
