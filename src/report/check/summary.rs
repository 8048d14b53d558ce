use serde::Serialize;
use serde_json::{Map, Value, json};

use super::rows::{BoltDemandRow, BoltRow, SizeRow, StageTableRow, WedgeRow};
use super::sign_off::{SignOff, tables_json};
use crate::case::Case;
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::report::check::sizes::words::unbolted_ground;
use crate::report::check::stages::words::{at_the_face, unsupported};
use crate::report::check::surface::rows::{AdviceListRow, PrismRow, ScalingListRow, ScreenDutyRow};
use crate::report::paper::numbers::Number;
use crate::report::words::{ASSUMPTIONS, CAUTIONS, NOT_COVERED, not_judged_of};
use crate::study::{Check, CheckedWedge, Gap, SizeCurve, Stages};
use crate::wedge::Shape;

/// All that a check found, as it goes into summary.json.
#[derive(Debug, Clone)]
pub struct Summary<'a> {
    /// The answer line.
    pub answer: &'a str,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
    /// The case as it was worked with.
    pub inputs: &'a Value,
    /// What was made of the scan that the section was cut from; null where there was none.
    pub scan: &'a Value,
    /// The check.
    pub check: &'a Check,
    /// Notes on the case file.
    pub notes: &'a [String],
    /// Its rows.
    pub wedges: &'a [WedgeRow],
    /// Demand.
    pub bolt_demand: &'a [BoltDemandRow],
    /// Bolts at the worst placements.
    pub bolts: &'a [BoltRow],
    /// What was found over all sizes.
    pub sizes: &'a [SizeCurve],
    /// The same as rows.
    pub size_curve: &'a [SizeRow],
    /// What stands at each stage of the cycle.
    pub stages: &'a Stages,
    /// The same as rows.
    pub stage_rows: &'a [StageTableRow],
    /// Who signs, and the files that the case was read from.
    pub sign_off: &'a SignOff<'a>,
    /// The tables as they are written, under their names.
    pub tables: &'a [(&'a str, String)],
    /// What pull tests say.
    pub pull_tests: &'a Value,
    /// How each bolt came to its numbers.
    pub bolt_origins: &'a Value,
    /// The case.
    pub case: &'a Case,
    /// What the screen must hold, in one sentence.
    pub screen_sentence: Option<String>,
    /// Rows of screen_duty.csv.
    pub screen_duty: &'a [ScreenDutyRow],
    /// Rows of scaling.csv.
    pub scaling: &'a [ScalingListRow],
    /// Rows of prisms.csv.
    pub prisms: &'a [PrismRow],
    /// Rows of advice.csv.
    pub advice: &'a [AdviceListRow],
    /// What is said of the wedges that use structures.
    pub structures: Vec<String>,
    /// A stretch as designed and as built; null where there is none.
    pub as_built: Value,
}

/// summary.json: keys in a fixed order, so that the same input gives the same bytes.
///
/// # Errors
/// When a row does not serialise, which no input can cause.
pub fn summary_json(summary: &Summary) -> Result<String, serde_json::Error> {
    let mut wedges = Vec::new();
    for (row, wedge) in summary.wedges.iter().zip(summary.check.every()) {
        let mut object = object(row)?;
        object.insert("vertices_m".into(), json!(vertices(&wedge.shape, wedge, &summary.check.opening)));
        if let Some(shape) = wedge.placed_shape.as_ref().filter(|s| **s != wedge.shape) {
            object.insert("worst_vertices_m".into(), json!(vertices(shape, wedge, &summary.check.opening)));
        }
        object.insert("ring_shifts_m".into(), json!(wedge.placement.as_ref().map(|p| &p.shifts_m)));
        object.insert(
            "last_ring_from_face_m".into(),
            json!(wedge.at_face.as_ref().map(|p| Number(p.last_ring_m))),
        );
        wedges.push(Value::Object(object));
    }
    let warnings: Vec<String> =
        summary.notes.iter().cloned().chain(summary.check.warnings.iter().map(ToString::to_string)).collect();
    let document = json!({
        "answer": summary.answer,
        "backhold_version": env!("CARGO_PKG_VERSION"),
        "dated": summary.dated,
        "sign_off": summary.sign_off.names_json(),
        "inputs_sha256": summary.sign_off.inputs_sha256(),
        "inputs": summary.inputs,
        "scan": summary.scan,
        "wedges": wedges,
        "left_out_below_1_litre": summary.check.left_out,
        "bolt_demand": rows(summary.bolt_demand)?,
        "bolts": rows(summary.bolts)?,
        "sizes": summary.sizes.iter().map(sizes).collect::<Vec<Value>>(),
        "size_curve": rows(summary.size_curve)?,
        "stages": rows(summary.stage_rows)?,
        "structures": summary.structures,
        "as_built": summary.as_built,
        "unsupported": unsupported(summary.stages),
        "at_the_face": at_the_face(summary.check),
        "screen_duty": summary.screen_sentence,
        "screen_duty_rows": rows(summary.screen_duty)?,
        "scaling": rows(summary.scaling)?,
        "prisms": rows(summary.prisms)?,
        "advice": rows(summary.advice)?,
        "unbolted_ground": unbolted_ground(summary.sizes),
        "pull_tests": summary.pull_tests,
        "bolt_origins": summary.bolt_origins,
        "warnings": warnings,
        "not_judged": not_judged_of(summary.case),
        "not_covered": NOT_COVERED,
        "assumptions": ASSUMPTIONS,
        "cautions": CAUTIONS,
        "tables_sha256": tables_json(summary.tables),
        "read_from": summary.sign_off.files_json(),
    });
    let mut text = serde_json::to_string_pretty(&document)?;
    text.push('\n');
    Ok(text)
}

/// The gap wedge and the governing size of one wedge.
fn sizes(curve: &SizeCurve) -> Value {
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

fn object(row: &impl Serialize) -> Result<Map<String, Value>, serde_json::Error> {
    Ok(match serde_json::to_value(row)? {
        Value::Object(map) => map,
        other => Map::from_iter([("value".to_owned(), other)]),
    })
}

fn rows(rows: &[impl Serialize]) -> Result<Vec<Value>, serde_json::Error> {
    rows.iter().map(serde_json::to_value).collect()
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
