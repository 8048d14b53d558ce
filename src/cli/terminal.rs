//! What is said on the terminal: results on stdout, messages on stderr.

use std::io::{IsTerminal, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, presets};

use super::progress;
use crate::report::Grid;

/// Nothing is wider than this.
const WIDTH: u16 = 100;

/// Says something on stderr. A closed stream is no reason to stop.
pub(super) fn message(text: &str) {
    progress::clear();
    let _ = writeln!(std::io::stderr().lock(), "{}", cut(text));
}

/// A line of a message is cut after so many characters: what somebody typed may be of any length.
const LONGEST_LINE_CHARS: usize = 2000;

fn cut(text: &str) -> String {
    let line = |line: &str| match line.char_indices().nth(LONGEST_LINE_CHARS) {
        Some((end, _)) => format!("{}…", &line[..end]),
        None => line.to_owned(),
    };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// Says where the folder went that stood in the way, if one did.
pub(super) fn set_aside(folder: Option<&Path>) {
    if let Some(aside) = folder {
        message(&format!("what stood there is now {}", aside.display()));
    }
}

/// Says where the case was written that stands for itself, if one was.
pub(super) fn new_case(file: Option<&Path>) {
    if let Some(file) = file {
        result(&wrapped(&format!("The case of it: {}; check takes it as it stands.", file.display())));
    }
}

static UNWRITTEN: AtomicBool = AtomicBool::new(false);

/// Writes results on stdout. A closed pipe (`| head`) is no reason to fail; a full disk is, and is
/// remembered for the exit status.
pub(super) fn result(text: &str) {
    progress::clear();
    let mut out = std::io::stdout().lock();
    if let Err(error) = writeln!(out, "{text}").and_then(|()| out.flush())
        && error.kind() != std::io::ErrorKind::BrokenPipe
    {
        UNWRITTEN.store(true, Ordering::Relaxed);
    }
}

/// Whether some result could not be written on stdout.
pub(super) fn unwritten() -> bool {
    UNWRITTEN.load(Ordering::Relaxed)
}

/// The text in bold, where stdout is a terminal and `NO_COLOR` is not set.
pub(super) fn emphasis(text: &str) -> String {
    let plain = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    if plain || !std::io::stdout().is_terminal() {
        text.to_owned()
    } else {
        format!("\u{1b}[1m{text}\u{1b}[0m")
    }
}

/// Ids up to this many characters are never broken.
const LONGEST_WHOLE_ID: usize = 24;

/// Says a table below what was said before.
pub(super) fn table(grid: &Grid) {
    result(&format!("\n{}", laid_out(grid)));
}

/// Says lines below what was said before, broken where they are long; nothing where there are none.
pub(super) fn lines(lines: &[String]) {
    if !lines.is_empty() {
        let text: Vec<String> = lines.iter().map(|line| wrapped(line)).collect();
        result(&format!("\n{}", text.join("\n")));
    }
}

/// Says the answer.
pub(super) fn answer(text: &str) {
    result(&emphasis(&wrapped(text)));
}

/// A table of at most ten columns, no wider than 100 characters. Where it is too wide, the column with the
/// longest words is broken, and the first, which holds ids, only where it is longer than 24 characters.
fn laid_out(grid: &Grid) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic).set_width(WIDTH);
    table.set_header(grid.header.iter().map(|(heading, _)| heading));
    for row in &grid.rows {
        table.add_row(row);
    }
    let longest_in =
        |index: usize| grid.rows.iter().filter_map(|r| r.get(index)).map(|c| c.chars().count()).max();
    let words = (1..grid.header.len()).filter(|&i| !grid.header[i].1);
    // The first of equals.
    let broken = words.reduce(|a, b| if longest_in(b) > longest_in(a) { b } else { a });
    for (index, (_, right)) in grid.header.iter().enumerate() {
        if let Some(column) = table.column_mut(index) {
            column.set_padding((0, 1));
            let longest = longest_in(index);
            if index > 0 && Some(index) != broken
                || (index == 0 && longest.is_some_and(|l| l <= LONGEST_WHOLE_ID))
            {
                column.set_constraint(ColumnConstraint::ContentWidth);
            }
            if *right {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
    }
    table.lines().map(|l| l.trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}

/// Breaks a text into lines of at most 100 characters; what stood on a line of its own still begins one.
pub(super) fn wrapped(text: &str) -> String {
    text.lines().map(broken).collect::<Vec<_>>().join("\n")
}

fn broken(line: &str) -> String {
    let mut lines = vec![String::new()];
    for word in line.split_whitespace() {
        let last = lines.len() - 1;
        let line = &mut lines[last];
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > usize::from(WIDTH) {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_fits_a_hundred_characters_with_any_id() {
        let id = "a_very_long_set_name-another_long_set_name-and_a_third_long_name.101".to_owned();
        let rows = vec![vec![id, "back, right wall".into(), "falling".into(), "12.345".into()]];
        let header = [("wedge", false), ("surfaces", false), ("mode", false), ("volume m³", true)];
        let header = header.map(|(heading, right)| (heading.to_owned(), right)).to_vec();
        let text = laid_out(&Grid { header, rows });
        assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
        assert!(text.contains("12.345"));
    }

    #[test]
    fn a_message_is_cut_line_by_line() {
        let long = cut(&format!("short\n{}", "é".repeat(1_000_000)));
        assert_eq!(long.lines().map(|l| l.chars().count()).collect::<Vec<_>>(), [5, LONGEST_LINE_CHARS + 1]);
        assert_eq!(cut("a\n\nb"), "a\n\nb");
    }

    #[test]
    fn sentences_break_between_words() {
        let text = wrapped(&"word ".repeat(60));
        assert!(text.lines().all(|l| l.len() <= 100 && !l.ends_with(' ')));
        assert_eq!(text.split_whitespace().count(), 60);
    }
}
