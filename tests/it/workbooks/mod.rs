//! A minimal writer of `.xlsx`: an archive without compression, one sheet or several, numbers and words as they
//! are given, merged cells. Only what tests need.
#![allow(clippy::unwrap_used)]

use std::fmt::Write as _;

/// A sheet: its name, its rows (`None` for an empty cell), and merged cells such as `B2:B4`.
pub struct SheetToWrite {
    pub name: &'static str,
    pub rows: Vec<Vec<Option<String>>>,
    pub merged: Vec<String>,
}

/// Rows of a table in text, cells parted by `|`; an empty cell says nothing.
pub fn rows(text: &str) -> Vec<Vec<Option<String>>> {
    let cell = |text: &str| Some(text.to_owned()).filter(|t| !t.is_empty());
    text.lines().map(|line| line.split('|').map(cell).collect()).collect()
}

/// The bytes of a workbook with these sheets.
pub fn xlsx(sheets: &[SheetToWrite]) -> Vec<u8> {
    const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";
    const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const DOCUMENT: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006";
    let mut files: Vec<(String, String)> = Vec::new();
    let mut types = format!(
        "{HEAD}<Types xmlns=\"{PACKAGE}/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/><Default Extension=\"xml\" ContentType=\"application/xml\"/><Override PartName=\"/xl/workbook.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml\"/>"
    );
    let mut book = format!("{HEAD}<workbook xmlns=\"{MAIN}\" xmlns:r=\"{DOCUMENT}\"><sheets>");
    let mut links = format!("{HEAD}<Relationships xmlns=\"{PACKAGE}/relationships\">");
    for (at, sheet) in sheets.iter().enumerate() {
        let n = at + 1;
        let _ = write!(
            types,
            "<Override PartName=\"/xl/worksheets/sheet{n}.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml\"/>"
        );
        let _ = write!(book, "<sheet name=\"{}\" sheetId=\"{n}\" r:id=\"rId{n}\"/>", sheet.name);
        let _ = write!(
            links,
            "<Relationship Id=\"rId{n}\" Type=\"{DOCUMENT}/worksheet\" Target=\"worksheets/sheet{n}.xml\"/>"
        );
        files.push((format!("xl/worksheets/sheet{n}.xml"), format!("{HEAD}{}", sheet_xml(sheet, MAIN))));
    }
    types.push_str("</Types>");
    book.push_str("</sheets></workbook>");
    links.push_str("</Relationships>");
    let root = format!(
        "{HEAD}<Relationships xmlns=\"{PACKAGE}/relationships\"><Relationship Id=\"rId1\" Type=\"{DOCUMENT}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
    );
    files.insert(0, ("[Content_Types].xml".to_owned(), types));
    files.insert(1, ("_rels/.rels".to_owned(), root));
    files.insert(2, ("xl/workbook.xml".to_owned(), book));
    files.insert(3, ("xl/_rels/workbook.xml.rels".to_owned(), links));
    archive(&files)
}

fn sheet_xml(sheet: &SheetToWrite, main: &str) -> String {
    let mut xml = format!("<worksheet xmlns=\"{main}\"><sheetData>");
    for (row, cells) in sheet.rows.iter().enumerate() {
        let _ = write!(xml, "<row r=\"{}\">", row + 1);
        for (column, cell) in cells.iter().enumerate() {
            let Some(text) = cell else { continue };
            let place = format!("{}{}", letters(column), row + 1);
            if text.parse::<f64>().is_ok() {
                let _ = write!(xml, "<c r=\"{place}\"><v>{text}</v></c>");
            } else {
                let text = text.replace('&', "&amp;").replace('<', "&lt;");
                let _ = write!(
                    xml,
                    "<c r=\"{place}\" t=\"inlineStr\"><is><t xml:space=\"preserve\">{text}</t></is></c>"
                );
            }
        }
        xml.push_str("</row>");
    }
    xml.push_str("</sheetData>");
    if !sheet.merged.is_empty() {
        let _ = write!(xml, "<mergeCells count=\"{}\">", sheet.merged.len());
        for cells in &sheet.merged {
            let _ = write!(xml, "<mergeCell ref=\"{cells}\"/>");
        }
        xml.push_str("</mergeCells>");
    }
    xml + "</worksheet>"
}

/// The letter of a column, from 0; tests have no more than 26.
fn letters(column: usize) -> char {
    char::from(b'A' + u8::try_from(column).unwrap())
}

/// An archive in which files lie as they are.
fn archive(files: &[(String, String)]) -> Vec<u8> {
    let (mut bytes, mut directory) = (Vec::new(), Vec::new());
    for (name, content) in files {
        let (start, size) = (bytes.len() as u32, content.len() as u32);
        let mut entry = Vec::new();
        entry.extend(20_u16.to_le_bytes()); // version needed
        entry.extend([0; 8]); // flags, no compression, time, date
        entry.extend(checksum(content.as_bytes()).to_le_bytes());
        entry.extend(size.to_le_bytes());
        entry.extend(size.to_le_bytes());
        entry.extend((name.len() as u16).to_le_bytes());
        entry.extend(0_u16.to_le_bytes()); // no extra field
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&entry);
        bytes.extend(name.as_bytes());
        bytes.extend(content.as_bytes());
        directory.extend(b"PK\x01\x02");
        directory.extend(20_u16.to_le_bytes()); // version made by
        directory.extend(&entry);
        directory.extend([0; 10]); // comment, disk, attributes
        directory.extend(start.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let start = bytes.len() as u32;
    bytes.extend(&directory);
    bytes.extend(b"PK\x05\x06");
    bytes.extend([0; 4]);
    bytes.extend((files.len() as u16).to_le_bytes());
    bytes.extend((files.len() as u16).to_le_bytes());
    bytes.extend((directory.len() as u32).to_le_bytes());
    bytes.extend(start.to_le_bytes());
    bytes.extend(0_u16.to_le_bytes());
    bytes
}

/// CRC-32, polynomial 0xEDB88320, by a table.
fn checksum(bytes: &[u8]) -> u32 {
    let table: Vec<u32> = (0..256_u32)
        .map(|n| (0..8).fold(n, |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 }))
        .collect();
    !bytes.iter().fold(!0_u32, |crc, byte| table[((crc ^ u32::from(*byte)) & 0xFF) as usize] ^ (crc >> 8))
}
