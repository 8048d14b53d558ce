//! A mapped survey turned into files: tables, the fragment for a case, drawings, page.

mod answer;
mod figures;
mod fragment;
mod page;
mod readings;
mod rows;
mod words;

pub use answer::{sentence, survey_answer};
pub use fragment::joint_sets_toml;
pub use readings::{readings_csv, rejects_csv};
pub use rows::{line_rows, set_rows, triple_rows, warning_rows};
pub use words::SURVEY_CAUTION_LINE;

use crate::orientation::Projection;
use crate::report::check::outputs::{OutputError, OutputFile, PNG_DPI};
use crate::report::paper::html::Figure;
use crate::report::paper::tables::csv_table;
use crate::survey::{MapOptions, Mapped, Survey};

/// A mapped survey with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct SurveyOutputs<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// What was made of it.
    pub mapped: &'a Mapped,
    /// How.
    pub options: &'a MapOptions,
    /// Name of the survey's file, without folders.
    pub file_name: &'a str,
    /// Its text, for the columns that are carried along as read.
    pub text: &'a str,
    /// Name of the file of lines, windows and holes, if there was one.
    pub lines_name: Option<&'a str>,
    /// What the case calls its north.
    pub north: &'a str,
    /// Projection of the stereonet.
    pub projection: Projection,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl SurveyOutputs<'_> {
    /// The answer line.
    #[must_use]
    pub fn answer(&self) -> String {
        survey_answer(self.survey, self.mapped)
    }

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let (figures, tables) = rayon::join(|| self.draw(), || self.tables());
        let mut files = tables?;
        let mut on_page = Vec::new();
        for (figure, png) in figures? {
            files.push(file(&format!("plots/{}.svg", figure.stem), figure.svg.clone().into_bytes()));
            files.push(file(&format!("plots/{}.png", figure.stem), png));
            on_page.push(figure);
        }
        files.push(file("report.html", page::page(self, &on_page).into_bytes()));
        Ok(files)
    }

    fn tables(&self) -> Result<Vec<OutputFile>, OutputError> {
        Ok(vec![
            file("readings.csv", readings_csv(self.survey, self.mapped, self.text)?.into_bytes()),
            file("rejects.csv", rejects_csv(self.survey)?.into_bytes()),
            file("sets.csv", csv_table(&set_rows(self.mapped))?.into_bytes()),
            file("triples.csv", csv_table(&triple_rows(self.mapped))?.into_bytes()),
            file("lines.csv", csv_table(&line_rows(self.survey, self.mapped))?.into_bytes()),
            file("warnings.csv", csv_table(&warning_rows(self.survey, self.mapped))?.into_bytes()),
            file("joint_sets.toml", joint_sets_toml(self).into_bytes()),
        ])
    }

    /// Each drawing as SVG and as PNG; they do not wait for each other.
    fn draw(&self) -> Result<Vec<(Figure, Vec<u8>)>, OutputError> {
        use rayon::prelude::*;
        figures::DRAWINGS
            .par_iter()
            .filter_map(|(stem, draw)| {
                let sheet = draw(self)?;
                let drawn = || {
                    Ok((Figure { stem: (*stem).to_owned(), svg: sheet.to_svg()? }, sheet.to_png(PNG_DPI)?))
                };
                Some(drawn())
            })
            .collect()
    }
}

fn file(name: &str, content: Vec<u8>) -> OutputFile {
    OutputFile { name: name.to_owned(), content }
}
