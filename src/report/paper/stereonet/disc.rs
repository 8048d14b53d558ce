//! The disc that the net is drawn on.

use super::{Projection, curves};
use crate::orientation::Vec3;
use crate::report::paper::sheet::Point;

/// The disc on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    pub centre: Point,
    pub radius_mm: f64,
    pub projection: Projection,
}

impl Disc {
    /// Where a direction stands on the sheet.
    pub(super) fn place(&self, direction: &Vec3) -> Option<Point> {
        let [east, north] = self.projection.project(direction)?;
        Some([self.centre[0] + self.radius_mm * east, self.centre[1] - self.radius_mm * north])
    }

    /// A line of directions on the sheet, cut at the rim.
    pub(super) fn place_line(&self, points: &[Vec3]) -> Vec<Vec<Point>> {
        curves::lower_parts(points)
            .iter()
            .map(|part| part.iter().filter_map(|v| self.place(v)).collect())
            .collect()
    }
}
