//! What a person should look at: warnings.csv, the page's list and the terminal's.

use super::words::sentence;
use crate::report::paper::html::Html;
use crate::report::paper::table::{Table, TableError};
use crate::survey::{Mapped, Survey, Warning};

/// Warnings that the page lists; all of them are in the table.
const MOST_WARNINGS: usize = 200;
/// Notes that the terminal prints; all of them are in the table.
const MOST_NOTES: usize = 8;

/// warnings.csv: those of the reading, then those about sets.
///
/// # Errors
/// [`TableError`] where the table cannot be written, which no input can cause.
pub(super) fn warnings_csv(survey: &Survey, mapped: &Mapped) -> Result<String, TableError> {
    let rows: Vec<&Warning> = survey.warnings.iter().chain(&mapped.warnings).collect();
    Table::<&Warning>::new().column("warning", |w| w.to_string().into()).csv(&rows)
}

/// Those about sets, then those of the reading: what people read first.
fn for_people<'a>(survey: &'a Survey, mapped: &'a Mapped) -> Vec<&'a Warning> {
    mapped.warnings.iter().chain(&survey.warnings).collect()
}

/// The page's section.
pub(super) fn section(body: &mut Html, survey: &Survey, mapped: &Mapped) {
    body.heading("Warnings");
    let all = for_people(survey, mapped);
    if all.is_empty() {
        body.paragraph("None.");
    }
    let more = (all.len() > MOST_WARNINGS)
        .then(|| format!("And {} more, in warnings.csv.", all.len() - MOST_WARNINGS));
    body.list(all.into_iter().take(MOST_WARNINGS).map(sentence).chain(more));
}

/// The terminal's notes.
pub(super) fn notes(survey: &Survey, mapped: &Mapped) -> Vec<String> {
    let all = for_people(survey, mapped);
    let mut notes: Vec<String> =
        all.iter().take(MOST_NOTES).map(|w| format!("Note: {}", sentence(w))).collect();
    if all.len() > MOST_NOTES {
        notes.push(format!("And {} notes more, in warnings.csv.", all.len() - MOST_NOTES));
    }
    notes
}
