//! What surface support carries between the bolts: screen_duty.csv and the page's table.

use crate::case::Case;
use crate::report::check::cells::marked;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::report::words::NO_SOURCE;
use crate::study::DutyRow;
use crate::support::SurfaceSupport;

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ScreenDutyRow<'a> {
    duty: &'a DutyRow,
    support: Option<&'a SurfaceSupport>,
    /// Whether the case enters any surface support.
    entered: bool,
}

impl<'a> ScreenDutyRow<'a> {
    /// What carries it, or why nothing does.
    fn carried_by(&self) -> &'a str {
        match self.support {
            Some(support) => &support.name,
            None if self.entered => "nothing",
            None => "not entered",
        }
    }
}

/// The largest piece between the bolts of each pyramid and surface.
pub(crate) fn screen_duty_rows<'a>(case: &'a Case, duty: &'a [DutyRow]) -> Vec<ScreenDutyRow<'a>> {
    let row = |duty: &'a DutyRow| ScreenDutyRow {
        duty,
        support: duty.support.map(|i| &case.surface_support[i]),
        entered: !case.surface_support.is_empty(),
    };
    duty.iter().map(row).collect()
}

/// The columns; the README says what each means.
pub(crate) fn screen_duty_table<'a>() -> Table<ScreenDutyRow<'a>> {
    use Format::{Factor, Fixed, Kn, Volume, Words};
    Table::<ScreenDutyRow<'a>>::new()
        .column("surface", |r| r.duty.surface.name().into())
        .on_page("surface", Words)
        .column("wedge", |r| (&r.duty.wedge).into())
        .on_page("wedge", Words)
        .column("support", |r| r.support.map(|s| &s.name).into())
        .on_page_as("carried by", Words, |r| r.carried_by().into())
        .column("kind", |r| r.support.map(|s| s.kind.name()).into())
        .column("mode", |r| r.duty.mode.name().into())
        .on_page("mode", Words)
        .column("volume_m3", |r| r.duty.volume_m3.into())
        .on_page("volume m³", Volume)
        .column("weight_kn", |r| r.duty.weight_kn.into())
        .on_page("weight kN", Kn)
        .column("perimeter_m", |r| r.duty.perimeter_m.into())
        .on_page("perimeter m", Fixed(2))
        .column("force_needed_kn", |r| r.duty.force_needed_kn.into())
        .column("fs_bare", |r| r.duty.fs_bare.into())
        .on_page("FS bare", Factor)
        .column("capacity_kn", |r| r.duty.capacity.map(|c| c.kn).into())
        .on_page("capacity kN", Kn)
        .column("governed_by", |r| r.duty.governed_by().into())
        .on_page("governed by", Words)
        .column("fs", |r| r.duty.fs.into())
        .on_page("FS", Factor)
        .column("criterion", |r| r.duty.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .column("verdict", |r| r.duty.verdict.name().into())
        .on_page_as("verdict", Words, |r| marked(r.duty.verdict).into())
        .column("source", |r| r.support.map(|s| s.source.as_deref().unwrap_or(NO_SOURCE)).into())
}

const ON_PAGE: [&str; 13] = [
    "surface",
    "wedge",
    "verdict",
    "support",
    "mode",
    "volume_m3",
    "weight_kn",
    "perimeter_m",
    "fs_bare",
    "capacity_kn",
    "governed_by",
    "fs",
    "criterion",
];

/// The page's section; nothing where nothing hangs between the bolts.
pub(crate) fn section(body: &mut Html, rows: &[ScreenDutyRow<'_>]) {
    if rows.is_empty() {
        return;
    }
    body.heading("Between the bolts: what the screen must carry");
    body.table(&screen_duty_table().page(&ON_PAGE, rows));
    body.list(
        [
            "For each pyramid and surface the largest wedge without a collar on its face. Screen and straps are slack: one bay is held against the whole weight. Shotcrete adheres before anything moves: what its perimeter carries is added to what the joints resist. A piece counts as carried where its whole face is covered; layers are not added.".to_owned(),
        ]
        .into_iter(),
    );
}
