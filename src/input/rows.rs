use std::borrow::Cow;

use super::formula::unmarked;

/// A row of a table as it stood in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Row<'t> {
    /// Line of the file on which the row begins, from 1.
    pub line: usize,
    /// The row as it stood, without its line end.
    pub raw: &'t str,
    /// Its cells, unquoted and trimmed.
    pub cells: Vec<Cow<'t, str>>,
}

impl Row<'_> {
    /// What stands in a column; empty where there is no such column, or nothing in it.
    pub(crate) fn text(&self, column: Option<usize>) -> &str {
        column.and_then(|at| self.cells.get(at)).map_or("", |cell| cell.as_ref())
    }

    /// Whether there are cells beyond this many that say something: a decimal comma, or a comma in a
    /// note, has then moved those behind it.
    pub(crate) fn exceeds(&self, width: usize) -> bool {
        self.cells.iter().skip(width).any(|cell| !cell.is_empty())
    }

    /// True for rows that say nothing: spreadsheets leave rows of bare separators behind.
    pub(crate) fn is_blank(&self) -> bool {
        self.cells.iter().all(|cell| cell.is_empty())
    }
}

/// Rows of delimited text, quotes as in RFC 4180. Comments (`#` first on the line) and rows
/// without any content are passed over.
///
/// Written by hand because every row must keep the number of its own line and its own text:
/// the usual readers count from where they started looking, before blank lines.
pub(crate) struct Rows<'t> {
    rest: &'t str,
    line: usize,
    delimiter: u8,
    /// Where the cells of the row that is read last begin and end.
    ends: Vec<(usize, usize)>,
    /// The line on which a quote was opened that never closed.
    pub unclosed_quote: Option<usize>,
}

impl<'t> Rows<'t> {
    pub(crate) fn new(text: &'t str, delimiter: u8) -> Self {
        Self::from_line(text, delimiter, 1)
    }

    /// Of the rest of a text that begins on this line of it.
    pub(crate) fn from_line(rest: &'t str, delimiter: u8, line: usize) -> Self {
        Self { rest, line, delimiter, ends: Vec::new(), unclosed_quote: None }
    }

    /// Looks for the end of the row that is first: its length; its cells are in `ends`.
    fn row_end(&mut self) -> usize {
        let bytes = self.rest.as_bytes();
        let cells = &mut self.ends;
        cells.clear();
        let (mut start, mut at) = (0, 0);
        let mut quoted = false;
        let mut only_space_so_far = true;
        while at < bytes.len() {
            match bytes[at] {
                b'"' if quoted => {
                    if bytes.get(at + 1) == Some(&b'"') {
                        at += 1;
                    } else {
                        quoted = false;
                    }
                }
                // A quote opens a quoted cell only where the cell begins; elsewhere (5" pipe)
                // it is a character.
                b'"' if only_space_so_far => {
                    quoted = true;
                    only_space_so_far = false;
                }
                b'\n' if !quoted => break,
                byte if byte == self.delimiter && !quoted => {
                    cells.push((start, at));
                    start = at + 1;
                    only_space_so_far = true;
                }
                b' ' => {}
                _ => only_space_so_far = false,
            }
            at += 1;
        }
        if quoted {
            self.unclosed_quote = Some(self.line);
        }
        cells.push((start, at));
        at
    }
}

impl<'t> Iterator for Rows<'t> {
    type Item = Row<'t>;

    fn next(&mut self) -> Option<Row<'t>> {
        while !self.rest.is_empty() {
            let line = self.line;
            if self.rest.trim_start_matches([' ', '\t']).starts_with('#') {
                let end = self.rest.find('\n').map_or(self.rest.len(), |at| at + 1);
                self.rest = &self.rest[end..];
                self.line += 1;
                continue;
            }
            let end = self.row_end();
            let raw = &self.rest[..end];
            let row = Row {
                line,
                raw: raw.strip_suffix('\r').unwrap_or(raw),
                cells: self.ends.iter().map(|&(a, b)| cell(&self.rest[a..b])).collect(),
            };
            self.line += 1 + raw.bytes().filter(|&b| b == b'\n').count();
            self.rest = self.rest.get(end + 1..).unwrap_or("");
            if !row.is_blank() {
                return Some(row);
            }
        }
        None
    }
}

/// A cell without its quotes, outer blanks, and the apostrophe that our tables put before what would be run.
fn cell(text: &str) -> Cow<'_, str> {
    let trimmed = text.trim();
    match trimmed.strip_prefix('"').and_then(|inner| inner.strip_suffix('"')) {
        Some(inner) if inner.contains('"') => {
            Cow::Owned(unmarked(inner.replace("\"\"", "\"").trim()).to_owned())
        }
        Some(inner) => Cow::Borrowed(unmarked(inner.trim())),
        None => Cow::Borrowed(unmarked(trimmed)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_keep_their_own_line_numbers() {
        let text = "a,b\r\n\r\n# a note\r\n1,\"two, \"\"2\"\"\"\r\n,,\r\n\"x\ny\",5\" pipe\n7,8";
        let rows: Vec<_> = Rows::new(text, b',').collect();
        let lines: Vec<_> = rows.iter().map(|row| row.line).collect();
        assert_eq!(lines, [1, 4, 6, 8]);
        assert_eq!(rows[1].cells, ["1", "two, \"2\""]);
        assert_eq!(rows[1].raw, "1,\"two, \"\"2\"\"\"");
        assert_eq!(rows[2].cells, ["x\ny", "5\" pipe"]);
        assert_eq!(rows[3].cells, ["7", "8"]);
    }

    #[test]
    fn an_unclosed_quote_is_noticed() {
        let mut rows = Rows::new("a,b\n1,\"2\n3,4\n", b',');
        while rows.next().is_some() {}
        assert_eq!(rows.unclosed_quote, Some(2));
    }
}
