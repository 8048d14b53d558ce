//! The tables of a check: their rows, made once for files, summary and page.

use serde_json::{Value, json};

use super::acts::{ActsRow, acts_rows, acts_table, is_told};
use super::advice::advice_table;
use super::as_built::bolts::{
    AsBuiltBoltRow, as_built_bolt_rows, as_built_bolt_table, rejected_rows, rejected_table,
};
use super::as_built::compared::{changed_rows, changed_table};
use super::as_built::rings::ring_table;
use super::as_built::spots::{spot_rows, spot_table};
use super::as_built::wedges::as_built_wedge_table;
use super::as_built::words::as_built_lines;
use super::bolts::serving::{BoltRow, bolt_rows, bolt_table};
use super::changes::{ChangeRow, change_rows, change_table};
use super::demand::{BoltDemandRow, bolt_demand_rows, bolt_demand_table};
use super::outputs::Outputs;
use super::prisms::{PrismRow, prism_rows, prism_table};
use super::scan_along::scan_along_table;
use super::shaking::{ShakenRow, shaken_rows, shaken_table};
use super::sizes::table::{SizeRow, size_rows, size_table};
use super::stages::table::stage_table;
use super::stress::{StressRow, stress_json, stress_rows, stress_table};
use super::surface::duty::{ScreenDutyRow, screen_duty_rows, screen_duty_table};
use super::surface::scaling::scaling_table;
use super::water::{WaterRow, water_json, water_rows, water_table};
use super::wedges::{WedgeRow, wedge_rows, wedge_table};
use crate::report::paper::csv_metadata::{ColumnOfFile, csv_metadata};
use crate::report::paper::numbers::Number;
use crate::report::paper::output::{OutputError, OutputFile};
use crate::report::paper::table::{Table, TableError};

/// The rows of a check's tables; where a table shows what a study found as it stands, they are the
/// study's own.
#[derive(Debug)]
pub(super) struct Tables<'a> {
    outputs: &'a Outputs<'a>,
    pub wedges: Vec<WedgeRow<'a>>,
    pub bolt_demand: Vec<BoltDemandRow<'a>>,
    pub bolts: Vec<BoltRow<'a>>,
    changes: Vec<ChangeRow<'a>>,
    pub screen_duty: Vec<ScreenDutyRow<'a>>,
    pub prisms: Vec<PrismRow<'a>>,
    pub shaken: Vec<ShakenRow<'a>>,
    pub wet: Vec<WaterRow<'a>>,
    pub stressed: Vec<StressRow<'a>>,
    pub acts: Vec<ActsRow<'a>>,
    size_curve: Vec<SizeRow<'a>>,
    as_built_bolts: Vec<AsBuiltBoltRow<'a>>,
}

impl<'a> Tables<'a> {
    pub(super) fn of(outputs: &'a Outputs<'a>) -> Self {
        let (case, whole) = (outputs.case, outputs.whole);
        let (check, beside) = (&whole.check, &whole.beside);
        Self {
            outputs,
            wedges: wedge_rows(case, whole),
            bolt_demand: bolt_demand_rows(case, check, &beside.widest),
            bolts: bolt_rows(case, outputs.deciding),
            changes: outputs.mending.map(change_rows).unwrap_or_default(),
            screen_duty: screen_duty_rows(case, &beside.surface.duty),
            prisms: prism_rows(case, &beside.prisms),
            shaken: shaken_rows(check),
            wet: water_rows(case, check),
            stressed: stress_rows(case, check),
            acts: acts_rows(case, check),
            size_curve: size_rows(&whole.sizes),
            as_built_bolts: match &whole.as_built {
                Some(found) => as_built_bolt_rows(case, check, found),
                None => Vec::new(),
            },
        }
    }

    /// The CSV files, under their names.
    pub(super) fn csv(&self) -> Result<Vec<(&'static str, String)>, TableError> {
        let mut files = CsvFiles(Vec::new());
        self.each(&mut files)?;
        Ok(files.0)
    }

    /// The same tables as JSON, and what their columns hold.
    pub(super) fn for_programs(&self, title: &str) -> Result<Vec<OutputFile>, OutputError> {
        let mut found = ForPrograms::default();
        self.each(&mut found)?;
        let mut files = Vec::new();
        for (name, rows) in &found.json {
            let mut text = serde_json::to_string_pretty(rows)?;
            text.push('\n');
            files.push(OutputFile::text(&format!("tables/{}.json", name.trim_end_matches(".csv")), text));
        }
        let mut text = serde_json::to_string_pretty(&csv_metadata(title, &found.columns))?;
        text.push('\n');
        files.push(OutputFile::text("csv-metadata.json", text));
        Ok(files)
    }

