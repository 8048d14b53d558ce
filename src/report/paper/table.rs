//! A table: one list of columns for files, page and terminal.

use std::borrow::Cow;

use serde_json::{Map, Value as Json};
use thiserror::Error;

use super::cell::{Cell, Format};
use super::csv_metadata::{ColumnOfFile, Holds};
use crate::input::marked;

/// A table could not be written; a fault of the program, never of its input.
#[derive(Debug, Error)]
pub enum TableError {
    /// From the CSV writer.
    #[error("a row could not be written: {0}")]
    Csv(#[from] csv::Error),
    /// From its buffer.
    #[error("a table could not be finished: {0}")]
    Flush(String),
}

/// The columns of a table whose rows are `Row`s.
///
/// A column is added by [`column`](Self::column), in the order of the files; what is said after it
/// tells how people see it. Page and terminal name the columns that they show, in their own order.
#[derive(Debug)]
pub(crate) struct Table<Row> {
    columns: Vec<Column<Row>>,
}

#[derive(Debug)]
struct Column<Row> {
    name: &'static str,
    in_files: bool,
    cell: fn(&Row) -> Cell<'_>,
    page: Option<Look<Row>>,
    terminal: Option<Look<Row>>,
}

/// How people see a column.
#[derive(Debug)]
struct Look<Row> {
    heading: Cow<'static, str>,
    format: Format,
    /// Where people are told something else than files are.
    own: Option<fn(&Row) -> Cell<'_>>,
}

/// Cells as people see them.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Grid {
    /// Each column's heading, and whether it stands to the right.
    pub header: Vec<(String, bool)>,
    /// Its rows.
    pub rows: Vec<Vec<String>>,
}

impl Grid {
    /// The same without columns in which no row has anything.
    #[must_use]
    pub(crate) fn without_empty(mut self) -> Self {
        let kept: Vec<bool> =
            (0..self.header.len()).map(|at| self.rows.iter().any(|row| !row[at].is_empty())).collect();
        let mut at = kept.iter();
        self.header.retain(|_| at.next() == Some(&true));
        for row in &mut self.rows {
            let mut at = kept.iter();
            row.retain(|_| at.next() == Some(&true));
        }
        self
    }
}

impl<Row> Table<Row> {
    /// Without columns yet.
    #[must_use]
    pub(crate) fn new() -> Self {
        Self { columns: Vec::new() }
    }

    /// A column of the files: its name there, what it holds.
    #[must_use]
    pub(crate) fn column(self, name: &'static str, cell: fn(&Row) -> Cell<'_>) -> Self {
        self.with(name, true, cell)
    }

    /// A column that no file has; the name is for [`page`](Self::page) and
    /// [`terminal`](Self::terminal).
    #[must_use]
    pub(crate) fn only_shown(self, name: &'static str, cell: fn(&Row) -> Cell<'_>) -> Self {
        self.with(name, false, cell)
    }

    fn with(mut self, name: &'static str, in_files: bool, cell: fn(&Row) -> Cell<'_>) -> Self {
        self.columns.push(Column { name, in_files, cell, page: None, terminal: None });
        self
    }

    /// How the page shows the column added last.
    #[must_use]
    pub(crate) fn on_page(self, heading: impl Into<Cow<'static, str>>, format: Format) -> Self {
        self.look(|c| &mut c.page, Look { heading: heading.into(), format, own: None })
    }

    /// The same, where the page tells something else than files do.
    #[must_use]
    pub(crate) fn on_page_as(
        self,
        heading: impl Into<Cow<'static, str>>,
        format: Format,
        cell: fn(&Row) -> Cell<'_>,
    ) -> Self {
        self.look(|c| &mut c.page, Look { heading: heading.into(), format, own: Some(cell) })
    }

    /// How the terminal shows the column added last.
    #[must_use]
    pub(crate) fn on_terminal(self, heading: impl Into<Cow<'static, str>>, format: Format) -> Self {
        self.look(|c| &mut c.terminal, Look { heading: heading.into(), format, own: None })
    }

    /// The same, where the terminal tells something else than files do.
    #[must_use]
    pub(crate) fn on_terminal_as(
        self,
        heading: impl Into<Cow<'static, str>>,
        format: Format,
        cell: fn(&Row) -> Cell<'_>,
    ) -> Self {
        self.look(|c| &mut c.terminal, Look { heading: heading.into(), format, own: Some(cell) })
    }

    fn look(mut self, side: fn(&mut Column<Row>) -> &mut Option<Look<Row>>, look: Look<Row>) -> Self {
        if let Some(last) = self.columns.last_mut() {
            *side(last) = Some(look);
        }
        self
    }

    fn in_files(&self) -> impl Iterator<Item = &Column<Row>> {
        self.columns.iter().filter(|c| c.in_files)
    }

