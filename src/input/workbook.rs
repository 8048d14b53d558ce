//! A sheet of a spreadsheet as text, so that all that reads text reads spreadsheets.

use std::fmt::Write as _;
use std::io::Cursor;

use calamine::{Data, Dimensions, Range, Reader as _, Sheets, open_workbook_auto_from_rs};

use super::merged_ods::merged_of_ods;
use super::problem::{Collector, Place, ProblemKind, Problems, Says, quoted};
use super::words::{nearest, one_of};

/// What parts the cells of a sheet that became text: a cell holds none, since spreadsheets move on at it.
const SEPARATOR: char = '\t';

/// A sheet of a spreadsheet as text: line N is row N of the sheet, cells are parted by tabs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetText {
    /// Name of the sheet.
    pub sheet: String,
    /// Its text. Numbers are in their shortest form with decimal points, dates as year-month-day, line ends
    /// within cells are blanks.
    pub text: String,
    /// How many rows got a value from a cell that was merged with those below it.
    pub merged_rows: usize,
}

/// Whether these bytes begin as those of spreadsheets do: `.xlsx`, `.ods` (both archives) and `.xls`.
#[must_use]
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0])
}

/// The sheet that is called `sheet`, without regard to case; where none is named, the only one that holds
/// anything.
///
/// The value of a cell that is merged over several rows (`.xlsx`, `.xls`, `.ods`) stands in each of them, as people mean
/// it, but for rows that hold nothing else; one that is merged over several columns stands in the first. Formulas have the value that was saved.
///
/// # Errors
/// When it is no spreadsheet that can be read, when there is no such sheet, and when several hold something and
/// none is named.
pub fn sheet_as_text(file_name: &str, bytes: &[u8], sheet: Option<&str>) -> Result<SheetText, Problems> {
    let mut problems = Collector::of_file(file_name);
    let mut report = |found: String, allowed: &str, advice: String| {
        problems.add(ProblemKind::File, Place::whole(), "", Says::new(found, allowed, advice));
    };
    let mut book = match open_workbook_auto_from_rs(Cursor::new(bytes)) {
        Ok(book) => book,
        Err(error) => {
            let advice = "take off a password, or save the sheet as CSV".to_owned();
            report(format!("a spreadsheet that cannot be read ({error})"), ".xlsx, .xls or .ods", advice);
            return Err(problems.problems());
        }
    };
    let names = book.sheet_names();
    let chosen = match sheet {
        Some(wanted) => {
            names.iter().find(|n| n.trim().to_lowercase() == wanted.trim().to_lowercase()).cloned()
        }
        None => {
            let mut filled = names.iter().filter(|n| book.worksheet_range(n).is_ok_and(|r| !r.is_empty()));
            let first = filled.next().cloned();
            first.filter(|_| filled.next().is_none())
        }
    };
    let Some(name) = chosen else {
        let listed = one_of(names.iter().map(String::as_str));
        match sheet {
            Some(wanted) => {
                let near = nearest(wanted, names.iter().map(String::as_str));
                let advice = near.map_or_else(String::new, |n| format!("did you mean {}?", quoted(n)));
                report(format!("no sheet {}", quoted(wanted)), &listed, advice);
            }
            None => report(
                format!("{} sheets and none named", names.len()),
                &listed,
                "name the one with the rows: --sheet NAME".to_owned(),
            ),
        }
        return Err(problems.problems());
    };
    match book.worksheet_range(&name) {
        Ok(range) if range.is_empty() => {
            let advice = "name the one with the rows: --sheet NAME".to_owned();
            report(
                format!("sheet {}, which holds nothing", quoted(&name)),
                &one_of(names.iter().map(String::as_str)),
                advice,
            );
            Err(problems.problems())
        }
        Ok(range) => {
            let (text, merged_rows) = text_of(&range, &merged(&mut book, bytes, &name));
            Ok(SheetText { sheet: name, text, merged_rows })
        }
        Err(error) => {
            report(
                format!("sheet {} that cannot be read ({error})", quoted(&name)),
                "a sheet of cells",
                String::new(),
            );
            Err(problems.problems())
        }
    }
}

/// Cells merged over several rows.
fn merged(book: &mut Sheets<Cursor<&[u8]>>, bytes: &[u8], sheet: &str) -> Vec<Dimensions> {
    let all = match book {
        Sheets::Xlsx(book) => book.merge_cells_by_sheet_name(sheet).unwrap_or_default(),
        Sheets::Xls(book) => book.merge_cells_by_sheet_name(sheet).unwrap_or_default(),
        Sheets::Ods(_) => merged_of_ods(bytes, sheet)
            .into_iter()
            .map(|cells| Dimensions { start: cells.start, end: cells.end })
            .collect(),
        Sheets::Xlsb(_) => Vec::new(),
    };
    all.into_iter().filter(|cells| cells.end.0 > cells.start.0).collect()
}

