//! What the terminal says of a survey below the answer.

use super::outputs::SurveyOutputs;
use super::{sets, triples, warnings};
use crate::report::paper::table::Grid;

impl SurveyOutputs<'_> {
    /// The table of sets; `None` without sets.
    pub(crate) fn terminal_table(&self) -> Option<Grid> {
        sets::on_terminal(&self.mapped.sets)
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = triples::likeliest(self.mapped).into_iter().collect();
        lines.extend(warnings::notes(self.survey, self.mapped));
        lines
    }
}
