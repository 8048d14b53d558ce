//! Which way a scanned heading runs where it is cut: a cut askew, or in a bend, is wider than the heading.

use super::join::join;
use super::surface::ScanMesh;
use super::{MOST_CUT_POINTS, SAME_POINT_M, loops};
use crate::numeric::signed_area;
use crate::opening::{Vec2, cross2};

/// How far before and behind its place a heading is cut once more, metres: far above the noise of a blasted
/// surface's middle, far below the radius of a bend that is driven.
const COURSE_STEP_M: f64 = 1.0;

/// The middles of a heading's cuts where it is cut and a metre before and behind, section coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// The middle of the cut: centroid of its area.
    pub here: Vec2,
    /// The same a metre before; `None` where the mesh has no closed cut there.
    pub before: Option<Vec2>,
    /// The same behind, further along the advance.
    pub behind: Option<Vec2>,
}

impl Course {
    /// Of the heading whose cut at a chainage is `cut`, a closed line.
    pub(super) fn of(surface: &ScanMesh, cut: &[Vec2], chainage_m: f64, close_gaps_m: f64) -> Self {
        let middle = |at_m: f64| middle_at(surface, at_m, close_gaps_m);
        Self {
            here: centroid(cut),
            before: middle(chainage_m - COURSE_STEP_M),
            behind: middle(chainage_m + COURSE_STEP_M),
        }
    }

    /// By how much the heading runs to the right of the drive's axis and above it, degrees; `None` where the mesh
    /// has a closed cut neither before nor behind.
    #[must_use]
    pub fn askew_deg(&self) -> Option<[f64; 2]> {
        let way = match (self.before, self.behind) {
            (Some(before), Some(behind)) => (behind - before) / (2.0 * COURSE_STEP_M),
            (Some(before), None) => (self.here - before) / COURSE_STEP_M,
            (None, Some(behind)) => (behind - self.here) / COURSE_STEP_M,
            (None, None) => return None,
        };
        Some([way.x.atan().to_degrees(), way.y.atan().to_degrees()])
    }

    /// By how much it turns from the metre before to the metre behind, degrees; `None` where one of them has no
    /// closed cut.
    #[must_use]
    pub fn bend_deg(&self) -> Option<f64> {
        let along = |way: Vec2| crate::orientation::Vec3::new(way.x, COURSE_STEP_M, way.y);
        let (from, to) = (along(self.here - self.before?), along(self.behind? - self.here));
        // By the cross product: an arc cosine loses half of the digits of a small bend.
        Some(from.cross(&to).norm().atan2(from.dot(&to)).to_degrees())
    }
}

fn middle_at(surface: &ScanMesh, chainage_m: f64, close_gaps_m: f64) -> Option<Vec2> {
    let (low, high) = surface.bounds();
    if chainage_m <= low.y + SAME_POINT_M || chainage_m >= high.y - SAME_POINT_M {
        return None;
    }
    let pieces = surface.cut(chainage_m);
    if pieces.len() > MOST_CUT_POINTS {
        return None;
    }
    let (path, _) = loops::heading(join(&pieces, close_gaps_m).ok()?).ok()?;
    Some(centroid(&path.points))
}

/// The centroid of a closed line's area.
pub(super) fn centroid(closed: &[Vec2]) -> Vec2 {
    // About a point of it, so that far coordinates lose no digits.
    let Some(&origin) = closed.first() else { return Vec2::zeros() };
    let mut sum = Vec2::zeros();
    for (i, a) in closed.iter().enumerate() {
        let (a, b) = (a - origin, closed[(i + 1) % closed.len()] - origin);
        sum += (a + b) * (cross2(&a, &b) / 6.0);
    }
    origin + sum / signed_area(closed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_centroid_of_an_l_by_hand() {
        // A 4 by 1 floor and a 1 by 2 leg on its left: areas 4 and 2, middles (2, 0.5) and (0.5, 2).
        let l = [(0.0, 0.0), (4.0, 0.0), (4.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0)];
        let moved: Vec<Vec2> = l.iter().map(|&(u, v)| Vec2::new(u + 100.0, v - 50.0)).collect();
        assert!((centroid(&moved) - Vec2::new(101.5, -49.0)).norm() < 1e-12);
    }

    #[test]
    fn ways_and_bends_by_hand() {
        let at = |u: f64, v: f64| Vec2::new(u, v);
        let askew = Course { here: at(1.0, 2.0), before: Some(at(0.0, 2.0)), behind: Some(at(2.0, 2.0)) };
        let [right, up] = askew.askew_deg().unwrap();
        assert!((right - 45.0).abs() < 1e-12 && up.abs() < 1e-12);
        assert!(askew.bend_deg().unwrap() < 1e-6);
        let bend = Course { behind: Some(at(1.0, 2.0)), ..askew };
        assert!((bend.bend_deg().unwrap() - 45.0).abs() < 1e-9);
        let alone = Course { before: None, behind: None, ..askew };
        assert!(alone.askew_deg().is_none() && alone.bend_deg().is_none());
    }
}
