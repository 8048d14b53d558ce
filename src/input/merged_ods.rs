//! Merged cells of an OpenDocument sheet, which the library of spreadsheets does not give.

use std::io::{Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// The part of the archive that holds the sheets (OASIS OpenDocument 1.2, part 3).
const CONTENT: &str = "content.xml";
/// A larger content is not looked through for merged cells: as many bytes as millions of rows have.
const LARGEST_BYTES: u64 = 1 << 30;

/// A cell merged over several rows: (row, column) of its first and of its last, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct MergedCells {
    pub start: (u32, u32),
    pub end: (u32, u32),
}

/// The cells of a sheet that are merged over several rows; none where the archive cannot be read so far.
pub(super) fn merged_of_ods(bytes: &[u8], sheet: &str) -> Vec<MergedCells> {
    let content = || -> Option<String> {
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).ok()?;
        let mut content = String::new();
        archive.by_name(CONTENT).ok()?.take(LARGEST_BYTES).read_to_string(&mut content).ok()?;
        Some(content)
    };
    content().map(|content| of_content(&content, sheet)).unwrap_or_default()
}

fn of_content(content: &str, sheet: &str) -> Vec<MergedCells> {
    let mut reader = Reader::from_str(content);
    let mut found = Vec::new();
    let mut here = false;
    let (mut row, mut column, mut row_repeats) = (0_u32, 0_u32, 1_u32);
    loop {
        let (element, is_empty) = match reader.read_event() {
            Ok(Event::Start(element)) => (element, false),
            Ok(Event::Empty(element)) => (element, true),
            Ok(Event::End(element)) => {
                match element.name().as_ref() {
                    "table:table" => here = false,
                    "table:table-row" if here => row = row.saturating_add(row_repeats),
                    _ => {}
                }
                continue;
            }
            Ok(Event::Eof) | Err(_) => return found,
            Ok(_) => continue,
        };
        match element.name().as_ref() {
            "table:table" => {
                here = attribute(&element, "table:name").is_some_and(|name| name == sheet);
                row = 0;
            }
            "table:table-row" if here => {
                (column, row_repeats) = (0, count(&element, "table:number-rows-repeated"));
                if is_empty {
                    row = row.saturating_add(row_repeats);
                }
            }
            "table:table-cell" | "table:covered-table-cell" if here => {
                let rows = count(&element, "table:number-rows-spanned");
                let columns = count(&element, "table:number-columns-spanned");
                if rows > 1 {
                    let end = (row.saturating_add(rows - 1), column.saturating_add(columns - 1));
                    found.push(MergedCells { start: (row, column), end });
                }
                column = column.saturating_add(count(&element, "table:number-columns-repeated"));
            }
            _ => {}
        }
    }
}

fn attribute(element: &BytesStart<'_>, key: &str) -> Option<String> {
    let found = element.attributes().flatten().find(|a| a.key.as_ref() == key)?;
    quick_xml::escape::unescape(&found.value).ok().map(|text| text.into_owned())
}

/// How often or how far; 1 where it is not said.
fn count(element: &BytesStart<'_>, key: &str) -> u32 {
    attribute(element, key).and_then(|text| text.parse().ok()).unwrap_or(1).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_merged_over_rows_are_found_where_they_stand() {
        let cell = "<table:table-cell/>";
        let content = format!(
            "<office:spreadsheet><table:table table:name=\"Other\"><table:table-row>\
             <table:table-cell table:number-rows-spanned=\"9\"/></table:table-row></table:table>\
             <table:table table:name=\"A &amp; B\"><table:table-row table:number-rows-repeated=\"3\">{cell}</table:table-row>\
             <table:table-row/>\
             <table:table-row><table:table-cell table:number-columns-repeated=\"2\"/>\
             <table:table-cell table:number-rows-spanned=\"2\" table:number-columns-spanned=\"2\"><text:p>x</text:p></table:table-cell>\
             <table:covered-table-cell/><table:table-cell table:number-columns-spanned=\"3\"/></table:table-row>\
             <table:table-row>{cell}{cell}<table:covered-table-cell table:number-columns-repeated=\"2\"/>\
             <table:table-cell table:number-rows-spanned=\"3\"/></table:table-row></table:table></office:spreadsheet>"
        );
        let found = of_content(&content, "A & B");
        assert_eq!(
            found,
            [MergedCells { start: (4, 2), end: (5, 3) }, MergedCells { start: (5, 4), end: (7, 4) },]
        );
        assert!(of_content("<a><b", "A").is_empty() && merged_of_ods(b"PK no archive", "A").is_empty());
    }
}