/// The cells as text, and how many rows got a value from a merged cell.
fn text_of(range: &Range<Data>, merged: &[Dimensions]) -> (String, usize) {
    let Some((first_row, first_column)) = range.start() else { return (String::new(), 0) };
    let mut text = "\n".repeat(first_row as usize);
    let mut below: Vec<&Dimensions> = merged.iter().collect();
    below.sort_by_key(|cells| cells.start);
    let (mut next, mut open, mut merged_rows) = (0, Vec::<&Dimensions>::new(), 0);
    for (row, cells) in (first_row..).zip(range.rows()) {
        while let Some(cells) = below.get(next).filter(|cells| cells.start.0 < row) {
            open.push(cells);
            next += 1;
        }
        open.retain(|cells| cells.end.0 >= row);
        // A row with nothing but what merged cells spread over it is empty, and stays a line of its own.
        if cells.iter().all(says_nothing) {
            text.push('\n');
            continue;
        }
        let mut filled = false;
        for (column, value) in (first_column..).zip(cells) {
            if column > first_column {
                text.push(SEPARATOR);
            }
            let above = open.iter().find(|cells| cells.start.1 == column && *value == Data::Empty);
            let above = above.and_then(|cells| range.get_value(cells.start)).filter(|v| **v != Data::Empty);
            filled |= above.is_some();
            put(above.unwrap_or(value), &mut text);
        }
        merged_rows += usize::from(filled);
        text.push('\n');
    }
    (text, merged_rows)
}

fn says_nothing(value: &Data) -> bool {
    match value {
        Data::Empty => true,
        Data::String(words) => words.trim().is_empty(),
        _ => false,
    }
}

fn put(value: &Data, text: &mut String) {
    // A `String` takes everything that is written to it.
    let _ = match value {
        Data::Int(number) => write!(text, "{number}"),
        Data::Float(number) => write!(text, "{number}"),
        Data::Bool(value) => write!(text, "{value}"),
        Data::DateTime(date) => {
            let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
            let _ = write!(text, "{year:04}-{month:02}-{day:02}");
            if (hour, minute, second) == (0, 0, 0) {
                Ok(())
            } else {
                write!(text, " {hour:02}:{minute:02}:{second:02}")
            }
        }
        Data::String(words) | Data::DateTimeIso(words) | Data::DurationIso(words) => {
            put_words(words, text);
            Ok(())
        }
        Data::Error(error) => {
            put_words(&error.to_string(), text);
            Ok(())
        }
        Data::Empty => Ok(()),
    };
}

/// Words as one cell: quoted where they would otherwise be read as something else, a comment among that.
fn put_words(words: &str, text: &mut String) {
    let plain = words.chars().map(|c| if matches!(c, '\n' | '\r' | SEPARATOR) { ' ' } else { c });
    if words.trim_start().starts_with(['#', '"']) {
        text.push('"');
        plain.for_each(|c| text.extend(std::iter::repeat_n(c, if c == '"' { 2 } else { 1 })));
        text.push('"');
    } else {
        text.extend(plain);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use calamine::Cell;

    fn cell(row: u32, column: u32, value: Data) -> Cell<Data> {
        Cell::new((row, column), value)
    }

    #[test]
    fn a_row_of_the_sheet_is_the_line_of_that_number() {
        let words = |w: &str| Data::String(w.to_owned());
        let range = Range::from_sparse(vec![
            cell(2, 1, words("#")),
            cell(2, 2, words("dip\n(deg)")),
            cell(3, 1, words("L1")),
            cell(3, 2, Data::Float(45.0)),
            cell(5, 2, Data::Float(0.1)),
            cell(5, 3, words("\"said\" so\tand")),
        ]);
        let merged = [Dimensions { start: (3, 1), end: (5, 1) }];
        let (text, rows) = text_of(&range, &merged);
        let wanted = "\n\n\"#\"\tdip (deg)\t\nL1\t45\t\n\nL1\t0.1\t\"\"\"said\"\" so and\"\n";
        assert_eq!((text.as_str(), rows), (wanted, 1));
        assert_eq!(text_of(&Range::empty(), &[]), (String::new(), 0));
    }

    #[test]
    fn what_is_no_spreadsheet_is_said() {
        assert!(!is_workbook(b"dip_deg,x") && is_workbook(b"PK\x03\x04..."));
        let error = sheet_as_text("s.xlsx", b"PK\x03\x04...", None).unwrap_err().to_string();
        assert!(error.starts_with("s.xlsx: found a spreadsheet that cannot be read"), "{error}");
    }
}
