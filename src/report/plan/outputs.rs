//! A plan with all that its files need.

use crate::case::{Case, PlanInputs};
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::record::{Asked, SignOff};
use crate::study::plan::{Plan, PlannedCollar};

/// A plan with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct PlanOutputs<'a> {
    /// The case.
    pub case: &'a Case,
    /// What the plan rests on.
    pub inputs: &'a PlanInputs,
    /// The plan of the length that was asked for.
    pub plan: &'a Plan,
    /// The plan of one round.
    pub round: &'a Plan,
    /// The collars of each kind of ring.
    pub collars: &'a [PlannedCollar],
    /// What the reader of the case file wondered about.
    pub notes: &'a [String],
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl PlanOutputs<'_> {
    /// What was asked.
    pub(super) fn asked(&self) -> Asked {
        Asked::Plan { length_m: self.plan.length_m }
    }

    /// The plan in two sentences.
    #[must_use]
    pub fn answer(&self) -> String {
        let plan = self.plan;
        let cost = match (plan.cost, &self.inputs.currency) {
            (Some(cost), Some(currency)) => format!(", {} {currency}", fixed(cost, 0)),
            (Some(cost), None) => format!(", cost {}", fixed(cost, 0)),
            (None, _) => String::new(),
        };
        let each = match (plan.minutes_a_bolt, plan.bolts_a_shift) {
            (Some(minutes), Some(bolts)) => {
                format!(" {} min a bolt, {} bolts a shift.", fixed(minutes, 1), fixed(bolts.floor(), 0))
            }
            _ => String::new(),
        };
        format!(
            "{} m of drive take {} bolts, {} m of bolt holes and {} h at the work: {} shifts of {} h at utilisation {}{cost}.{each}",
            shortest(plan.length_m),
            plan.bolts,
            fixed(plan.drill_m, 1),
            fixed(plan.minutes / 60.0, 1),
            fixed(plan.shifts, 2),
            shortest(self.inputs.shift_h.value),
            shortest(self.inputs.utilisation.value),
        )
    }
}
