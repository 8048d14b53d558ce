use std::cell::Cell;
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use super::doubt::{find_doubts, repeats};
use super::fields::{Field, NOTATION_COLUMNS, NOTATIONS, SURVEY_COLUMNS};
use super::intern::{LabelNames, LineNames};
use super::quality::RockQuality;
use super::reading::{Reading, Reject, Remarks, Termination};
use super::row::{Cells, Context, plane_of};
use super::row_choice::{RowChoice, RowFilter};
use super::structure::{MappedStructure, StructureKind, means_joint};
use super::warning::Warning;
use super::written_as::{WrittenAs, apart, without_about};
use super::{NorthCorrection, Survey, SurveyLine};
use crate::input::{
    Collector, ColumnMap, Columns, HeaderWorth, Known, Layout, Place, ProblemKind, Problems, Row, Says,
    Sheet, header_list, parse_number, parse_yes_no, too_wide,
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
    /// The line of the header, from 1; found where it is not given.
    pub header_line: Option<usize>,
    /// How orientations are written, beyond plain numbers in columns of their own.
    pub written: Vec<WrittenAs>,
    /// Which rows are taken.
    pub rows: RowChoice,
    /// Whether rows that repeat an earlier one are left out of everything, not only of counts along lines.
    pub drop_repeats: bool,
    /// What else in the column `type` stands for a structure, besides the words for it.
    pub structure_types: Vec<(String, StructureKind)>,
}

/// Reads a survey table: a header, then a row a joint; separated by commas, semicolons, tabs or upright strokes.
/// Titles may stand above the header: it is the first row that names a whole orientation.
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
/// When the table as a whole cannot be read: no header, no row under it, no column of any notation, a quantity
/// named twice, a quote that never closes. All such problems at once.
pub fn read_survey(file_name: &str, text: &str, options: &ReadOptions) -> Result<Survey, Problems> {
    if super::ags::looks_like_ags(text) {
        return super::ags::read_ags(file_name, text, options);
    }
    let text = text.trim_start_matches('\u{feff}');
    let mut problems = Collector::of_file(file_name);
    let mut warnings = Vec::new();
    let wanted = format!("a header with {NOTATION_COLUMNS}");
    let layout = layout_of(text, options.header_line, &wanted, &mut problems, |header| {
        let place = Place::line(header.line);
        let columns =
            Columns::mapped(header, place, &SURVEY_COLUMNS, &options.columns, &mut Collector::default());
        let known = columns.known_count();
        HeaderWorth { known, whole: names_a_plane(&columns.into_indices(), &options.written) }
    });
    let Some((layout, mut sheet)) = layout.and_then(|at| Some((at, Sheet::laid_out(text, at, 0)?))) else {
        return problems.finish(empty(options));
    };
    warnings.extend(title_lines(text, layout));
    let columns = columns_of(&sheet, &SURVEY_COLUMNS, &options.columns, &mut problems, &mut warnings);
    let filter = RowFilter::of(
        &options.rows,
        &sheet.header,
        columns.indices(),
        |name| columns.find(name),
        &mut problems,
    );
    let columns = columns.into_indices();
    if !names_a_plane(&columns, &options.written) {
        let says = Says::new(
            format!("columns {}", header_list(&sheet.header.cells)),
            NOTATION_COLUMNS,
            "say which column is which, such as --column dip_deg=\"Fall\", or rename them, or name another line as \
             the header with --header-row, or how a column \"orientation\" is written with --notation; a strike is taken as right-hand rule only when you call it strike_deg",
        );
        problems.add(ProblemKind::MissingKey, sheet.header_place(), "", says);
    }
    if problems.count() > 0 {
        return problems.finish(empty(options));
    }
    if columns[Field::Orientation as usize].is_some()
        && !options.written.iter().copied().any(WrittenAs::is_of_one_column)
    {
        warnings.push(Warning::OrientationPassedOver);
    }
    let single_line = options.lines.len() == 1;
    let mut reader =
        Reader::new(columns, sheet.header.cells.len(), single_line, LineNames::new(&options.lines), options);
    reader.filter = filter;
    reader.warnings = warnings;
    let header_place = sheet.header_place();
    let mut survey = empty(options);
    survey.layout = Some(layout);
    while let Some((row, _)) = sheet.next_row() {
        reader.take(&row, &mut survey);
    }
    sheet.report_unclosed("", &mut problems);
    if survey.rows == 0 {
        report_no_rows(header_place, &mut problems);
    }
    reader.finish(&mut survey);
    problems.finish(survey)
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
    columns.report_twice("rename one of them, or name the right one with --column OURS=THEIRS", problems);
    // Spreadsheets leave columns without a name behind.
    let unknown = columns.unknown().filter(|(_, header, _)| !header.is_empty());
    let unknown = unknown.map(|(at, header, nearest)| {
        let (header, nearest) = (header.to_owned(), nearest.map(str::to_owned));
        (at, Warning::UnknownColumn { header, nearest, sheet: None })
    });
    let assumed = columns.units_assumed().map(|(at, header, read_as)| {
        (at, Warning::UnitAssumed { header: header.to_owned(), read_as, sheet: None })
    });
    let mut doubts: Vec<(usize, Warning)> = unknown.chain(assumed).collect();
    doubts.sort_by_key(|(at, _)| *at);
    warnings.extend(doubts.into_iter().map(|(_, warning)| warning));
    columns
}

