use std::borrow::Cow;

use crate::input::{Layout, Rows, Sheet};

/// A survey's cells as they stand in its text, for tables that carry them along: unquoted and
/// trimmed, nothing else. For AGS files the rows of the group `DISC`.
pub struct AsRead<'t> {
    header: Vec<Cow<'t, str>>,
    rows: Rows<'t>,
    /// AGS files: whether the walk is in the group that holds joints.
    ags: Option<bool>,
}

impl<'t> AsRead<'t> {
    /// The cells of a text that [`super::read_survey`] has read, which found it to lie so.
    #[must_use]
    pub fn of(text: &'t str, layout: Option<Layout>) -> Self {
        if let Some(layout) = layout {
            let sheet =
                Sheet::laid_out(text.trim_start_matches('\u{feff}'), layout, 0).map(Sheet::into_parts);
            let (header, rows) = sheet.unwrap_or_else(|| (Vec::new(), Rows::new("", b',')));
            return Self { header, rows, ags: None };
        }
        let mut in_joints = false;
        let mut header = Vec::new();
        for row in Rows::new(text, b',') {
            match row.cells[0].as_ref() {
                "GROUP" => in_joints = row.cells.get(1).is_some_and(|name| name == "DISC"),
                "HEADING" if in_joints => header = row.cells[1..].to_vec(),
                _ => {}
            }
        }
        Self { header, rows: Rows::new(text, b','), ags: Some(false) }
    }

    /// The headers, as they stand.
    #[must_use]
    pub fn header(&self) -> &[Cow<'t, str>] {
        &self.header
    }
}

impl<'t> Iterator for AsRead<'t> {
    /// Line of the file, and the cells under the headers.
    type Item = (usize, Vec<Cow<'t, str>>);

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let mut row = self.rows.next()?;
            let Some(in_joints) = &mut self.ags else {
                return Some((row.line, row.cells));
            };
            match row.cells[0].as_ref() {
                "GROUP" => *in_joints = row.cells.get(1).is_some_and(|name| name == "DISC"),
                "DATA" if *in_joints => {
                    row.cells.remove(0);
                    return Some((row.line, row.cells));
                }
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_come_with_their_lines() {
        let text = "# note\ndip_deg;note\n45,5;\"a; b\"\n\n50;\n";
        let table = AsRead::of(text, Some(Layout { header_line: 2, separator: b';' }));
        assert_eq!(table.header(), ["dip_deg", "note"]);
        let rows: Vec<_> = table.collect();
        assert_eq!(rows[0], (3, vec!["45,5".into(), "a; b".into()]));
        assert_eq!(rows[1].0, 5);
    }

    #[test]
    fn of_an_ags_file_only_the_joints() {
        let text = "\"GROUP\",\"LOCA\"\n\"HEADING\",\"LOCA_ID\"\n\"DATA\",\"X1\"\n\n\
                    \"GROUP\",\"DISC\"\n\"HEADING\",\"DISC_DIP\",\"DISC_DIR\"\n\"DATA\",\"45\",\"120\"\n";
        let table = AsRead::of(text, None);
        assert_eq!(table.header(), ["DISC_DIP", "DISC_DIR"]);
        let rows: Vec<_> = table.collect();
        assert_eq!(rows, [(7, vec!["45".into(), "120".into()])]);
    }
}
