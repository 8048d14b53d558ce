//! How movements are drawn, in the net and in its legend.

use crate::orientation::Line;
use crate::report::paper::sheet::{Fill, PAPER, Point, Sheet, Stroke};
use crate::report::paper::style::INK;

/// Steeper than this a direction has no trend that a drawing could show.
const STRAIGHT_DEG: f64 = 89.5;

/// How a direction of movement is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Movement {
    Downward,
    Upward,
    StraightDown,
    StraightUp,
}

impl Movement {
    pub(super) fn of(line: Line) -> Self {
        if line.plunge_deg > STRAIGHT_DEG {
            Self::StraightDown
        } else if line.plunge_deg < -STRAIGHT_DEG {
            Self::StraightUp
        } else if line.plunge_deg < 0.0 {
            Self::Upward
        } else {
            Self::Downward
        }
    }
}

/// An arrow seen along its shaft: its tail, a cross in a ring, where it goes straight down and
/// away from the reader; its point, a dot in a ring, where it comes straight up.
pub(super) fn straight(sheet: &mut Sheet, at: Point, movement: Movement) {
    let line = Stroke::solid(INK, 0.35);
    let radius = 1.6;
    sheet.circle(at, radius, Some(Fill::solid(PAPER)), Some(line));
    if movement == Movement::StraightUp {
        sheet.circle(at, 0.55, Some(Fill::solid(INK)), None);
    } else {
        let ([x, y], half) = (at, radius * std::f64::consts::FRAC_1_SQRT_2);
        sheet.polyline(&[[x - half, y - half], [x + half, y + half]], line);
        sheet.polyline(&[[x - half, y + half], [x + half, y - half]], line);
    }
}
