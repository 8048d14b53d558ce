//! The bolts that serve the piece of a wedge that decides as built, and the rows that were rejected:
//! bolts_as_built.csv, bolts_rejected.csv.

use crate::case::{AsBuilt, Case, FoundBolt, RejectedRow};
use crate::orientation::Line;
use crate::report::check::cells::{plunge_deg, trend_deg};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::{AsBuiltCheck, BuiltServing, Check};
use crate::support::{Serving, SetBolt};

/// Rejected rows that the page shows.
const SHOWN_REJECTS: usize = 20;

/// A row of bolts_as_built.csv: a bolt that serves a wedge.
#[derive(Debug, Clone, Copy)]
pub(crate) struct AsBuiltBoltRow<'a> {
    wedge: &'a str,
    serving: &'a Serving,
    set: SetBolt,
    /// The row of the file that it was read from; none where the patterns put it there.
    listed: Option<&'a FoundBolt>,
    bolt: &'a str,
    /// Into the rock, in the world's directions.
    direction: Line,
}

/// The bolts that serve the piece of each wedge that decides as built.
pub(crate) fn as_built_bolt_rows<'a>(
    case: &'a Case,
    check: &Check,
    found: &'a AsBuiltCheck,
) -> Vec<AsBuiltBoltRow<'a>> {
    let Some(built) = case.site.as_built.as_ref() else { return Vec::new() };
    let mut rows = Vec::new();
    for wedge in &found.wedges {
        for BuiltServing { set, found, serving } in wedge.found.piece.iter().flat_map(|p| &p.serving) {
            rows.push(AsBuiltBoltRow {
                wedge: &wedge.wedge,
                serving,
                set: *set,
                listed: found.map(|i| &built.bolts[i]),
                bolt: &built.kinds[set.kind].name,
                direction: Line::from_vector(&check.opening.frame.to_world(&set.collar.direction)),
            });
        }
    }
    rows
}

/// The columns of bolts_as_built.csv; the README says what each means.
pub(crate) fn as_built_bolt_table<'a>() -> Table<AsBuiltBoltRow<'a>> {
    Table::<AsBuiltBoltRow<'a>>::new()
        .column("wedge", |r| r.wedge.into())
        .column("line_number", |r| r.listed.map(|b| b.line).into())
        .column("chainage_m", |r| Cell::metres(r.set.chainage_m))
        .column("u_m", |r| Cell::metres(r.set.collar.point.x))
        .column("v_m", |r| Cell::metres(r.set.collar.point.y))
        .column("trend_deg", |r| trend_deg(r.direction).into())
        .column("plunge_deg", |r| plunge_deg(r.direction).into())
        .column("head_m", |r| r.serving.head_m.into())
        .column("toe_m", |r| r.serving.toe_m.into())
        .column("capacity_kn", |r| r.serving.capacity.kn.into())
        .column("governed_by", |r| r.serving.capacity.governed_by.name().into())
        .column("share_kn", |r| r.serving.share_kn.into())
        .column("bolt", |r| r.bolt.into())
        .column("state", |r| r.listed.map_or("as drawn", |b| b.condition.name()).into())
}

/// The rows that were rejected.
pub(crate) fn rejected_rows(case: &Case) -> &[RejectedRow] {
    case.site.as_built.as_ref().map_or(&[], |built| &built.rejected)
}

/// The columns of bolts_rejected.csv.
pub(crate) fn rejected_table() -> Table<RejectedRow> {
    Table::<RejectedRow>::new()
        .column("line_number", |r| r.line.into())
        .on_page("line", Format::Whole)
        .column("reason", |r| (&r.reason).into())
        .on_page("why", Format::Words)
        .column("row", |r| (&r.row).into())
}

/// The page's list of rejected rows; nothing where every row is used.
pub(super) fn rejected_section(body: &mut Html, built: &AsBuilt) {
    let rejected = &built.rejected;
    if rejected.is_empty() {
        return;
    }
    body.details(&format!("{} rows of {} are not used", rejected.len(), built.file), |body| {
        body.table(&rejected_table().page_of_all(rejected.iter().take(SHOWN_REJECTS)));
        if rejected.len() > SHOWN_REJECTS {
            body.paragraph("The rest is in bolts_rejected.csv.");
        }
    });
}
