//! summary.json of a survey.

use serde_json::{Map, Value, json};

use super::domains::{border_table, borders};
use super::lines::{line_table, lines_in_files};
use super::outputs::SurveyOutputs;
use super::quality::{quantity_rows, quantity_table, word_rows, word_table};
use super::rejects::reject_table;
use super::sets::set_table;
use super::structures::structure_table;
use super::triples::{triple_rows, triple_table};
use crate::report::record::{Head, summary_json};

/// summary.json: the answer, what was asked, every table but readings.csv, which is there by its hash, and the
/// files that it was made from; `csv` are the tables as they are written.
///
/// # Errors
/// Where the document cannot be written, which no input can cause.
pub(super) fn summary(
    outputs: &SurveyOutputs<'_>,
    csv: &[(&str, String)],
) -> Result<String, serde_json::Error> {
    let (survey, mapped) = (outputs.survey, outputs.mapped);
    let mut found = Map::new();
    let mut put = |key: &str, value: Value| found.insert(key.to_owned(), value);
    put("sets", set_table().json(&mapped.sets));
    put("triples", triple_table().json(&triple_rows(mapped)));
    put("lines", line_table().json(&lines_in_files(survey, mapped)));
    put("domains", border_table().json(borders(outputs)));
    put("structures", structure_table().json(&survey.structures));
    if !mapped.quality.is_empty() {
        put("quality", quantity_table().json(&quantity_rows(mapped)));
        put("quality_words", word_table().json(&word_rows(mapped)));
    }
    put("rejects", reject_table().json(&survey.rejects));
    let warnings = survey.warnings.iter().chain(&mapped.warnings).map(ToString::to_string);
    put("warnings", json!(warnings.collect::<Vec<_>>()));
    let inputs = json!({
        "survey": outputs.file_name,
        "lines": outputs.lines_name,
        "set_borders": outputs.set_borders_name,
        "north": outputs.north,
        "declination_deg": survey.north.declination_deg,
        "convergence_deg": survey.north.convergence_deg,
        "rows": survey.rows,
        "readings": survey.readings.len(),
        "readings_in_no_set": mapped.classes.iter().filter(|class| class.set.is_none()).count(),
        "rejects": survey.rejects.len(),
        "structures": survey.structures.len(),
        "left_out": survey.left_out.len(),
        "max_weight": outputs.options.max_weight,
        "seed": outputs.options.mixture.seed,
    });
    let head = Head {
        answer: &outputs.answer(),
        asked: outputs.asked,
        dated: outputs.dated,
        sign_off: &outputs.sign_off,
        inputs,
    };
    summary_json(head, Value::Object(found), csv)
}
