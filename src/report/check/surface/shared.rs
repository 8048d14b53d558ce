//! Bolts and surface support together, on the page: it decides nothing.

use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::SharedFs;

fn table() -> Table<SharedFs> {
    use Format::{Factor, Kn, Words};
    Table::<SharedFs>::new()
        .only_shown("wedge", |r| (&r.wedge).into())
        .on_page("wedge", Words)
        .only_shown("capacity_kn", |r| r.capacity_kn.into())
        .on_page("surface support adds kN", Kn)
        .only_shown("fs", |r| r.fs.into())
        .on_page("FS with it", Factor)
}

/// The page's section; nothing where no surface support helps a wedge.
pub(crate) fn section(body: &mut Html, shared: &[SharedFs]) {
    if shared.is_empty() {
        return;
    }
    body.heading("Bolts with surface support");
    body.table(&table().page_of_all(shared));
    body.paragraph("Added once, however many bays a wedge spans, whole and against its movement, where it covers all of its face. It decides nothing: verdicts rest on bolts alone.");
}
