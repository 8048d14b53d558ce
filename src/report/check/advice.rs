//! Advisory rules from print: advice.csv and the page's table.

use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::AdviceRow;

/// The columns; the README says what each means.
pub(super) fn advice_table() -> Table<AdviceRow> {
    use Format::{Fixed, Words};
    Table::<AdviceRow>::new()
        .column("about", |r| (&r.about).into())
        .on_page("about", Words)
        .column("rule", |r| (&r.rule).into())
        .on_page("advised", Words)
        .column("found_m", |r| r.found_m.into())
        .on_page("found m", Fixed(2))
        .column("advised_m", |r| r.advised_m.into())
        .on_page("advised m", Fixed(2))
        .column("as_advised", |r| Cell::Flag(r.is_as_advised))
        .on_page("as advised", Words)
        .column("source", |r| r.source.into())
        .on_page("source", Words)
}

/// The page's section; nothing where nothing is advised.
pub(super) fn section(body: &mut Html, advice: &[AdviceRow]) {
    if advice.is_empty() {
        return;
    }
    body.heading("Advice from print");
    body.table(&advice_table().page_of_all(advice));
    body.paragraph("Rules of thumb that others printed, for comparison. They decide nothing here.");
}
