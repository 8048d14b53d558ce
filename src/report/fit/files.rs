//! Every file of a fit's folder, and what the terminal shows.

use super::chart::chart;
use super::outputs::FitOutputs;
use super::page::page;
use super::patterns::{ON_TERMINAL, pattern_rows, pattern_table};
use super::words::fit_answer;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;

impl FitOutputs<'_> {
    /// The fit in words.
    #[must_use]
    pub fn answer(&self) -> String {
        fit_answer(self)
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
        files.push(OutputFile::text("fit.csv", table.csv(&rows)?));
        files.push(OutputFile::text("fit.html", page(self, &table.page_of_all(&rows), &figures)));
        Ok(files)
    }

    /// What the terminal shows of each pattern.
    pub(crate) fn terminal_table(&self) -> Grid {
        pattern_table(self.currency).terminal(&ON_TERMINAL, &pattern_rows(self))
    }
}