/// A survey before its first row.
pub(crate) fn empty(options: &ReadOptions) -> Survey {
    Survey {
        readings: Vec::new(),
        rejects: Vec::new(),
        structures: Vec::new(),
        left_out: Vec::new(),
        rows: 0,
        labels: Vec::new(),
        lines: options.lines.clone(),
        stated_spacings: Vec::new(),
        north: options.north,
        layout: None,
        warnings: Vec::new(),
    }
}

/// Whether these columns hold all of a notation.
fn names_a_plane(columns: &[Option<usize>], written: &[WrittenAs]) -> bool {
    let has = |field: Field| columns[field as usize].is_some();
    NOTATIONS.iter().any(|(_, fields)| fields.iter().all(|&field| has(field)))
        || (has(Field::Orientation) && written.iter().copied().any(WrittenAs::is_of_one_column))
        || (has(Field::StrikeQuadrant) && has(Field::DipQuadrant) && written.contains(&WrittenAs::Quadrant))
}

/// Where the header of a table of this room stands: on the line that was named, or where it is found.
pub(crate) fn layout_of(
    text: &str,
    named: Option<usize>,
    wanted: &str,
    problems: &mut Collector,
    worth: impl Fn(&Row<'_>) -> HeaderWorth,
) -> Option<Layout> {
    let found = match named {
        Some(line) => Layout::at_line(text, line),
        None => Layout::find(text, worth),
    };
    if found.is_none() {
        let (place, found, advice) = match named {
            Some(line) => {
                (Place::line(line), "no row on the line that --header-row names", "count lines from 1")
            }
            None => (Place::whole(), "an empty file", ""),
        };
        problems.add(ProblemKind::File, place, "", Says::new(found, wanted, advice));
    }
    found
}

/// Says that lines above the header were passed over, where any holds something.
pub(crate) fn title_lines(text: &str, layout: Layout) -> Option<Warning> {
    let above = text.lines().take(layout.header_line - 1);
    let says = |line: &&str| line.chars().any(char::is_alphanumeric) && !line.trim_start().starts_with('#');
    let lines = above.filter(says).count();
    (lines > 0).then_some(Warning::HeaderBelow { header_line: layout.header_line, lines, sheet: None })
}

/// Says that a table ends with its header.
pub(crate) fn report_no_rows(header: Place, problems: &mut Collector) {
    let says =
        Says::new("a header and no row under it", "a row a joint", "was the right sheet or file exported?");
    problems.add(ProblemKind::File, header, "", says);
}

/// What stays the same from row to row.
pub(crate) struct Reader<'o> {
    pub columns: Vec<Option<usize>>,
    pub width: usize,
    pub options: &'o ReadOptions,
    /// With one line in the lines file, rows need not name it.
    pub single_line: bool,
    pub lines: LineNames,
    pub labels: LabelNames,
    pub remarks: SharedRemarks,
    pub filter: RowFilter,
    pub warnings: Vec<Warning>,
    /// Types that are neither a joint's nor a structure's, with their rows.
    unknown_types: BTreeMap<String, usize>,
    /// Of each type that was named as a structure's whether a row has it.
    types_found: Vec<bool>,
    /// Ways of writing in which something was read.
    ways_used: Vec<WrittenAs>,
    /// Rejects with what stood for their label: a set is there only where a reading has its label.
    labels_of_rejects: Vec<(usize, String)>,
    /// The rows of readings as they stood, where some of them may be left out in the end.
    rows_of_readings: Vec<String>,
}

