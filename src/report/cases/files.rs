//! The table of cases as files, and what the terminal shows.

use super::CasesOutputs;
use super::rows::{CaseRow, ON_TERMINAL, case_table};
use crate::report::paper::html::{Html, document};
use crate::report::paper::numbers::factor;
use crate::report::paper::output::{OutputError, OutputFile};
use crate::report::paper::table::Grid;
use crate::report::words::{CAUTIONS, fitting};

/// Cases that an answer names.
const NAMED: usize = 3;

impl CasesOutputs<'_> {
    /// The cases in words: how many hold, which is worst, which could not be checked.
    #[must_use]
    pub fn answer(&self) -> String {
        let count = |verdict: &str| self.rows.iter().filter(|r| r.verdict() == verdict).count();
        let counts: Vec<String> = [
            ("held", "held"),
            ("short", "short"),
            ("not judged", "not judged"),
            ("failed", "could not be checked"),
        ]
        .into_iter()
        .filter(|(verdict, _)| count(verdict) > 0)
        .map(|(verdict, words)| format!("{} {words}", count(verdict)))
        .collect();
        let all = self.rows.len();
        let mut parts =
            vec![format!("{all} case{}: {}.", if all == 1 { "" } else { "s" }, counts.join(", "))];
        let mut worst: Vec<&CaseRow> = self.rows.iter().filter(|r| r.verdict() == "short").collect();
        let margin = |r: &CaseRow| r.margin().unwrap_or(f64::INFINITY);
        worst.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
        if !worst.is_empty() {
            let named = worst.iter().take(NAMED);
            let named = named.map(|r| format!("{} ({} of what is asked)", r.name(), factor(margin(r))));
            parts.push(format!("Worst: {}.", named.collect::<Vec<_>>().join(", ")));
        }
        let at_face = self.rows.iter().filter(|r| r.is_short_at_face()).count();
        if at_face > 0 {
            parts.push(format!("At the face wedges are short in {at_face}."));
        }
        let failed: Vec<&str> = self.rows.iter().filter(|r| r.has_failed()).map(CaseRow::name).collect();
        if !failed.is_empty() {
            let more = failed.len().saturating_sub(NAMED);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            parts
                .push(format!("Nothing is known of {}{more}.", failed[..failed.len().min(NAMED)].join(", ")));
        }
        let as_before = self.rows.iter().filter(|r| r.is_as_before()).count();
        if as_before > 0 {
            parts.push(format!("{as_before} stood there already, from the same inputs."));
        }
        fitting(parts).0
    }

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let table = case_table();
        let mut body = Html::default();
        body.answer(&self.answer());
        body.head(
            "Cases checked in one call",
            &format!("Listed by {}. The page of each is report.html in the folder of its name.", self.list),
            self.dated,
        );
        body.table(&table.page_of_all(self.rows));
        body.heading("Cautions");
        body.list(CAUTIONS.iter().map(ToString::to_string));
        Ok(vec![
            OutputFile::text("cases.csv", table.csv(self.rows)?),
            OutputFile::text("cases.html", document("Cases checked in one call", &body)),
        ])
    }

    /// What the terminal shows of each case.
    pub(crate) fn terminal_table(&self) -> Grid {
        case_table().terminal(&ON_TERMINAL, self.rows)
    }
}
