//! What stands at each stage of the cycle: stages.csv and the page's table.

use crate::report::check::cells::marked;
use crate::report::paper::cell::Format;
use crate::report::paper::table::Table;
use crate::study::StageRow;

/// The columns; the README says what each means.
pub(crate) fn stage_table() -> Table<StageRow> {
    use Format::{Factor, Fixed, Kn, Volume, Whole, Words};
    Table::<StageRow>::new()
        .column("stage", |r| r.stage.name().into())
        .on_page("stage", Words)
        .column("place", |r| r.place.name().into())
        .on_page("place", Words)
        .column("wedge", |r| (&r.wedge).into())
        .on_page("wedge", Words)
        .column("unsupported_length_m", |r| r.unsupported_length_m.into())
        .on_page("unsupported m", Fixed(2))
        .column("length_m", |r| r.length_m.into())
        .on_page("length m", Fixed(2))
        .column("volume_m3", |r| r.volume_m3.into())
        .on_page("volume m³", Volume)
        .column("weight_kn", |r| r.weight_kn.into())
        .on_page("weight kN", Kn)
        .column("mode", |r| r.mode.name().into())
        .on_page("mode", Words)
        .column("fs", |r| r.fs.into())
        .on_page("FS", Factor)
        .column("bolts_serving", |r| r.bolts_serving.into())
        .on_page("bolts", Whole)
        .column("criterion", |r| r.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .column("verdict", |r| r.verdict.name().into())
        .on_page_as("verdict", Words, |r| marked(r.verdict).into())
}

/// What the page shows of them.
pub(crate) const ON_PAGE: [&str; 12] = [
    "stage",
    "place",
    "wedge",
    "verdict",
    "mode",
    "unsupported_length_m",
    "length_m",
    "volume_m3",
    "weight_kn",
    "fs",
    "criterion",
    "bolts_serving",
];
