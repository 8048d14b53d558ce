use nalgebra::Vector3;

/// Twice the signed area of the triangle (0, `a`, `b`): positive where `b` lies counter-clockwise
/// of `a`, with the first axis to the right and the second up.
fn turn(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn less(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// Area of a polygon by its corners in order, square of their unit; positive where it turns
/// counter-clockwise, first axis to the right, second up. It closes itself; less than a triangle has none.
///
/// Summed over the triangles from the first corner, so that a far origin costs no digits.
#[must_use]
pub fn signed_area<P: Copy + Into<[f64; 2]>>(corners: &[P]) -> f64 {
    let Some(&anchor) = corners.first() else { return 0.0 };
    let anchor = anchor.into();
    let from_anchor = |p: P| less(p.into(), anchor);
    0.5 * corners[1..].windows(2).map(|w| turn(from_anchor(w[0]), from_anchor(w[1]))).sum::<f64>()
}

/// Area of a flat polygon in space by its corners in order, square of their unit; not signed.
#[must_use]
pub fn flat_area(corners: impl IntoIterator<Item = Vector3<f64>>) -> f64 {
    let mut corners = corners.into_iter();
    let (Some(anchor), Some(second)) = (corners.next(), corners.next()) else { return 0.0 };
    let mut before = second - anchor;
    let mut twice = Vector3::zeros();
    for corner in corners {
        let here = corner - anchor;
        twice += before.cross(&here);
        before = here;
    }
    0.5 * twice.norm()
}

/// The convex hull of points, counter-clockwise from the leftmost (the lowest of those), without
/// points on straight sides or a second time (Andrew's monotone chain). Fewer than three different
/// points come back sorted; points on one line as its two ends.
#[must_use]
pub fn convex_hull<P: Copy + Into<[f64; 2]>>(points: &[P]) -> Vec<P> {
    let at = |p: &P| -> [f64; 2] { (*p).into() };
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| {
        let (a, b) = (at(a), at(b));
        a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]))
    });
    sorted.dedup_by(|a, b| at(a) == at(b));
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |points: &mut dyn Iterator<Item = &P>| {
        let mut chain: Vec<P> = Vec::new();
        for point in points {
            while let [.., a, b] = chain.as_slice() {
                if turn(less(at(b), at(a)), less(at(point), at(b))) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter());
    hull.extend(half(&mut sorted.iter().rev()));
    hull
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_have_the_sign_of_the_turn() {
        let triangle = [[1.0, 1.0], [4.0, 1.0], [1.0, 3.0]];
        assert_eq!(signed_area(&triangle), 3.0);
        assert_eq!(signed_area(&[triangle[0], triangle[2], triangle[1]]), -3.0);
        assert_eq!(signed_area(&triangle[..2]), 0.0);
        assert_eq!(signed_area::<[f64; 2]>(&[]), 0.0);
        // Far from the origin too, where x · y has no digit left for it.
        let far = triangle.map(|[x, y]| [x + 4e8, y + 7e8]);
        assert_eq!(signed_area(&far), 3.0);
    }

    #[test]
    fn a_flat_polygon_in_space_has_the_area_that_it_has_in_its_plane() {
        let polygon = [[0.0, 0.0], [4.0, 0.0], [4.0, 1.0], [1.0, 1.0], [1.0, 3.0], [0.0, 3.0]];
        // Into the plane through (5, 6, 7) along two unit vectors square to each other.
        let (a, b) = (Vector3::new(0.6, 0.0, 0.8), Vector3::new(0.0, 1.0, 0.0));
        let place = |p: &[f64; 2]| Vector3::new(5.0, 6.0, 7.0) + a * p[0] + b * p[1];
        let area = flat_area(polygon.iter().map(place));
        assert!((area - signed_area(&polygon)).abs() < 1e-13 && (area - 6.0).abs() < 1e-13, "{area}");
        assert_eq!(flat_area([a, b]), 0.0);
        assert_eq!(flat_area([]), 0.0);
    }

    #[test]
    fn the_hull_drops_what_lies_inside_on_a_side_or_twice() {
        let points = [[2.0, 1.0], [4.0, 3.0], [0.0, 3.0], [0.0, 0.0], [2.0, 0.0], [4.0, 0.0], [0.0, 0.0]];
        assert_eq!(convex_hull(&points), [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]]);
        assert!(signed_area(&convex_hull(&points)) > 0.0);
    }

    #[test]
    fn what_is_no_polygon_has_a_hull_of_two_points_at_most() {
        let line = [[1.0, 1.0], [0.0, 0.0], [2.0, 2.0]];
        assert_eq!(convex_hull(&line), [[0.0, 0.0], [2.0, 2.0]]);
        assert_eq!(convex_hull(&[[1.0, 1.0], [1.0, 1.0]]), [[1.0, 1.0]]);
        assert!(convex_hull::<[f64; 2]>(&[]).is_empty());
    }

    #[test]
    fn every_point_lies_within_the_hull() {
        // A spiral of points that turns by an angle without a period.
        let points: Vec<[f64; 2]> = (0..200)
            .map(|i| {
                let (turn, radius) = (2.4 * f64::from(i), f64::from(i).sqrt());
                [radius * turn.cos(), radius * turn.sin()]
            })
            .collect();
        let hull = convex_hull(&points);
        assert!(hull.len() > 10 && hull.len() < 60, "{}", hull.len());
        for p in &points {
            for (i, a) in hull.iter().enumerate() {
                let b = hull[(i + 1) % hull.len()];
                assert!(turn(less(b, *a), less(*p, *a)) > -1e-12);
            }
        }
    }
}
