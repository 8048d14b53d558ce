//! What fits: the efficient patterns of a stock as table, chart, sentences and page.

mod page;
mod rows;
mod words;

pub use rows::fit_rows;
pub use words::fit_answer;

use super::compare::drawn;
use crate::case::{Case, SourceFile, Stock};
use crate::report::check::outputs::{OutputError, OutputFile};
use crate::report::paper::chart::{Axis, Chart, Layer, Mark};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::style::{GREY, LINE_MM};
use crate::report::paper::tables::csv_table;
use crate::study::{Costed, Fit};

/// A fit with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct FitOutputs<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was on stock.
    pub stock: &'a Stock,
    /// What was found.
    pub fit: &'a Fit,
    /// What prices are counted in.
    pub currency: Option<&'a str>,
    /// The files that the case was read from.
    pub files: &'a [SourceFile],
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl FitOutputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let mut files = Vec::new();
        let figures = drawn(&[("efficient", self.chart())], &mut files)?;
        let rows = fit_rows(self);
        files.push(OutputFile { name: "fit.csv".into(), content: csv_table(&rows)?.into_bytes() });
        files.push(OutputFile { name: "fit.html".into(), content: page::page(self, &figures).into_bytes() });
        Ok(files)
    }

    /// Cost against minutes: those that hold and that nothing undercuts, and the next ones, which do
    /// not do.
    fn chart(&self) -> Sheet {
        let place = |c: &Costed| [c.minutes_per_m, c.cost_per_m];
        let held: Vec<[f64; 2]> = self.fit.efficient.iter().map(|f| place(&f.costed)).collect();
        let stop = self.fit.stop.as_ref().map(|s| &s.nearest);
        let failing: Vec<&Costed> = [self.fit.next_cheaper.as_ref(), self.fit.next_quicker.as_ref(), stop]
            .into_iter()
            .flatten()
            .map(|f| &f.costed)
            .collect();
        let short: Vec<[f64; 2]> = failing.iter().map(|c| place(c)).collect();
        let unit = self.currency.map_or_else(|| "a metre".to_owned(), |c| format!("{c} a metre"));
        let title = match held.len() {
            0 => "Nothing on stock holds everything".to_owned(),
            1 => "One pattern is both the cheapest and the quickest that holds everything".to_owned(),
            n => format!("{n} patterns hold everything and are undercut by none, from cheap to quick"),
        };
        let mut chart = Chart::new(&title, Axis::linear("Time", "min a metre"), Axis::linear("Cost", &unit));
        if held.len() > 1 {
            let stroke = Stroke { colour: GREY, width_mm: LINE_MM, dash_mm: &[2.0, 1.2] };
            chart = chart.with(Layer::Line { label: String::new(), points: held.clone(), stroke });
        }
        let named = |costed: &Costed| words::short_name(self, costed);
        let mut names: Vec<([f64; 2], String)> =
            self.fit.efficient.iter().map(|f| (place(&f.costed), named(&f.costed))).collect();
        names.extend(failing.iter().map(|c| (place(c), named(c))));
        if !held.is_empty() {
            chart = chart.with(Layer::Marks { label: "held".into(), points: held, mark: Mark::Held });
        }
        if !short.is_empty() {
            let label = "short: the next cheaper, the next quicker".into();
            chart = chart.with(Layer::Marks { label, points: short, mark: Mark::Short });
        }
        chart.with(Layer::Names { points: names }).draw()
    }
}