    /// The table as a CSV file; one without rows still has its header.
    ///
    /// # Errors
    /// [`TableError`] where the table cannot be written, which no input can cause.
    pub(crate) fn csv(&self, rows: &[Row]) -> Result<String, TableError> {
        let mut writer = CsvWriter::new(self.in_files().map(|c| c.name))?;
        for row in rows {
            writer.row(self.in_files().map(|c| (c.cell)(row)))?;
        }
        writer.finish()
    }

    /// What each column of the CSV file of these rows holds.
    #[must_use]
    pub(crate) fn columns_of_file(&self, rows: &[Row]) -> Vec<ColumnOfFile> {
        let column = |c: &Column<Row>| ColumnOfFile {
            name: c.name,
            heading: c.page.as_ref().map(|look| look.heading.clone().into_owned()),
            holds: rows.iter().fold(Holds::default(), |holds, row| holds.and(&(c.cell)(row))),
        };
        self.in_files().map(column).collect()
    }

    /// A row as an object of summary.json, its keys the columns of the CSV file.
    #[must_use]
    pub(crate) fn object(&self, row: &Row) -> Map<String, Json> {
        self.in_files().map(|c| (c.name.to_owned(), (c.cell)(row).json())).collect()
    }

    /// All rows as such objects.
    #[must_use]
    pub(crate) fn json(&self, rows: &[Row]) -> Json {
        rows.iter().map(|row| Json::Object(self.object(row))).collect()
    }

    /// What the page shows: the named columns, in that order.
    #[must_use]
    pub(crate) fn page<'r>(&self, names: &[&str], rows: impl IntoIterator<Item = &'r Row>) -> Grid
    where
        Row: 'r,
    {
        self.grid(names, |c| c.page.as_ref(), rows)
    }

    /// All columns that the page has, in the order in which they were added.
    #[must_use]
    pub(crate) fn page_of_all<'r>(&self, rows: impl IntoIterator<Item = &'r Row>) -> Grid
    where
        Row: 'r,
    {
        let shown = self.columns.iter().filter(|c| c.page.is_some());
        self.page(&shown.map(|c| c.name).collect::<Vec<&str>>(), rows)
    }

    /// What the terminal shows: the named columns, in that order.
    #[must_use]
    pub(crate) fn terminal<'r>(&self, names: &[&str], rows: impl IntoIterator<Item = &'r Row>) -> Grid
    where
        Row: 'r,
    {
        self.grid(names, |c| c.terminal.as_ref(), rows)
    }

    fn grid<'r>(
        &self,
        names: &[&str],
        side: fn(&Column<Row>) -> Option<&Look<Row>>,
        rows: impl IntoIterator<Item = &'r Row>,
    ) -> Grid
    where
        Row: 'r,
    {
        let find = |name: &&str| {
            let column = self.columns.iter().find(|c| c.name == *name);
            let found = column.and_then(|c| Some((c.cell, side(c)?)));
            debug_assert!(found.is_some(), "no column {name} is shown there");
            found
        };
        let columns: Vec<_> = names.iter().filter_map(find).collect();
        let cells = |row: &Row| -> Vec<String> {
            columns.iter().map(|(cell, look)| look.own.unwrap_or(*cell)(row).shown(look.format)).collect()
        };
        Grid {
            header: columns
                .iter()
                .map(|(_, look)| (look.heading.clone().into_owned(), look.format.is_number()))
                .collect(),
            rows: rows.into_iter().map(cells).collect(),
        }
    }
}

/// Writes a CSV table: a header, `\n` line ends. Before a cell that a spreadsheet would run stands an apostrophe, which
/// reading takes away again.
pub(crate) struct CsvWriter {
    writer: csv::Writer<Vec<u8>>,
    /// The cell that is being written.
    cell: String,
}

