use std::fmt::Write as _;

use super::domains::{borders, extent, file_of, nearest_words};
use super::outputs::SurveyOutputs;
use super::quality::hint_words;
use super::sets::{trace_90, trace_90_words, trace_basis};
use super::words::counted;
use crate::report::paper::numbers::{fixed, shortest};
use crate::survey::{Domain, JointSet, Mapped, NearestSet, Survey};

/// Decimals of angles and significant figures of the rest: what a survey can know, and some.
const ANGLE_DECIMALS: usize = 2;
const FIGURES: usize = 4;
/// Greatest values that a case takes.
const GREATEST_LENGTH_M: f64 = 10_000.0;
const GREATEST_K: f64 = 1e12;
/// Letters of the survey's name that a source quotes; a source has room for 500.
const MOST_NAME: usize = 120;

/// Which sets a fragment holds.
pub(super) struct Fragment<'a> {
    survey: &'a Survey,
    mapped: &'a Mapped,
    /// Where along the drive, in words, where it is a domain's.
    extent: Option<String>,
    /// For each set the nearest one of the domain before.
    nearest: &'a [Option<NearestSet>],
    /// The file that it becomes.
    file: String,
}

impl<'a> Fragment<'a> {
    /// Those of the whole survey.
    pub(super) fn of_all(outputs: &SurveyOutputs<'a>) -> Self {
        Self {
            survey: outputs.survey,
            mapped: outputs.mapped,
            extent: None,
            nearest: &[],
            file: "joint_sets.toml".to_owned(),
        }
    }

    /// Those of a domain.
    pub(super) fn of_domain(domain: &'a Domain, file: &str) -> Self {
        Self {
            survey: &domain.survey,
            mapped: &domain.mapped,
            extent: Some(extent(domain)),
            nearest: &domain.nearest,
            file: file.to_owned(),
        }
    }
}

/// joint_sets.toml: the sets in the form that a case takes in with `joint_sets =`. Only what was
/// measured is in it: the case gives friction to each set.
#[must_use]
pub(super) fn joint_sets_toml(outputs: &SurveyOutputs<'_>, of: &Fragment<'_>) -> String {
    let survey = of.survey;
    let mut file: String = outputs.file_name.chars().take(MOST_NAME).collect();
    if let Some(extent) = &of.extent {
        let _ = write!(file, ", {extent}");
    }
    let mut text = format!(
        "# Joint sets as `backhold map` found them. A case takes them in with\n\
         # joint_sets = {} and gives each set its friction:\n\
         #   [[joint_set]]\n\
         #   name = \"...\"\n\
         #   friction_deg = ...\n",
        quoted_plainly(&of.file)
    );
    if of.extent.is_none() {
        text.push_str(&mixed(outputs));
    }
    key(&mut text, "north", &quoted(outputs.north));
    key(
        &mut text,
        "source",
        &quoted(&format!(
            "{file}: {}, {} rejected",
            counted(survey.readings.len(), "reading", "readings"),
            counted(survey.rejects.len(), "row", "rows")
        )),
    );
    for (at, set) in of.mapped.sets.iter().enumerate() {
        text.push('\n');
        if let Some(nearest) = of.nearest.get(at).and_then(Option::as_ref) {
            let _ = writeln!(text, "# Nearest set of the domain before: {}.", nearest_words(nearest));
        }
        text.push_str("[[joint_set]]\n");
        key(&mut text, "name", &quoted(&set.name));
        key(&mut text, "dip_deg", &angle(set.mean.dip_deg));
        key(&mut text, "dip_direction_deg", &angle(set.mean.dip_direction_deg));
        let length = |value: f64| (value <= GREATEST_LENGTH_M).then(|| figures(value));
        for (name, value) in [
            ("spacing_m", set.spacing.and_then(|s| length(s.mean_m))),
            ("trace_length_m", set.trace_length.and_then(|t| length(t.mean_m))),
            ("fisher_k", set.fisher_k.filter(|&k| k > 0.0 && k <= GREATEST_K).map(figures)),
        ] {
            if let Some(value) = value {
                key(&mut text, name, &value);
            }
        }
        let mut source = source(&file, set, survey.readings.len());
        if let Some(name) = outputs.set_borders_name {
            let name: String = name.chars().take(MOST_NAME).collect();
            let _ = write!(source, "; border by hand, {name}");
        }
        key(&mut text, "source", &quoted(&source));
        suggestion(&mut text, set);
        if let Some((hint, conditions)) = set.friction_hint.zip(outputs.options.hint) {
            let _ = writeln!(text, "# Friction, to be set in the case: {}.", hint_words(hint, conditions));
        }
    }
    text
}

