use thiserror::Error;

use super::answer::answer;
use super::as_built::rows::{
    as_built_bolt_rows, as_built_ring_rows, as_built_wedge_rows, rejected_bolt_rows,
};
use super::as_built::words::{as_built_answer, as_built_lines};
use super::calculation::calculation_sheet;
use super::drawings;
use super::inputs::echo::inputs_json;
use super::page::{Page, page, size_stem};
use super::rows::{bolt_demand_rows, bolt_rows, size_rows, stage_rows, wedge_rows};
use super::sign_off::SignOff;
use super::sizes::chart::size_chart;
use super::stages::drawing::stages_drawing;
use super::structures::located_lines;
use super::summary::{Summary, summary_json};
use super::surface::rows::{advice_rows, prism_rows, scaling_rows, screen_duty_rows};
use super::surface::words::screen_sentence;
use crate::case::{BoltOrigin, Case};
use crate::report::check::bolts::pull_tests::pull_tests_json;
use crate::report::check::bolts::words::bolt_origins_json;
use crate::report::check::inputs::scan::{scan_json, scan_of};
use crate::report::paper::html::Figure;
use crate::report::paper::numbers::Number;
use crate::report::paper::sheet::DrawError;
use crate::report::paper::sheet::Sheet;
use crate::report::paper::tables::{TableError, csv_table};
use crate::study::{Check, CheckedWedge, Remedy, Whole, demand};
use crate::support::BondTests;

/// Resolution of the PNG files, dots an inch: sharp in print at the width they are drawn for.
pub(crate) const PNG_DPI: f64 = 150.0;

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
    pub whole: &'a Whole,
    /// What the reader of the case file wondered about; it stands with the check's own warnings.
    pub notes: &'a [String],
    /// What would hold the worst wedge.
    pub remedy: Option<&'a Remedy>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// What pull tests say of each bolt whose bond comes from them.
    pub bond_tests: &'a [Option<BondTests>],
    /// How each bolt came to its numbers.
    pub bolt_origins: &'a [BoltOrigin],
}

