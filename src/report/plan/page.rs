//! plan.html: one page for the crew.

use super::{PLAN_CAUTION, PlanOutputs, collar_rows, test_rows};
use crate::case::inputs_sha256;
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::words::CAUTIONS;
use crate::study::plan::{BoltTest, Plan, PlanItem, PlanRow};
use crate::support::{LEAST_TESTS, failing_share_below};

pub(super) fn page(outputs: &PlanOutputs, ring: &Figure) -> String {
    let mut body = Html::default();
    let case = outputs.case;
    body.head(&case.title, &format!("Plan for the crew. North: {}.", case.north), outputs.dated);
    body.raw("<p class=\"answer\">").text(&outputs.answer()).raw("</p>");
    body.list(outputs.plan.notes.iter().map(|n| format!("{n}.")));
    body.raw("<p>").text(PLAN_CAUTION).raw("</p>");
    body.figure(std::slice::from_ref(ring), "ring");
    collars(&mut body, outputs);
    body.heading(&format!("What to bring for {} m of drive", shortest(outputs.plan.length_m)));
    consumables(&mut body, outputs.plan);
    body.heading("How long it takes");
    minutes(&mut body, outputs.plan);
    body.heading(&format!("One round of {} m", shortest(outputs.round.length_m)));
    body.raw("<details open><summary>").text("What to bring").raw("</summary>");
    consumables(&mut body, outputs.round);
    body.raw("</details><details><summary>").text("How long it takes").raw("</summary>");
    minutes(&mut body, outputs.round);
    body.raw("</details>");
    tests(&mut body, outputs);
    body.heading("Where the numbers come from");
    let source = outputs.inputs.source.as_deref().unwrap_or("no source given");
    body.list(
        [
            format!("Numbers that the case gives for the plan: {source}."),
            "Numbers marked \"common practice, no source\" are values that the case does not give.".to_owned(),
            "One boom, one activity after another; no waiting for ventilation, mucking or services but what the utilisation holds.".to_owned(),
            "Holes are as long as the bolt in them. The first ring stands at the start of the stretch; a staggered pattern starts with an even ring.".to_owned(),
            format!("Inputs, SHA-256: {}.", inputs_sha256(outputs.files)),
        ]
        .into_iter(),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    document(&case.title, &body)
}

fn collars(body: &mut Html, outputs: &PlanOutputs) {
    let header = [
        ("pattern", true),
        ("ring", false),
        ("hole", true),
        ("bolt", false),
        ("surface", false),
        ("right of middle m", true),
        ("above floor m", true),
        ("along the perimeter from the crown m", true),
        ("hole m", true),
        ("from straight up °", true),
        ("lean to the face °", true),
        ("one set-up", false),
    ];
    let rows: Vec<Vec<String>> = collar_rows(outputs.case, outputs.collars)
        .into_iter()
        .map(|row| {
            vec![
                row.pattern.to_string(),
                row.ring,
                row.collar.to_string(),
                row.bolt,
                row.surface,
                fixed(row.u_m.0, 2),
                fixed(row.v_m.0, 2),
                fixed(row.arc_m.0, 2),
                fixed(row.hole_m.0, 2),
                fixed(row.from_up_deg.0, 0),
                fixed(row.lean_deg.0, 0),
                if row.within_reach == "yes" { String::new() } else { "beyond".into() },
            ]
        })
        .collect();
    body.table(&header, &rows);
    body.raw("<p>").text("Angles in the section, from straight up, positive to the right looking along the advance; the first ring is even.").raw("</p>");
}

fn consumables(body: &mut Html, plan: &Plan) {
    let wanted = [PlanItem::Count, PlanItem::Consumable];
    let rows = plan.rows.iter().filter(|row| wanted.contains(&row.item) || row.what == "cost");
    plan_table(body, ["what", "cost"], rows, |row| row.cost.map(|c| fixed(c, 2)));
}

fn minutes(body: &mut Html, plan: &Plan) {
    let rows = plan.rows.iter().filter(|row| row.item == PlanItem::Activity || row.what == "shifts");
    plan_table(body, ["activity", "minutes"], rows, |row| row.minutes.map(|m| fixed(m, 1)));
}

/// Rows of a plan with one of their figures; `names` are those of the first column and of the figure.
fn plan_table<'p>(
    body: &mut Html,
    names: [&str; 2],
    rows: impl Iterator<Item = &'p PlanRow>,
    figure: fn(&PlanRow) -> Option<String>,
) {
    let header = [
        (names[0], false),
        ("for", false),
        ("how many", true),
        ("unit", false),
        (names[1], true),
        ("how it was counted", false),
    ];
    let rows: Vec<Vec<String>> = rows
        .map(|row| {
            vec![
                row.what.clone(),
                row.of.clone().unwrap_or_default(),
                row.quantity.map(quantity).unwrap_or_default(),
                row.unit.to_owned(),
                figure(row).unwrap_or_default(),
                row.basis.clone(),
            ]
        })
        .collect();
    body.table(&header, &rows);
}

fn tests(body: &mut Html, outputs: &PlanOutputs) {
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
    let header = [
        ("test", false),
        ("no.", true),
        ("bolt", false),
        ("ring", true),
        ("hole", true),
        ("torque Nm", false),
        ("load kN", false),
        ("embedded m", false),
        ("condition", false),
        ("held", false),
        ("tested by", false),
    ];
    let rows: Vec<Vec<String>> = test_rows(outputs.case, outputs.plan)
        .into_iter()
        .filter(|row| row.shift.is_none_or(|shift| shift == 1))
        .map(|row| {
            let number = |value: Option<u64>| value.map(|v| v.to_string()).unwrap_or_default();
            let mut cells =
                vec![row.test, row.number.to_string(), row.bolt, number(row.ring), number(row.collar)];
            cells.resize(header.len(), String::new());
            cells
        })
        .collect();
    body.table(&header, &rows);
}

/// Whole numbers as they are, others with two decimals.
pub(super) fn quantity(value: f64) -> String {
    if value.fract() == 0.0 { fixed(value, 0) } else { fixed(value, 2) }
}