/// A comment on sets of the whole survey, where sets change along the drive.
fn mixed(outputs: &SurveyOutputs<'_>) -> String {
    if !outputs.domains.is_empty() {
        let files: Vec<String> = outputs.domains.iter().filter_map(file_of).collect();
        return format!(
            "# These sets are of the whole survey and mix those of {} domains: a case takes in the file of the domain that\n\
             # its drive lies in ({}).\n",
            outputs.domains.len(),
            files.join(", ")
        );
    }
    let places: Vec<String> = borders(outputs).iter().map(|b| fixed(b.at_m, 1)).collect();
    if places.is_empty() {
        return String::new();
    }
    format!(
        "# The sets change along the drive, at {} m, and these are of the whole survey: `backhold map` with\n\
         # --border found maps each side by itself.\n",
        places.join(", ")
    )
}

/// A file's name of our own between quotation marks.
fn quoted_plainly(name: &str) -> String {
    format!("\"{name}\"")
}

/// A cap on traces is the engineer's to set: what the survey says of it stands there as a comment.
fn suggestion(text: &mut String, set: &JointSet) {
    let Some(suggested_m) = set.long_traces.and_then(|t| t.suggested_max_trace_m()) else { return };
    if suggested_m <= GREATEST_LENGTH_M {
        let why = trace_90(set).map(trace_90_words).unwrap_or_default();
        let hidden = set.long_traces.and_then(|t| Some((t.longest_m, t.longest_ends_hidden()?)));
        if let Some((longest_m, ends)) = hidden {
            let _ = writeln!(
                text,
                "# The longest trace, {} m, ran out of sight at {}: the cap may be too small, and a cap makes wedges smaller.",
                fixed(longest_m, 1),
                if ends == 1 { "one end" } else { "both ends" }
            );
        }
        let _ = writeln!(
            text,
            "# A suggestion, to be set in the case and judged there: {why}.\n# max_trace_m = {}",
            decimal(suggested_m)
        );
    }
}

fn source(file: &str, set: &JointSet, readings: usize) -> String {
    let mut source = format!("{file}: {} of {}", set.readings, counted(readings, "reading", "readings"));
    if let Some(spacing) = set.spacing {
        let _ = write!(source, "; spacing from {}, {} values", spacing.basis.words(), spacing.values);
    }
    if let Some(trace) = set.trace_length {
        let _ = write!(source, "; trace length {}, {} values", trace_basis(trace.corrected), trace.values);
    }
    source
}

fn key(text: &mut String, name: &str, value: &str) {
    let _ = writeln!(text, "{name} = {value}");
}

pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

pub(super) fn angle(degrees: f64) -> String {
    decimal(format!("{degrees:.ANGLE_DECIMALS$}").parse().unwrap_or(degrees))
}

fn figures(value: f64) -> String {
    decimal(format!("{value:.*e}", FIGURES - 1).parse().unwrap_or(value))
}

/// Written as a fraction, never as a whole number: the reader sees that it is measured.
pub(super) fn decimal(value: f64) -> String {
    let text = shortest(value);
    if text.contains('.') { text } else { text + ".0" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_rounded_to_what_they_are_worth() {
        assert_eq!(angle(42.0), "42.0");
        assert_eq!(angle(7.12789), "7.13");
        assert_eq!(figures(0.000_412_345), "0.0004123");
        assert_eq!(figures(51.239_9), "51.24");
        assert_eq!(figures(123_456.0), "123500.0");
        assert_eq!(quoted("a \"b\" \\ c"), r#"'a "b" \ c'"#);
    }
}
