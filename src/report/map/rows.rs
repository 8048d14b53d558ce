//! Rows of the tables; the names of the fields are the columns.

use serde::Serialize;

use crate::report::paper::numbers::Number;
use crate::survey::{Mapped, Survey};

/// A row of sets.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)] // the columns are described in the README
pub struct SetRow {
    pub set: String,
    pub readings: usize,
    pub dip_deg: Number,
    pub dip_direction_deg: Number,
    pub fisher_k: Option<Number>,
    pub cone_95_deg: Option<Number>,
    pub spacing_m: Option<Number>,
    pub trace_length_m: Option<Number>,
    pub weighted_count: Number,
    pub expected_count: Number,
    pub form: Option<String>,
    pub bootstrap_mean_95_deg: Option<Number>,
    pub bootstrap_k_low: Option<Number>,
    pub bootstrap_k_high: Option<Number>,
    pub spacing_basis: Option<String>,
    pub spacing_values: Option<usize>,
    pub spacing_isrm: Option<String>,
    pub frequency_per_m: Option<Number>,
    pub trace_length_basis: Option<String>,
    pub trace_length_values: Option<usize>,
    pub persistence_isrm: Option<String>,
    pub jrc: Option<Number>,
}

/// A row of triples.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct TripleRow {
    pub sets: String,
    pub meeting_probability: Number,
    pub block_volume_m3: Number,
}

/// A row of lines.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct LineRow {
    pub line: String,
    pub readings: usize,
    pub length_m: Option<Number>,
    pub frequency_per_m: Number,
    pub rqd_estimate_percent: Number,
}

/// A row of warnings.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct WarningRow {
    pub warning: String,
}

/// The rows of sets.csv.
#[must_use]
pub fn set_rows(mapped: &Mapped) -> Vec<SetRow> {
    mapped
        .sets
        .iter()
        .map(|set| SetRow {
            set: set.name.clone(),
            readings: set.readings,
            dip_deg: set.mean.dip_deg.into(),
            dip_direction_deg: set.mean.dip_direction_deg.into(),
            fisher_k: set.fisher_k.map(Number),
            cone_95_deg: set.cone_95_deg.map(Number),
            spacing_m: set.spacing.map(|s| s.mean_m.into()),
            trace_length_m: set.trace_length.map(|t| t.mean_m.into()),
            weighted_count: set.weighted_count.into(),
            expected_count: set.expected_count.into(),
            form: set.form.map(|form| form.word().to_owned()),
            bootstrap_mean_95_deg: set.spread.map(|s| s.mean_95_deg.into()),
            bootstrap_k_low: set.spread.map(|s| s.k_95[0].into()),
            bootstrap_k_high: set.spread.map(|s| s.k_95[1].into()),
            spacing_basis: set.spacing.map(|s| s.basis.words().to_owned()),
            spacing_values: set.spacing.map(|s| s.values),
            spacing_isrm: set.spacing_word().map(str::to_owned),
            frequency_per_m: set.frequency_per_m().map(Number),
            trace_length_basis: set.trace_length.map(|t| trace_basis(t.corrected).to_owned()),
            trace_length_values: set.trace_length.map(|t| t.values),
            persistence_isrm: set.persistence_word().map(str::to_owned),
            jrc: set.jrc.map(Number),
        })
        .collect()
}

/// What a mean trace length was made from.
pub(super) fn trace_basis(corrected: bool) -> &'static str {
    if corrected { "corrected in windows" } else { "plain mean of what was seen" }
}

/// The names of a triple's sets, joined by `|`.
pub(super) fn triple_names(mapped: &Mapped, sets: [usize; 3], between: &str) -> String {
    sets.map(|at| mapped.sets[at].name.as_str()).join(between)
}

/// The rows of triples.csv, likeliest first.
#[must_use]
pub fn triple_rows(mapped: &Mapped) -> Vec<TripleRow> {
    mapped
        .triples
        .iter()
        .map(|triple| TripleRow {
            sets: triple_names(mapped, triple.sets, "|"),
            meeting_probability: triple.probability.into(),
            block_volume_m3: triple.volume_m3.into(),
        })
        .collect()
}

/// The rows of lines.csv: scanlines and holes of known length.
#[must_use]
pub fn line_rows(survey: &Survey, mapped: &Mapped) -> Vec<LineRow> {
    mapped
        .lines
        .iter()
        .map(|line| LineRow {
            line: survey.lines[line.line].id.clone(),
            readings: line.readings,
            length_m: survey.lines[line.line].length_m.map(Number),
            frequency_per_m: line.frequency_per_m.into(),
            rqd_estimate_percent: line.rqd_percent.into(),
        })
        .collect()
}

/// The rows of warnings.csv: those of the reading, then those about sets.
#[must_use]
pub fn warning_rows(survey: &Survey, mapped: &Mapped) -> Vec<WarningRow> {
    survey
        .warnings
        .iter()
        .chain(&mapped.warnings)
        .map(|warning| WarningRow { warning: warning.to_string() })
        .collect()
}
