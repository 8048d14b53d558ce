//! The section as lines for a drawing system.

use crate::case::Case;
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::model::DxfDrawing;
use crate::study::{Check, CheckedWedge};
use crate::wedge::Sector;

use super::order::{by_importance, fs_words};
use super::section_bolts::bolts;

/// Colours of the format: its own number for black on white and white on black, and for grey.
const INK: u8 = 7;
const GREY: u8 = 8;
/// Those of wedges, one after the other: blue, red, green, magenta, cyan.
const WEDGES: [u8; 5] = [5, 1, 3, 6, 4];

/// What its numbers mean.
const FRAME: &str = "Metres: x = u to the right, y = v up; 0, 0 is the middle of the floor";

/// From the floor to the first line of words below it, and on to the next, metres.
const NOTE_STEP_M: f64 = 0.4;

/// The section in metres, u to the right, v up, the middle of the floor at 0, 0: what the drawing of the section
/// shows, every wedge at its worst placement in a layer of its own.
#[must_use]
pub(crate) fn section_dxf(case: &Case, check: &Check) -> DxfDrawing {
    let mut drawing = DxfDrawing::default();
    let advance = azimuth_words(case.advance.trend_deg);
    let looking = format!("Section looking along the advance {advance}");
    drawing.comment(&format!("Backhold {}: {looking}. {FRAME}", env!("CARGO_PKG_VERSION")));
    let opening = drawing.layer("OPENING", INK);
    let outline: Vec<[f64; 2]> = check.opening.section.vertices().iter().map(|v| [v.x, v.y]).collect();
    drawing.polyline(opening, &outline, true);
    // Drawing systems skip remarks, and this release has no unit of its own: words on the drawing say it.
    let note = drawing.layer("NOTE", INK);
    let lowest = outline.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min);
    let leftmost = outline.iter().map(|p| p[0]).fold(f64::INFINITY, f64::min);
    for (line, words) in (1..).zip([looking.as_str(), FRAME]) {
        drawing.words(note, [leftmost, lowest - NOTE_STEP_M * f64::from(line)], words);
    }
    let wedges = by_importance(check);
    for (k, wedge) in wedges.iter().enumerate() {
        let layer = drawing.layer(&wedge.wedge.id, WEDGES[k % WEDGES.len()]);
        let outline = outline_of(wedge);
        drawing.polyline(layer, &outline, true);
        if let Some(apex) = outline.first() {
            drawing.words(layer, *apex, &format!("{} {}", wedge.wedge.id, fs_words(wedge)));
        }
    }
    let crossing = drawing.layer("BOLTS_CROSSING_WEDGES", INK);
    let others = drawing.layer("BOLTS_OTHER", GREY);
    for bolt in bolts(case, check, &wedges) {
        let layer = if bolt.joint.is_some() { crossing } else { others };
        drawing.line(layer, [bolt.collar.x, bolt.collar.y], [bolt.end.x, bolt.end.y]);
    }
    drawing
}

/// The wedge at its worst placement seen along the drive: apex, then along its face.
fn outline_of(wedge: &CheckedWedge) -> Vec<[f64; 2]> {
    let shape = wedge.worst_shape();
    let lone = Sector::of(&wedge.wedge.cone).map_or(0, |s| s.order[1]);
    let face = shape.joints[lone].trace.iter().map(|p| [p.x, p.z]);
    std::iter::once([shape.apex.x, shape.apex.z]).chain(face).collect()
}
