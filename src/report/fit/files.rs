//! Every file of a fit's folder, and what the terminal shows.

use serde_json::json;

use super::chart::chart;
use super::outputs::FitOutputs;
use super::page::page;
use super::patterns::{ON_TERMINAL, PatternRow, lacking, pattern_rows, pattern_table};
use super::words::{doubled_line, fit_answer};
use crate::report::check::inputs_json;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;
use crate::report::record::{Asked, Head, folder, judged_json, summary_json};
use crate::report::words::as_drawn_words;
use crate::study::Met;

impl FitOutputs<'_> {
    /// The fit in words.
    #[must_use]
    pub fn answer(&self) -> String {
        fit_answer(self).0
    }

    /// What the answer has no room for, a sentence each.
    #[must_use]
    pub fn below_the_answer(&self) -> Vec<String> {
        fit_answer(self).1
    }

    /// What the column of collars off says; candidates have their tolerance from one case.
    pub(crate) fn as_drawn_line(&self) -> Option<String> {
        let fitted = self.fit.efficient.first().map(|f| &f.as_drawn);
        let off = fitted.or_else(|| self.fit.stop.as_ref().map(|s| &s.as_drawn));
        off.map(as_drawn_words)
    }

    /// What collars twice as far off would do to the cheapest.
    pub(crate) fn doubled_line(&self) -> Option<String> {
        doubled_line(self)
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
            judged_json(
                self.case,
                json!({
                    "patterns": table.json(&rows),
                    "combinations": self.fit.tally.combinations,
                    "collars_twice_as_far_off": self.doubled_line(),
                    "met": self.met_json(),
                    "below_the_answer": self.below_the_answer(),
                    "warnings": self.notes,
                }),
            ),
            &csv,
        )?;
        let page = page(self, &table.page_of_all(&rows), &lacking(&rows), &figures);
        Ok(folder(files, csv, summary, ("fit.html", page)))
    }

    /// Which patterns of the stock, counted from 1, each wedge can meet; null for a stock of one.
    fn met_json(&self) -> serde_json::Value {
        let several = self.stock.patterns.len() > 1;
        let met = |m: &Met| {
            let patterns: Vec<usize> = m.patterns.iter().map(|p| p + 1).collect();
            json!({ "wedge": m.wedge, "patterns": patterns })
        };
        if several { self.fit.met.iter().map(met).collect() } else { serde_json::Value::Null }
    }

    /// What the terminal shows of each pattern.
    pub(crate) fn terminal_table(&self) -> Grid {
        let rows: Vec<_> = pattern_rows(self).into_iter().flat_map(PatternRow::lines).collect();
        pattern_table(self.currency).terminal(&ON_TERMINAL, &rows)
    }
}
