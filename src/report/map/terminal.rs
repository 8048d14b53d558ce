//! What the terminal says of a survey below the answer.

use super::outputs::SurveyOutputs;
use super::{domains, sets, triples, warnings};
use crate::report::paper::table::Grid;

impl SurveyOutputs<'_> {
    /// The table of sets, where domains were asked for of theirs; `None` without sets.
    pub(crate) fn terminal_table(&self) -> Option<Grid> {
        domains::on_terminal(self.domains).or_else(|| sets::on_terminal(&self.mapped.sets))
    }

    /// The files of the domains' sets, a comma and a blank after each.
    pub(crate) fn domain_files(&self) -> String {
        let files: Vec<String> = self.domains.iter().filter_map(domains::file_of).collect();
        let table = (!self.domains.is_empty()).then(|| "domain_sets.csv".to_owned());
        files.into_iter().chain(table).map(|name| name + ", ").collect()
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        // Triples of mixed sets lead nobody.
        let triple = triples::likeliest(self.mapped).filter(|_| self.domains.is_empty());
        let mut lines: Vec<String> = triple.into_iter().collect();
        lines.extend(warnings::notes(self.survey, self.mapped));
        lines
    }
}
