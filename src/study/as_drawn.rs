use super::{Whole, margin, tightest};
use crate::case::Case;

/// What an option's margin would be if every collar stood exactly where it is drawn: verdicts count with
/// collars off their place, so that what rests on a few millimetres of bolt inside a wedge is not counted
/// on. The difference is what setting out by instrument, or a tighter tolerance, could win.
#[derive(Debug, Clone, PartialEq)]
pub struct AsDrawn {
    /// How far off its drawn place a collar may stand in verdicts, metres on the surface.
    pub tolerance_m: f64,
    /// Whether the case gives it; otherwise it is common practice without a source.
    pub given: bool,
    /// Least ratio of factor of safety to what is asked over the wedges of the drive, collars as drawn.
    pub margin: f64,
    /// The wedge that has it; `None` where nothing moves.
    pub wedge: Option<String>,
}

/// How a checked case would fare with its collars exactly as drawn. Stages are as [`margin()`] has them
/// where nothing else is told.
#[must_use]
pub fn as_drawn(case: &Case, whole: &Whole) -> AsDrawn {
    let typed_m = case.installation.collar_tolerance_m;
    let mut found = AsDrawn {
        tolerance_m: case.installation.judged_tolerance_m(),
        given: typed_m.is_some(),
        margin: margin(whole),
        wedge: tightest(whole).map(|lack| lack.wedge),
    };
    let drawn = whole.check.wedges.iter().filter_map(|wedge| {
        let asked = wedge.decided.criterion_fs?;
        Some((wedge.fs_as_drawn().or(wedge.decided.fs)? / asked, wedge))
    });
    // The first of equals, in the order of the check.
    if let Some((margin, wedge)) = drawn.reduce(|a, b| if b.0 < a.0 { b } else { a }) {
        found.margin = margin;
        found.wedge = Some(wedge.wedge.id.clone());
    }
    found
}
