use serde::Serialize;

use crate::case::Case;
use crate::report::paper::numbers::Number;
use crate::study::plan::{Plan, PlannedCollar};

/// A row of plan.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PlanTableRow {
    /// `length`: the length that was asked for; `round`: one round.
    pub stretch: String,
    /// Metres of it.
    pub length_m: Number,
    /// `count`, `consumable`, `activity` or `total`.
    pub item: String,
    /// What it is.
    pub what: String,
    /// Which bolt or service it is for; empty where it is for all.
    pub of: Option<String>,
    /// How much; empty where the case does not say enough.
    pub quantity: Option<Number>,
    /// Of what.
    pub unit: String,
    /// Minutes at the work itself.
    pub minutes: Option<Number>,
    /// In the plan's currency; empty where there is no price.
    pub cost: Option<Number>,
    /// How it was counted, and what of it is common practice.
    pub basis: String,
}

/// The rows of plan.csv for one stretch.
#[must_use]
pub fn plan_table_rows(stretch: &str, plan: &Plan) -> Vec<PlanTableRow> {
    plan.rows
        .iter()
        .map(|row| PlanTableRow {
            stretch: stretch.to_owned(),
            length_m: plan.length_m.into(),
            item: row.item.name().to_owned(),
            what: row.what.clone(),
            of: row.of.clone(),
            quantity: row.quantity.map(Number),
            unit: row.unit.to_owned(),
            minutes: row.minutes.map(Number),
            cost: row.cost.map(Number),
            basis: row.basis.clone(),
        })
        .collect()
}

/// A row of collars.csv: one hole of one kind of ring.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct CollarRow {
    /// The pattern, from 1.
    pub pattern: usize,
    /// `every`, or `even` and `odd` where the pattern is staggered; the first ring is even.
    pub ring: String,
    /// The hole's number from left to right, from 1.
    pub collar: usize,
    /// Its bolt.
    pub bolt: String,
    /// Whole length of the bolt, metres.
    pub bolt_length_m: Number,
    /// The surface it is on.
    pub surface: String,
    /// Right of the middle, metres.
    pub u_m: Number,
    /// Above the floor, metres.
    pub v_m: Number,
    /// Along the perimeter from the crown, positive to the right, metres.
    pub arc_m: Number,
    /// Length of the hole, metres.
    pub hole_m: Number,
    /// From straight up the section, positive to the right, degrees.
    pub from_up_deg: Number,
    /// Lean along the advance, positive toward the face, degrees.
    pub lean_deg: Number,
    /// `yes` where one set-up reaches it, else `no`.
    pub within_reach: String,
}

/// The rows of collars.csv.
#[must_use]
pub fn collar_rows(case: &Case, collars: &[PlannedCollar]) -> Vec<CollarRow> {
    collars
        .iter()
        .map(|collar| {
            let pattern = &case.patterns[collar.pattern];
            CollarRow {
                pattern: collar.pattern + 1,
                ring: collar.ring.name().to_owned(),
                collar: collar.number,
                bolt: case.bolts[pattern.bolt].name.clone(),
                bolt_length_m: pattern.length_m.into(),
                surface: collar.surface.name().to_owned(),
                u_m: collar.point.x.into(),
                v_m: collar.point.y.into(),
                arc_m: collar.arc_m.into(),
                hole_m: collar.hole_m.into(),
                from_up_deg: collar.from_up_deg.into(),
                lean_deg: collar.lean_deg.into(),
                within_reach: if collar.within_reach { "yes" } else { "no" }.to_owned(),
            }
        })
        .collect()
}

/// A row of tests.csv: a test to make, with cells to fill in.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct TestRow {
    /// `torque` of a bolt of the pattern, or `pull` of one that is set for the test.
    pub test: String,
    /// The shift, from 1.
    pub shift: Option<u64>,
    /// The bolt's number in its shift, or the number of the pull test.
    pub number: u64,
    /// Its bolt.
    pub bolt: String,
    /// The kind of bolt, as a table of pull tests asks for it.
    pub kind: String,
    /// Chainage of its ring from the start of the stretch, metres.
    pub from_start_m: Option<Number>,
    /// Its pattern, from 1.
    pub pattern: usize,
    /// Its ring, from 1.
    pub ring: Option<u64>,
    /// The hole's number in the ring from left to right.
    pub collar: Option<u64>,
    /// To fill in.
    pub torque_nm: Option<Number>,
    /// To fill in.
    pub load_kn: Option<Number>,
    /// To fill in.
    pub embedded_length_m: Option<Number>,
    /// To fill in: the rock and how the bolt was set.
    pub condition: Option<String>,
    /// To fill in: yes or no.
    pub held: Option<String>,
    /// To fill in.
    pub tested_by: Option<String>,
}

/// The rows of tests.csv. A sheet of pull tests that is filled in reads as `pull_tests` of a case
/// once its torque rows are taken out.
#[must_use]
pub fn test_rows(case: &Case, plan: &Plan) -> Vec<TestRow> {
    plan.tests
        .iter()
        .map(|test| {
            let bolt = &case.bolts[case.patterns[test.pattern].bolt];
            TestRow {
                test: test.test.name().to_owned(),
                shift: test.shift,
                number: test.number,
                bolt: bolt.name.clone(),
                kind: bolt.kind.name().to_owned(),
                from_start_m: test.from_start_m.map(Number),
                pattern: test.pattern + 1,
                ring: test.ring,
                collar: test.collar,
                ..TestRow::default()
            }
        })
        .collect()
}
