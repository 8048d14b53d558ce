//! Every file of a check's folder.

use super::drawings;
use super::inputs::scan::scan_of;
use super::outputs::Outputs;
use super::page::page;
use super::scan_along;
use super::sizes::chart::size_chart;
use super::sizes::page::size_stem;
use super::stages::drawing::stages_drawing;
use super::summary::summary_json;
use super::tables::Tables;
use crate::report::paper::output::{Drawn, OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::sheet::Sheet;
use crate::report::record::{Also, folder};

impl Outputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let answer = self.answer();
        let tables = Tables::of(self);
        let told = || -> Result<_, OutputError> {
            let csv = tables.csv()?;
            let summary = summary_json(self, &tables, &csv, &answer)?;
            Ok((csv, summary))
        };
        let (plots, told) = rayon::join(|| self.draw(), told);
        let (csv, summary) = told?;
        let mut files = Vec::new();
        let figures = put_plots(plots?, &mut files);
        let html = page(self, &tables, &figures, &answer);
        for also in self.also() {
            match also {
                Also::Models => files.extend(self.models()?),
                Also::Drawings => files.extend(self.drawings_as_lines()),
                Also::Tables => files.extend(tables.for_programs(&self.case.title)?),
            }
        }
        Ok(folder(files, csv, summary, ("report.html", html)))
    }

    /// The drawings, in the order of the folder; they do not wait for each other.
    fn draw(&self) -> Result<Vec<Drawn>, OutputError> {
        use rayon::prelude::*;
        type Draw<'a> = Box<dyn Fn() -> Option<Sheet> + Sync + 'a>;
        let (case, check) = (self.case, self.deciding);
        let mut plots: Vec<(String, Draw<'_>)> = Vec::new();
        let always: [(&str, Draw<'_>); 9] = [
            ("section", Box::new(|| Some(drawings::section(case, check)))),
            ("unrolled", Box::new(|| Some(drawings::unrolled(case, check)))),
            ("plan", Box::new(|| Some(drawings::plan(case, check)))),
            ("stereonet", Box::new(|| Some(drawings::net(case, check)))),
            ("space", Box::new(|| drawings::space(case, check))),
            ("scan", Box::new(|| scan_of(case).map(|scan| drawings::scan(case, scan)))),
            ("scan_along", Box::new(|| scan_along::strip(&self.whole.scan_along))),
            ("face", Box::new(|| drawings::face_drawing(case, check))),
            ("stages", Box::new(|| Some(stages_drawing(case, check, &self.whole.stages)))),
        ];
        plots.extend(always.into_iter().map(|(stem, draw)| (stem.to_owned(), draw)));
        for curve in &self.whole.sizes {
            let of_curve = move || {
                let wedge = self.whole.check.wedges.iter().find(|w| w.wedge.id == curve.wedge)?;
                Some(size_chart(wedge, curve))
            };
            plots.push((size_stem(curve), Box::new(of_curve)));
        }
        // One by one: neighbours that take long would else wait behind each other.
        plots
            .par_iter()
            .with_max_len(1)
            .filter_map(|(stem, draw)| draw().map(|sheet| drawn(stem, &sheet)))
            .collect()
    }
}
