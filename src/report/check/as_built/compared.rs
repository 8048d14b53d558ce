//! What changed since an earlier survey of a stretch: bolt_changes.csv, the page's table, and words.

use crate::case::{AsBuilt, Case, FoundBolt};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::factor;
use crate::report::paper::table::Table;
use crate::study::{AsBuiltCheck, AsBuiltWedge, BoltChange, ChangedBolt};

/// A row of bolt_changes.csv.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ChangedRow<'a> {
    changed: &'a ChangedBolt,
    case: &'a Case,
}

impl ChangedRow<'_> {
    fn place(&self, of: fn(&FoundBolt) -> f64) -> Cell<'_> {
        self.changed.row().map_or(Cell::Absent, |row| Cell::metres(of(row)))
    }

    /// `resin rebar 20 mm`, by its index in the case's bolts.
    fn bolt(&self, row: Option<&FoundBolt>) -> Option<&str> {
        Some(&self.case.bolts.get(row?.bolt)?.name)
    }
}

/// The bolts that are not as the earlier survey found them.
pub(crate) fn changed_rows<'a>(case: &'a Case, found: &'a AsBuiltCheck) -> Vec<ChangedRow<'a>> {
    found.changed_bolts.iter().map(|changed| ChangedRow { changed, case }).collect()
}

fn state(row: Option<&FoundBolt>) -> Cell<'static> {
    row.map(|row| row.condition.name()).into()
}

fn in_hole(row: Option<&FoundBolt>) -> Cell<'static> {
    row.map_or(Cell::Absent, |row| Cell::metres(row.set.length_in_hole_m))
}

/// The columns; the README says what each means.
pub(crate) fn changed_table<'a>() -> Table<ChangedRow<'a>> {
    use Format::{Fixed, Words};
    Table::<ChangedRow<'a>>::new()
        .column("change", |r| r.changed.change.name().into())
        .on_page("what", Words)
        .column("chainage_m", |r| r.place(|row| row.set.chainage_m))
        .on_page("chainage m", Fixed(2))
        .column("arc_m", |r| r.place(|row| row.set.collar.arc_m))
        .on_page("from the crown m", Fixed(2))
        .column("state_before", |r| state(r.changed.before.as_ref()))
        .on_page("state before", Words)
        .column("state_now", |r| state(r.changed.now.as_ref()))
        .on_page("state now", Words)
        .column("bolt_before", |r| r.bolt(r.changed.before.as_ref()).into())
        .column("bolt_now", |r| r.bolt(r.changed.now.as_ref()).into())
        .column("in_hole_before_m", |r| in_hole(r.changed.before.as_ref()))
        .column("in_hole_now_m", |r| in_hole(r.changed.now.as_ref()))
        .column("line_number_before", |r| r.changed.before.map(|row| row.line).into())
        .column("line_number_now", |r| r.changed.now.map(|row| row.line).into())
}

fn earlier(case: &Case) -> Option<&AsBuilt> {
    case.site.as_built.as_ref()?.earlier.as_deref()
}

/// `Since march.csv: 3 bolts lost, 1 added, 2 changed. A-B-C.111: held then (FS 4.40), short now (FS 1.20).`; nothing
/// without an earlier survey.
pub(crate) fn since_words(case: &Case, found: &AsBuiltCheck) -> Option<String> {
    let earlier = earlier(case)?;
    let count = |change: BoltChange| found.changed_bolts.iter().filter(|b| b.change == change).count();
    let counts: Vec<String> = [BoltChange::Lost, BoltChange::Added, BoltChange::Changed]
        .into_iter()
        .filter(|&change| count(change) > 0)
        .map(|change| format!("{} {}", count(change), change.name()))
        .collect();
    let bolts = match counts.is_empty() {
        true => "every bolt is as it was".to_owned(),
        false => format!("of the bolts {}", counts.join(", ")),
    };
    let turned: Vec<String> = found.wedges.iter().filter(|w| w.turned()).filter_map(turned).collect();
    let verdicts = match turned.is_empty() {
        true => "no verdict is another one".to_owned(),
        false => turned.join("; "),
    };
    Some(format!("Since {}: {bolts} (bolt_changes.csv); {verdicts}.", earlier.file))
}

/// `A-B-C.111 was held (FS 4.40) and is short (FS 1.20)`.
fn turned(wedge: &AsBuiltWedge) -> Option<String> {
    let before = wedge.before.as_ref()?;
    let fs = |fs: Option<f64>| fs.map_or_else(String::new, |fs| format!(" (FS {})", factor(fs)));
    Some(format!(
        "{} was {}{} and is {}{}",
        wedge.wedge,
        before.verdict.name(),
        fs(before.fs),
        wedge.as_built_verdict().name(),
        fs(wedge.found.decided.fs)
    ))
}

/// The page's list of changed bolts; nothing without any.
pub(super) fn section(body: &mut Html, case: &Case, found: &AsBuiltCheck) {
    let rows = changed_rows(case, found);
    let Some(earlier) = earlier(case).filter(|_| !rows.is_empty()) else { return };
    body.details(&format!("{} bolts are not as {} found them", rows.len(), earlier.file), |body| {
        body.table(&changed_table().page_of_all(&rows));
    });
}
