//! A scanned drive cut by cut: scan_along.csv, the page's table, what is said of it, and the strip.

use crate::opening::scan::Overbreak;
use crate::report::check::cells::marked;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::{Figure, Html};
use crate::report::paper::numbers::{factor, fixed};
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Fill, Point, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, THIN_MM};
use crate::report::paper::table::Table;
use crate::study::{ScanRow, Tightest, Verdict};

fn over(row: &ScanRow) -> Option<&Overbreak> {
    row.section.as_ref()?.overbreak.as_ref()
}

fn tightest(row: &ScanRow) -> Option<&Tightest> {
    row.found.as_ref()?.tightest.as_ref()
}

/// The worst that is said of any wedge of a cut; `None` where nothing is.
fn verdict(row: &ScanRow) -> Option<Verdict> {
    let found = row.found.as_ref()?;
    Some(match (found.short, found.not_judged) {
        (0, 0) => Verdict::Held,
        (0, _) => Verdict::NotJudged,
        _ => Verdict::Short,
    })
}

/// The columns; the README says what each means.
pub(crate) fn scan_along_table() -> Table<ScanRow> {
    use Format::{Factor, Fixed, Whole, Words};
    Table::<ScanRow>::new()
        .column("chainage_m", |r| Cell::metres(r.chainage_m))
        .on_page("chainage m", Fixed(2))
        .column("cut_area_m2", |r| r.section.as_ref().map(|s| s.cut_area_m2).into())
        .on_page("cut m²", Fixed(2))
        .column("overbreak_m2", |r| over(r).map(|o| o.overbreak_m2).into())
        .on_page("over m²", Fixed(2))
        .column("underbreak_m2", |r| over(r).map(|o| o.underbreak_m2).into())
        .on_page("under m²", Fixed(2))
        .column("farthest_overbreak_m", |r| over(r).map(|o| o.farthest_m).into())
        .on_page("farthest m", Fixed(2))
        .column("added_m2", |r| r.section.as_ref().map(|s| s.added_m2()).into())
        .column("runs_right_deg", |r| {
            r.section.as_ref().and_then(|s| s.course.askew_deg()).map(|a| a[0]).into()
        })
        .column("runs_up_deg", |r| r.section.as_ref().and_then(|s| s.course.askew_deg()).map(|a| a[1]).into())
        .column("moving", |r| r.found.as_ref().map(|f| f.moving).into())
        .column("short", |r| r.found.as_ref().map(|f| f.short).into())
        .on_page("short", Whole)
        .column("not_judged", |r| r.found.as_ref().map(|f| f.not_judged).into())
        .on_page("not judged", Whole)
        .column("verdict", |r| verdict(r).map(Verdict::name).into())
        .on_page_as("verdict", Words, |r| verdict(r).map(marked).into())
        .column("wedge", |r| tightest(r).map(|t| t.wedge.as_str()).into())
        .on_page("least of what is asked", Words)
        .column("fs", |r| tightest(r).and_then(|t| t.fs).into())
        .on_page("FS", Factor)
        .column("criterion", |r| tightest(r).map(|t| t.criterion_fs).into())
        .on_page("asked", Fixed(2))
        .column("weight_kn", |r| tightest(r).map(|t| t.weight_kn).into())
        .on_page("kN", Format::Kn)
        .column("why_not", |r| r.why_not.as_deref().into())
        .on_page("not looked at, since", Words)
}

/// What is said of the cuts in a sentence or two; nothing without any.
pub(crate) fn scan_along_lines(rows: &[ScanRow]) -> Vec<String> {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return Vec::new() };
    let at = |verdict_asked: Verdict| {
        let found: Vec<String> = rows
            .iter()
            .filter(|r| verdict(r) == Some(verdict_asked))
            .map(|r| fixed(r.chainage_m, 1))
            .collect();
        found
    };
    let short = at(Verdict::Short);
    let mut said = format!(
        "{} cuts of the scan from chainage {} to {} m, each checked as if the drive ran on so: ",
        rows.len(),
        fixed(first.chainage_m, 1),
        fixed(last.chainage_m, 1)
    );
    said.push_str(&match short.len() {
        0 => "no wedge of the drive is short at any".to_owned(),
        n => format!("short at {n} of them ({})", ranges(&short)),
    });
    let open = at(Verdict::NotJudged).len();
    if open > 0 {
        said.push_str(&format!(", not judged at {open}"));
    }
    let missing = rows.iter().filter(|r| r.found.is_none()).count();
    if missing > 0 {
        said.push_str(&format!(", not looked at {missing} (scan_along.csv says why)"));
    }
    said.push('.');
    let margin = |t: &Tightest| t.fs.map_or(0.0, |fs| fs / t.criterion_fs);
    let named = rows.iter().filter_map(|r| Some((r, tightest(r)?)));
    let least = named.reduce(|a, b| if margin(b.1) < margin(a.1) { b } else { a });
    if let Some((row, t)) = least
        && let Some(fs) = t.fs
    {
        said.push_str(&format!(
            " Least at chainage {} m: {}, FS {} where {} is asked.",
            fixed(row.chainage_m, 1),
            t.wedge,
            factor(fs),
            fixed(t.criterion_fs, 2)
        ));
    }
    let broken = rows.iter().filter_map(|r| Some((r.chainage_m, over(r)?.overbreak_m2)));
    if let Some((m, area_m2)) = broken.reduce(|a, b| if b.1 > a.1 { b } else { a }) {
        said.push_str(&format!(" Most overbreak {} m² at {} m.", fixed(area_m2, 2), fixed(m, 1)));
    }
    vec![said]
}

