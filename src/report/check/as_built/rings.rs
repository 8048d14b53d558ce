//! A stretch ring by ring: as_built.csv and the page's table.

use crate::report::check::cells::marked;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::{RingRow, RingWorst, Verdict};

fn wedge(worst: &Option<RingWorst>) -> Option<&str> {
    worst.as_ref().map(|w| w.wedge.as_str())
}

fn fs(worst: &Option<RingWorst>) -> Option<f64> {
    worst.as_ref().map(|w| w.fs)
}

fn verdict(worst: &Option<RingWorst>) -> Option<Verdict> {
    worst.as_ref().map(RingWorst::verdict)
}

/// The columns; the README says what each means.
pub(crate) fn ring_table() -> Table<RingRow> {
    use Format::{Factor, Fixed, Whole, Words};
    Table::<RingRow>::new()
        .column("pattern", |r| (r.pattern + 1).into())
        .on_page("pattern", Whole)
        .column("ring", |r| r.ring.into())
        .on_page("ring", Whole)
        .column("chainage_m", |r| Cell::metres(r.chainage_m))
        .on_page("chainage m", Fixed(2))
        .column("bolts_designed", |r| r.designed.into())
        .on_page("drawn", Whole)
        .column("found", |r| r.found.into())
        .on_page("found", Whole)
        .column("missing", |r| r.missing.into())
        .on_page("missing", Whole)
        .column("off_place", |r| r.off_place.into())
        .on_page("off place", Whole)
        .column("not_good", |r| r.not_good.into())
        .on_page("not good", Whole)
        .column("extra", |r| r.extra.into())
        .on_page("extra", Whole)
        .column("wedge_as_designed", |r| wedge(&r.as_designed).into())
        .on_page("worst as designed", Words)
        .column("fs_as_designed", |r| fs(&r.as_designed).into())
        .on_page("FS", Factor)
        .column("verdict_as_designed", |r| verdict(&r.as_designed).map(Verdict::name).into())
        .column("wedge_as_built", |r| wedge(&r.as_built).into())
        .on_page("worst as built", Words)
        .column("fs_as_built", |r| fs(&r.as_built).into())
        .on_page("FS", Factor)
        .column("verdict_as_built", |r| verdict(&r.as_built).map(Verdict::name).into())
        .on_page_as("as built", Words, |r| verdict(&r.as_built).map(marked).into())
}

/// The page's table; nothing without rings.
pub(super) fn section(body: &mut Html, rings: &[RingRow]) {
    if !rings.is_empty() {
        body.open_details(&format!("{} rings", rings.len()), |body| {
            body.table(&ring_table().page_of_all(rings));
        });
    }
}
