//! summary.json: all that a check found, in one document.

use serde_json::{Value, json};

use super::acts;
use super::answer::not_judged_list;
use super::bolts::pull_tests::pull_tests_json;
use super::bolts::words::bolt_origins_json;
use super::inputs::echo::inputs_json;
use super::inputs::scan::scan_json;
use super::outputs::Outputs;
use super::scan_along::scan_along_table;
use super::sizes::words::unbolted_ground;
use super::stages::words::{at_the_face, unsupported};
use super::structures::located_lines;
use super::surface::words::screen_sentence;
use super::tables::Tables;
use super::wedges::{WedgeRow, wedge_table};
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::report::paper::numbers::Number;
use crate::report::record::summary_json as document;
use crate::report::words::{CAUTIONS, assumptions, change_list};
use crate::study::{Check, CheckedWedge, Gap, SizeCurve, Whole};
use crate::wedge::Shape;

/// summary.json: keys in a fixed order, so that the same input gives the same bytes. `csv` are the
/// tables as they are written, under their names.
///
/// # Errors
/// When the document does not serialise, which no input can cause.
pub(super) fn summary_json(
    outputs: &Outputs<'_>,
    tables: &Tables<'_>,
    csv: &[(&str, String)],
    answer: &str,
) -> Result<String, serde_json::Error> {
    let case = outputs.case;
    let Whole { check, sizes, stages, beside, .. } = outputs.whole;
    let warnings: Vec<String> =
        outputs.notes.iter().cloned().chain(check.warnings.iter().map(ToString::to_string)).collect();
    let mut found = json!({
        "scan": scan_json(case),
        "scan_along": scan_along_table().json(&outputs.whole.scan_along),
        "wedges": wedges(&tables.wedges, check),
        "left_out_below_1_litre": check.left_out,
        "bolt_demand": tables.bolt_demand_json(),
        "bolts": tables.bolts_json(),
        "changes": tables.changes_json(),
        "sizes": sizes.iter().map(sizes_of).collect::<Vec<Value>>(),
        "size_curve": tables.size_curve_json(),
        "stages": tables.stages_json(),
        "structures": located_lines(case, check),
        "as_built": tables.as_built_json(),
        "unsupported": unsupported(stages),
        "at_the_face": at_the_face(check),
        "screen_duty": screen_sentence(case, beside, sizes),
        "screen_duty_rows": tables.screen_duty_json(),
        "scaling": tables.scaling_json(),
        "prisms": tables.prisms_json(),
        "advice": tables.advice_json(),
        "unbolted_ground": unbolted_ground(sizes),
        "pull_tests": pull_tests_json(case, outputs.bond_tests),
        "bolt_origins": bolt_origins_json(case, outputs.bolt_origins),
        "warnings": warnings,
        "not_judged": not_judged_list(case, check),
        "assumptions": assumptions(case),
        "cautions": CAUTIONS,
    });
    if case.site.shaking.is_some() {
        found["shaking"] = tables.shaken_json();
    }
    if case.site.water.is_some() {
        found["water"] = tables.wet_json();
    }
    if case.site.stress.is_some() {
        found["stress"] = tables.stressed_json();
    }
    if acts::is_told(case) {
        found["acts"] = tables.acts_json();
    }
    if outputs.option().is_some() {
        found["option_changes"] = json!(change_list(outputs.changes));
    }
    document(outputs.head(answer, inputs_json(case)), found, csv)
}

/// The rows of the wedges with their corners and the place of the rings.
fn wedges<'a>(rows: &[WedgeRow<'a>], check: &Check) -> Vec<Value> {
    let table = wedge_table();
    let with_corners = |row: &WedgeRow<'a>| {
        let wedge = row.wedge;
        let mut object = table.object(row);
        object.insert("vertices_m".into(), json!(vertices(&wedge.wedge.shape, wedge, &check.opening)));
        if let Some(shape) = wedge.placed_shape().filter(|s| **s != wedge.wedge.shape) {
            object.insert("worst_vertices_m".into(), json!(vertices(shape, wedge, &check.opening)));
        }
        if let Some(piece) = wedge.deciding() {
            let shape = &piece.wedge.shape;
            object.insert("deciding_vertices_m".into(), json!(vertices(shape, &piece, &check.opening)));
        }
        object.insert("ring_shifts_m".into(), json!(wedge.placement().map(|p| &p.shifts_m)));
        object.insert("last_ring_from_face_m".into(), json!(wedge.at_face().map(|p| Number(p.last_ring_m))));
        if let Some(scan) = &wedge.found.at_face {
            object.insert(
                "face_scan".into(),
                json!({
                    "apexes": scan.apexes,
                    "planes": scan.planes,
                    "walked": scan.walked,
                    "uncarried_volume_m3": scan.uncarried.as_ref().map(|p| Number(p.shape.volume_m3)),
                }),
            );
        }
        Value::Object(object)
    };
    rows.iter().map(with_corners).collect()
}

/// The gap wedge and the governing size of one wedge.
fn sizes_of(curve: &SizeCurve) -> Value {
    let volume = |gap: &Option<Gap>| gap.as_ref().map(|g| Number(g.volume_m3));
    let weight = |gap: &Option<Gap>| gap.as_ref().map(|g| Number(g.weight_kn));
    let size = curve.governing_size();
    json!({
        "wedge": curve.wedge,
        "gap_volume_m3": volume(&curve.gap),
        "gap_weight_kn": weight(&curve.gap),
        "pierced_volume_m3": volume(&curve.pierced),
        "pierced_weight_kn": weight(&curve.pierced),
        "unbolted_volume_m3": volume(&curve.unbolted),
        "unbolted_weight_kn": weight(&curve.unbolted),
        "volume_governing_m3": Number(size.volume_m3),
        "fs_governing": Number(size.fs_bolted),
        "smaller_governs": curve.smaller_governs(),
    })
}

/// The corners of a wedge in east, north, up, metres from mid-floor at chainage 0, with its apex
/// at the chainage of its worst placement; one at the face with the face at chainage 0.
fn vertices(shape: &Shape, wedge: &CheckedWedge, opening: &Opening) -> Vec<[Number; 3]> {
    let shift = Vec3::new(0.0, wedge.apex_chainage_m(), 0.0);
    shape
        .vertices()
        .iter()
        .map(|local| {
            let world = opening.frame.to_world(&(local + shift));
            [Number(world.x), Number(world.y), Number(world.z)]
        })
        .collect()
}
