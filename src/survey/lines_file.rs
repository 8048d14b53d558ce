use crate::orientation::{Line, wrap_azimuth_deg};

use super::read::{columns_of, layout_of, title_lines};
use super::row::parse_reference;
use super::warning::Warning;
use super::{AzimuthFrom, LineKind, NorthCorrection, SurveyLine, WindowShape};
use crate::input::{
    Collector, ColumnMap, Columns, HeaderWorth, Known, Place, ProblemKind, Problems, Row, Says, Sheet,
    header_list, parse_number, quoted,
};

const ID: usize = 0;
const KIND: usize = 1;
const TREND: usize = 2;
const PLUNGE: usize = 3;
const LENGTH: usize = 4;
const RADIUS: usize = 5;
const WIDTH: usize = 6;
const HEIGHT: usize = 7;
const REFERENCE: usize = 8;
const NORTH: usize = 9;

const fn known(name: &'static str, also: &'static [&'static str]) -> Known {
    Known { name, bare: &[], also }
}

/// What every line has.
const NEEDED: [&str; 4] = ["id", "kind", "trend_deg", "plunge_deg"];

const COLUMNS: [Known; 10] = [
    known("id", &["scanline", "line", "window", "hole", "line_id"]),
    known("kind", &[]),
    known("trend_deg", &[]),
    known("plunge_deg", &[]),
    known("length_m", &[]),
    known("radius_m", &[]),
    known("width_m", &[]),
    known("height_m", &[]),
    known("reference_line", &[]),
    known("north", &[]),
];

/// Reads scanlines, windows and holes: `id`, `kind` (scanline, window or hole), `trend_deg`,
/// `plunge_deg`, and where it applies `length_m`, `radius_m` or `width_m` and `height_m`, and
/// `reference_line` (top, bottom or north) for oriented core, and `north`, which says what the trend is counted
/// from: `compass` (where nothing stands), `true` or `grid` ([`AzimuthFrom`]).
///
/// Trend and plunge go along a scanline, down a hole, and into the rock square to a window's
/// surface. Every row must be whole: what is wrong here would be wrong in every reading.
///
/// # Errors
/// Everything that is wrong with the file, at once.
pub fn read_lines(
    file_name: &str,
    text: &str,
    columns: &ColumnMap,
    north: NorthCorrection,
) -> Result<(Vec<SurveyLine>, Vec<Warning>), Problems> {
    let text = text.trim_start_matches('\u{feff}');
    let mut problems = Collector::of_file(file_name);
    let mut warnings = Vec::new();
    let mut lines: Vec<SurveyLine> = Vec::new();
    let layout =
        layout_of(text, None, "a header with id, kind, trend_deg, plunge_deg", &mut problems, |header| {
            let place = Place::line(header.line);
            let columns = Columns::mapped(header, place, &COLUMNS, columns, &mut Collector::default());
            HeaderWorth { whole: columns.has(&NEEDED), known: columns.known_count() }
        });
    let Some((layout, mut sheet)) = layout.and_then(|at| Some((at, Sheet::laid_out(text, at, 0)?))) else {
        return problems.finish((lines, warnings));
    };
    warnings.extend(title_lines(text, layout));
    let columns = columns_of(&sheet, &COLUMNS, columns, &mut problems, &mut warnings);
    for needed in columns.lacking(&NEEDED) {
        let says = Says::new(
            format!("columns {}", header_list(&sheet.header.cells)),
            format!("a column {needed}"),
            "",
        );
        problems.add(ProblemKind::MissingKey, sheet.header_place(), "", says);
    }
    if problems.count() > 0 {
        return problems.finish((lines, warnings));
    }
    let columns = columns.into_indices();
    while let Some((row, place)) = sheet.next_row() {
        if sheet.report_too_wide(&row, "", &mut problems) {
            continue;
        }
        let cells = LineCells { row: &row, columns: &columns };
        if let Some(line) = line_of(&cells, north, &mut problems) {
            if lines.iter().any(|other| other.id == line.id) {
                let says = Says::new(
                    format!("{} a second time", quoted(&line.id)),
                    "each id once",
                    "rename one of them in both files",
                );
                problems.add(ProblemKind::Conflict, place, "id", says);
            }
            lines.push(line);
        }
    }
    sheet.report_unclosed("", &mut problems);
    problems.finish((lines, warnings))
}

struct LineCells<'r, 't> {
    row: &'r Row<'t>,
    columns: &'r [Option<usize>],
}

impl LineCells<'_, '_> {
    fn text(&self, column: usize) -> Option<&str> {
        Some(self.row.text(self.columns[column])).filter(|text| !text.is_empty())
    }

    /// A number in bounds, `None` when nothing is there; a problem when it cannot be used.
    fn number(
        &self,
        column: usize,
        allowed: &str,
        fits: fn(f64) -> bool,
        problems: &mut Collector,
    ) -> Option<f64> {
        let text = self.text(column)?;
        let number = parse_number(text).filter(|&v| fits(v));
        if number.is_none() {
            self.report(COLUMNS[column].name, quoted(text), allowed, problems);
        }
        number
    }

    fn missing(&self, column: usize, allowed: &str, problems: &mut Collector) {
        self.report(COLUMNS[column].name, "nothing".to_owned(), allowed, problems);
    }

    fn report(&self, column: &str, found: String, allowed: &str, problems: &mut Collector) {
        let says = Says::new(found, allowed, "");
        problems.add(ProblemKind::Value, Place::line(self.row.line), column, says);
    }
}

fn line_of(
    cells: &LineCells<'_, '_>,
    north: NorthCorrection,
    problems: &mut Collector,
) -> Option<SurveyLine> {
    let id = cells.text(ID);
    if id.is_none() {
        cells.missing(ID, "the name that readings use", problems);
    }
    let kind_text = cells.text(KIND).unwrap_or("");
    let kind = match kind_text.to_ascii_lowercase().as_str() {
        "scanline" | "line" => Some(LineKind::Scanline),
        "window" => Some(LineKind::Window),
        "hole" | "borehole" | "drillhole" => Some(LineKind::Hole),
        _ => None,
    };
    if kind.is_none() {
        cells.report("kind", quoted(kind_text), "scanline, window or hole", problems);
    }
    let (azimuth, slope) = ("0 to 360", "-90 (up) to 90 (down)");
    let trend = cells.number(TREND, azimuth, |v| (0.0..=360.0).contains(&v), problems);
    let plunge = cells.number(PLUNGE, slope, |v| (-90.0..=90.0).contains(&v), problems);
    if cells.text(TREND).is_none() {
        cells.missing(TREND, azimuth, problems);
    }
    if cells.text(PLUNGE).is_none() {
        cells.missing(PLUNGE, slope, problems);
    }
    let mut size = |column| cells.number(column, "metres, above 0", |v| v > 0.0, problems);
    let (length_m, radius) = (size(LENGTH), size(RADIUS));
    let window = match (radius, size(WIDTH), size(HEIGHT)) {
        (Some(radius_m), None, None) => Some(WindowShape::Circle { radius_m }),
        (None, Some(width_m), Some(height_m)) => Some(WindowShape::Rectangle { width_m, height_m }),
        (None, None, None) => None,
        _ => {
            let found = "a window's size that is not whole".to_owned();
            cells.report("", found, "radius_m alone, or width_m and height_m", problems);
            None
        }
    };
    let reference = match cells.text(REFERENCE) {
        None => None,
        Some(text) => {
            let reference = parse_reference(text);
            if reference.is_none() {
                cells.report("reference_line", quoted(text), "top, bottom or north", problems);
            }
            reference
        }
    };
    let azimuth_from = match cells.text(NORTH) {
        None => AzimuthFrom::default(),
        Some(text) => AzimuthFrom::of_word(text).unwrap_or_else(|| {
            let allowed = "compass (turned by declination and convergence), true (by convergence alone) or grid \
                           (not turned)";
            cells.report("north", quoted(text), allowed, problems);
            AzimuthFrom::default()
        }),
    };
    let north = north.counted_from(azimuth_from);
    Some(SurveyLine {
        id: id?.to_owned(),
        kind: Some(kind?),
        direction: Some(Line { trend_deg: north.apply_deg(wrap_azimuth_deg(trend?)), plunge_deg: plunge? }),
        azimuth_from,
        length_m,
        window,
        reference,
    })
}
