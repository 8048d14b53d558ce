//! The face of the heading, looking along the advance: a panel for each wedge there.

use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::numbers::{factor, fixed, kn};
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::sheet::{
    Anchor, FULL_WIDTH_MM, Fill, PAPER, Point, Rect, Sheet, Stroke, clip_polyline,
};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, OUTLINE_MM, set_style};
use crate::study::{Check, CheckedWedge, Verdict};

/// Panels side by side.
const ACROSS: usize = 3;
/// Most wedges that are drawn: the short ones first, the heaviest before the others.
const MOST_DRAWN: usize = 9;
/// Between panels, millimetres.
const GAP_MM: f64 = 5.0;
/// Of the panel's width, what the opening takes: traces on back and walls do not leave its outline,
/// apexes may.
const OPENING_SHARE: f64 = 0.7;
/// Lines of words under a panel.
const WORDS: f64 = 3.0;

const NOTE: &str = "Looking along the advance at the face. Shaded: the part of the wedge's opening on the face. Lines: traces by joint set, on the face, and on back, walls and floor where they lie on the outline. Thin: edges to the apex in the rock ahead. Dots: collars of the rings behind the face that cross the wedge.";

/// What is added where bolts stand in the face.
const IN_FACE: &str = "Dots inside the outline are collars in the face that cross the wedge, circles those that are not sure to.";

/// One panel a wedge at the face; `None` where there is none.
#[must_use]
pub(crate) fn face_drawing(case: &Case, check: &Check) -> Option<Sheet> {
    let mut wedges: Vec<&CheckedWedge> = check.face.iter().collect();
    wedges.sort_by(|a, b| {
        let held = |w: &CheckedWedge| (w.decided.verdict != Verdict::Short, w.decided.criterion_fs.is_none());
        held(a).cmp(&held(b)).then(b.wedge.weight_kn.total_cmp(&a.wedge.weight_kn))
    });
    let worst = *wedges.first()?;
    let all = wedges.len();
    wedges.truncate(MOST_DRAWN);
    let title = match worst.decided.criterion_fs {
        Some(asked) => format!(
            "{}, {} kN, at the face: FS {} where {} is asked",
            worst.wedge.id,
            kn(worst.wedge.weight_kn),
            factor(worst.decided.fs.unwrap_or(0.0)),
            fixed(asked, 2)
        ),
        None => "No wedge at the face moves under its own weight".into(),
    };
    let (low, high) = check.opening.section.bounds();
    let width_mm = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let panel_mm = (width_mm - (ACROSS - 1) as f64 * GAP_MM) / ACROSS as f64;
    let mm_per_m = OPENING_SHARE * panel_mm / (high.x - low.x).max(high.y - low.y);
    let height_mm = (high.y - low.y) * mm_per_m + 0.3 * panel_mm;
    let words_mm = WORDS * LABEL_LEADING_MM + GAP_MM;

    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, width_mm) + 2.0;
    let rows = wedges.len().div_ceil(ACROSS) as f64;
    let note = if check.face_bolts.is_empty() { NOTE.to_owned() } else { format!("{NOTE} {IN_FACE}") };
    let mut notes = trial.wrap(&note, &LABEL, width_mm);
    if all > wedges.len() {
        notes.push(format!("Not drawn: {} wedges that matter less.", all - wedges.len()));
    }
    let notes_top = top + rows * (height_mm + words_mm);
    let sheet_mm = notes_top + notes.len() as f64 * LABEL_LEADING_MM + MARGIN_MM;
    let mut sheet = Sheet::new(FULL_WIDTH_MM, sheet_mm, &title);
    sheet.describe(&format!("The face of the heading, looking along the advance: {} wedges.", wedges.len()));
    style::title(&mut sheet, [MARGIN_MM; 2], &title, width_mm);
    for (k, wedge) in wedges.iter().enumerate() {
        let left = MARGIN_MM + (k % ACROSS) as f64 * (panel_mm + GAP_MM);
        let y = top + (k / ACROSS) as f64 * (height_mm + words_mm);
        let frame = Rect::new(left, y, left + panel_mm, y + height_mm);
        let middle = 0.5 * (low + high);
        let place = |p: &Vec3| -> Point {
            [
                0.5 * (frame.left + frame.right) + mm_per_m * (p.x - middle.x),
                0.5 * (frame.top + frame.bottom) - mm_per_m * (p.z - middle.y),
            ]
        };
        panel(&mut sheet, case, check, wedge, &frame, &place);
    }
    for (k, line) in notes.iter().enumerate() {
        sheet.text([MARGIN_MM, notes_top + (k as f64 + 0.5) * LABEL_LEADING_MM], line, &LABEL);
    }
    Some(sheet)
}

