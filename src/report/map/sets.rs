//! The sets: sets.csv, the page's table and the terminal's.

use super::outputs::SurveyOutputs;
use super::words::counted;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::fixed;
use crate::report::paper::table::{Grid, Table};
use crate::survey::{Form, JointSet, Trace90};

/// Which weights the columns rest on: two that look alike and are not.
const WEIGHTS: &str = "Weighted: the sum of the Terzaghi weights of single readings, each by its own plane and up to \
the cap. Spacing that is counted along lines rests on another weight: the exposure of the whole set to each line, \
averaged over its scatter and without a cap. So the one is not the other's inverse.";

/// What the 90 % trace is.
const LONG_TRACES: &str = "Nine in ten below: survival estimate after Laslett (1982), by the better of an exponential and \
a lognormal law. It holds for traces that follow one of them; the interval does not know whether they do.";

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
        .column("longest_trace_m", |s| s.long_traces.map(|t| t.longest_m).into())
        .on_page("longest seen m", Fixed(1))
        .on_terminal("longest m", Fixed(1))
        .column("longest_trace_ends_seen", |s| {
            s.long_traces.and_then(|t| t.longest_ends_seen).map(usize::from).into()
        })
        .column("trace_90_m", |s| trace_90(s).map(|t| t.length_m).into())
        .on_page("9 in 10 below m", Fixed(1))
        .on_terminal("9 in 10 m", Fixed(1))
        .column("trace_90_low_m", |s| trace_90(s).and_then(|t| t.interval_m).map(|i| i[0]).into())
        .column("trace_90_high_m", |s| trace_90(s).and_then(|t| t.interval_m).map(|i| i[1]).into())
        .column("trace_90_law", |s| trace_90(s).map(|t| t.law.word()).into())
        .column("trace_90_values", |s| trace_90(s).map(|t| t.values).into())
        .column("max_trace_suggested_m", |s| s.long_traces.and_then(|t| t.suggested_max_trace_m()).into())
        .column("traces_both_ends_seen", |s| s.long_traces.map(|t| t.ends.both).into())
        .column("traces_one_end_seen", |s| s.long_traces.map(|t| t.ends.one).into())
        .column("traces_no_end_seen", |s| s.long_traces.map(|t| t.ends.none).into())
        .column("ends_in_rock", |s| s.long_traces.map(|t| t.terminations.rock).into())
        .column("ends_at_joint", |s| s.long_traces.map(|t| t.terminations.joint).into())
        .column("ends_hidden", |s| s.long_traces.map(|t| t.terminations.hidden).into())
        .column("persistence_isrm", |s| s.persistence_word().into())
        .on_page("ISRM", Words)
        .column("jrc", |s| s.jrc.into())
        .on_page("JRC", Fixed(1))
        .on_terminal("JRC", Fixed(1))
}

const ON_PAGE: [&str; 16] = [
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
    "longest_trace_m",
    "trace_90_m",
    "jrc",
];

const ON_TERMINAL: [&str; 12] = [
    "set",
    "readings",
    "dip_deg",
    "dip_direction_deg",
    "fisher_k",
    "cone_95_deg",
    "form",
    "spacing_m",
    "trace_length_m",
    "longest_trace_m",
    "trace_90_m",
    "jrc",
];

/// The 90 % trace of a set that has one.
pub(super) fn trace_90(set: &JointSet) -> Option<Trace90> {
    set.long_traces?.trace_90
}

/// How a 90 % trace was found and what it may be off by, in words.
pub(super) fn trace_90_words(trace: Trace90) -> String {
    let interval = trace.interval_m.map_or_else(
        || "no interval could be found".to_owned(),
        |[low, high]| format!("95 % interval {} to {} m", fixed(low, 1), fixed(high, 1)),
    );
    format!(
        "nine in ten traces are shorter than {} m ({interval}; {} law, {} traces, corrected for hidden ends and for \
         the better chance of long ones)",
        fixed(trace.length_m, 1),
        trace.law.word(),
        trace.values
    )
}

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
    body.heading(if outputs.domains.is_empty() { "Sets" } else { "Sets of the whole survey, mixed" });
    body.table(&set_table().page(&ON_PAGE, &outputs.mapped.sets));
    let mut notes = vec![
        "Mean plane: principal axis of the weighted orientation tensor. K and cone: Fisher (1953). \
         K, 95 %: bootstrap. Form: Woodcock (1977). Words: ISRM (1978). An empty cell was not measured."
            .to_owned(),
        WEIGHTS.to_owned(),
        LONG_TRACES.to_owned(),
    ];
    for set in &outputs.mapped.sets {
        let mut parts = Vec::new();
        if let Some(spacing) = set.spacing {
            parts.push(format!("spacing {}, {} values", spacing.basis.words(), spacing.values));
        }
        if let Some(trace) = set.trace_length {
            parts.push(format!("trace length {}, {} values", trace_basis(trace.corrected), trace.values));
        }
        if let Some(long) = set.long_traces {
            let ends = match long.longest_ends_seen {
                Some(0) => ", no end of it",
                Some(1) => ", one end of it",
                Some(_) => ", both its ends",
                None => ", its ends not recorded",
            };
            parts.push(format!("longest trace seen {} m{ends}", fixed(long.longest_m, 1)));
            parts.extend(long.trace_90.map(trace_90_words));
            parts.extend(long.suggested_max_trace_m().map(|m| {
                format!("a suggestion for max_trace_m until the engineer sets it: {} m", fixed(m, 1))
            }));
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
