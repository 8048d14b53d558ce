use std::borrow::Cow;
use std::collections::BTreeMap;

use super::fields::{Field, SURVEY_COLUMNS};
use super::intern::LineNames;
use super::read::{ReadOptions, Reader, empty, report_no_rows};
use super::row_choice::RowFilter;
use super::values::{StatedSpacing, Survey};
use super::warning::Warning;
use super::{LineKind, SurveyLine};
use crate::input::{
    Collector, Place, ProblemKind, Problems, Row, Rows, Says, parse_number, quoted, report_unclosed,
};
use crate::orientation::{Line, wrap_azimuth_deg};

/// Which `DISC` heading holds which of a survey's columns. Names of groups and headings are
/// those of the open AGS 4 data format (Association of Geotechnical and Geoenvironmental
/// Specialists); `HORN_*`, `DISC_TYPE`, `DISC_STR` and the termination letters are from memory.
const DISC_FIELDS: [(&str, Field, &[&str]); 14] = [
    ("LOCA_ID", Field::Line, &[]),
    ("DISC_TOP", Field::Distance, &["m"]),
    ("FRAC_SET", Field::Set, &[]),
    ("DISC_DIP", Field::Dip, &["deg"]),
    ("DISC_DIR", Field::DipDirection, &["deg"]),
    ("DISC_PERS", Field::TraceLength, &["m"]),
    ("DISC_TYPE", Field::Type, &[]),
    ("DISC_JRC", Field::Jrc, &[]),
    ("DISC_STR", Field::Jcs, &["MPa", "MN/m2"]),
    ("DISC_RGH", Field::Roughness, &[]),
    ("DISC_INFM", Field::Filling, &[]),
    ("DISC_SEEP", Field::Water, &[]),
    ("DISC_REM", Field::Note, &[]),
    ("DISC_TERM", Field::Termination, &[]),
];

/// True for a file whose first cell is `GROUP`.
pub(crate) fn looks_like_ags(text: &str) -> bool {
    Rows::new(text, b',').next().is_some_and(|row| row.cells.first().is_some_and(|cell| cell == "GROUP"))
}

/// One group of an AGS file.
#[derive(Default)]
struct Group<'t> {
    line: usize,
    headings: Vec<Cow<'t, str>>,
    units: Vec<Cow<'t, str>>,
    data: Vec<Row<'t>>,
}

impl Group<'_> {
    fn column(&self, heading: &str) -> Option<usize> {
        self.headings.iter().position(|h| h == heading)
    }

    fn unit(&self, column: usize) -> &str {
        self.units.get(column).map_or("", AsRef::as_ref)
    }
}

impl<'t> Row<'t> {
    fn cell(&self, column: Option<usize>) -> Option<&str> {
        let text = self.cells.get(column?)?.as_ref();
        (!text.is_empty()).then_some(text)
    }
}

/// Reads groups `DISC` (a row a joint), `LOCA` (holes and exposures), `HORN` (direction of
/// holes, where given) and `FRAC` (mean spacings) of an AGS 4 file.
pub(crate) fn read_ags(file_name: &str, text: &str, options: &ReadOptions) -> Result<Survey, Problems> {
    let mut problems = Collector::of_file(file_name);
    let groups = groups(text, &mut problems);
    let mut lines = LineNames::new(&options.lines);
    let mut warnings = Vec::new();
    for name in ["LOCA", "HORN"] {
        if let Some(group) = groups.get(name) {
            read_places(group, options, &mut lines, &mut warnings);
        }
    }
    let mut survey = empty(options);
    let Some(disc) = groups.get("DISC") else {
        let says = Says::new(
            format!("groups {}", groups.keys().cloned().collect::<Vec<_>>().join(", ")),
            "a group DISC, which holds the joints",
            "export the discontinuity data",
        );
        problems.add(ProblemKind::MissingKey, Place::whole(), "", says);
        return problems.finish(survey);
    };
    let mut columns = vec![None; SURVEY_COLUMNS.len()];
    for (heading, field, units) in DISC_FIELDS {
        let column = disc.column(heading);
        columns[field as usize] = column;
        let Some(at) = column else { continue };
        let unit = disc.unit(at);
        if !units.is_empty() && !unit.is_empty() && !units.contains(&unit) {
            let says =
                Says::new(format!("unit {}", quoted(unit)), units.join(", "), "export it in this unit");
            problems.add(ProblemKind::Value, Place::line(disc.line), heading, says);
        }
    }
    for (heading, field) in [("DISC_DIP", Field::Dip), ("DISC_DIR", Field::DipDirection)] {
        if columns[field as usize].is_none() {
            let says = Says::new(format!("group DISC without {heading}"), "DISC_DIP and DISC_DIR", "");
            problems.add(ProblemKind::MissingKey, Place::line(disc.line), "", says);
        }
    }
    if problems.count() > 0 {
        return problems.finish(survey);
    }
    let header = Row { line: disc.line, raw: "", cells: disc.headings.clone() };
    let find = |name: &str| {
        let field = SURVEY_COLUMNS.iter().position(|known| known.name == name).and_then(|at| columns[at]);
        field.or_else(|| disc.column(name))
    };
    let filter = RowFilter::of(&options.rows, &header, &columns, find, &mut problems);
    if problems.count() > 0 {
        return problems.finish(survey);
    }
    let mut reader = Reader::new(columns, disc.headings.len(), false, lines, options);
    reader.filter = filter;
    reader.warnings = warnings;
    for row in &disc.data {
        reader.take(row, &mut survey);
    }
    if survey.rows == 0 {
        report_no_rows(Place::line(disc.line), &mut problems);
    }
    if let Some(frac) = groups.get("FRAC") {
        survey.stated_spacings = read_spacings(frac, &mut reader, &mut problems);
    }
    reader.finish(&mut survey);
    problems.finish(survey)
}