    /// Takes every table that is written, in the order of the folder.
    fn each(&self, take: &mut impl TakesTables) -> Result<(), TableError> {
        let (case, whole) = (self.outputs.case, self.outputs.whole);
        take.table("wedges.csv", &wedge_table(), &self.wedges)?;
        take.table("bolt_demand.csv", &bolt_demand_table(), &self.bolt_demand)?;
        take.table("bolts.csv", &bolt_table(), &self.bolts)?;
        take.table("changes.csv", &change_table(), &self.changes)?;
        take.table("size_curve.csv", &size_table(case), &self.size_curve)?;
        take.table("stages.csv", &stage_table(), &whole.stages.rows)?;
        take.table("screen_duty.csv", &screen_duty_table(), &self.screen_duty)?;
        take.table("prisms.csv", &prism_table(), &self.prisms)?;
        take.table("advice.csv", &advice_table(), &whole.beside.advice)?;
        if case.criteria.scaling_up_to_m3.is_some() {
            take.table("scaling.csv", &scaling_table(), &whole.beside.surface.scaling)?;
        }
        if case.site.shaking.is_some() {
            take.table("shaking.csv", &shaken_table(case), &self.shaken)?;
        }
        if case.site.water.is_some() {
            take.table("water.csv", &water_table(), &self.wet)?;
        }
        if case.site.stress.is_some() {
            take.table("stress.csv", &stress_table(), &self.stressed)?;
        }
        if is_told(case) {
            take.table("acts.csv", &acts_table(), &self.acts)?;
        }
        if !whole.scan_along.is_empty() {
            take.table("scan_along.csv", &scan_along_table(), &whole.scan_along)?;
        }
        if let Some(found) = &whole.as_built {
            take.table("as_built.csv", &ring_table(), &found.rings)?;
            take.table("as_built_wedges.csv", &as_built_wedge_table(), &found.wedges)?;
            take.table("bolts_as_built.csv", &as_built_bolt_table(), &self.as_built_bolts)?;
            if case.site.as_built.as_ref().is_some_and(|built| built.earlier.is_some()) {
                take.table("bolt_changes.csv", &changed_table(), &changed_rows(case, found))?;
            }
            if found.spot_bolts.is_some() {
                take.table("spot_bolts.csv", &spot_table(), &spot_rows(case, found))?;
            }
            take.table("bolts_rejected.csv", &rejected_table(), &rejected_rows(case))?;
        }
        Ok(())
    }

    pub(super) fn bolt_demand_json(&self) -> Value {
        bolt_demand_table().json(&self.bolt_demand)
    }

    pub(super) fn bolts_json(&self) -> Value {
        bolt_table().json(&self.bolts)
    }

    pub(super) fn changes_json(&self) -> Value {
        change_table().json(&self.changes)
    }

    pub(super) fn size_curve_json(&self) -> Value {
        size_table(self.outputs.case).json(&self.size_curve)
    }

    pub(super) fn stages_json(&self) -> Value {
        stage_table().json(&self.outputs.whole.stages.rows)
    }

    pub(super) fn screen_duty_json(&self) -> Value {
        screen_duty_table().json(&self.screen_duty)
    }

    pub(super) fn scaling_json(&self) -> Value {
        scaling_table().json(&self.outputs.whole.beside.surface.scaling)
    }

    pub(super) fn prisms_json(&self) -> Value {
        prism_table().json(&self.prisms)
    }

    pub(super) fn shaken_json(&self) -> Value {
        shaken_table(self.outputs.case).json(&self.shaken)
    }

    pub(super) fn wet_json(&self) -> Value {
        water_json(self.outputs.case, &self.wet)
    }

    pub(super) fn stressed_json(&self) -> Value {
        stress_json(self.outputs.case, &self.stressed)
    }

    pub(super) fn acts_json(&self) -> Value {
        acts_table().json(&self.acts)
    }

    pub(super) fn advice_json(&self) -> Value {
        advice_table().json(&self.outputs.whole.beside.advice)
    }

    /// The stretch as built; null where there is none.
    pub(super) fn as_built_json(&self) -> Value {
        let case = self.outputs.case;
        let Some(found) = &self.outputs.whole.as_built else { return Value::Null };
        let mut told = json!({
            "from_m": Number(found.from_m),
            "to_m": Number(found.to_m),
            "notes": as_built_lines(case, found),
            "rings": ring_table().json(&found.rings),
            "wedges": as_built_wedge_table().json(&found.wedges),
            "bolts": as_built_bolt_table().json(&self.as_built_bolts),
            "spot_bolts": found.spot_bolts.as_ref().map(|_| spot_table().json(&spot_rows(case, found))),
            "promised": found.spot_bolts.as_ref().map(|spots| {
                let promised = spots.promised.iter();
                promised.map(|(id, verdict)| (id.clone(), json!(verdict.name()))).collect::<serde_json::Map<_, _>>()
            }),
            "bolts_rejected": rejected_table().json(&rejected_rows(case)),
        });
        if case.site.as_built.as_ref().is_some_and(|built| built.earlier.is_some()) {
            told["bolt_changes"] = changed_table().json(&changed_rows(case, found));
        }
        told
    }
}

/// Whoever wants the tables one after the other, whatever their rows are.
trait TakesTables {
    fn table<Row>(&mut self, name: &'static str, table: &Table<Row>, rows: &[Row]) -> Result<(), TableError>;
}

struct CsvFiles(Vec<(&'static str, String)>);

impl TakesTables for CsvFiles {
    fn table<Row>(&mut self, name: &'static str, table: &Table<Row>, rows: &[Row]) -> Result<(), TableError> {
        self.0.push((name, table.csv(rows)?));
        Ok(())
    }
}

#[derive(Default)]
struct ForPrograms {
    json: Vec<(&'static str, Value)>,
    columns: Vec<(&'static str, Vec<ColumnOfFile>)>,
}

impl TakesTables for ForPrograms {
    fn table<Row>(&mut self, name: &'static str, table: &Table<Row>, rows: &[Row]) -> Result<(), TableError> {
        self.json.push((name, table.json(rows)));
        self.columns.push((name, table.columns_of_file(rows)));
        Ok(())
    }
}
