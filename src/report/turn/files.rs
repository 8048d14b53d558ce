//! Every file of a turned drive's folder, and what the terminal shows.

use serde_json::json;

use super::charts::{chance_chart, margin_chart, weight_chart};
use super::directions::{ON_TERMINAL, ON_TERMINAL_BESIDE, chance_names, direction_rows, direction_table};
use super::outputs::TurnOutputs;
use super::page::page;
use crate::report::check::inputs_json;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;
use crate::report::record::{Head, folder, judged_json, summary_json};

/// Directions that the terminal shows: the drive as it lies and the best.
const MOST_ROWS: usize = 12;

impl TurnOutputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let mut files = Vec::new();
        let margin = drawn("margin", &margin_chart(self.turn, self.case))?;
        let weight = drawn("weight", &weight_chart(self.turn, self.case))?;
        let mut drawings = vec![margin, weight];
        if let Some(chart) = chance_chart(self.turn, self.case) {
            drawings.push(drawn("chance", &chart)?);
        }
        let figures = put_plots(drawings, &mut files);
        let rows = direction_rows(self.turn);
        let table = direction_table(self.turn);
        let csv = [("turn.csv", table.csv(&rows)?)];
        let summary = summary_json(
            Head {
                answer: &self.answer(),
                asked: self.asked,
                dated: self.dated,
                sign_off: &self.sign_off,
                inputs: inputs_json(self.case),
            },
            judged_json(
                self.case,
                json!({
                    "turn": table.json(&rows),
                    "below_the_answer": self.below_the_answer(),
                    "left_out": self.turn.left_out,
                    "warnings": self.notes,
                }),
            ),
            &csv,
        )?;
        let page = page(self, &table, &rows, &figures);
        Ok(folder(files, csv, summary, ("turn.html", page)))
    }

    /// What the terminal shows: the drive as it lies, then the best directions.
    pub(crate) fn terminal_table(&self) -> Grid {
        let rows = direction_rows(self.turn);
        let names = match chance_names(self.turn) {
            [] => ON_TERMINAL.to_vec(),
            chances => [&ON_TERMINAL_BESIDE[..], chances].concat(),
        };
        direction_table(self.turn).terminal(&names, &rows[..rows.len().min(MOST_ROWS)])
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        let mut lines = self.below_the_answer();
        let all = self.turn.others.len() + 1;
        if all > MOST_ROWS {
            lines.push(format!("{} more in turn.csv.", all - MOST_ROWS));
        }
        lines
    }
}