fn groups<'t>(text: &'t str, problems: &mut Collector) -> BTreeMap<String, Group<'t>> {
    let mut groups: BTreeMap<String, Group<'t>> = BTreeMap::new();
    let mut current = String::new();
    let mut rows = Rows::new(text, b',');
    for row in rows.by_ref() {
        let kind = row.cells[0].as_ref();
        if kind == "GROUP" {
            current = row.cell(Some(1)).unwrap_or("").to_owned();
            groups.entry(current.clone()).or_default().line = row.line;
            continue;
        }
        let group = groups.entry(current.clone()).or_default();
        match kind {
            "HEADING" => group.headings = row.cells,
            "UNIT" => group.units = row.cells,
            "TYPE" => {}
            "DATA" => group.data.push(row),
            other => {
                let found = format!("{} at the start of a line", quoted(other));
                let says = Says::new(found, "GROUP, HEADING, UNIT, TYPE or DATA", "");
                problems.add(ProblemKind::Syntax, Place::line(row.line), "", says);
            }
        }
    }
    if let Some(line) = rows.unclosed_quote {
        report_unclosed(Place::line(line), "", problems);
    }
    groups
}

/// Holes and exposures by name, with length (`LOCA`) and direction (`HORN`: orientation, and
/// inclination positive down from level). What a lines file said stands.
fn read_places(group: &Group<'_>, options: &ReadOptions, lines: &mut LineNames, warnings: &mut Vec<Warning>) {
    let id = group.column("LOCA_ID");
    let [depth, azimuth, slope] =
        ["LOCA_FDEP", "HORN_ORNT", "HORN_INCL"].map(|heading| group.column(heading));
    for row in &group.data {
        let Some(name) = row.cell(id) else { continue };
        let at = lines.index_of(name);
        if at < options.lines.len() {
            continue;
        }
        let number = |column| row.cell(column).and_then(parse_number);
        let line: &mut SurveyLine = &mut lines.lines[at];
        line.length_m = line.length_m.or(number(depth).filter(|&m| m > 0.0));
        let direction = number(azimuth).zip(number(slope)).map(|(trend, plunge_deg)| Line {
            trend_deg: options.north.apply_deg(wrap_azimuth_deg(trend)),
            plunge_deg,
        });
        if let Some(direction) = direction.filter(|d| d.plunge_deg.abs() <= 90.0) {
            if line.direction.is_some_and(|first| first != direction) {
                warnings.push(Warning::ValueLeftOut {
                    line: row.line,
                    column: "HORN_ORNT",
                    found: format!("{}/{}", direction.trend_deg, direction.plunge_deg),
                    allowed: "one direction for a hole (the first is used)",
                });
            } else {
                line.direction = Some(direction);
                line.kind = Some(LineKind::Hole);
            }
        }
    }
}

fn read_spacings(frac: &Group<'_>, reader: &mut Reader, problems: &mut Collector) -> Vec<StatedSpacing> {
    let (Some(mean), id, set) = (frac.column("FRAC_IAVE"), frac.column("LOCA_ID"), frac.column("FRAC_SET"))
    else {
        return Vec::new();
    };
    let to_metres = match frac.unit(mean) {
        "mm" | "" => 1e-3,
        "cm" => 1e-2,
        "m" => 1.0,
        other => {
            let says = Says::new(format!("unit {}", quoted(other)), "mm, cm, m", "");
            problems.add(ProblemKind::Value, Place::line(frac.line), "FRAC_IAVE", says);
            return Vec::new();
        }
    };
    let mut spacings = Vec::new();
    for row in &frac.data {
        let Some(text) = row.cell(Some(mean)) else {
            continue;
        };
        let Some(value) = parse_number(text).filter(|&v| v > 0.0) else {
            reader.warnings.push(Warning::ValueLeftOut {
                line: row.line,
                column: "FRAC_IAVE",
                found: text.to_owned(),
                allowed: "a number above 0",
            });
            continue;
        };
        let label = row.cell(set).map(|label| reader.labels.index_of(label, &mut reader.warnings));
        spacings.push(StatedSpacing {
            label,
            line: row.cell(id).map(|id| reader.lines.index_of(id)),
            mean_m: value * to_metres,
        });
    }
    spacings
}
