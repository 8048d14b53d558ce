//! The table of cases as files, and what the terminal shows.

use super::CasesOutputs;
use super::rows::{CaseRow, CasesOf, on_terminal, table_of};
use crate::report::paper::html::{Html, document};
use crate::report::paper::numbers::{factor, percent};
use crate::report::paper::output::{OutputError, OutputFile};
use crate::report::paper::table::Grid;
use crate::report::words::{CAUTIONS, CHANCE_CAUTION, fitting};

/// Cases that an answer names.
const NAMED: usize = 3;

impl CasesOutputs<'_> {
    /// The cases in words: how many hold, or how likely they are short; which is worst; which could not be looked at.
    #[must_use]
    pub fn answer(&self) -> String {
        let mut parts = match self.asked {
            CasesOf::Check => self.checked_words(),
            CasesOf::Chance => self.chance_words(),
        };
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

    fn checked_words(&self) -> Vec<String> {
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
        let mut parts = vec![format!("{}: {}.", self.how_many(), counts.join(", "))];
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
        parts
    }

    /// The likeliest short first.
    fn chance_words(&self) -> Vec<String> {
        let mut known: Vec<(&CaseRow, [f64; 3])> =
            self.rows.iter().filter_map(|r| Some((r, r.chance()?))).collect();
        known.sort_by(|a, b| b.1[0].total_cmp(&a.1[0]));
        let mut parts = vec![match self.rows.len() - known.len() {
            0 => format!("{}.", self.how_many()),
            failed => format!("{}, of which {failed} could not be checked.", self.how_many()),
        }];
        let named = known.iter().take(NAMED).map(|(r, [share, low, high])| {
            format!("{} ({} %, {} to {} at 95 %)", r.name(), percent(*share), percent(*low), percent(*high))
        });
        let named: Vec<String> = named.collect();
        if !named.is_empty() {
            parts.push(format!("A wedge is likeliest short in {}.", named.join(", ")));
        }
        if let Some((least, [share, ..])) = known.last().filter(|_| known.len() > NAMED) {
            parts.push(format!("Least likely in {} ({} %).", least.name(), percent(*share)));
        }
        parts
    }

    fn how_many(&self) -> String {
        match self.rows.len() {
            1 => "1 case".to_owned(),
            all => format!("{all} cases"),
        }
    }

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let table = table_of(self.asked);
        let (title, page) = match self.asked {
            CasesOf::Check => ("Cases checked in one call", "report.html"),
            CasesOf::Chance => ("Cases drawn in one call", "chance.html"),
        };
        let mut body = Html::default();
        body.answer(&self.answer());
        body.head(
            title,
            &format!("Listed by {}. The page of each is {page} in the folder of its name.", self.list),
            self.dated,
        );
        body.table(&table.page_of_all(self.rows));
        if self.asked == CasesOf::Chance {
            body.paragraph(CHANCE_CAUTION);
        }
        body.heading("Cautions");
        body.list(CAUTIONS.iter().map(ToString::to_string));
        Ok(vec![
            OutputFile::text("cases.csv", table.csv(self.rows)?),
            OutputFile::text("cases.html", document(title, &body)),
        ])
    }

    /// What the terminal shows of each case.
    pub(crate) fn terminal_table(&self) -> Grid {
        table_of(self.asked).terminal(&on_terminal(self.asked), self.rows)
    }
}
