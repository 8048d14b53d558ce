//! The area that a line of some width covers, for the pixels of a PNG.

use super::{DashPiece, Point, Stroke, cut_dashes, paint::circle_points};

/// What is drawn of a line: its dashes, or the whole of it. A closed line comes back to its
/// first point.
pub(super) fn pieces(points: &[Point], closed: bool, stroke: &Stroke) -> Vec<DashPiece> {
    let mut path = points.to_vec();
    if closed {
        path.extend(points.first());
        // A solid outline runs over its first side again, which joins its corner; dashes must not.
        if stroke.dash_mm.is_empty() {
            path.extend(points.get(1));
        }
    }
    cut_dashes(&path, stroke.dash_mm)
}

/// The line as polygons that all turn the same way, so that their union is what they wind round:
/// a rectangle for each straight stretch and a disc for each corner. Ends are cut square.
pub(super) fn outline(piece: &DashPiece, width_mm: f64) -> Vec<Vec<Point>> {
    let half = width_mm / 2.0;
    let run = match piece {
        DashPiece::Dot(at) => return vec![circle_points(*at, half)],
        DashPiece::Run(run) => run,
    };
    let mut parts = Vec::with_capacity(2 * run.len());
    let mut drawn_before = false;
    for pair in run.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = dx.hypot(dy);
        if length == 0.0 {
            continue;
        }
        let across = [-dy / length * half, dx / length * half];
        // In the same sense as circle_points: from x toward y.
        parts.push(vec![
            [from[0] - across[0], from[1] - across[1]],
            [to[0] - across[0], to[1] - across[1]],
            [to[0] + across[0], to[1] + across[1]],
            [from[0] + across[0], from[1] + across[1]],
        ]);
        if drawn_before {
            parts.push(circle_points(from, half));
        }
        drawn_before = true;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::signed_area;

    #[test]
    fn every_part_turns_the_same_way() {
        let run = DashPiece::Run(vec![[0.0, 0.0], [4.0, 0.0], [4.0, 0.0], [1.0, -3.0], [-2.0, 5.0]]);
        let parts = outline(&run, 0.5);
        // Three stretches of some length, two corners between them.
        assert_eq!(parts.len(), 5);
        assert!(parts.iter().all(|p| signed_area(p) > 0.0));
        assert!((signed_area(&parts[0]) - 4.0 * 0.5).abs() < 1e-12);
    }
}
