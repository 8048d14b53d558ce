//! Every file of a plan's folder, and what the terminal shows.

use serde_json::json;

use super::collars::{collar_rows, collar_table};
use super::outputs::PlanOutputs;
use super::page::page;
use super::quantities::{ON_TERMINAL, plan_rows, plan_table};
use super::ring::ring_drawing;
use super::tests_sheet::{test_rows, test_table};
use crate::report::check::inputs_json;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;
use crate::report::record::{Head, folder, summary_json};
use crate::report::words::{CAUTIONS, PLAN_CAUTION};

impl PlanOutputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let mut quantities = plan_rows("length", self.plan);
        quantities.extend(plan_rows("round", self.round));
        let collars = collar_rows(self.case, self.collars);
        let tests = test_rows(self.case, self.plan);
        let mut files = Vec::new();
        let ring = drawn("ring", &ring_drawing(self.case, self.collars)?)?;
        let figures = put_plots(vec![ring], &mut files);
        let csv = [
            ("plan.csv", plan_table().csv(&quantities)?),
            ("collars.csv", collar_table().csv(&collars)?),
            ("tests.csv", test_table().csv(&tests)?),
        ];
        let plan_notes = self.plan.notes.iter().map(|n| format!("{n}."));
        let warnings: Vec<String> = self.notes.iter().cloned().chain(plan_notes).collect();
        let summary = summary_json(
            Head {
                answer: &self.answer(),
                asked: &self.asked(),
                dated: self.dated,
                sign_off: &self.sign_off,
                inputs: inputs_json(self.case),
            },
            json!({
                "plan": plan_table().json(&quantities),
                "collars": collar_table().json(&collars),
                "tests": test_table().json(&tests),
                "warnings": warnings,
                "caution": PLAN_CAUTION,
                "cautions": CAUTIONS,
            }),
            &csv,
        )?;
        let page = page(self, &collars, &tests, &figures);
        Ok(folder(files, csv, summary, ("plan.html", page)))
    }

    /// What the terminal shows of the length that was asked for.
    pub(crate) fn terminal_table(&self) -> Grid {
        plan_table().terminal(&ON_TERMINAL, &plan_rows("length", self.plan))
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = self.plan.notes.iter().map(|n| format!("Note: {n}.")).collect();
        lines.push(
            "How each was counted, and which numbers are common practice, no source: plan.csv, column basis."
                .into(),
        );
        lines
    }
}
