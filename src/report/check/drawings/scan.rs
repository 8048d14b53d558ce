//! A scanned section: the cut, the convex section that stands for it, and the design.

use crate::case::Case;
use crate::opening::Vec2;
use crate::opening::scan::ScannedSection;
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{
    self, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, LINE_MM, OUTLINE_MM, THIN_MM,
};

use super::legend::Legend;
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::scale::{self, Scale};

/// Greatest height of the drawing, millimetres.
const MOST_HEIGHT_MM: f64 = 120.0;

/// The cut through a scan with its convex section and the design, to scale, looking along the
/// advance. Gaps that were closed are thin lines across.
#[must_use]
pub(crate) fn scan(case: &Case, scan: &ScannedSection) -> Sheet {
    let title = title(scan);
    let design = scan.overbreak.as_ref().map(|o| o.design.as_slice()).unwrap_or_default();
    let (low, high) = scan
        .outline
        .iter()
        .chain(design)
        .fold((Vec2::repeat(f64::INFINITY), Vec2::repeat(f64::NEG_INFINITY)), |(l, h), p| {
            (l.inf(p), h.sup(p))
        });
    let size = high - low;
    let across = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let scale = Scale::fitting([size.x, size.y], [across, MOST_HEIGHT_MM]);

    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, across) + 3.0;
    let frame = Rect::new(MARGIN_MM, top, MARGIN_MM + across, top + size.y * scale.mm_per_m() + 2.0);
    let bottom = foot(&mut trial, case, scan, scale, frame.bottom + 3.0);

    let mut sheet = Sheet::new(FULL_WIDTH_MM, bottom + MARGIN_MM, &title);
    sheet.describe(&format!(
        "Cut through the scan {} at chainage {} m, looking along the advance, scale {}.",
        scan.mesh_name,
        shortest(scan.place.chainage_m),
        scale.words()
    ));
    style::title(&mut sheet, [MARGIN_MM; 2], &title, across);
    let middle = 0.5 * (low + high);
    let k = scale.mm_per_m();
    let centre = [0.5 * (frame.left + frame.right), 0.5 * (frame.top + frame.bottom)];
    let place = |p: &Vec2| -> Point { [centre[0] + k * (p.x - middle.x), centre[1] - k * (p.y - middle.y)] };
    let closed = |points: &[Vec2]| points.iter().chain(points.first()).map(place).collect::<Vec<Point>>();
    sheet.polyline(&closed(&scan.outline), SECTION);
    sheet.polyline(&closed(&scan.cut), CUT);
    sheet.polyline(&closed(design), DESIGN);
    for gap in &scan.gaps {
        sheet.polyline(&[place(&gap.from), place(&gap.to)], GAP);
    }
    let axis = place(&Vec2::zeros());
    sheet.polyline(&[[axis[0] - 2.0, axis[1]], [axis[0] + 2.0, axis[1]]], Stroke::solid(INK, HAIR_MM));
    sheet.polyline(&[[axis[0], axis[1] - 2.0], [axis[0], axis[1] + 2.0]], Stroke::solid(INK, HAIR_MM));
    foot(&mut sheet, case, scan, scale, frame.bottom + 3.0);
    sheet
}

/// The section that is worked with is an opening's outline.
const SECTION: Stroke = Stroke::solid(INK, OUTLINE_MM);
const CUT: Stroke = Stroke::solid(INK, THIN_MM);
const DESIGN: Stroke = Stroke { colour: INK, width_mm: LINE_MM, dash_mm: &[3.0, 1.4] };
const GAP: Stroke = Stroke { colour: INK, width_mm: LINE_MM, dash_mm: &[0.0, 1.1] };

/// Scale bar, direction, legend; returns the y below them.
fn foot(sheet: &mut Sheet, case: &Case, scan: &ScannedSection, scale: Scale, top: f64) -> f64 {
    let looking = format!("looking along the advance {}", azimuth_words(case.advance.trend_deg));
    let right = FULL_WIDTH_MM - MARGIN_MM;
    scale::bar(sheet, [MARGIN_MM, top + 3.0], scale);
    sheet.text([right, top + 2.2], &looking, &LABEL.anchored(Anchor::End));
    let mut legend = Legend::new(sheet, [MARGIN_MM, top + 3.0 + LABEL_LEADING_MM], right);
    legend.line("section worked with", SECTION, true);
    legend.line("cut through the scan", CUT, true);
    legend.line("design", DESIGN, scan.overbreak.is_some());
    legend.line("gap that was closed", GAP, !scan.gaps.is_empty());
    legend.note(&format!(
        "Scan {} at chainage {} m. The cross is the drive's axis: u 0, v 0, the middle of the designed floor.",
        scan.mesh_name,
        shortest(scan.place.chainage_m)
    ));
    legend.bottom()
}

fn title(scan: &ScannedSection) -> String {
    let added = format!(
        "the convex section has {} m² ({} %) more than the cut",
        fixed(scan.added_m2(), 2),
        fixed(100.0 * scan.added_share(), 1)
    );
    match &scan.overbreak {
        Some(over) => format!(
            "{} m² broke beyond the design, {} m² of it still stand; {added}",
            fixed(over.overbreak_m2, 2),
            fixed(over.underbreak_m2, 2)
        ),
        None => {
            let mut words = added;
            words.replace_range(..1, "T");
            words
        }
    }
}