fn panel(
    sheet: &mut Sheet,
    case: &Case,
    check: &Check,
    wedge: &CheckedWedge,
    frame: &Rect,
    place: &dyn Fn(&Vec3) -> Point,
) {
    let shape = wedge.worst_shape();
    let section = &check.opening.section;
    let outline: Vec<Point> = section.vertices().iter().map(|v| place(&Vec3::new(v.x, 0.0, v.y))).collect();
    sheet.polygon(&outline, Some(Fill::solid(PAPER)), Some(Stroke::solid(INK, 0.7 * OUTLINE_MM)));
    for opening in shape.openings.iter().filter(|o| o.facet == check.opening.face_index()) {
        let on_face: Vec<Point> = opening.polygon.iter().map(place).collect();
        sheet.polygon(&on_face, Some(Fill::tint(INK, 0.1)), None);
    }
    let apex = place(&shape.apex);
    for (joint, set) in shape.joints.iter().zip(wedge.wedge.sets) {
        let trace: Vec<Point> = joint.trace.iter().map(place).collect();
        for end in [trace.first(), trace.last()].into_iter().flatten() {
            sheet.polyline_within(&[*end, apex], Stroke::solid(GREY, HAIR_MM), frame);
        }
        sheet.polyline_within(&trace, set_style(set).stroke(), frame);
        // The set's letter on the middle of its trace.
        let inside: Vec<Point> = clip_polyline(&trace, frame).into_iter().flatten().collect();
        if let Some([x, y]) = inside
            .get(inside.len() / 2)
            .copied()
            .zip(inside.first().copied())
            .map(|(a, b)| [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])])
        {
            let words = &case.joints[set].name;
            let style = LABEL.anchored(Anchor::Middle);
            let half = 0.5 * sheet.text_width_mm(words, &style) + 0.6;
            let back = [[x - half, y - 1.9], [x + half, y - 1.9], [x + half, y + 1.9], [x - half, y + 1.9]];
            sheet.polygon(&back, Some(Fill::solid(PAPER)), None);
            sheet.text([x, y], words, &style);
        }
    }
    for row in check.face_bolts.iter().flat_map(|layout| &layout.rows) {
        let at = place(&Vec3::new(row.collar.point.x, 0.0, row.collar.point.y));
        sheet.circle(at, 0.8, None, Some(Stroke::solid(GREY, HAIR_MM)));
    }
    for bolt in wedge.serving().unwrap_or_default() {
        let at = place(&Vec3::new(bolt.point.x, 0.0, bolt.point.y));
        sheet.circle(at, 0.8, Some(Fill::solid(INK)), None);
    }
    let y = frame.bottom + 0.5 * LABEL_LEADING_MM;
    let mark = [frame.left + 1.4, y];
    match wedge.decided.verdict {
        Verdict::Held => style::held_mark(sheet, mark, 2.2),
        Verdict::Short => style::short_mark(sheet, mark, 2.5),
        Verdict::NotJudged => {}
    }
    let mode = wedge.wedge.stability.motion.mode.name();
    let fs = if wedge.decided.criterion_fs.is_some() {
        format!(", {}", super::order::fs_alone(wedge))
    } else {
        String::new()
    };
    let lines = [
        wedge.wedge.id.clone(),
        format!("{mode}{fs}"),
        format!("{} kN, {} m deep", kn(wedge.wedge.weight_kn), fixed(shape.depth_m, 2)),
    ];
    for (k, line) in lines.iter().enumerate() {
        sheet.text([frame.left + 4.2, y + k as f64 * LABEL_LEADING_MM], line, &LABEL);
    }
}
