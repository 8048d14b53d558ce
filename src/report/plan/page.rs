//! plan.html: one page for the crew.

use super::collars::{CollarRow, collar_table};
use super::outputs::PlanOutputs;
use super::quantities::{BROUGHT, QuantityRow, TIMED, plan_rows, plan_table};
use super::tests_sheet::{TestRow, test_table};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::words::{CAUTIONS, PLAN_CAUTION};
use crate::study::plan::{BoltTest, PlanItem};
use crate::support::{LEAST_TESTS, failing_share_below};

pub(super) fn page(
    outputs: &PlanOutputs<'_>,
    collars: &[CollarRow<'_>],
    test_rows: &[TestRow<'_>],
    figures: &[Figure],
) -> String {
    let mut body = Html::default();
    let case = outputs.case;
    let (length, round) = (plan_rows("length", outputs.plan), plan_rows("round", outputs.round));
    body.head(&case.title, &format!("Plan for the crew. North: {}.", case.north), outputs.dated);
    body.answer(&outputs.answer());
    body.list(outputs.notes.iter().cloned().chain(outputs.plan.notes.iter().map(|n| format!("{n}."))));
    body.paragraph(PLAN_CAUTION);
    body.figure(figures, "ring");
    body.table(&collar_table().page_of_all(collars).without_empty());
    body.paragraph("Angles in the section, from straight up, positive to the right looking along the advance. Rings count from 1, here and in tests.csv: odd rings are 1, 3, 5, …");
    body.heading(&format!("What to bring for {} m of drive", shortest(outputs.plan.length_m)));
    consumables(&mut body, &length);
    body.heading("How long it takes");
    minutes(&mut body, &length);
    body.heading(&format!("One round of {} m", shortest(outputs.round.length_m)));
    body.open_details("What to bring", |body| consumables(body, &round));
    body.details("How long it takes", |body| minutes(body, &round));
    tests(&mut body, outputs, test_rows);
    body.heading("Where the numbers come from");
    let source = outputs.inputs.source.as_deref().unwrap_or("no source given");
    body.list(
        [
            format!("Numbers that the case gives for the plan: {source}."),
            "Numbers marked \"common practice, no source\" are values that the case does not give.".to_owned(),
            "One boom, one activity after another; no waiting for ventilation, mucking or services but what the utilisation holds.".to_owned(),
            "Holes are as long as the bolt in them. The first ring stands at the start of the stretch; it is ring 1 of each pattern, and odd.".to_owned(),
        ]
        .into_iter(),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.write(&mut body, &outputs.asked(), outputs.dated);
    document(&case.title, &body)
}

fn consumables(body: &mut Html, rows: &[QuantityRow<'_>]) {
    let wanted = [PlanItem::Count, PlanItem::Consumable];
    let shown = rows.iter().filter(|r| wanted.contains(&r.row.item) || r.row.what == "cost");
    body.table(&plan_table().page(&BROUGHT, shown));
}

fn minutes(body: &mut Html, rows: &[QuantityRow<'_>]) {
    let shown = rows.iter().filter(|r| r.row.item == PlanItem::Activity || r.row.what == "shifts");
    body.table(&plan_table().page(&TIMED, shown));
}

fn tests(body: &mut Html, outputs: &PlanOutputs<'_>, rows: &[TestRow<'_>]) {
    body.heading("Tests of bolts");
    let count = |kind: BoltTest| outputs.plan.tests.iter().filter(|t| t.test == kind).count();
    body.list(
        [
            format!(
                "Torque: the first, every tenth and the last tightened bolt of each shift (30 CFR 57.3203, older text, United States), {} in all.",
                count(BoltTest::Torque)
            ),
            format!(
                "Pull: at least {LEAST_TESTS} for a rock and a way of installing, on bolts set for the test, not on bolts that are part of the support (ISRM 1974), {} in all. {LEAST_TESTS} tests without a failure show, at 95 %, only that less than {} % of such bolts would pull at that load.",
                count(BoltTest::Pull),
                fixed(100.0 * failing_share_below(LEAST_TESTS), 0)
            ),
            "tests.csv has every row, with cells to fill in; below, the first shift and the pull tests.".to_owned(),
        ]
        .into_iter(),
    );
    let shown = rows.iter().filter(|row| row.test.shift.is_none_or(|shift| shift == 1));
    body.table(&test_table().page_of_all(shown));
}
