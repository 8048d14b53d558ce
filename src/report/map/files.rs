//! Every file of a survey's folder.

use super::domains::{border_table, borders, domain_sets_csv, file_of};
use super::figures::DRAWINGS;
use super::fragment::{Fragment, joint_sets_toml};
use super::lines::{line_table, lines_in_files};
use super::outputs::SurveyOutputs;
use super::page::page;
use super::quality::{quantity_rows, quantity_table, word_rows, word_table};
use super::readings::readings_csv;
use super::rejects::reject_table;
use super::sets::set_table;
use super::structures::{structure_table, structures_toml};
use super::summary::summary;
use super::triples::{triple_rows, triple_table};
use super::warnings::warnings_csv;
use crate::report::paper::output::{Drawn, OutputError, OutputFile, drawn, put_plots};

/// Of more readings than this drawings and tables are made one after the other: each takes a good part of
/// the memory that the survey itself takes.
const MOST_SIDE_BY_SIDE: usize = 100_000;

impl SurveyOutputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let (plots, tables) = if self.survey.readings.len() > MOST_SIDE_BY_SIDE {
            (self.draw(), self.tables())
        } else {
            rayon::join(|| self.draw(), || self.tables())
        };
        let tables = tables?;
        let summary = summary(self, &tables)?;
        let mut files: Vec<OutputFile> =
            tables.into_iter().map(|(name, text)| OutputFile::text(name, text)).collect();
        // No case takes in a file without a set.
        if !self.mapped.sets.is_empty() {
            files.push(OutputFile::text("joint_sets.toml", joint_sets_toml(self, &Fragment::of_all(self))));
        }
        if !self.survey.structures.is_empty() {
            files.push(OutputFile::text("structures.toml", structures_toml(self)));
        }
        files.extend(self.domains.iter().filter_map(|domain| {
            let name = file_of(domain)?;
            Some(OutputFile::text(&name, joint_sets_toml(self, &Fragment::of_domain(domain, &name))))
        }));
        let figures = put_plots(plots?, &mut files);
        files.push(OutputFile::text("summary.json", summary));
        files.push(OutputFile::text("report.html", page(self, &figures)));
        Ok(files)
    }

    fn tables(&self) -> Result<Vec<(&'static str, String)>, OutputError> {
        let (survey, mapped) = (self.survey, self.mapped);
        let mut tables = vec![
            ("readings.csv", readings_csv(survey, mapped, self.domains, self.text)?),
            ("rejects.csv", reject_table().csv(&survey.rejects)?),
            ("sets.csv", set_table().csv(&mapped.sets)?),
            ("triples.csv", triple_table().csv(&triple_rows(mapped))?),
            ("lines.csv", line_table().csv(&lines_in_files(survey, mapped))?),
            ("domains.csv", border_table().csv(borders(self))?),
            ("warnings.csv", warnings_csv(survey, mapped)?),
        ];
        if !mapped.quality.is_empty() {
            tables.push(("quality.csv", quantity_table().csv(&quantity_rows(mapped))?));
            tables.push(("quality_words.csv", word_table().csv(&word_rows(mapped))?));
        }
        if !survey.structures.is_empty() {
            tables.push(("structures.csv", structure_table().csv(&survey.structures)?));
        }
        if !survey.left_out.is_empty() {
            tables.push(("left_out.csv", reject_table().csv(&survey.left_out)?));
        }
        if !self.domains.is_empty() {
            tables.push(("domain_sets.csv", domain_sets_csv(self.domains)?));
        }
        Ok(tables)
    }

    /// The drawings; they do not wait for each other.
    fn draw(&self) -> Result<Vec<Drawn>, OutputError> {
        use rayon::prelude::*;
        let sheets = DRAWINGS.par_iter().filter_map(|(stem, draw)| Some((stem, draw(self)?)));
        sheets.map(|(stem, sheet)| drawn(stem, &sheet)).collect()
    }
}
