//! A scanned section in words and numbers.

use serde_json::{Value, json};

use crate::case::Case;
use crate::opening::SectionShape;
use crate::opening::scan::{Overbreak, ScannedSection};
use crate::report::paper::numbers::{Number, fixed, shortest};

/// The scan that a case's section was cut from, if it was.
#[must_use]
pub(crate) fn scan_of(case: &Case) -> Option<&ScannedSection> {
    match &case.shape {
        SectionShape::Scan(scan) => Some(scan),
        _ => None,
    }
}

/// The section in a few words.
pub(crate) fn scan_section_words(scan: &ScannedSection) -> String {
    format!(
        "scan {} cut at chainage {} m, {} facets",
        scan.mesh_name,
        shortest(scan.place.chainage_m),
        scan.outline.len()
    )
}

/// What was made of a scan, and how it stands to the design: a sentence or two each. Empty where
/// the section is no scan.
#[must_use]
pub(crate) fn scan_lines(case: &Case) -> Vec<String> {
    let Some(scan) = scan_of(case) else { return Vec::new() };
    let [width, height] = scan.cut_size_m();
    let mut lines = vec![format!(
        "Scan {}, cut at chainage {} m: {} m², {} m wide, {} m high. Worked with: a convex section round it of {} m², {} facets, {} m² ({} %) more than the cut.",
        scan.mesh_name,
        shortest(scan.place.chainage_m),
        fixed(scan.cut_area_m2, 2),
        fixed(width, 2),
        fixed(height, 2),
        fixed(scan.outline_area_m2, 2),
        scan.outline.len(),
        fixed(scan.added_m2(), 2),
        fixed(100.0 * scan.added_share(), 1),
    )];
    lines.extend(scan.overbreak.as_ref().map(overbreak_words));
    lines
}

fn overbreak_words(over: &Overbreak) -> String {
    let farthest = if over.farthest_m > 0.0 {
        format!(
            "; the cut goes farthest beyond it at u {}, v {}: {} m",
            fixed(over.farthest_at.x, 2),
            fixed(over.farthest_at.y, 2),
            fixed(over.farthest_m, 2)
        )
    } else {
        String::new()
    };
    format!(
        "Against the design of {} m²: overbreak {} m², underbreak {} m²{farthest}.",
        fixed(over.design_area_m2, 2),
        fixed(over.overbreak_m2, 2),
        fixed(over.underbreak_m2, 2)
    )
}

/// The same for summary.json; null where the section is no scan.
pub(crate) fn scan_json(case: &Case) -> Value {
    let Some(scan) = scan_of(case) else { return Value::Null };
    let [width, height] = scan.cut_size_m();
    let points = |points: &[crate::opening::Vec2]| -> Vec<[Number; 2]> {
        points.iter().map(|p| [Number(p.x), Number(p.y)]).collect()
    };
    let course = scan.course.askew_deg();
    json!({
        "mesh": scan.mesh_name,
        "chainage_m": Number(scan.place.chainage_m),
        "cut_area_m2": Number(scan.cut_area_m2),
        "cut_width_m": Number(width),
        "cut_height_m": Number(height),
        "cut_crossings": scan.cut_crossings,
        "hull_area_m2": Number(scan.hull_area_m2),
        "section_area_m2": Number(scan.outline_area_m2),
        "section_facets": scan.outline.len(),
        "added_m2": Number(scan.added_m2()),
        "added_share": Number(scan.added_share()),
        "close_gaps_m": Number(scan.place.close_gaps_m),
        "gaps_closed": scan.gaps.iter().map(|g| json!({
            "from_m": [Number(g.from.x), Number(g.from.y)],
            "to_m": [Number(g.to.x), Number(g.to.y)],
            "width_m": Number(g.width_m()),
        })).collect::<Vec<_>>(),
        "runs_right_deg": course.map(|c| Number(c[0])),
        "runs_up_deg": course.map(|c| Number(c[1])),
        "turns_deg": scan.course.bend_deg().map(Number),
        "middle_m": points(&[scan.course.here])[0],
        "left_out_loops": scan.left_out.loops,
        "left_out_loops_area_m2": Number(scan.left_out.loops_area_m2),
        "left_out_pieces": scan.left_out.pieces,
        "left_out_longest_piece_m": Number(scan.left_out.longest_piece_m),
        "design_area_m2": scan.overbreak.as_ref().map(|o| Number(o.design_area_m2)),
        "overbreak_m2": scan.overbreak.as_ref().map(|o| Number(o.overbreak_m2)),
        "underbreak_m2": scan.overbreak.as_ref().map(|o| Number(o.underbreak_m2)),
        "farthest_overbreak_m": scan.overbreak.as_ref().map(|o| Number(o.farthest_m)),
        "cut_m": points(&scan.cut),
        "section_m": points(&scan.outline),
        "design_m": scan.overbreak.as_ref().map(|o| points(&o.design)),
    })
}