impl Outputs<'_> {
    /// The answer line.
    #[must_use]
    pub fn answer(&self) -> String {
        let mut designed = answer(self.case, self.whole, self.remedy);
        let fixed = |w: &CheckedWedge| w.criterion_fs.is_some() && w.is_fixed(self.case);
        if self.whole.check.wedges.iter().any(fixed) {
            designed.push_str(" Nor smaller sizes of the wedges that use structures.");
        }
        match &self.whole.as_built {
            Some(found) => format!("{}\nBy design: {designed}", as_built_answer(self.case, found)),
            None => designed,
        }
    }

    fn sheet(&self, wedge: &CheckedWedge) -> String {
        let curve = self.whole.sizes.iter().find(|c| c.wedge == wedge.id);
        calculation_sheet(self.case, &self.whole.check, wedge, curve)
    }

    /// Every file of the folder, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let answer = self.answer();
        let Whole { check, sizes, stages, beside, as_built } = self.whole;
        let wedges = wedge_rows(self.case, check, &beside.surface.shared);
        let bolt_demand = bolt_demand_rows(&demand(self.case, check), &beside.widest);
        let bolts = bolt_rows(self.case, check);
        let size_curve = size_rows(sizes);
        let stage_table = stage_rows(stages);
        let screen_duty = screen_duty_rows(self.case, &beside.surface.duty);
        let scaling = scaling_rows(&beside.surface.scaling);
        let prisms = prism_rows(self.case, &beside.prisms);
        let advice = advice_rows(&beside.advice);
        let sheets: Vec<String> = check.every().map(|w| self.sheet(w)).collect();

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
        let mut tables = vec![
            ("wedges.csv", csv_table(&wedges)?),
            ("bolt_demand.csv", csv_table(&bolt_demand)?),
            ("bolts.csv", csv_table(&bolts)?),
            ("size_curve.csv", csv_table(&size_curve)?),
            ("stages.csv", csv_table(&stage_table)?),
            ("screen_duty.csv", csv_table(&screen_duty)?),
            ("prisms.csv", csv_table(&prisms)?),
            ("advice.csv", csv_table(&advice)?),
        ];
        if self.case.criteria.scaling_up_to_m3.is_some() {
            tables.push(("scaling.csv", csv_table(&scaling)?));
        }
        if let Some(found) = as_built {
            tables.push(("as_built.csv", csv_table(&as_built_ring_rows(found))?));
            tables.push(("as_built_wedges.csv", csv_table(&as_built_wedge_rows(found))?));
            tables.push(("as_built_bolts.csv", csv_table(&as_built_bolt_rows(self.case, check, found))?));
            tables.push(("bolts_rejected.csv", csv_table(&rejected_bolt_rows(self.case))?));
        }
        let summary = summary_json(&Summary {
            answer: &answer,
            dated: self.dated,
            inputs: &inputs_json(self.case),
            scan: &scan_json(self.case),
            check,
            notes: self.notes,
            wedges: &wedges,
            bolt_demand: &bolt_demand,
            bolts: &bolts,
            sizes,
            size_curve: &size_curve,
            stages,
            stage_rows: &stage_table,
            sign_off: &self.sign_off,
            tables: &tables,
            pull_tests: &pull_tests_json(self.case, self.bond_tests),
            bolt_origins: &bolt_origins_json(self.case, self.bolt_origins),
            case: self.case,
            screen_sentence: screen_sentence(self.case, beside, sizes),
            screen_duty: &screen_duty,
            scaling: &scaling,
            prisms: &prisms,
            advice: &advice,
            structures: located_lines(self.case, check),
            as_built: self.as_built_json()?,
        })?;
        let html = page(&Page {
            case: self.case,
            check,
            notes: self.notes,
            answer: &answer,
            dated: self.dated,
            figures: &figures,
            wedges: &wedges,
            bolt_demand: &bolt_demand,
            bolts: &bolts,
            sheets: &sheets,
            sizes,
            stages,
            beside,
            as_built: as_built.as_ref(),
            sign_off: &self.sign_off,
            bond_tests: self.bond_tests,
        });
        for (name, text) in tables {
            add(name, text.into_bytes());
        }
        add("summary.json", summary.into_bytes());
        add("report.html", html.into_bytes());
        Ok(files)
    }

    /// The stretch as built, for the summary; null where there is none.
    fn as_built_json(&self) -> Result<serde_json::Value, serde_json::Error> {
        let Some(found) = &self.whole.as_built else { return Ok(serde_json::Value::Null) };
        Ok(serde_json::json!({
            "from_m": Number(found.from_m),
            "to_m": Number(found.to_m),
            "notes": as_built_lines(self.case, found),
            "rings": serde_json::to_value(as_built_ring_rows(found))?,
            "wedges": serde_json::to_value(as_built_wedge_rows(found))?,
            "bolts": serde_json::to_value(as_built_bolt_rows(self.case, &self.whole.check, found))?,
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
            .map(|(stem, draw)| make(stem.to_owned(), draw(self.case, &self.whole.check)))
            .collect::<Result<Vec<_>, OutputError>>()?;
        if let Some(scan) = scan_of(self.case) {
            figures.push(make("scan".to_owned(), drawings::scan(self.case, scan))?);
        }
        if let Some(sheet) = drawings::face_drawing(self.case, &self.whole.check) {
            figures.push(make("face".into(), sheet)?);
        }
        figures
            .push(make("stages".into(), stages_drawing(self.case, &self.whole.check, &self.whole.stages))?);
        let curves = self.whole.sizes.par_iter().filter_map(|curve| {
            let wedge = self.whole.check.wedges.iter().find(|w| w.id == curve.wedge)?;
            Some(make(size_stem(curve), size_chart(wedge, curve)))
        });
        figures.extend(curves.collect::<Result<Vec<_>, OutputError>>()?);
        Ok(figures)
    }
}
