//! Every file of a chance's folder but samples.csv, and what the terminal shows.

use serde_json::json;

use super::charts::{driver_bars, exceedance_chart, fs_chart, poles};
use super::counts::ChancePart;
use super::outputs::ChanceOutputs;
use super::page::{page, scatter_words};
use super::places::{ON_TERMINAL, exceedance, exceedance_table, place_rows, place_table};
use super::pyramids::{driver_table, pyramid_rows, pyramid_table};
use crate::report::check::inputs_json;
use crate::report::paper::output::{OutputError, OutputFile, drawn, put_plots};
use crate::report::paper::table::Grid;
use crate::report::record::{Head, folder, summary_json};
use crate::report::words::{CAUTIONS, CHANCE_CAUTION};

impl ChanceOutputs<'_> {
    /// Every file of the folder but samples.csv, in a fixed order.
    ///
    /// # Errors
    /// [`OutputError`] where a table or a drawing cannot be made.
    pub fn files(&self) -> Result<Vec<OutputFile>, OutputError> {
        let places = place_rows(self.found, self.bolted(), self.thinned());
        let pyramids = pyramid_rows(self.case, self.found, self.bolted(), self.thinned());
        let drivers = self.drivers();
        let mut sheets = vec![
            ("exceedance", exceedance_chart(&places, "volume_m3")),
            ("exceedance_pressure", exceedance_chart(&places, "needed_kpa")),
            ("exceedance_force", exceedance_chart(&places, "needed_kn")),
            ("factors", fs_chart(self, &places[0])),
        ];
        sheets.extend(driver_bars(&drivers).map(|sheet| ("drivers", sheet)));
        // The case was looked at before: it has a section.
        sheets.extend(poles(self).ok().flatten().map(|sheet| ("poles", sheet)));
        let drawings =
            sheets.iter().map(|(stem, sheet)| drawn(stem, sheet)).collect::<Result<Vec<_>, _>>()?;
        let mut files = Vec::new();
        let figures = put_plots(drawings, &mut files);
        let csv = [
            ("chance.csv", place_table().csv(&places)?),
            ("pyramids.csv", pyramid_table().csv(&pyramids)?),
            ("exceedance.csv", exceedance_table().csv(&exceedance(&places))?),
            ("drivers.csv", driver_table().csv(&drivers)?),
            ("counts.json", ChancePart::of(self).text()?),
        ];
        let summary = summary_json(
            Head {
                answer: &self.answer(),
                asked: &self.asked(),
                dated: self.dated,
                sign_off: &self.sign_off,
                inputs: inputs_json(self.case),
            },
            json!({
                "below": self.below(),
                "draws": self.found.draws(),
                "chance": place_table().json(&places),
                "pyramids": pyramid_table().json(&pyramids),
                "drivers": driver_table().json(&drivers),
                "scatter": scatter_words(self),
                "warnings": self.notes,
                "caution": CHANCE_CAUTION,
                "cautions": CAUTIONS,
            }),
            &csv,
        )?;
        let page = page(self, &places, &pyramids, &drivers, &figures);
        Ok(folder(files, csv, summary, ("chance.html", page)))
    }

    /// What the terminal shows of each surface.
    pub(crate) fn terminal_table(&self) -> Grid {
        let rows = place_rows(self.found, self.bolted(), self.thinned());
        place_table().terminal(&ON_TERMINAL, &rows)
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        self.below()
    }
}