impl<'o> Reader<'o> {
    pub(crate) fn new(
        columns: Vec<Option<usize>>,
        width: usize,
        single_line: bool,
        lines: LineNames,
        options: &'o ReadOptions,
    ) -> Self {
        Self {
            columns,
            width,
            options,
            single_line,
            lines,
            labels: LabelNames::default(),
            remarks: SharedRemarks::default(),
            filter: RowFilter::default(),
            warnings: Vec::new(),
            unknown_types: BTreeMap::new(),
            types_found: vec![false; options.structure_types.len()],
            ways_used: Vec::new(),
            labels_of_rejects: Vec::new(),
            rows_of_readings: Vec::new(),
        }
    }

    /// Puts a row where it belongs: a reading, a structure, a reject, or left out.
    pub(crate) fn take(&mut self, row: &Row<'_>, survey: &mut Survey) {
        survey.rows += 1;
        if !row.exceeds(self.width)
            && let Some(why) = self.filter.leaves_out(row)
        {
            survey.left_out.push(self.reject(row, &[why]));
            return;
        }
        match self.reading(row) {
            Err(reasons) => {
                let label = row.text(self.columns[Field::Set as usize]);
                if !label.is_empty() && !row.exceeds(self.width) {
                    self.labels_of_rejects.push((survey.rejects.len(), label.to_owned()));
                }
                survey.rejects.push(self.reject(row, &reasons));
            }
            Ok(reading) => match self.structure(row) {
                Some((kind, as_read)) => {
                    let nth = survey.structures.iter().filter(|s| s.kind == kind).count() + 1;
                    let (name, row) = (format!("{}_{nth}", kind.word()), row.raw.to_owned());
                    survey.structures.push(MappedStructure { name, kind, as_read, reading, row });
                }
                None => {
                    let keeps = self.options.drop_repeats;
                    self.rows_of_readings.extend(keeps.then(|| row.raw.to_owned()));
                    survey.readings.push(reading);
                }
            },
        }
    }

    /// What holds of all rows together.
    pub(crate) fn finish(mut self, survey: &mut Survey) {
        let not_asked_for = survey.left_out.len();
        if self.options.drop_repeats {
            drop_repeats(survey, std::mem::take(&mut self.rows_of_readings));
        }
        let repeats = survey.left_out.len() - not_asked_for;
        let warnings = &mut self.warnings;
        let named = self.options.structure_types.iter().zip(&self.types_found).filter(|(_, found)| !**found);
        warnings.extend(
            named.map(|((named, kind), _)| Warning::TypeNotFound { named: named.clone(), kind: kind.word() }),
        );
        let unused = self.options.written.iter().filter(|way| !self.ways_used.contains(way));
        warnings.extend(unused.map(|way| Warning::NotationUnused { notation: way.name() }));
        if !self.unknown_types.is_empty() {
            let mut found: Vec<(String, usize)> = self.unknown_types.into_iter().collect();
            // Of equals in the order of the alphabet.
            found.sort_by_key(|(_, rows)| std::cmp::Reverse(*rows));
            warnings.push(Warning::UnknownTypes { found });
        }
        if not_asked_for > 0 {
            warnings.push(Warning::RowsLeftOut { rows: not_asked_for });
        }
        if repeats > 0 {
            warnings.push(Warning::RepeatsLeftOut { rows: repeats });
        }
        self.filter.cut(&mut self.lines.lines, warnings);
        self.lines.warn_unknown(&survey.readings, warnings);
        find_doubts(&survey.readings, warnings);
        for (at, label) in &self.labels_of_rejects {
            survey.rejects[*at].label = self.labels.known(label);
        }
        survey.labels = self.labels.names;
        survey.lines = self.lines.lines;
        survey.warnings = self.warnings;
    }

