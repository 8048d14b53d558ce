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

/// The section in metres, u to the right, v up, the middle of the floor at 0, 0: what the drawing of the section
/// shows, every wedge at its worst placement in a layer of its own.
#[must_use]
pub(crate) fn section_dxf(case: &Case, check: &Check) -> DxfDrawing {
    let mut drawing = DxfDrawing::default();
    let advance = azimuth_words(case.advance.trend_deg);
    drawing.comment(&format!(
        "Backhold {}: section looking along the advance {advance}; metres; x = u to the right, y = v up, origin at the middle of the floor",
        env!("CARGO_PKG_VERSION")
    ));
    let opening = drawing.layer("OPENING", INK);
    let outline: Vec<[f64; 2]> = check.opening.section.vertices().iter().map(|v| [v.x, v.y]).collect();
    drawing.polyline(opening, &outline, true);
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
