//! The rows that were rejected: rejects.csv and the page's table.

use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::survey::Reject;

/// Rejects that the page lists; all of them are in the table.
const MOST_REJECTS: usize = 100;

/// The columns; the row is as it stood.
pub(super) fn reject_table() -> Table<Reject> {
    use Format::{Whole, Words};
    Table::<Reject>::new()
        .column("line_number", |r| r.line_number.into())
        .on_page("line", Whole)
        .column("reason", |r| (&r.reason).into())
        .on_page("reason", Words)
        .column("row", |r| (&r.row).into())
        .on_page("row as it stood", Words)
}

/// The page's section.
pub(super) fn section(body: &mut Html, rejects: &[Reject]) {
    body.heading("Rows that were rejected");
    if rejects.is_empty() {
        body.paragraph("None.");
        return;
    }
    body.table(&reject_table().page_of_all(rejects.iter().take(MOST_REJECTS)));
    if rejects.len() > MOST_REJECTS {
        body.paragraph(&format!("And {} more, in rejects.csv.", rejects.len() - MOST_REJECTS));
    }
}
