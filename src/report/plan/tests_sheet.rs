//! The tests to make, with cells to fill in: tests.csv and the page's table.

use crate::case::Case;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::numbers::told_length;
use crate::report::paper::table::Table;
use crate::study::plan::{Plan, PlannedTest};
use crate::support::Bolt;

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct TestRow<'a> {
    pub(super) test: &'a PlannedTest,
    bolt: &'a Bolt,
}

/// The tests to make.
pub(super) fn test_rows<'a>(case: &'a Case, plan: &'a Plan) -> Vec<TestRow<'a>> {
    let row = |test: &'a PlannedTest| TestRow { test, bolt: &case.bolts[case.patterns[test.pattern].bolt] };
    plan.tests.iter().map(row).collect()
}

/// The columns; the README says what each means. A sheet of pull tests that is filled in reads as
/// `pull_tests` of a case once its torque rows are taken out.
pub(super) fn test_table<'a>() -> Table<TestRow<'a>> {
    use Format::{Whole, Words};
    Table::<TestRow<'a>>::new()
        // `torque` of a bolt of the pattern, or `pull` of one that is set for the test.
        .column("test", |r| r.test.test.name().into())
        .on_page("test", Words)
        .column("shift", |r| r.test.shift.into())
        .column("number", |r| r.test.number.into())
        .on_page("no.", Whole)
        .column("bolt", |r| (&r.bolt.name).into())
        .on_page("bolt", Words)
        .column("kind", |r| r.bolt.kind.name().into())
        .column("from_start_m", |r| r.test.from_start_m.map(told_length).into())
        .column("pattern", |r| (r.test.pattern + 1).into())
        .column("ring", |r| r.test.ring.into())
        .on_page("ring", Whole)
        .column("collar", |r| r.test.collar.into())
        .on_page("hole", Whole)
        .column("torque_nm", to_fill_in)
        .on_page("torque Nm", Words)
        .column("load_kn", to_fill_in)
        .on_page("load kN", Words)
        .column("embedded_length_m", to_fill_in)
        .on_page("embedded m", Words)
        .column("condition", to_fill_in)
        .on_page("condition", Words)
        .column("held", to_fill_in)
        .on_page("held", Words)
        .column("tested_by", to_fill_in)
        .on_page("tested by", Words)
}

fn to_fill_in<'r>(_: &'r TestRow<'_>) -> Cell<'r> {
    Cell::Absent
}
