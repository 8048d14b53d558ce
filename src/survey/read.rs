use std::collections::HashSet;
use std::sync::Arc;

use super::doubt::find_doubts;
use super::fields::{Field, NOTATION_COLUMNS, NOTATIONS, SURVEY_COLUMNS};
use super::intern::{LabelNames, LineNames};
use super::reading::{Reading, Reject, Remarks};
use super::row::{Cells, Context, plane_of};
use super::warning::Warning;
use super::{NorthCorrection, Survey, SurveyLine};
use crate::input::{
    Collector, ColumnMap, Columns, Known, Place, ProblemKind, Problems, Row, Says, Separator, Sheet,
    header_list, parse_number, parse_yes_no, too_wide,
};

/// What a survey is read with.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReadOptions {
    /// Which header means what, for other people's tables.
    pub columns: ColumnMap,
    /// What turns azimuths to the case's north.
    pub north: NorthCorrection,
    /// Scanlines, windows and holes (see [`super::read_lines`]).
    pub lines: Vec<SurveyLine>,
}

/// Reads a survey table: a header, then a row a joint; comma, semicolon or tab separated.
///
/// A row that gives no plane ends in [`Survey::rejects`]; a value other than the orientation
/// that cannot be used is left out with a warning, and the reading stays. Rows that name no line
/// belong to the only one of [`ReadOptions::lines`], where there is but one. A file that begins
/// with an AGS 4 `GROUP` is read as such: `DISC` a row a joint, `LOCA` and `HORN` for holes,
/// `FRAC` for mean spacings.
///
/// # Units
/// As the headers say: degrees and metres.
///
/// # Errors
/// When the table as a whole cannot be read: no header, no column of any notation, a quantity
/// named twice, a quote that never closes. All such problems at once.
pub fn read_survey(file_name: &str, text: &str, options: &ReadOptions) -> Result<Survey, Problems> {
    if super::ags::looks_like_ags(text) {
        return super::ags::read_ags(file_name, text, options);
    }
    let mut problems = Collector::of_file(file_name);
    let mut warnings = Vec::new();
    let Some(mut sheet) = Sheet::of(text, Separator::OfHeader, 0) else {
        let says = Says::new("an empty file", format!("a header with {NOTATION_COLUMNS}"), "");
        problems.add(ProblemKind::File, Place::whole(), "", says);
        return problems.finish(empty(options));
    };
    let columns = columns_of(&sheet, &SURVEY_COLUMNS, &options.columns, &mut problems, &mut warnings);
    let columns = columns.into_indices();
    let has = |field: Field| columns[field as usize].is_some();
    if !NOTATIONS.iter().any(|(_, fields)| fields.iter().all(|&field| has(field))) {
        let says = Says::new(
            format!("columns {}", header_list(&sheet.header.cells)),
            NOTATION_COLUMNS,
            "rename the columns, or say which is which with a column map; a strike is taken as right-hand \
             rule only when you call it strike_deg",
        );
        problems.add(ProblemKind::MissingKey, sheet.header_place(), "", says);
    }
    if problems.count() > 0 {
        return problems.finish(empty(options));
    }
    let mut reader = Reader {
        columns,
        width: sheet.header.cells.len(),
        north: options.north,
        single_line: options.lines.len() == 1,
        lines: LineNames::new(&options.lines),
        labels: LabelNames::default(),
        remarks: SharedRemarks::default(),
        warnings,
    };
    let (mut readings, mut rejects) = (Vec::new(), Vec::new());
    let mut count = 0;
    while let Some((row, _)) = sheet.next_row() {
        count += 1;
        match reader.reading(&row) {
            Ok(reading) => readings.push(reading),
            Err(reasons) => rejects.push(reader.reject(&row, &reasons)),
        }
    }
    sheet.report_unclosed("", &mut problems);
    reader.lines.warn_unknown(&readings, &mut reader.warnings);
    find_doubts(&readings, &mut reader.warnings);
    problems.finish(Survey {
        readings,
        rejects,
        rows: count,
        labels: reader.labels.names,
        lines: reader.lines.lines,
        stated_spacings: Vec::new(),
        north: options.north,
        warnings: reader.warnings,
    })
}

/// The columns of a table of this room: a quantity given twice is a problem, what is not known and
/// what lacks its unit are warned about.
pub(crate) fn columns_of(
    sheet: &Sheet<'_>,
    known: &'static [Known],
    map: &ColumnMap,
    problems: &mut Collector,
    warnings: &mut Vec<Warning>,
) -> Columns {
    let columns = Columns::mapped(&sheet.header, sheet.header_place(), known, map, problems);
    columns.report_twice("rename one of them, or name the right one in a column map", problems);
    // Spreadsheets leave columns without a name behind.
    let unknown = columns.unknown().filter(|(_, header, _)| !header.is_empty());
    let unknown = unknown.map(|(at, header, nearest)| {
        let (header, nearest) = (header.to_owned(), nearest.map(str::to_owned));
        (at, Warning::UnknownColumn { header, nearest })
    });
    let assumed = columns
        .units_assumed()
        .map(|(at, header, read_as)| (at, Warning::UnitAssumed { header: header.to_owned(), read_as }));
    let mut doubts: Vec<(usize, Warning)> = unknown.chain(assumed).collect();
    doubts.sort_by_key(|(at, _)| *at);
    warnings.extend(doubts.into_iter().map(|(_, warning)| warning));
    columns
}

