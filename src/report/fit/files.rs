//! Every file of a fit's folder, and what the terminal shows.

use serde_json::json;

use super::chart::chart;
use super::outputs::FitOutputs;
use super::page::page;
use super::patterns::{ON_TERMINAL, pattern_rows, pattern_table};
use super::words::fit_answer;
use crate::report::check::inputs_json;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;
use crate::report::record::{Asked, Head, folder, summary_json};
use crate::report::words::{ASSUMPTIONS, CAUTIONS, NOT_ASKED, NOT_COVERED, as_drawn_words};

impl FitOutputs<'_> {
    /// The fit in words.
    #[must_use]
    pub fn answer(&self) -> String {
        fit_answer(self)
    }

    /// What the column of collars off says; candidates have their tolerance from one case.
    pub(crate) fn as_drawn_line(&self) -> Option<String> {
        let fitted = self.fit.efficient.first().map(|f| &f.as_drawn);
        let off = fitted.or_else(|| self.fit.stop.as_ref().map(|s| &s.nearest.as_drawn));
        off.map(as_drawn_words)
    }

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let mut files = Vec::new();
        let figures = put_plots(vec![drawn("efficient", &chart(self))?], &mut files);
        let rows = pattern_rows(self);
        let table = pattern_table(self.currency);
        let csv = [("fit.csv", table.csv(&rows)?)];
        let summary = summary_json(
            Head {
                answer: &self.answer(),
                asked: &Asked::Fit,
                dated: self.dated,
                sign_off: &self.sign_off,
                inputs: inputs_json(self.case),
            },
            json!({
                "patterns": table.json(&rows),
                "combinations": self.fit.tally.combinations,
                "warnings": self.notes,
                "not_asked": NOT_ASKED,
                "not_covered": NOT_COVERED,
                "assumptions": ASSUMPTIONS,
                "cautions": CAUTIONS,
            }),
            &csv,
        )?;
        let page = page(self, &table.page_of_all(&rows), &figures);
        Ok(folder(files, csv, summary, ("fit.html", page)))
    }

    /// What the terminal shows of each pattern.
    pub(crate) fn terminal_table(&self) -> Grid {
        pattern_table(self.currency).terminal(&ON_TERMINAL, &pattern_rows(self))
    }
}
