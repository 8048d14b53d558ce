//! A plan turned into files: tables, a page for the crew, the drawing of its rings.

mod page;
mod ring;
mod rows;

pub use ring::ring_drawing;
pub use rows::{collar_rows, plan_table_rows, test_rows};

use crate::case::{Case, PlanInputs, SourceFile};
use crate::report::check::outputs::{OutputError, OutputFile, PNG_DPI};
use crate::report::paper::html::Figure;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::tables::csv_table;
use crate::study::plan::{Plan, PlannedCollar};

/// What must stand beside every plan.
pub const PLAN_CAUTION: &str = "A plan of quantities and minutes: it says nothing of whether the pattern holds the ground. Numbers marked common practice have no source; put in your own.";

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
    /// The files that the case was read from.
    pub files: &'a [SourceFile],
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl PlanOutputs<'_> {
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

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let mut rows = plan_table_rows("length", self.plan);
        rows.extend(plan_table_rows("round", self.round));
        let collars = collar_rows(self.case, self.collars);
        let sheet = ring_drawing(self.case, self.collars)?;
        let figure = Figure { stem: "ring".into(), svg: sheet.to_svg()? };
        let file = |name: &str, content: Vec<u8>| OutputFile { name: name.to_owned(), content };
        Ok(vec![
            file("plots/ring.svg", figure.svg.clone().into_bytes()),
            file("plots/ring.png", sheet.to_png(PNG_DPI)?),
            file("plan.csv", csv_table(&rows)?.into_bytes()),
            file("collars.csv", csv_table(&collars)?.into_bytes()),
            file("tests.csv", csv_table(&test_rows(self.case, self.plan))?.into_bytes()),
            file("plan.html", page::page(self, &figure).into_bytes()),
        ])
    }
}
