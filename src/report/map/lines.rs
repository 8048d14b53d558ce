//! Scanlines, windows and holes: lines.csv and the page's table.

use super::words::trend_and_plunge;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::shortest;
use crate::report::paper::table::Table;
use crate::survey::{COUNTING_RULE, LineKind, LineSummary, Mapped, Survey, SurveyLine, WindowShape};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct LineRow<'a> {
    line: &'a SurveyLine,
    /// Readings that name it.
    readings: usize,
    /// Of scanlines and holes of known length.
    found: Option<&'a LineSummary>,
}

/// Every line of the survey, in its order.
fn line_rows<'a>(survey: &'a Survey, mapped: &'a Mapped) -> Vec<LineRow<'a>> {
    let row = |(at, line)| LineRow {
        line,
        readings: survey.readings.iter().filter(|r| r.line == Some(at)).count(),
        found: mapped.lines.iter().find(|l| l.line == at),
    };
    survey.lines.iter().enumerate().map(row).collect()
}

/// Those that lines.csv holds: scanlines and holes of known length.
pub(super) fn lines_in_files<'a>(survey: &'a Survey, mapped: &'a Mapped) -> Vec<LineRow<'a>> {
    let row = |found: &'a LineSummary| LineRow {
        line: &survey.lines[found.line],
        readings: found.readings,
        found: Some(found),
    };
    mapped.lines.iter().map(row).collect()
}

/// The columns; the README says what each means.
pub(super) fn line_table<'a>() -> Table<LineRow<'a>> {
    use Format::{Fixed, Whole, Words};
    Table::<LineRow<'a>>::new()
        .column("line", |r| (&r.line.id).into())
        .on_page("line", Words)
        .only_shown("kind", |r| r.line.kind.map(kind_word).into())
        .on_page("kind", Words)
        .only_shown("direction", |r| r.line.direction.map(trend_and_plunge).into())
        .on_page("trend/plunge", Words)
        .only_shown("north", |r| r.line.direction.map(|_| r.line.azimuth_from.word()).into())
        .on_page("trend counted from", Words)
        .only_shown("size", |r| size(r.line).into())
        .on_page("size m", Whole)
        .column("readings", |r| r.readings.into())
        .on_page("readings", Whole)
        .column("repeats", |r| r.found.map(|l| l.repeats).into())
        .column("rejects_counted", |r| r.found.map(|l| l.rejects).into())
        .column("length_m", |r| r.line.length_m.into())
        .column("frequency_per_m", |r| r.found.map(|l| l.frequency_per_m).into())
        .on_page("joints per m", Fixed(2))
        .column("rqd_estimate_percent", |r| r.found.map(|l| l.rqd_percent).into())
        .on_page("RQD %, estimate", Fixed(0))
}

fn kind_word(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Scanline => "scanline",
        LineKind::Window => "window",
        LineKind::Hole => "hole",
    }
}

/// A window's outline, or a length, metres.
fn size(line: &SurveyLine) -> Option<String> {
    match line.window {
        Some(WindowShape::Circle { radius_m }) => Some(format!("radius {}", shortest(radius_m))),
        Some(WindowShape::Rectangle { width_m, height_m }) => {
            Some(format!("{} × {}", shortest(width_m), shortest(height_m)))
        }
        None => line.length_m.map(shortest),
    }
}

/// The page's table; nothing without lines.
pub(super) fn section(body: &mut Html, survey: &Survey, mapped: &Mapped) {
    if survey.lines.is_empty() {
        return;
    }
    body.table(&line_table().page_of_all(&line_rows(survey, mapped)));
    body.paragraph("RQD from the number of joints along the line (Priest and Hudson 1976).");
    body.paragraph(COUNTING_RULE);
}
