//! The wedges of a stretch as designed and as built: as_built_wedges.csv and the page's table.

use crate::report::check::cells::marked;
use crate::report::paper::cell::Format;
use crate::report::paper::table::Table;
use crate::study::{AsBuiltWedge, DecidedBy};

/// How the verdict changed: `none`, or `held to short`.
fn change(wedge: &AsBuiltWedge) -> String {
    let (drawn, built) = (wedge.designed_verdict(), wedge.as_built_verdict());
    if drawn == built { "none".to_owned() } else { format!("{} to {}", drawn.name(), built.name()) }
}

/// The columns; the README says what each means.
pub(crate) fn as_built_wedge_table() -> Table<AsBuiltWedge> {
    use Format::{Factor, Fixed, Volume, Whole, Words};
    Table::<AsBuiltWedge>::new()
        .column("wedge", |r| (&r.wedge).into())
        .on_page("wedge", Words)
        .column("criterion", |r| r.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .column("fs_as_designed", |r| r.by_design.fs.into())
        .on_page("FS", Factor)
        .column("verdict_as_designed", |r| r.designed_verdict().name().into())
        .on_page_as("as designed", Words, |r| marked(r.designed_verdict()).into())
        .column("fs_as_built", |r| r.found.decided.fs.into())
        .on_page("FS", Factor)
        .column("decided_by_as_built", |r| r.found.decided.by.map(DecidedBy::name).into())
        .on_page("by", Words)
        .column("deciding_volume_as_built_m3", |r| r.found.decided.volume_m3.into())
        .on_page("of m³", Volume)
        .column("apex_chainage_as_built_m", |r| r.apex_m().into())
        .on_page("apex at chainage m", Fixed(2))
        .column("bolts_as_built", |r| r.found.piece.as_ref().map(|p| p.serving.len()).into())
        .on_page("bolts", Whole)
        .column("verdict_as_built", |r| r.as_built_verdict().name().into())
        .on_page_as("as built", Words, |r| marked(r.as_built_verdict()).into())
        .column("change", |r| change(r).into())
        .on_page("changed", Words)
        .column("fs_before", |r| r.before.as_ref().and_then(|before| before.fs).into())
        .column("verdict_before", |r| r.before.as_ref().map(|before| before.verdict.name()).into())
        .column("fs_largest_as_designed", |r| r.designed.as_ref().map(|p| p.least_fs).into())
        .column("fs_largest_as_built", |r| r.as_built.as_ref().map(|p| p.least_fs).into())
        .column("apex_chainage_largest_as_built_m", |r| r.as_built.as_ref().map(|p| p.chainage_m).into())
}

/// What the page shows of them.
pub(super) const ON_PAGE: [&str; 11] = [
    "wedge",
    "verdict_as_designed",
    "fs_as_designed",
    "verdict_as_built",
    "fs_as_built",
    "decided_by_as_built",
    "deciding_volume_as_built_m3",
    "criterion",
    "apex_chainage_as_built_m",
    "bolts_as_built",
    "change",
];