/// Chainages in a sentence: all of a few, the first and last of many.
fn ranges(chainages: &[String]) -> String {
    const NAMED: usize = 6;
    match chainages {
        [first, .., last] if chainages.len() > NAMED => format!("{first} to {last} m"),
        few => format!("{} m", few.join(", ")),
    }
}

/// The page's section; nothing without cuts.
pub(crate) fn section(body: &mut Html, rows: &[ScanRow], figures: &[Figure]) {
    if rows.is_empty() {
        return;
    }
    body.heading("The scanned drive, cut by cut");
    body.list(scan_along_lines(rows).into_iter());
    body.figure(figures, "scan_along");
    body.open_details(&format!("{} cuts", rows.len()), |body| {
        body.table(&scan_along_table().page_of_all(rows));
    });
}

/// Height of the bars for the most that broke, and of the row of verdicts, millimetres.
const BARS_MM: f64 = 30.0;
const ROW_MM: f64 = 5.0;

/// Chainages are named so often.
const NAMED_EVERY: usize = 10;

/// Bars of overbreak up and underbreak down by chainage, and below them a box a cut: filled where a wedge is short,
/// crossed where one is not judged, empty where all are held, none where nothing was looked at.
pub(crate) fn strip(rows: &[ScanRow]) -> Option<Sheet> {
    let title = scan_along_lines(rows).into_iter().next()?;
    let width_mm = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, width_mm) + 3.0;
    let zero = top + BARS_MM;
    let most = rows.iter().filter_map(over).map(|o| o.overbreak_m2.max(o.underbreak_m2)).fold(0.0, f64::max);
    let most_under = rows.iter().filter_map(over).map(|o| o.underbreak_m2).fold(0.0, f64::max);
    let under_mm = if most > 0.0 { BARS_MM * most_under / most } else { 0.0 };
    let boxes = zero + under_mm + 2.0;
    let note = "Bars: overbreak up, underbreak down, m² against the design. Boxes: filled, a wedge is short; crossed, one is not judged; empty, all are held; no box, nothing was looked at.";
    let notes = trial.wrap(note, &LABEL, width_mm);
    let words_top = boxes + ROW_MM + 2.0 * LABEL_LEADING_MM;
    let height = words_top + notes.len() as f64 * LABEL_LEADING_MM + MARGIN_MM;
    let mut sheet = Sheet::new(FULL_WIDTH_MM, height, &title);
    sheet.describe("Overbreak, underbreak and verdicts of the cuts through a scan, by chainage.");
    style::title(&mut sheet, [MARGIN_MM; 2], &title, width_mm);
    let step = width_mm / rows.len() as f64;
    let thin = Stroke::solid(INK, HAIR_MM);
    for (k, row) in rows.iter().enumerate() {
        let (left, right) = (MARGIN_MM + step * k as f64, MARGIN_MM + step * (k as f64 + 0.8));
        let rectangle =
            |y0: f64, y1: f64| -> [Point; 4] { [[left, y0], [right, y0], [right, y1], [left, y1]] };
        if let Some(o) = over(row).filter(|_| most > 0.0) {
            let up = BARS_MM * o.overbreak_m2 / most;
            let down = BARS_MM * o.underbreak_m2 / most;
            sheet.polygon(&rectangle(zero - up, zero), Some(Fill::tint(INK, 0.5)), None);
            sheet.polygon(&rectangle(zero, zero + down), Some(Fill::tint(GREY, 0.4)), None);
        }
        let at = rectangle(boxes, boxes + ROW_MM);
        match verdict(row) {
            Some(Verdict::Short) => sheet.polygon(&at, Some(Fill::solid(INK)), Some(thin)),
            Some(Verdict::NotJudged) => {
                sheet.outline(&at, thin);
                sheet.polyline(&[at[0], at[2]], thin);
                sheet.polyline(&[at[1], at[3]], thin);
            }
            Some(Verdict::Held) => sheet.outline(&at, thin),
            None => {}
        }
        if k % NAMED_EVERY == 0 {
            let label = LABEL.anchored(if k == 0 { Anchor::Start } else { Anchor::Middle });
            let x = if k == 0 { left } else { 0.5 * (left + right) };
            sheet.text([x, boxes + ROW_MM + 0.7 * LABEL_LEADING_MM], &fixed(row.chainage_m, 1), &label);
        }
    }
    sheet.polyline(&[[MARGIN_MM, zero], [MARGIN_MM + width_mm, zero]], Stroke::solid(INK, THIN_MM));
    if most > 0.0 {
        let words = format!("{} m²", fixed(most, 2));
        sheet.text([MARGIN_MM + width_mm, top], &words, &LABEL.anchored(Anchor::End));
    }
    for (k, line) in notes.iter().enumerate() {
        sheet.text([MARGIN_MM, words_top + (k as f64 + 0.5) * LABEL_LEADING_MM], line, &LABEL);
    }
    Some(sheet)
}
