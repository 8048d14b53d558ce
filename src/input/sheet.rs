use std::borrow::Cow;

use super::layout::{Layout, separator_of};
use super::problem::{Collector, Place, ProblemKind, Says};
use super::rows::{Row, Rows};

/// What parts the cells of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Separator {
    /// Commas, so that numbers have decimal points.
    Comma,
    /// What the header line uses most of semicolons, tabs, commas and upright strokes.
    OfHeader,
}

/// A table as text: its header, then its rows.
pub(crate) struct Sheet<'t> {
    /// The first row that is neither blank nor a comment.
    pub header: Row<'t>,
    rows: Rows<'t>,
    file: usize,
}

impl<'t> Sheet<'t> {
    /// The table in a text, a byte order mark before it or not; `file` goes into places. `None` where
    /// no row says anything.
    pub(crate) fn of(text: &'t str, separator: Separator, file: usize) -> Option<Self> {
        let text = text.trim_start_matches('\u{feff}');
        let mut rows = Rows::new(
            text,
            match separator {
                Separator::Comma => b',',
                Separator::OfHeader => separator_of(first_line(text)),
            },
        );
        Some(Self { header: rows.next()?, rows, file })
    }

    /// The table that lies so in a text without a byte order mark; `None` where its header is not there.
    pub(crate) fn laid_out(text: &'t str, layout: Layout, file: usize) -> Option<Self> {
        let mut rows = layout.rows(text);
        Some(Self { header: rows.next()?, rows, file })
    }

    /// Where the header stands.
    pub(crate) fn header_place(&self) -> Place {
        Place { file: self.file, line: self.header.line }
    }

    /// The next row, and where it stands.
    pub(crate) fn next_row(&mut self) -> Option<(Row<'t>, Place)> {
        let row = self.rows.next()?;
        let place = Place { file: self.file, line: row.line };
        Some((row, place))
    }

    /// The cells of the header, and the rows that are left.
    pub(crate) fn into_parts(self) -> (Vec<Cow<'t, str>>, Rows<'t>) {
        (self.header.cells, self.rows)
    }

    /// How wide the table is by its header, where a row is wider than that.
    pub(crate) fn exceeded_by(&self, row: &Row<'_>) -> Option<usize> {
        let width = self.header.cells.len();
        row.exceeds(width).then_some(width)
    }

    /// Reports a row that is wider than the header; `true` where it is.
    pub(crate) fn report_too_wide(&self, row: &Row<'_>, key: &str, problems: &mut Collector) -> bool {
        let Some(width) = self.exceeded_by(row) else { return false };
        let says = Says::new(
            format!("{} fields", row.cells.len()),
            format!("{width}, as the first line names them"),
            "put a text that holds a comma between double quotes, and decimals with points",
        );
        problems.add(ProblemKind::Syntax, Place { file: self.file, line: row.line }, key, says);
        true
    }

    /// What `take` makes of each row, at most so many: `what` they are, and what to do about more. Rows wider than the
    /// header and a quotation mark that stays open are reported; `None` where there are more.
    pub(crate) fn take_rows<T>(
        &mut self,
        key: &str,
        (most, what, advice): (usize, &str, &str),
        problems: &mut Collector,
        mut take: impl FnMut(&Row<'_>, Place, &mut Collector) -> Option<T>,
    ) -> Option<Vec<T>> {
        let mut taken = Vec::new();
        while let Some((row, place)) = self.next_row() {
            if taken.len() >= most {
                let says = Says::new(format!("more than {most} {what}"), format!("at most {most}"), advice);
                problems.add(ProblemKind::Value, place, key, says);
                return None;
            }
            if !self.report_too_wide(&row, key, problems) {
                taken.extend(take(&row, place, problems));
            }
        }
        self.report_unclosed(key, problems);
        Some(taken)
    }

    /// Reports a quotation mark that was opened and never closed, once all rows have been taken;
    /// `true` where there is one.
    pub(crate) fn report_unclosed(&self, key: &str, problems: &mut Collector) -> bool {
        let Some(line) = self.rows.unclosed_quote else { return false };
        report_unclosed(Place { file: self.file, line }, key, problems);
        true
    }
}

/// The first line that is neither blank nor a comment.
fn first_line(text: &str) -> &str {
    let says = |line: &&str| !line.trim().is_empty() && !line.trim().starts_with('#');
    text.lines().find(says).unwrap_or("")
}

/// Why a row that is wider than its header of `width` cells is rejected.
pub(crate) fn too_wide(row: &Row<'_>, width: usize) -> String {
    format!(
        "{} cells where the header has {width}; a decimal comma or a comma in a note needs quotes in a \
         comma-separated file",
        row.cells.len()
    )
}

/// Says that a quotation mark is never closed.
pub(crate) fn report_unclosed(place: Place, key: &str, problems: &mut Collector) {
    let says = Says::new(
        "a quotation mark that is never closed",
        "quotation marks in pairs",
        "close it or take it out: what follows was read as one cell",
    );
    problems.add(ProblemKind::Syntax, place, key, says);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_that_is_wider_than_the_header_is_told_from_one_with_empty_cells() {
        let mut sheet = Sheet::of("\u{feff}u_m,v_m\n1,2,,\n1,5,2,5\n1\n", Separator::Comma, 0).unwrap();
        let mut problems = Collector::of_file("a.csv");
        let mut wide = Vec::new();
        while let Some((row, place)) = sheet.next_row() {
            if sheet.report_too_wide(&row, "outline", &mut problems) {
                wide.push(place.line);
            }
        }
        assert_eq!(wide, [3]);
        assert!(!sheet.report_unclosed("outline", &mut problems));
        let text = problems.finish(()).unwrap_err().to_string();
        assert!(text.starts_with("a.csv:3: outline: found 4 fields\n  allowed: 2, as"), "{text}");
    }

    #[test]
    fn an_unclosed_quote_is_reported_where_it_opens() {
        let mut sheet = Sheet::of("a;b\n1;\"2\n3;4\n", Separator::OfHeader, 0).unwrap();
        let mut problems = Collector::of_file("a.csv");
        while sheet.next_row().is_some() {}
        assert!(sheet.report_unclosed("", &mut problems));
        assert!(problems.finish(()).unwrap_err().to_string().starts_with("a.csv:2: found a quotation"));
    }

    #[test]
    fn a_text_of_comments_is_no_table() {
        assert!(Sheet::of("# a\n\n,,\n", Separator::Comma, 0).is_none());
        assert!(Sheet::of("", Separator::OfHeader, 0).is_none());
    }
}
