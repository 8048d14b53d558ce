use thiserror::Error;

use super::html::Figure;
use super::numbers::Number;
use super::page::{Page, page, size_stem};
use super::sheet::Sheet;
use super::{
    DrawError, Summary, TableError, answer, as_built_answer, as_built_bolt_rows, as_built_lines,
    as_built_ring_rows, as_built_wedge_rows, bolt_demand_rows, bolt_rows, calculation_sheet, csv_table,
    drawings, face_drawing, inputs_json, located_lines, rejected_bolt_rows, size_chart, size_rows,
    stage_rows, stages_drawing, summary_json, wedge_rows,
};
use crate::case::Case;
use crate::study::{AsBuiltCheck, Check, CheckedWedge, Remedy, SizeCurve, Stages, demand};

/// Resolution of the PNG files, dots an inch: sharp in print at the width they are drawn for.
pub(super) const PNG_DPI: f64 = 150.0;

/// A file of an output folder.
#[derive(Debug, Clone)]
pub struct OutputFile {
    /// Its name, folders divided by `/`.
    pub name: String,
    /// Its bytes.
    pub content: Vec<u8>,
}

/// Why the files could not be made.
#[derive(Debug, Error)]
pub enum OutputError {
    /// A table.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The summary.
    #[error("the summary could not be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// A drawing.
    #[error(transparent)]
    Draw(#[from] DrawError),
}

/// A check with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct Outputs<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was found.
    pub check: &'a Check,
    /// What the reader of the case file wondered about; it stands with the check's own warnings.
    pub notes: &'a [String],
    /// All sizes of its wedges; the check carries their verdicts ([`crate::study::govern`]).
    pub sizes: &'a [SizeCurve],
    /// What stands at each stage of the cycle.
    pub stages: &'a Stages,
    /// A stretch as designed and as built, if the case has one.
    pub as_built: Option<&'a AsBuiltCheck>,
    /// What would hold the worst wedge.
    pub remedy: Option<&'a Remedy>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl Outputs<'_> {
    /// The answer line.
    #[must_use]
    pub fn answer(&self) -> String {
        let mut designed = answer(self.check, self.remedy, self.sizes, self.stages);
        if self.check.wedges.iter().any(|w| w.criterion_fs.is_some() && w.is_fixed(self.case)) {
            designed.push_str(" Nor smaller sizes of the wedges that use structures.");
        }
        match self.as_built {
            Some(found) => format!("{} By design: {designed}", as_built_answer(self.case, found)),
            None => designed,
        }
    }

    fn sheet(&self, wedge: &CheckedWedge) -> String {
        let curve = self.sizes.iter().find(|c| c.wedge == wedge.id);
        calculation_sheet(self.case, self.check, wedge, curve)
    }

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let answer = self.answer();
        let wedges = wedge_rows(self.case, self.check);
        let bolt_demand = bolt_demand_rows(&demand(self.case, self.check));
        let bolts = bolt_rows(self.case, self.check);
        let size_curve = size_rows(self.sizes);
        let stage_table = stage_rows(self.stages);
        let sheets: Vec<String> = self.check.every().map(|w| self.sheet(w)).collect();

        let mut files = Vec::new();
        let mut add = |name: &str, content: Vec<u8>| {
            files.push(OutputFile { name: name.to_owned(), content });
        };
        let mut figures = Vec::new();
        for (figure, png) in self.draw()? {
            add(&format!("plots/{}.svg", figure.stem), figure.svg.clone().into_bytes());
            add(&format!("plots/{}.png", figure.stem), png);
            figures.push(figure);
        }
        let summary = summary_json(&Summary {
            answer: &answer,
            dated: self.dated,
            inputs: &inputs_json(self.case),
            check: self.check,
            notes: self.notes,
            wedges: &wedges,
            bolt_demand: &bolt_demand,
            bolts: &bolts,
            sizes: self.sizes,
            size_curve: &size_curve,
            stages: self.stages,
            stage_rows: &stage_table,
            structures: located_lines(self.case, self.check),
            as_built: self.as_built_json()?,
        })?;
        let html = page(&Page {
            case: self.case,
            check: self.check,
            notes: self.notes,
            answer: &answer,
            dated: self.dated,
            figures: &figures,
            wedges: &wedges,
            bolt_demand: &bolt_demand,
            bolts: &bolts,
            sheets: &sheets,
            sizes: self.sizes,
            stages: self.stages,
            as_built: self.as_built,
        });
        add("wedges.csv", csv_table(&wedges)?.into_bytes());
        add("bolt_demand.csv", csv_table(&bolt_demand)?.into_bytes());
        add("bolts.csv", csv_table(&bolts)?.into_bytes());
        add("size_curve.csv", csv_table(&size_curve)?.into_bytes());
        add("stages.csv", csv_table(&stage_table)?.into_bytes());
        if let Some(found) = self.as_built {
            add("as_built.csv", csv_table(&as_built_ring_rows(found))?.into_bytes());
            add("as_built_wedges.csv", csv_table(&as_built_wedge_rows(found))?.into_bytes());
            let bolts = as_built_bolt_rows(self.case, self.check, found);
            add("as_built_bolts.csv", csv_table(&bolts)?.into_bytes());
            add("bolts_rejected.csv", csv_table(&rejected_bolt_rows(self.case))?.into_bytes());
        }
        add("summary.json", summary.into_bytes());
        add("report.html", html.into_bytes());
        Ok(files)
    }

    /// The stretch as built, for the summary; null where there is none.
    fn as_built_json(&self) -> Result<serde_json::Value, serde_json::Error> {
        let Some(found) = self.as_built else { return Ok(serde_json::Value::Null) };
        Ok(serde_json::json!({
            "from_m": Number(found.from_m),
            "to_m": Number(found.to_m),
            "notes": as_built_lines(self.case, found),
            "rings": serde_json::to_value(as_built_ring_rows(found))?,
            "wedges": serde_json::to_value(as_built_wedge_rows(found))?,
            "bolts": serde_json::to_value(as_built_bolt_rows(self.case, self.check, found))?,
            "bolts_rejected": serde_json::to_value(rejected_bolt_rows(self.case))?,
        }))
    }

    /// Each drawing as SVG and as PNG; they do not wait for each other.
    fn draw(&self) -> Result<Vec<(Figure, Vec<u8>)>, OutputError> {
        use rayon::prelude::*;
        type Draw = fn(&Case, &Check) -> Sheet;
        let drawings: [(&'static str, Draw); 4] = [
            ("section", drawings::section),
            ("unrolled", drawings::unrolled),
            ("plan", drawings::plan),
            ("stereonet", drawings::net),
        ];
        let make = |stem: String, sheet: Sheet| -> Result<(Figure, Vec<u8>), OutputError> {
            Ok((Figure { stem, svg: sheet.to_svg()? }, sheet.to_png(PNG_DPI)?))
        };
        let mut figures = drawings
            .into_par_iter()
            .map(|(stem, draw)| make(stem.to_owned(), draw(self.case, self.check)))
            .collect::<Result<Vec<_>, OutputError>>()?;
        if let Some(sheet) = face_drawing(self.case, self.check) {
            figures.push(make("face".into(), sheet)?);
        }
        figures.push(make("stages".into(), stages_drawing(self.case, self.check, self.stages))?);
        let curves = self.sizes.par_iter().filter_map(|curve| {
            let wedge = self.check.wedges.iter().find(|w| w.id == curve.wedge)?;
            Some(make(size_stem(curve), size_chart(wedge, curve)))
        });
        figures.extend(curves.collect::<Result<Vec<_>, OutputError>>()?);
        Ok(figures)
    }
}
