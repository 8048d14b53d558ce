//! What each surface has to carry: bolt_demand.csv and the page's table.

use crate::case::Case;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::{Check, DecidingDemand, DemandRow, Widest, demand};

/// A row of the table.
#[derive(Debug, Clone)]
pub(super) struct BoltDemandRow<'a> {
    demand: DemandRow,
    /// Searched for at every size and the worst placement, where asked.
    widest: Option<&'a Widest>,
}

impl BoltDemandRow<'_> {
    /// At the size that decides.
    fn deciding(&self) -> Option<&DecidingDemand> {
        self.demand.deciding.as_ref()
    }
}

/// What each surface has to carry, wedge by wedge.
pub(super) fn bolt_demand_rows<'a>(
    case: &Case,
    check: &Check,
    widest: &'a [Widest],
) -> Vec<BoltDemandRow<'a>> {
    let row =
        |demand: DemandRow| BoltDemandRow { widest: widest.iter().find(|w| w.wedge == demand.wedge), demand };
    demand(case, check).into_iter().map(row).collect()
}

/// The columns; the README says what each means.
pub(super) fn bolt_demand_table<'a>() -> Table<BoltDemandRow<'a>> {
    use Format::{Fixed, Kn, Volume, Whole, Words};
    Table::<BoltDemandRow<'a>>::new()
        .column("surface", |r| r.demand.surface.name().into())
        .on_page("surface", Words)
        .column("wedge", |r| (&r.demand.wedge).into())
        .on_page("wedge", Words)
        .column("area_m2", |r| r.demand.area_m2.into())
        .on_page("area m²", Fixed(2))
        .column("force_needed_kn", |r| r.demand.force_needed_kn.into())
        .on_page("needed kN", Kn)
        .column("force_provided_kn", |r| r.demand.force_provided_kn.into())
        .on_page("provided kN", Kn)
        .column("pressure_needed_kpa", |r| r.demand.pressure_needed_kpa.into())
        .on_page("needed kPa", Fixed(2))
        .column("bolts_needed", |r| r.demand.bolts_needed.into())
        .on_page("bolts needed", Whole)
        .column("utilisation", |r| r.demand.utilisation.into())
        .on_page("needed / provided", Fixed(2))
        .column("deciding_volume_m3", |r| r.deciding().map(|g| g.volume_m3).into())
        .on_page("deciding m³", Volume)
        .column("deciding_area_m2", |r| r.deciding().map(|g| g.area_m2).into())
        .column("deciding_force_needed_kn", |r| r.deciding().map(|g| g.force_needed_kn).into())
        .on_page("needed kN", Kn)
        .column("deciding_force_provided_kn", |r| r.deciding().map(|g| g.force_provided_kn).into())
        .on_page("provided kN", Kn)
        .column("deciding_pressure_needed_kpa", |r| r.deciding().map(|g| g.pressure_needed_kpa).into())
        .on_page("needed kPa", Fixed(2))
        .column("deciding_bolts_needed", |r| r.deciding().and_then(|g| g.bolts_needed).into())
        .on_page("bolts needed", Whole)
        .column("deciding_utilisation", |r| r.deciding().map(|g| g.utilisation).into())
        .column("widest_ring_spacing_m", |r| r.widest.and_then(|w| w.ring_spacing_m).into())
        .on_page("widest rings m", Fixed(1))
        .column("widest_square_spacing_m", |r| r.widest.and_then(|w| w.square_spacing_m).into())
        .on_page("widest square m", Fixed(1))
        .column("shortest_length_m", |r| r.widest.and_then(|w| w.length_m).into())
        .on_page("shortest bolt m", Fixed(1))
}

const ON_PAGE: [&str; 16] = [
    "surface",
    "wedge",
    "area_m2",
    "force_needed_kn",
    "force_provided_kn",
    "pressure_needed_kpa",
    "bolts_needed",
    "utilisation",
    "deciding_volume_m3",
    "deciding_force_needed_kn",
    "deciding_force_provided_kn",
    "deciding_pressure_needed_kpa",
    "deciding_bolts_needed",
    "widest_ring_spacing_m",
    "widest_square_spacing_m",
    "shortest_length_m",
];

/// The page's section.
pub(super) fn section(body: &mut Html, rows: &[BoltDemandRow<'_>]) {
    body.heading("What each surface has to carry");
    body.table(&bolt_demand_table().page(&ON_PAGE, rows));
    body.paragraph("Force against the movement, at the worst placement; a wedge on two surfaces is shared between them by area. Bolts needed: each taken square to the face at its centroid. Deciding: the same of the piece that decides, with the bolts that are sure. Widest rings, widest square spacing and shortest bolt: searched for at every size and the worst placement, where asked (--spacings).");
}
