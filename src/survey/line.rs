use nalgebra::Unit;

use super::AzimuthFrom;

use crate::orientation::{Line, ReferenceLine, Vec3};

/// What the mapper walked along, looked at or drilled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// A line along a face or wall; a joint is recorded where it crosses the line.
    Scanline,
    /// A stretch of face or wall; a joint is recorded where its trace shows in it.
    Window,
    /// A hole with oriented core.
    Hole,
}

/// The outline of a window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WindowShape {
    /// A circle.
    Circle {
        /// Radius, metres.
        radius_m: f64,
    },
    /// A rectangle with a level base.
    Rectangle {
        /// Level side, metres.
        width_m: f64,
        /// The side square to it, metres.
        height_m: f64,
    },
}

/// A scanline, window or hole. One that readings name but no lines file describes has neither
/// kind nor direction.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyLine {
    /// What readings call it.
    pub id: String,
    /// What it is.
    pub kind: Option<LineKind>,
    /// Its direction to the case's north: along a scanline; down a hole; for a window, into
    /// the rock, square to the mapped surface.
    pub direction: Option<Line>,
    /// What its trend was counted from before it was turned to the case's north.
    pub azimuth_from: AzimuthFrom,
    /// Length, metres.
    pub length_m: Option<f64>,
    /// The window's outline.
    pub window: Option<WindowShape>,
    /// What beta counts from on this hole's core.
    pub reference: Option<ReferenceLine>,
}

impl SurveyLine {
    /// A line that is only a name.
    #[must_use]
    pub fn named(id: &str) -> Self {
        Self {
            id: id.to_owned(),
            kind: None,
            direction: None,
            azimuth_from: AzimuthFrom::default(),
            length_m: None,
            window: None,
            reference: None,
        }
    }

    /// The sine of the angle between the line, or the window's surface, and a joint with this
    /// unit normal: what share of the joints of such a set the line meets, against one square
    /// to them. `None` without a direction.
    ///
    /// For a line it is |n·l| (Terzaghi 1965); for a window with normal w it is |n × w|, the
    /// sine of the angle between two planes.
    #[must_use]
    pub fn exposure(&self, normal: &Unit<Vec3>) -> Option<f64> {
        let direction = self.direction?.to_vector();
        Some(if self.kind == Some(LineKind::Window) {
            normal.cross(&direction).norm()
        } else {
            normal.dot(&direction).abs()
        })
    }
}
