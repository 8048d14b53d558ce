//! Options side by side, turned into a table, charts, sentences and a page.

mod bars;
mod chart;
mod page;
mod rows;
mod words;

pub use bars::use_bars;
pub use chart::margin_chart;
pub use rows::compare_rows;
pub(super) use words::first_lacks;
pub use words::{compare_answer, lack_words};

use crate::case::{Case, SourceFile};
use crate::report::check::outputs::{OutputError, OutputFile, PNG_DPI};
use crate::report::paper::html::Figure;
use crate::report::paper::sheet::Sheet;
use crate::report::paper::tables::csv_table;
use crate::study::Comparison;

/// What "holds everything" leaves out, said beside every comparison and every fit.
pub const NOT_ASKED: &str = "Not asked of a pattern, since none can change it: the bare round, ground wholly ahead of the last ring, wedges at the face, prisms of two sets; the check of a case tells of them. Collars stand exactly as drawn unless [installation] gives a tolerance.";

/// A comparison with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct CompareOutputs<'a> {
    /// The case as it stands.
    pub case: &'a Case,
    /// The options.
    pub comparison: &'a Comparison,
    /// What prices are counted in.
    pub currency: Option<&'a str>,
    /// The files that the case was read from.
    pub files: &'a [SourceFile],
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl CompareOutputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let sheets =
            [("margin", margin_chart(self.comparison, self.currency)), ("use", use_bars(self.comparison))];
        let mut files = Vec::new();
        let figures = drawn(&sheets, &mut files)?;
        let rows = compare_rows(self.comparison);
        files.push(OutputFile { name: "compare.csv".into(), content: csv_table(&rows)?.into_bytes() });
        let page = page::page(self, &figures).into_bytes();
        files.push(OutputFile { name: "compare.html".into(), content: page });
        Ok(files)
    }
}

/// Drawings as files, and for the page.
pub(super) fn drawn(
    sheets: &[(&str, Sheet)],
    files: &mut Vec<OutputFile>,
) -> Result<Vec<Figure>, OutputError> {
    let mut figures = Vec::new();
    for (stem, sheet) in sheets {
        let svg = sheet.to_svg()?;
        files.push(OutputFile { name: format!("plots/{stem}.svg"), content: svg.clone().into_bytes() });
        files.push(OutputFile { name: format!("plots/{stem}.png"), content: sheet.to_png(PNG_DPI)? });
        figures.push(Figure { stem: (*stem).to_owned(), svg });
    }
    Ok(figures)
}
