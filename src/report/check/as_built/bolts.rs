//! The bolts that serve the piece of a wedge that decides as built, and the rows that were rejected:
//! bolts_as_built.csv, bolts_rejected.csv.

use crate::case::{Case, FoundBolt, RejectedRow};
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

/// A row that was rejected, and the list that it stands in.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RejectedOf<'a> {
    row: &'a RejectedRow,
    file: &'a str,
}

/// The rows that were rejected, those of an earlier survey last.
pub(crate) fn rejected_rows(case: &Case) -> Vec<RejectedOf<'_>> {
    let built = case.site.as_built.as_ref();
    let lists = built.into_iter().chain(built.and_then(|built| built.earlier.as_deref()));
    lists.flat_map(|list| list.rejected.iter().map(|row| RejectedOf { row, file: &list.file })).collect()
}

/// The columns of bolts_rejected.csv.
pub(crate) fn rejected_table<'a>() -> Table<RejectedOf<'a>> {
    Table::<RejectedOf<'a>>::new()
        .column("line_number", |r| r.row.line.into())
        .on_page("line", Format::Whole)
        .column("reason", |r| (&r.row.reason).into())
        .on_page("why", Format::Words)
        .column("row", |r| (&r.row.row).into())
        .column("file", |r| r.file.into())
        .on_page("of", Format::Words)
}

/// The page's list of rejected rows; nothing where every row is used.
pub(super) fn rejected_section(body: &mut Html, case: &Case) {
    let rejected = rejected_rows(case);
    if rejected.is_empty() {
        return;
    }
    let mut files: Vec<&str> = rejected.iter().map(|r| r.file).collect();
    files.dedup();
    body.details(&format!("{} rows of {} are not used", rejected.len(), files.join(" and ")), |body| {
        body.table(&rejected_table().page_of_all(rejected.iter().take(SHOWN_REJECTS)));
        if rejected.len() > SHOWN_REJECTS {
            body.paragraph("The rest is in bolts_rejected.csv.");
        }
    });
}
