use nalgebra::{Matrix3, Unit};

use crate::orientation::{Line, Vec3};

/// The axes of a drive in space. Local vectors are (u, s, v): u level and to the right of the
/// advance, s along the advance, v up and square to both, so that on an incline the section
/// leans with the drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriveFrame {
    advance: Line,
    /// Columns: u, s, v in (east, north, up).
    axes: Matrix3<f64>,
}

impl DriveFrame {
    /// The frame of a drive that advances along `advance` (plunge positive down: a decline).
    #[must_use]
    pub fn new(advance: Line) -> Self {
        let along = advance.to_vector().into_inner();
        let (sin_trend, cos_trend) = advance.trend_deg.to_radians().sin_cos();
        let right = Vec3::new(cos_trend, -sin_trend, 0.0);
        let up = right.cross(&along);
        Self { advance, axes: Matrix3::from_columns(&[right, along, up]) }
    }

    /// Trend and plunge of the advance.
    #[must_use]
    pub fn advance(&self) -> Line {
        self.advance
    }

    /// Unit vector to the right of somebody walking the advance (east, north, up).
    #[must_use]
    pub fn right(&self) -> Unit<Vec3> {
        Unit::new_unchecked(self.axes.column(0).into_owned())
    }

    /// Unit vector along the advance (east, north, up).
    #[must_use]
    pub fn along(&self) -> Unit<Vec3> {
        Unit::new_unchecked(self.axes.column(1).into_owned())
    }

    /// Unit vector up the section (east, north, up).
    #[must_use]
    pub fn up(&self) -> Unit<Vec3> {
        Unit::new_unchecked(self.axes.column(2).into_owned())
    }

    /// From (u, s, v) to (east, north, up).
    #[must_use]
    pub fn to_world(&self, local: &Vec3) -> Vec3 {
        self.axes * local
    }

    /// From (east, north, up) to (u, s, v).
    #[must_use]
    pub fn to_local(&self, world: &Vec3) -> Vec3 {
        self.axes.transpose() * world
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn walking_north_the_right_hand_is_east() {
        let frame = DriveFrame::new(Line { trend_deg: 0.0, plunge_deg: 0.0 });
        assert!((frame.to_world(&Vec3::x()) - Vec3::x()).norm() < 1e-15);
        assert!((frame.to_world(&Vec3::y()) - Vec3::y()).norm() < 1e-15);
        assert!((frame.to_world(&Vec3::z()) - Vec3::z()).norm() < 1e-15);
    }

    #[test]
    fn a_decline_leans_its_section_backward_over_the_advance() {
        let frame = DriveFrame::new(Line { trend_deg: 35.0, plunge_deg: 12.0 });
        assert!(frame.along().z < 0.0);
        // The section's up leans toward the advance when the drive goes down.
        assert!((frame.up().z - 12f64.to_radians().cos()).abs() < 1e-15);
        let there = Vec3::new(0.3, -2.0, 1.7);
        assert!((frame.to_local(&frame.to_world(&there)) - there).norm() < 1e-14);
    }
}
