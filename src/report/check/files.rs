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
use crate::case::Case;
use crate::report::paper::output::{Drawn, OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::sheet::Sheet;
use crate::report::record::{Also, folder};
use crate::study::Check;

impl Outputs<'_> {
    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let answer = self.answer();
        let tables = Tables::of(self);
        let mut files = Vec::new();
        let figures = put_plots(self.draw()?, &mut files);
        let csv = tables.csv()?;
        let summary = summary_json(self, &tables, &csv, &answer)?;
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

    /// The drawings; they do not wait for each other.
    fn draw(&self) -> Result<Vec<Drawn>, OutputError> {
        use rayon::prelude::*;
        type Draw = fn(&Case, &Check) -> Sheet;
        let always: [(&'static str, Draw); 4] = [
            ("section", drawings::section),
            ("unrolled", drawings::unrolled),
            ("plan", drawings::plan),
            ("stereonet", drawings::net),
        ];
        let (case, check) = (self.case, self.deciding);
        let mut plots = always
            .into_par_iter()
            .map(|(stem, draw)| drawn(stem, &draw(case, check)))
            .collect::<Result<Vec<_>, OutputError>>()?;
        if let Some(sheet) = drawings::space(case, check) {
            plots.push(drawn("space", &sheet)?);
        }
        if let Some(scan) = scan_of(case) {
            plots.push(drawn("scan", &drawings::scan(case, scan))?);
        }
        if let Some(sheet) = scan_along::strip(&self.whole.scan_along) {
            plots.push(drawn("scan_along", &sheet)?);
        }
        if let Some(sheet) = drawings::face_drawing(case, check) {
            plots.push(drawn("face", &sheet)?);
        }
        plots.push(drawn("stages", &stages_drawing(case, check, &self.whole.stages))?);
        let curves = self.whole.sizes.par_iter().filter_map(|curve| {
            let wedge = self.whole.check.wedges.iter().find(|w| w.wedge.id == curve.wedge)?;
            Some(drawn(&size_stem(curve), &size_chart(wedge, curve)))
        });
        plots.extend(curves.collect::<Result<Vec<_>, OutputError>>()?);
        Ok(plots)
    }
}
