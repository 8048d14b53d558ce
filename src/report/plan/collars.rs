//! The holes of each kind of ring: collars.csv and the page's table.

use crate::case::Case;
use crate::opening::Surface;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::table::Table;
use crate::study::plan::PlannedCollar;
use crate::support::{LocalBolts, Pattern};

/// A row of the table: one hole of one kind of ring.
#[derive(Debug, Clone, Copy)]
pub(super) struct CollarRow<'a> {
    collar: &'a PlannedCollar,
    pattern: &'a Pattern,
    /// Where it stands at known chainages alone, and which single bolt it is.
    local: Option<&'a LocalBolts>,
    spot: Option<usize>,
    /// Which pattern of the case file, from 1.
    number: Option<usize>,
    bolt: &'a str,
}

/// The holes of each kind of ring.
pub(super) fn collar_rows<'a>(case: &'a Case, collars: &'a [PlannedCollar]) -> Vec<CollarRow<'a>> {
    let row = |collar: &'a PlannedCollar| {
        let pattern = case.pattern_at(collar.pattern);
        let local = collar.pattern.checked_sub(case.patterns.len()).and_then(|at| case.local.get(at));
        let spot = case.spot_number(collar.pattern);
        let number = case.pattern_number(collar.pattern);
        CollarRow { collar, pattern, local, spot, number, bolt: &case.bolts[pattern.bolt].name }
    };
    collars.iter().map(row).collect()
}

/// The columns; the README says what each means.
pub(super) fn collar_table<'a>() -> Table<CollarRow<'a>> {
    use Format::{Fixed, Whole, Words};
    Table::<CollarRow<'a>>::new()
        .column("pattern", |r| r.number.into())
        .on_page("pattern", Whole)
        // Of bolts in the face `every` is each round. `every`, or `odd` and `even` where the pattern is staggered; rings count from 1.
        .column("ring", |r| r.collar.ring.name().into())
        .on_page("ring", Words)
        .column("collar", |r| r.collar.number.into())
        .on_page("hole", Whole)
        .column("bolt", |r| r.bolt.into())
        .on_page("bolt", Words)
        .column("bolt_length_m", |r| r.pattern.length_m.into())
        .column("surface", |r| r.collar.surface.name().into())
        .on_page("surface", Words)
        .column("u_m", |r| Cell::metres(r.collar.point.x))
        .on_page("right of middle m", Fixed(2))
        .column("v_m", |r| Cell::metres(r.collar.point.y))
        .on_page("above floor m", Fixed(2))
        .column("arc_m", |r| (r.collar.surface != Surface::Face).then(|| Cell::metres(r.collar.arc_m)).into())
        .on_page("along the perimeter from the crown m", Fixed(2))
        .column("hole_m", |r| Cell::metres(r.collar.hole_m))
        .on_page("hole m", Fixed(2))
        .column("from_up_deg", |r| Cell::degrees(r.collar.from_up_deg))
        .on_page("from straight up °", Fixed(0))
        .column("lean_deg", |r| Cell::degrees(r.collar.lean_deg))
        .on_page("lean to the face °", Fixed(0))
        // Whether one set-up reaches it.
        .column("within_reach", |r| Cell::YesNo(r.collar.within_reach))
        .on_page_as("one set-up", Words, |r| (!r.collar.within_reach).then_some("beyond").into())
        // Of a pattern over a stretch its chainages, of a single bolt its own: empty along the whole drive.
        .column("from_m", |r| r.local.map(LocalBolts::from_m).into())
        .on_page("from chainage m", Fixed(2))
        .column("to_m", |r| r.local.map(LocalBolts::to_m).into())
        .on_page("to chainage m", Fixed(2))
        .column("bolt_at", |r| r.spot.into())
        .on_page("single bolt", Whole)
}