    /// What a row's type says that it is, where it is no joint.
    fn structure(&mut self, row: &Row<'_>) -> Option<(StructureKind, String)> {
        let cells = Cells { line: row.line, cells: &row.cells, columns: &self.columns, apart: &[] };
        let text = cells.text(Field::Type)?;
        let types = &self.options.structure_types;
        let named = types.iter().position(|(word, _)| same_word(word, text));
        if let Some(at) = named {
            self.types_found[at] = true;
        }
        let kind = named.map(|at| types[at].1).or_else(|| StructureKind::of_word(text));
        if kind.is_none() && !means_joint(text) {
            *self.unknown_types.entry(text.to_owned()).or_default() += 1;
        }
        Some((kind?, text.to_owned()))
    }

    /// A row that gave no reading, with what it says of its place.
    fn reject(&mut self, row: &Row<'_>, reasons: &[String]) -> Reject {
        let mut reject = Reject {
            line_number: row.line,
            reason: reasons.join("; "),
            row: row.raw.to_owned(),
            line: None,
            distance_m: None,
            chainage_m: None,
            label: None,
        };
        // In a row that is too wide nobody knows which cell is which.
        if !row.exceeds(self.width) {
            let cells = Cells { line: row.line, cells: &row.cells, columns: &self.columns, apart: &[] };
            reject.line = line_of(&cells, &mut self.lines, self.single_line);
            reject.distance_m = cells.text(Field::Distance).and_then(parse_number);
            reject.chainage_m = cells.text(Field::Chainage).and_then(parse_number);
        }
        reject
    }

