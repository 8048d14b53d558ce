//! Directions that a drive may take, and those of a mine plan: a CSV file beside the case.

#[cfg(feature = "files")]
use std::collections::HashMap;

#[cfg(feature = "files")]
use crate::input::{
    Collector, Columns, Known, Place, ProblemKind, Row, Says, Separator, Sheet, cited, parse_number, quoted,
};
use crate::orientation::Line;

/// A direction that a drive may take.
#[derive(Debug, Clone, PartialEq)]
pub struct Heading {
    /// What it is called; `None` of a direction that is only tried.
    pub name: Option<String>,
    /// Trend and plunge of the advance.
    pub advance: Line,
    /// Metres that are to be driven so, where it is known.
    pub length_m: Option<f64>,
}

/// No plan of a mine has more; each takes a check.
#[cfg(feature = "files")]
const MOST_HEADINGS: usize = 1000;
/// No drive is longer, metres.
#[cfg(feature = "files")]
const MOST_LENGTH_M: f64 = 100_000.0;
/// Letters of a name.
#[cfg(feature = "files")]
const MOST_NAME: usize = 60;

#[cfg(feature = "files")]
const COLUMNS: [Known; 4] = [
    Known::named("heading"),
    Known::named("trend_deg"),
    Known::named("plunge_deg"),
    Known::named("length_m"),
];

/// Reads headings, columns `heading` and `trend_deg`, and `plunge_deg` (0 where the file has none) and `length_m`
/// where there are any; lines that start with `#` are comments. Each bad row is reported; `None` where there is no
/// table at all.
#[cfg(feature = "files")]
pub(super) fn read_headings(text: &str, file: usize, problems: &mut Collector) -> Option<Vec<Heading>> {
    let Some(mut sheet) = Sheet::of(text, Separator::Comma, file) else {
        let says = Says::new(
            "an empty file",
            "a line heading,trend_deg,plunge_deg,length_m and a line a heading",
            "write the headings into it",
        );
        problems.add(ProblemKind::File, Place { file, line: 0 }, "headings", says);
        return None;
    };
    let columns = columns(&sheet, problems)?;
    let mut lines: HashMap<String, usize> = HashMap::new();
    let most = (MOST_HEADINGS, "headings", "drives in one direction need one row");
    let headings = sheet.take_rows("headings", most, problems, |row, place, problems| {
        heading(&columns, row, place, &mut lines, problems)
    })?;
    if headings.is_empty() && problems.count() == 0 {
        let says = Says::new("no heading", "a line a heading", "add them, or take headings out of the case");
        problems.add(ProblemKind::File, Place { file, line: 1 }, "headings", says);
    }
    Some(headings)
}

/// The columns; others are notes.
#[cfg(feature = "files")]
fn columns(sheet: &Sheet, problems: &mut Collector) -> Option<Columns> {
    let columns = Columns::of(&sheet.header, sheet.header_place(), &COLUMNS);
    columns.report_twice("rename or delete one of the two", problems);
    let lacking = columns.lacking(&["heading", "trend_deg"]);
    if lacking.is_empty() {
        return Some(columns);
    }
    let says = Says::new(
        cited(sheet.header.raw),
        "the columns heading and trend_deg, and plunge_deg and length_m where known, named in the first line",
        format!("name the column {} in the first line", lacking.join(" and ")),
    );
    problems.add(ProblemKind::MissingKey, sheet.header_place(), &lacking.join(", "), says);
    None
}

#[cfg(feature = "files")]
fn heading(
    columns: &Columns,
    row: &Row<'_>,
    place: Place,
    lines: &mut HashMap<String, usize>,
    problems: &mut Collector,
) -> Option<Heading> {
    let before = problems.count();
    let name = columns.text(row, "heading");
    if name.is_empty() || name.chars().count() > MOST_NAME || name.chars().any(char::is_control) {
        let found = if name.is_empty() { "nothing".to_owned() } else { cited(name) };
        let says = Says::new(found, format!("a name of 1 to {MOST_NAME} letters"), "name the heading");
        problems.add(ProblemKind::Value, place, "heading", says);
    } else if let Some(line) = lines.insert(name.to_owned(), place.line) {
        let says = Says::new(
            format!("{} again, as on line {line}", quoted(name)),
            "a name of its own for each heading",
            "rename one of the two",
        );
        problems.add(ProblemKind::Conflict, place, "heading", says);
    }
    let mut number = |key: &str, [least, most]: [f64; 2], otherwise: Option<f64>| {
        let text = columns.text(row, key);
        if text.is_empty() && otherwise.is_some() {
            return otherwise;
        }
        let found = parse_number(text).filter(|v| (least..=most).contains(v));
        if found.is_none() {
            let found = if text.is_empty() { "nothing".to_owned() } else { cited(text) };
            let says = Says::new(found, format!("a number from {least} to {most}"), "correct the number");
            problems.add(ProblemKind::Value, place, key, says);
        }
        found
    };
    let trend_deg = number("trend_deg", [0.0, 360.0], None);
    let plunge_deg = number("plunge_deg", [-90.0, 90.0], Some(0.0));
    let length_m = match columns.text(row, "length_m") {
        "" => None,
        _ => number("length_m", [0.1, MOST_LENGTH_M], None),
    };
    if problems.count() > before {
        return None;
    }
    let advance = Line { trend_deg: trend_deg?, plunge_deg: plunge_deg? };
    Some(Heading { name: Some(name.to_owned()), advance, length_m })
}

#[cfg(all(test, feature = "files"))]
mod tests {
    use super::*;

    fn read(text: &str) -> (Vec<Heading>, Vec<String>) {
        let mut problems = Collector::of_file("h.csv");
        let found = read_headings(text, 0, &mut problems).unwrap_or_default();
        (found, problems.problems().list().iter().map(|p| format!("{}: {}", p.key, p.found)).collect())
    }

    #[test]
    fn headings_are_read_and_every_bad_row_is_named() {
        let (found, said) = read("heading,trend_deg,length_m\nramp,35,120\n\"level 3, east\",90.5,\n");
        assert!(said.is_empty(), "{said:?}");
        let ramp = Line { trend_deg: 35.0, plunge_deg: 0.0 };
        assert_eq!(found[0], Heading { name: Some("ramp".into()), advance: ramp, length_m: Some(120.0) });
        assert_eq!((found.len(), found[1].length_m), (2, None));
        let (_, said) = read("heading,trend_deg,plunge_deg\na,361,0\na,10,95\n,10,\nb,x,0\n");
        assert_eq!(said.len(), 5, "{said:?}");
        let (_, said) = read("name,azimuth\nramp,35\n");
        assert_eq!(said.len(), 1, "{said:?}");
        assert_eq!(read("heading,trend_deg\n").1.len(), 1);
        assert_eq!(read("").1.len(), 1);
    }
}