fn empty(options: &ReadOptions) -> Survey {
    Survey {
        readings: Vec::new(),
        rejects: Vec::new(),
        rows: 0,
        labels: Vec::new(),
        lines: options.lines.clone(),
        stated_spacings: Vec::new(),
        north: options.north,
        warnings: Vec::new(),
    }
}

/// What stays the same from row to row.
pub(crate) struct Reader {
    pub columns: Vec<Option<usize>>,
    pub width: usize,
    pub north: NorthCorrection,
    /// With one line in the lines file, rows need not name it.
    pub single_line: bool,
    pub lines: LineNames,
    pub labels: LabelNames,
    pub remarks: SharedRemarks,
    pub warnings: Vec<Warning>,
}

impl Reader {
    /// A row that gave no reading, with what it says of its place.
    pub(crate) fn reject(&mut self, row: &Row<'_>, reasons: &[String]) -> Reject {
        let mut reject = Reject {
            line_number: row.line,
            reason: reasons.join("; "),
            row: row.raw.to_owned(),
            line: None,
            distance_m: None,
            label: None,
        };
        // In a row that is too wide nobody knows which cell is which.
        if !row.exceeds(self.width) {
            let cells = Cells { line: row.line, cells: &row.cells, columns: &self.columns };
            reject.line = line_of(&cells, &mut self.lines, self.single_line);
            reject.distance_m = cells.text(Field::Distance).and_then(parse_number);
            let label = cells.text(Field::Set);
            reject.label = label.map(|label| self.labels.index_of(label, &mut self.warnings));
        }
        reject
    }

    pub(crate) fn reading(&mut self, row: &Row<'_>) -> Result<Reading, Vec<String>> {
        if row.exceeds(self.width) {
            return Err(vec![too_wide(row, self.width)]);
        }
        let cells = Cells { line: row.line, cells: &row.cells, columns: &self.columns };
        let line = line_of(&cells, &mut self.lines, self.single_line);
        let warned = self.warnings.len();
        let mut context = Context { north: self.north, warnings: &mut self.warnings };
        let found = plane_of(&cells, line.map(|at| &self.lines.lines[at]), &mut context);
        let (plane, notation) = match found {
            Ok(found) => found,
            Err(reasons) => {
                // A rejected row is not warned about as well.
                self.warnings.truncate(warned);
                return Err(reasons);
            }
        };
        let label = cells.text(Field::Set).map(|label| self.labels.index_of(label, &mut self.warnings));
        let warnings = &mut self.warnings;
        let mut number = |field, allowed, fits: fn(f64) -> bool| {
            value(&cells, field, allowed, warnings, |text| parse_number(text).filter(|&v| fits(v)))
        };
        let distance_m = number(Field::Distance, "a number, metres", |_| true);
        let trace_length_m = number(Field::TraceLength, "a number above 0, metres", |v| v > 0.0);
        let spacing_m = number(Field::Spacing, "a number above 0, metres", |v| v > 0.0);
        let jrc = number(Field::Jrc, "0 to 20", |v| (0.0..=20.0).contains(&v));
        let ends_seen = value(&cells, Field::EndsSeen, "0, 1 or 2", warnings, parse_ends);
        let near_steel = value(&cells, Field::NearSteel, "yes or no", warnings, parse_yes_no);
        Ok(Reading {
            line_number: row.line,
            plane,
            notation,
            label,
            line,
            distance_m,
            trace_length_m,
            ends_seen,
            spacing_m,
            jrc,
            near_steel: near_steel.unwrap_or(false),
            remarks: self.remarks.of(&cells),
        })
    }
}

/// The line that a row names, or the only one there is.
fn line_of(cells: &Cells<'_, '_>, lines: &mut LineNames, single_line: bool) -> Option<usize> {
    match cells.text(Field::Line) {
        Some(id) => Some(lines.index_of(id)),
        None => single_line.then_some(0),
    }
}

fn parse_ends(text: &str) -> Option<u8> {
    match parse_number(text)? {
        0.0 => Some(0),
        1.0 => Some(1),
        2.0 => Some(2),
        _ => None,
    }
}

/// A value that the reading can live without: left out with a warning when it cannot be used.
fn value<T>(
    cells: &Cells<'_, '_>,
    field: Field,
    allowed: &'static str,
    warnings: &mut Vec<Warning>,
    parse: impl Fn(&str) -> Option<T>,
) -> Option<T> {
    let text = cells.text(field)?;
    let parsed = parse(text);
    if parsed.is_none() {
        warnings.push(Warning::ValueLeftOut {
            line: cells.line,
            column: field.name(),
            found: text.to_owned(),
            allowed,
        });
    }
    parsed
}

/// Words as rows repeat them.
#[derive(Default)]
pub(crate) struct SharedRemarks(HashSet<Arc<Remarks>>);

impl SharedRemarks {
    /// What a row says in words; `None` where it says nothing.
    fn of(&mut self, cells: &Cells<'_, '_>) -> Option<Arc<Remarks>> {
        let remarks = remarks(cells)?;
        if let Some(known) = self.0.get(&remarks) {
            return Some(Arc::clone(known));
        }
        let new = Arc::new(remarks);
        self.0.insert(Arc::clone(&new));
        Some(new)
    }
}

fn remarks(cells: &Cells<'_, '_>) -> Option<Remarks> {
    let text = |field| cells.text(field).map(Box::from);
    let remarks = Remarks {
        roughness: text(Field::Roughness),
        filling: text(Field::Filling),
        water: text(Field::Water),
        instrument: text(Field::Instrument),
        note: text(Field::Note),
    };
    (remarks != Remarks::default()).then_some(remarks)
}
