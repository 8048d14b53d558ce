//! What cells of several tables of a check share.

use crate::orientation::Line;
use crate::study::Verdict;

/// A movement steeper than this is vertical and has no trend.
const VERTICAL_DEG: f64 = 90.0 - 1e-6;

/// The verdict with its mark: held is a filled square, short a hollow triangle, point down.
pub(super) fn marked(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Held => "■ held",
        Verdict::Short => "▽ short",
        Verdict::NotJudged => "not judged",
    }
}

fn is_vertical(line: Line) -> bool {
    line.plunge_deg.abs() > VERTICAL_DEG
}

/// The trend as tables hold it; none of a vertical line.
pub(super) fn trend_deg(line: Line) -> Option<f64> {
    (!is_vertical(line)).then_some(line.trend_deg)
}

/// The plunge as tables hold it; ±90 of a vertical line.
pub(super) fn plunge_deg(line: Line) -> f64 {
    if is_vertical(line) { 90f64.copysign(line.plunge_deg) } else { line.plunge_deg }
}
