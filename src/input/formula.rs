//! Cells that a spreadsheet would run: written with an apostrophe before them, and read without it.

use std::borrow::Cow;

/// What stands before a cell that would be run otherwise; spreadsheets take what follows it for text.
const MARK: char = '\'';

/// Whether a spreadsheet would take a cell for a formula: it begins with `=` or `@`, or with a sign that is none of
/// a number or of several.
fn is_formula(cell: &str) -> bool {
    let trimmed = cell.trim_start();
    // Of nearly every cell the first byte tells.
    if !matches!(trimmed.as_bytes().first(), Some(b'=' | b'@' | b'+' | b'-')) {
        return false;
    }
    let of_numbers = |c: char| c.is_ascii_digit() || " \t.,;:|/°-+eE".contains(c);
    let adds = |text: &str| text.contains(['+', '-']) && !text.contains(['e', 'E', ',', ';', '|', '\t', ' ']);
    match trimmed.split_at(1) {
        ("+" | "-", rest) => !rest.chars().all(of_numbers) || adds(rest),
        _ => true,
    }
}

/// A cell as a table has it.
#[must_use]
pub(crate) fn marked(cell: &str) -> Cow<'_, str> {
    if is_formula(cell) { Cow::Owned(format!("{MARK}{cell}")) } else { Cow::Borrowed(cell) }
}

/// A cell as it was before [`marked`] made it one of a table.
#[must_use]
pub(crate) fn unmarked(cell: &str) -> &str {
    cell.strip_prefix(MARK).filter(|rest| is_formula(rest)).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_run_is_marked_and_read_as_it_was() {
        for plain in [
            "41.0,0.0,4.8",
            "-3.2,1.0",
            "+.5",
            "-",
            "",
            "good",
            "-1e-5",
            "-0.5|-1",
            "-3 -4",
            "'quoted'",
            "'",
            "N45E",
        ] {
            assert_eq!(marked(plain), plain);
            assert_eq!(unmarked(plain), plain);
        }
        for formula in [
            "=1+1",
            "  =HYPERLINK(1)",
            "@SUM(1)",
            "+A1",
            "-cmd|' /c'!A0",
            "-2+3+cmd|' /C calc'!A0",
            "-2+3",
            "-3.2,1.0,good",
            "=",
        ] {
            assert_eq!(marked(formula), format!("'{formula}"));
            assert_eq!(unmarked(&marked(formula)), formula);
        }
    }
}
