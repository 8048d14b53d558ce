//! Every file of a comparison's folder, and what the terminal shows.

use serde_json::json;

use super::bars::use_bars;
use super::chart::margin_chart;
use super::options::{ON_TERMINAL, option_rows, option_table};
use super::outputs::CompareOutputs;
use super::page::page;
use crate::report::check::inputs_json;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;
use crate::report::record::{Asked, Head, folder, judged_json, summary_json};

impl CompareOutputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let margin = drawn("margin", &margin_chart(self.comparison, self.currency))?;
        let mut files = Vec::new();
        let figures = put_plots(vec![margin, drawn("use", &use_bars(self.comparison))?], &mut files);
        let rows = option_rows(self.comparison);
        let table = option_table(self.currency);
        let csv = [("compare.csv", table.csv(&rows)?)];
        let summary = summary_json(
            Head {
                answer: &self.answer(),
                asked: &Asked::Compare,
                dated: self.dated,
                sign_off: &self.sign_off,
                inputs: inputs_json(self.case),
            },
            judged_json(
                self.case,
                json!({
                    "options": table.json(&rows),
                    "costs_known": self.comparison.costs_known,
                    "below_the_answer": self.below_the_answer(),
                    "warnings": self.notes,
                }),
            ),
            &csv,
        )?;
        let page = page(self, &table, &rows, &figures);
        Ok(folder(files, csv, summary, ("compare.html", page)))
    }

    /// What the terminal shows of each option.
    pub(crate) fn terminal_table(&self) -> Grid {
        option_table(self.currency).terminal(&ON_TERMINAL, &option_rows(self.comparison))
    }
}
