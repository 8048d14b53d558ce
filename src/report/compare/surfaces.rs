//! Options surface by surface, on the page.

use super::options::OptionRow;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::SurfaceFs;

/// A row of the table.
#[derive(Debug, Clone, Copy)]
struct SurfaceRow<'a> {
    number: usize,
    on: &'a SurfaceFs,
}

fn table<'a>() -> Table<SurfaceRow<'a>> {
    use Format::{Factor, Fixed, Whole, Words};
    Table::<SurfaceRow<'a>>::new()
        .only_shown("number", |r| r.number.into())
        .on_page("no.", Whole)
        .only_shown("surface", |r| r.on.surface.name().into())
        .on_page("surface", Words)
        .only_shown("wedge", |r| (&r.on.wedge).into())
        .on_page("wedge", Words)
        .only_shown("least_fs", |r| r.on.least_fs.into())
        .on_page("least FS", Factor)
        .only_shown("median_fs", |r| r.on.median_fs.into())
        .on_page("median of its placements", Factor)
        .only_shown("use_of_capacity", |r| r.on.use_of_capacity.into())
        .on_page("force needed over provided", Fixed(2))
}

/// The page's section.
pub(super) fn section(body: &mut Html, options: &[OptionRow<'_>]) {
    body.heading("Factors of safety by surface");
    let rows: Vec<SurfaceRow<'_>> = options
        .iter()
        .flat_map(|row| row.option.surfaces.iter().map(|on| SurfaceRow { number: row.number, on }))
        .collect();
    body.table(&table().page_of_all(&rows));
}
