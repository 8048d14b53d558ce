use super::rows::{Row, Rows};

/// Where a table's header is looked for: title lines above it are few.
const MOST_TITLE_ROWS: usize = 100;

/// How a text lies in rows and cells: where its header stands and what parts the cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layout {
    /// Line of the header, from 1.
    pub header_line: usize,
    /// What parts the cells, a character of ASCII.
    pub separator: u8,
}

/// What a row is worth as a header.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct HeaderWorth {
    /// Whether it names all that a table needs.
    pub whole: bool,
    /// How many columns it names.
    pub known: usize,
}

impl Layout {
    /// The first row that is worth as much as a header can be, among the first hundred that hold anything: one
    /// that is whole, else the one that names most columns, else the first row. `None` where no row says
    /// anything.
    pub(crate) fn find(text: &str, worth: impl Fn(&Row<'_>) -> HeaderWorth) -> Option<Self> {
        let mut best: Option<(HeaderWorth, Self)> = None;
        for (header_line, separator, row) in candidates(text).take(MOST_TITLE_ROWS) {
            let (worth, layout) = (worth(&row), Self { header_line, separator });
            if worth.whole {
                return Some(layout);
            }
            if best.is_none_or(|(most, _)| worth > most) {
                best = Some((worth, layout));
            }
        }
        best.map(|(_, layout)| layout)
    }

    /// The layout with its header on a line that was named; `None` where nothing stands on it.
    pub(crate) fn at_line(text: &str, line: usize) -> Option<Self> {
        let rest = from_line(text, line)?;
        let separator = separator_of(header_text(rest));
        let row = Rows::new(rest, separator).next()?;
        (row.line == 1).then_some(Self { header_line: line, separator })
    }

    /// Its rows from the header on, with the lines that they have in the text.
    pub(crate) fn rows(self, text: &str) -> Rows<'_> {
        Rows::from_line(from_line(text, self.header_line).unwrap_or(""), self.separator, self.header_line)
    }
}

/// Rows that may be a header: each as its own line parts it, with that line and separator.
fn candidates(text: &str) -> impl Iterator<Item = (usize, u8, Row<'_>)> {
    let mut at = 0;
    text.split_inclusive('\n').enumerate().filter_map(move |(index, line)| {
        let rest = &text[at..];
        at += line.len();
        let separator = separator_of(header_text(rest));
        let row = Rows::new(rest, separator).next()?;
        (row.line == 1).then_some((index + 1, separator, row))
    })
}

/// The text from a line on.
fn from_line(text: &str, line: usize) -> Option<&str> {
    let skip = line.checked_sub(1)?;
    let start: usize = text.split_inclusive('\n').take(skip).map(str::len).sum();
    let there = skip == 0 || text[..start].matches('\n').count() == skip;
    text.get(start..).filter(|rest| there && !rest.is_empty())
}

/// Lines that a quoted cell of a header may go on over.
const MOST_LINES_OF_A_HEADER: usize = 5;

/// The first line, with those that a quoted cell goes on over.
fn header_text(rest: &str) -> &str {
    let (mut end, mut quotes) = (0, 0);
    for line in rest.split_inclusive('\n').take(MOST_LINES_OF_A_HEADER) {
        end += line.len();
        quotes += line.matches('"').count();
        if quotes.is_multiple_of(2) {
            return &rest[..end];
        }
    }
    rest.lines().next().unwrap_or("")
}

/// What parts a line: what it uses most of semicolons, tabs, commas and upright strokes. A header
/// holds names, so no decimal comma misleads the count.
pub(super) fn separator_of(line: &str) -> u8 {
    let count = |wanted: u8| line.bytes().filter(|&b| b == wanted).count();
    // Of equals the one that is the least likely to stand in a name.
    let by_rank = [b',', b'|', b'\t', b';'];
    by_rank.into_iter().max_by_key(|&b| count(b)).filter(|&b| count(b) > 0).unwrap_or(b',')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worth(row: &Row<'_>) -> HeaderWorth {
        let known = row.cells.iter().filter(|c| matches!(c.as_ref(), "dip" | "dir")).count();
        HeaderWorth { whole: known == 2, known }
    }

    #[test]
    fn a_header_below_titles_is_found_with_its_own_separator() {
        let text = "Mapping, level 12\n\n# note\nBy: somebody; dip of all\n\"dip\";dir;note\n1,5;2;x\n";
        let layout = Layout::find(text, worth).unwrap();
        assert_eq!(layout, Layout { header_line: 5, separator: b';' });
        let rows: Vec<_> = layout.rows(text).collect();
        assert_eq!((rows[0].line, rows[1].line), (5, 6));
        assert_eq!(rows[1].cells, ["1,5", "2", "x"]);
        assert_eq!(Layout::at_line(text, 5), Some(layout));
        assert_eq!(Layout::at_line(text, 2), None, "a blank line");
        assert_eq!(Layout::at_line(text, 99), None);
        assert_eq!(Layout::at_line(text, 0), None);
    }

    #[test]
    fn a_quoted_header_may_go_on_over_lines() {
        let text = "\"dip\n\";dir\n1;2\n";
        let worth = |row: &Row<'_>| HeaderWorth { whole: row.cells.len() == 2, known: 0 };
        let layout = Layout::find(text, worth).unwrap();
        assert_eq!(layout, Layout { header_line: 1, separator: b';' });
        assert_eq!(layout.rows(text).nth(1).unwrap().line, 3);
        // A stray quote is no cell that goes on for ever.
        assert_eq!(header_text("5\" a;b\nc\nd\ne\nf\ng\n"), "5\" a;b");
    }

    #[test]
    fn without_a_whole_header_the_row_that_names_most_is_one() {
        let text = "title\ndip,azi\n1,2\n";
        assert_eq!(Layout::find(text, worth), Some(Layout { header_line: 2, separator: b',' }));
        let text = "title\nfall,azi\n";
        assert_eq!(Layout::find(text, worth).unwrap().header_line, 1);
        assert_eq!(Layout::find("# nothing\n\n", worth), None);
    }

    #[test]
    fn a_line_tells_its_separator() {
        assert_eq!(separator_of("dip_deg;strike_deg"), b';');
        assert_eq!(separator_of("dip_deg\tdip_direction_deg"), b'\t');
        assert_eq!(separator_of("dip_deg,dip_direction_deg"), b',');
        assert_eq!(separator_of("dip_deg|strike, right-hand|x"), b'|');
        assert_eq!(separator_of(""), b',');
    }
}
