//! Cutting areas at the edges of a rectangle.

use crate::report::paper::sheet::{Point, Rect};

/// The part of a closed area that lies in `frame` (Sutherland and Hodgman 1974). Where an area
/// that is not convex falls apart, its parts stay joined along the frame's edge, which a fill
/// does not show.
pub(super) fn clip_area(points: &[Point], frame: &Rect) -> Vec<Point> {
    let mut area = points.to_vec();
    for (axis, bound, sign) in
        [(0, frame.left, 1.0), (0, frame.right, -1.0), (1, frame.top, 1.0), (1, frame.bottom, -1.0)]
    {
        let inside = |p: &Point| sign * (p[axis] - bound) >= 0.0;
        let mut kept = Vec::with_capacity(area.len() + 2);
        for (i, here) in area.iter().enumerate() {
            let before = &area[(i + area.len() - 1) % area.len()];
            if inside(before) != inside(here) {
                let share = (bound - before[axis]) / (here[axis] - before[axis]);
                let mut cut = [0.0; 2];
                cut[axis] = bound;
                let other = 1 - axis;
                cut[other] = before[other] + share * (here[other] - before[other]);
                kept.push(cut);
            }
            if inside(here) {
                kept.push(*here);
            }
        }
        area = kept;
    }
    area
}

/// Centre of area; `None` for less than a triangle.
pub(super) fn centre(points: &[Point]) -> Option<Point> {
    let first = *points.first()?;
    let (mut x, mut y, mut area) = (0.0, 0.0, 0.0);
    for pair in points.windows(2) {
        let (a, b) =
            ([pair[0][0] - first[0], pair[0][1] - first[1]], [pair[1][0] - first[0], pair[1][1] - first[1]]);
        let part = a[0] * b[1] - a[1] * b[0];
        x += part * (a[0] + b[0]) / 3.0;
        y += part * (a[1] + b[1]) / 3.0;
        area += part;
    }
    (area != 0.0).then(|| [first[0] + x / area, first[1] + y / area])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::signed_area;

    #[test]
    fn what_is_left_has_the_area_inside() {
        let frame = Rect::new(0.0, 0.0, 4.0, 2.0);
        let triangle = [[-2.0, 0.0], [6.0, 0.0], [2.0, 4.0]];
        // Within the frame it is a trapezium: from x = 0 it is 2 high at once.
        let cut = clip_area(&triangle, &frame);
        assert!((signed_area(&cut).abs() - 8.0).abs() < 1e-12, "{cut:?}");
        assert!(clip_area(&[[5.0, 0.0], [6.0, 0.0], [6.0, 1.0]], &frame).is_empty());
        assert_eq!(clip_area(&[[1.0, 0.5], [2.0, 0.5], [2.0, 1.0]], &frame).len(), 3);
    }
}
