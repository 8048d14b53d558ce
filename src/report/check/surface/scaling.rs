//! What is left to the scaling bar: scaling.csv and the page's table.

use crate::case::Case;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::shortest;
use crate::report::paper::table::Table;
use crate::study::ScalingRow;

/// The columns; the README says what each means.
pub(crate) fn scaling_table() -> Table<ScalingRow> {
    use Format::{Factor, Kn, Volume, Words};
    Table::<ScalingRow>::new()
        .column("surface", |r| r.surface.name().into())
        .on_page("surface", Words)
        .column("wedge", |r| (&r.wedge).into())
        .on_page("wedge", Words)
        .column("piece", |r| r.piece.name().into())
        .on_page("piece", Words)
        .column("volume_m3", |r| r.volume_m3.into())
        .on_page("volume m³", Volume)
        .column("weight_kn", |r| r.weight_kn.into())
        .on_page("weight kN", Kn)
        .column("mode", |r| r.mode.name().into())
        .on_page("mode", Words)
        .column("fs_bare", |r| r.fs_bare.into())
        .on_page("FS bare", Factor)
        .column("loose", |r| Cell::Flag(r.is_loose))
        .on_page("loose", Words)
}

/// The page's section; nothing where the case leaves nothing to the bar.
pub(crate) fn section(body: &mut Html, case: &Case, scaling: &[ScalingRow]) {
    let Some(most_m3) = case.criteria.scaling_up_to_m3 else { return };
    body.heading("For the scaling bar");
    body.table(&scaling_table().page_of_all(scaling));
    body.paragraph(&format!("Pieces up to {} m³, the site's size, are barred down and not counted on the screen. No verdict on a wedge changes by that: one that is short stays short. Loose: its joints alone do not meet the criterion.", shortest(most_m3)));
}