    fn reading(&mut self, row: &Row<'_>) -> Result<Reading, Vec<String>> {
        if row.exceeds(self.width) {
            return Err(vec![too_wide(row, self.width)]);
        }
        let together = Cells { line: row.line, cells: &row.cells, columns: &self.columns, apart: &[] };
        let taken_apart = apart(&together, &self.options.written).map_err(|why| vec![why])?;
        let (apart, combined) = taken_apart.map_or((Vec::new(), None), |(apart, how)| (apart, Some(how)));
        let way = combined.map(|(way, _)| way);
        let cells = Cells { apart: &apart, ..together };
        let line = line_of(&cells, &mut self.lines, self.single_line);
        let warned = self.warnings.len();
        let about = self.options.written.contains(&WrittenAs::About);
        let mut context = Context { north: self.options.north, about, warnings: &mut self.warnings };
        let found = plane_of(&cells, line.map(|at| &self.lines.lines[at]), &mut context);
        let (plane, notation) = match found {
            Ok((plane, notation)) => (plane, combined.map_or(notation, |(_, notation)| notation)),
            Err(reasons) => {
                // A rejected row is not warned about as well.
                self.warnings.truncate(warned);
                return Err(reasons);
            }
        };
        let rough = self.warnings[warned..].iter().any(|w| matches!(w, Warning::AboutTaken { .. }));
        let about_used = Cell::new(rough);
        let label = cells.text(Field::Set).map(|label| self.labels.index_of(label, &mut self.warnings));
        let warnings = &mut self.warnings;
        let mut number = |field, allowed, fits: fn(f64) -> bool| {
            value(&cells, field, allowed, warnings, |text| {
                let rough = without_about(text).filter(|_| about);
                about_used.set(about_used.get() || rough.is_some());
                parse_number(rough.unwrap_or(text)).filter(|&v| fits(v))
            })
        };
        let distance_m = number(Field::Distance, "a number, metres", |_| true);
        let chainage_m = number(Field::Chainage, "a number, metres", |_| true);
        let trace_length_m = number(Field::TraceLength, "a number above 0, metres", |v| v > 0.0);
        let spacing_m = number(Field::Spacing, "a number above 0, metres", |v| v > 0.0);
        let jrc = number(Field::Jrc, "0 to 20", |v| (0.0..=20.0).contains(&v));
        let mapper_weight =
            number(Field::MapperWeight, "a number above 0, up to 100", |v| v > 0.0 && v <= 100.0);
        let quality = RockQuality {
            jcs_mpa: number(Field::Jcs, "above 0 to 1000, MPa", |v| v > 0.0 && v <= 1000.0),
            jr: number(Field::Jr, "0.5 to 5", |v| (0.5..=5.0).contains(&v)),
            ja: number(Field::Ja, "0.75 to 24", |v| (0.75..=24.0).contains(&v)),
            // Twenty of crushed rock, three times as many at an intersection.
            jn: number(Field::Jn, "0.5 to 60", |v| (0.5..=60.0).contains(&v)),
            rqd_percent: number(Field::Rqd, "0 to 100, percent", |v| (0.0..=100.0).contains(&v)),
            jcond89: number(Field::Jcond89, "0 to 30", |v| (0.0..=30.0).contains(&v)),
        };
        let terminations =
            value(&cells, Field::Termination, "two of X, R and D", warnings, Termination::both_of);
        let ends_seen = value(&cells, Field::EndsSeen, "0, 1 or 2", warnings, parse_ends);
        let near_steel = value(&cells, Field::NearSteel, "yes or no", warnings, parse_yes_no);
        let remarks = self.remarks.of(&cells);
        for way in way.into_iter().chain(about_used.get().then_some(WrittenAs::About)) {
            if !self.ways_used.contains(&way) {
                self.ways_used.push(way);
            }
        }
        Ok(Reading {
            line_number: row.line,
            plane,
            notation,
            label,
            line,
            distance_m,
            chainage_m,
            trace_length_m,
            ends_seen: ends_seen.or_else(|| terminations.map(Termination::ends_seen)),
            terminations,
            spacing_m,
            jrc,
            quality: (quality != RockQuality::default()).then(|| Box::new(quality)),
            mapper_weight,
            near_steel: near_steel.unwrap_or(false),
            remarks,
        })
    }
}

/// The same word, whatever the case of its letters.
fn same_word(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}

/// Puts readings that repeat an earlier one among the rows that were left out; `rows` are those of the readings.
fn drop_repeats(survey: &mut Survey, mut rows: Vec<String>) {
    let repeats = repeats(&survey.readings);
    let left_out = repeats.iter().map(|&(at, first)| {
        let (reading, first) = (&survey.readings[at], &survey.readings[first]);
        Reject {
            line_number: reading.line_number,
            reason: format!("left out: the same joint as on line {}", first.line_number),
            row: std::mem::take(&mut rows[at]),
            line: reading.line,
            distance_m: reading.distance_m,
            chainage_m: reading.chainage_m,
            label: reading.label,
        }
    });
    let left_out: Vec<Reject> = left_out.collect();
    let mut next = repeats.iter().map(|(at, _)| *at).peekable();
    let mut at = 0;
    survey.readings.retain(|_| {
        let drop = next.next_if_eq(&at).is_some();
        at += 1;
        !drop
    });
    survey.left_out.extend(left_out);
    survey.left_out.sort_by_key(|row| row.line_number);
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
