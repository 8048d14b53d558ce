//! The sets: sets.csv, the page's table and the terminal's.

use super::outputs::SurveyOutputs;
use super::words::counted;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::fixed;
use crate::report::paper::table::{Grid, Table};
use crate::survey::{Form, JointSet};

/// Which weights the columns rest on: two that look alike and are not.
const WEIGHTS: &str = "Weighted: the sum of the Terzaghi weights of single readings, each by its own plane and up to \
the cap. Spacing that is counted along lines rests on another weight: the exposure of the whole set to each line, \
averaged over its scatter and without a cap. So the one is not the other's inverse.";

/// What a mean trace length was made from.
pub(super) fn trace_basis(corrected: bool) -> &'static str {
    if corrected { "corrected in windows" } else { "plain mean of what was seen" }
}

/// The columns; the README says what each means.
pub(super) fn set_table() -> Table<JointSet> {
    use Format::{Fixed, Whole, Words};
    Table::<JointSet>::new()
        .column("set", |s| (&s.name).into())
        .on_page("set", Words)
        .on_terminal("set", Words)
        .column("readings", |s| s.readings.into())
        .on_page("readings", Whole)
        .on_terminal("readings", Whole)
        .column("dip_deg", |s| s.mean.dip_deg.into())
        .on_page("dip °", Fixed(1))
        .on_terminal("dip", Fixed(1))
        .column("dip_direction_deg", |s| s.mean.dip_direction_deg.into())
        .on_page("dip direction °", Fixed(1))
        .on_terminal("dip dir", Fixed(1))
        .column("fisher_k", |s| s.fisher_k.into())
        .on_page("K", Fixed(1))
        .on_terminal("K", Fixed(1))
        .column("cone_95_deg", |s| s.cone_95_deg.into())
        .on_page("95 % cone °", Fixed(1))
        .on_terminal("95 % cone", Fixed(1))
        .column("spacing_m", |s| s.spacing.map(|s| s.mean_m).into())
        .on_page("spacing m", Fixed(2))
        .on_terminal("spacing m", Fixed(2))
        .column("trace_length_m", |s| s.trace_length.map(|t| t.mean_m).into())
        .on_page("trace m", Fixed(2))
        .on_terminal("trace m", Fixed(2))
        .column("weighted_count", |s| s.weighted_count.into())
        .on_page("weighted", Fixed(1))
        .column("expected_count", |s| s.expected_count.into())
        .column("form", |s| s.form.map(Form::word).into())
        .on_page("form", Words)
        .on_terminal("form", Words)
        .column("bootstrap_mean_95_deg", |s| s.spread.map(|s| s.mean_95_deg).into())
        .column("bootstrap_k_low", |s| s.spread.map(|s| s.k_95[0]).into())
        .column("bootstrap_k_high", |s| s.spread.map(|s| s.k_95[1]).into())
        .only_shown("bootstrap_k", |s| bootstrap_k(s).into())
        .on_page("K, 95 %", Whole)
        .column("spacing_basis", |s| s.spacing.map(|s| s.basis.words()).into())
        .column("spacing_values", |s| s.spacing.map(|s| s.values).into())
        .column("spacing_rejects", |s| s.spacing.map(|s| s.rejects).into())
        .column("spacing_isrm", |s| s.spacing_word().into())
        .on_page("ISRM", Words)
        .column("frequency_per_m", |s| s.frequency_per_m().into())
        .column("trace_length_basis", |s| s.trace_length.map(|t| trace_basis(t.corrected)).into())
        .column("trace_length_values", |s| s.trace_length.map(|t| t.values).into())
        .column("persistence_isrm", |s| s.persistence_word().into())
        .on_page("ISRM", Words)
        .column("jrc", |s| s.jrc.into())
        .on_page("JRC", Fixed(1))
        .on_terminal("JRC", Fixed(1))
}

const ON_PAGE: [&str; 14] = [
    "set",
    "readings",
    "weighted_count",
    "dip_deg",
    "dip_direction_deg",
    "fisher_k",
    "bootstrap_k",
    "cone_95_deg",
    "form",
    "spacing_m",
    "spacing_isrm",
    "trace_length_m",
    "persistence_isrm",
    "jrc",
];

const ON_TERMINAL: [&str; 10] = [
    "set",
    "readings",
    "dip_deg",
    "dip_direction_deg",
    "fisher_k",
    "cone_95_deg",
    "form",
    "spacing_m",
    "trace_length_m",
    "jrc",
];

/// From the low to the high end of K.
fn bootstrap_k(set: &JointSet) -> Option<String> {
    set.spread.map(|s| format!("{}–{}", fixed(s.k_95[0], 0), fixed(s.k_95[1], 0)))
}

/// The terminal's table; `None` without sets.
pub(super) fn on_terminal(sets: &[JointSet]) -> Option<Grid> {
    (!sets.is_empty()).then(|| set_table().terminal(&ON_TERMINAL, sets))
}

/// The page's section.
pub(super) fn section(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    body.heading("Sets");
    body.table(&set_table().page(&ON_PAGE, &outputs.mapped.sets));
    let mut notes = vec![
        "Mean plane: principal axis of the weighted orientation tensor. K and cone: Fisher (1953). \
         K, 95 %: bootstrap. Form: Woodcock (1977). Words: ISRM (1978). An empty cell was not measured."
            .to_owned(),
        WEIGHTS.to_owned(),
    ];
    for set in &outputs.mapped.sets {
        let mut parts = Vec::new();
        if let Some(spacing) = set.spacing {
            parts.push(format!("spacing {}, {} values", spacing.basis.words(), spacing.values));
        }
        if let Some(trace) = set.trace_length {
            parts.push(format!("trace length {}, {} values", trace_basis(trace.corrected), trace.values));
        }
        if !parts.is_empty() {
            notes.push(format!("{}: {}.", set.name, parts.join("; ")));
        }
    }
    if let Some((count, sets)) = outputs.mapped.volumetric_count_per_m3 {
        notes.push(format!(
            "Volumetric joint count: {} joints per m³ from {}.",
            fixed(count, 1),
            counted(sets, "set", "sets")
        ));
    }
    body.list(notes.into_iter());
}