impl CsvWriter {
    /// With this header.
    ///
    /// # Errors
    /// [`TableError`] where it cannot be written, which no input can cause.
    pub(crate) fn new<'h>(header: impl IntoIterator<Item = &'h str>) -> Result<Self, TableError> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(header.into_iter().map(|name| marked(name).into_owned()))?;
        Ok(Self { writer, cell: String::new() })
    }

    /// Adds a cell to the row that [`Self::row`] ends.
    ///
    /// # Errors
    /// As [`Self::row`].
    pub(crate) fn cell(&mut self, cell: &Cell<'_>) -> Result<(), TableError> {
        match cell {
            Cell::Text(text) => Ok(self.writer.write_field(marked(text).as_bytes())?),
            Cell::List(_) | Cell::Sentences(_) => {
                Ok(self.writer.write_field(marked(&cell.csv()).as_bytes())?)
            }
            _ => self.cell_of(|text| cell.put_csv(text)),
        }
    }

    /// The same with what is put into an empty text.
    ///
    /// # Errors
    /// As [`Self::row`].
    pub(crate) fn cell_of(&mut self, put: impl FnOnce(&mut String)) -> Result<(), TableError> {
        self.cell.clear();
        put(&mut self.cell);
        Ok(self.writer.write_field(self.cell.as_bytes())?)
    }

    /// Adds a row, or the rest of one.
    ///
    /// # Errors
    /// [`TableError`] where it has not as many cells as the header.
    pub(crate) fn row<'c>(&mut self, cells: impl IntoIterator<Item = Cell<'c>>) -> Result<(), TableError> {
        for cell in cells {
            self.cell(&cell)?;
        }
        // Ends the record.
        self.writer.write_record(None::<&[u8]>)?;
        Ok(())
    }

    /// The table.
    ///
    /// # Errors
    /// [`TableError`] where it cannot be finished, which no input can cause.
    pub(crate) fn finish(self) -> Result<String, TableError> {
        let bytes = self.writer.into_inner().map_err(|e| TableError::Flush(e.to_string()))?;
        String::from_utf8(bytes).map_err(|e| TableError::Flush(e.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Row {
        name: String,
        fs: f64,
        trend_deg: Option<f64>,
        count: usize,
    }

    fn table() -> Table<Row> {
        Table::new()
            .column("name", |r: &Row| (&r.name).into())
            .on_page("name", Format::Words)
            .on_terminal("who", Format::Words)
            .column("fs", |r| r.fs.into())
            .on_page("FS", Format::Factor)
            .column("trend_deg", |r| r.trend_deg.into())
            .column("count", |r| r.count.into())
            .on_terminal_as("twice", Format::Whole, |r| (2 * r.count).into())
            .only_shown("initial", |r| r.name[..1].into())
            .on_page("initial", Format::Words)
    }

    fn rows() -> [Row; 2] {
        [
            Row { name: "a, b".into(), fs: f64::INFINITY, trend_deg: None, count: 3 },
            Row { name: "c".into(), fs: 2.0, trend_deg: Some(0.1), count: 0 },
        ]
    }

    #[test]
    fn absent_is_empty_and_infinite_is_inf() {
        let text = table().csv(&rows()).unwrap();
        assert_eq!(text, "name,fs,trend_deg,count\n\"a, b\",inf,,3\nc,2,0.1,0\n");
        let json = table().json(&rows()).to_string();
        assert!(json.starts_with(r#"[{"name":"a, b","fs":"inf","trend_deg":null,"count":3}"#), "{json}");
    }

    #[test]
    fn what_a_spreadsheet_would_run_is_text_in_files_alone() {
        let row = Row { name: "=1+1".into(), fs: -0.5, trend_deg: None, count: 1 };
        assert_eq!(table().csv(&[row]).unwrap(), "name,fs,trend_deg,count\n'=1+1,-0.5,,1\n");
        let row = Row { name: "=1+1".into(), fs: -0.5, trend_deg: None, count: 1 };
        assert!(table().json(&[row]).to_string().contains(r#""name":"=1+1""#));
        let mut writer = CsvWriter::new(["a", "@b"]).unwrap();
        writer.row([Cell::list(["+A1", "b"]), Cell::list([-1.0, 2.0])]).unwrap();
        assert_eq!(writer.finish().unwrap(), "a,'@b\n'+A1|b,-1|2\n");
    }

    #[test]
    fn an_empty_table_keeps_its_header() {
        assert_eq!(table().csv(&[]).unwrap(), "name,fs,trend_deg,count\n");
    }

    #[test]
    fn page_and_terminal_have_their_own_headings_and_order() {
        let page = table().page(&["fs", "name", "initial"], &rows());
        assert_eq!(page.header, [("FS".into(), true), ("name".into(), false), ("initial".into(), false)]);
        assert_eq!(page.rows, [["inf", "a, b", "a"], ["2.00", "c", "c"]]);
        let terminal = table().terminal(&["name", "count"], &rows());
        assert_eq!(terminal.header, [("who".into(), false), ("twice".into(), true)]);
        assert_eq!(terminal.rows, [["a, b", "6"], ["c", "0"]]);
    }

    #[test]
    fn columns_without_anything_can_be_left_out() {
        let grid = |cells: [[&str; 3]; 2]| Grid {
            header: ["a", "b", "c"].map(|h| (h.to_owned(), false)).to_vec(),
            rows: cells.map(|row| row.map(str::to_owned).to_vec()).to_vec(),
        };
        let kept = grid([["1", "", ""], ["", "", "3"]]).without_empty();
        assert_eq!(kept.header.iter().map(|h| h.0.as_str()).collect::<Vec<_>>(), ["a", "c"]);
        assert_eq!(kept.rows, [["1", ""], ["", "3"]]);
    }

    #[test]
    #[should_panic(expected = "no column trend_deg")]
    fn a_column_that_is_not_shown_there_is_noticed() {
        let _ = table().page(&["trend_deg"], &rows());
    }
}
