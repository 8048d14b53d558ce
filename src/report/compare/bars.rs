use crate::opening::Surface;
use crate::report::paper::numbers::fixed;
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Fill, PAPER, Rect, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, THIN_MM};
use crate::study::{Comparison, SurfaceFs};

const MARGIN_MM: f64 = 8.0;
const BAR_MM: f64 = 3.4;
const BETWEEN_MM: f64 = 1.4;
/// Room for the name of a surface, and for the number behind a bar, millimetres.
const SURFACE_ROOM_MM: f64 = 24.0;
const NUMBER_ROOM_MM: f64 = 40.0;
/// Bars end at this use, with a mark; beyond it nobody reads the length.
const LONGEST_USE: f64 = 2.0;
const TICK_MM: f64 = 1.2;

/// Bars of use of capacity: force needed over force provided, a bar for each option and surface.
#[must_use]
pub(super) fn use_bars(comparison: &Comparison) -> Sheet {
    let of = |surfaces: &[SurfaceFs]| -> Vec<(Surface, f64)> {
        surfaces.iter().filter_map(|s| Some((s.surface, s.use_of_capacity?))).collect()
    };
    let bars: Vec<Vec<(Surface, f64)>> = comparison.options.iter().map(|o| of(&o.surfaces)).collect();
    let title = title(comparison);
    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let width_mm = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, width_mm) + 2.0;
    let rows: usize = bars.iter().map(|b| b.len().max(1)).sum();
    let step = BAR_MM + BETWEEN_MM;
    let group = LABEL_LEADING_MM + 2.0;
    let foot = top + rows as f64 * step + bars.len() as f64 * group;
    let mut sheet = Sheet::new(FULL_WIDTH_MM, foot + TICK_MM + 3.0 * LABEL_LEADING_MM + MARGIN_MM, &title);
    sheet.describe("A bar for each option and surface: force needed over force provided; 1 is all of it.");
    style::title(&mut sheet, [MARGIN_MM; 2], &title, width_mm);
    let left = MARGIN_MM + SURFACE_ROOM_MM;
    let right = FULL_WIDTH_MM - MARGIN_MM - NUMBER_ROOM_MM;
    let at = |use_of: f64| left + (right - left) * (use_of / LONGEST_USE).clamp(0.0, 1.0);
    let mut y = top;
    for ((index, option), bars) in comparison.options.iter().enumerate().zip(&bars) {
        y += group;
        let name = format!("{} {}", index + 1, option.name);
        sheet.text([MARGIN_MM, y - LABEL_LEADING_MM / 2.0], &name, &LABEL.bold());
        let from = y;
        if bars.is_empty() {
            let words = if option.per_metre.is_none() { "no bolts" } else { "nothing moves" };
            sheet.text([left, y + BAR_MM / 2.0], words, &LABEL);
            y += step;
        }
        for (surface, use_of) in bars {
            let middle = y + BAR_MM / 2.0;
            let bar = Rect::new(left, y, at(*use_of), y + BAR_MM);
            let corners =
                [[bar.left, bar.top], [bar.right, bar.top], [bar.right, bar.bottom], [bar.left, bar.bottom]];
            let held = *use_of <= 1.0;
            let fill = if held { Fill::tint(INK, 0.55) } else { Fill::tint(GREY, 0.15) };
            sheet.polygon(&corners, Some(fill), Some(Stroke::solid(INK, THIN_MM)));
            if *use_of > LONGEST_USE {
                cut_mark(&mut sheet, &bar);
            }
            sheet.text([left - 2.0, middle], surface.name(), &LABEL.anchored(Anchor::End));
            let number = match (use_of.is_finite(), held) {
                (false, _) => "no bolt carries it".to_owned(),
                (true, true) => fixed(*use_of, 2),
                (true, false) => format!("{}, short", fixed(*use_of, 2)),
            };
            sheet.text([bar.right + 2.0, middle], &number, &LABEL);
            y += step;
        }
        sheet.polyline(&[[left, from - 0.7], [left, y - 0.7]], Stroke::solid(INK, HAIR_MM));
    }
    let axis = y + 1.0;
    sheet.polyline(&[[at(1.0), top], [at(1.0), axis]], Stroke::solid(INK, THIN_MM));
    sheet.polyline(&[[at(0.0), axis], [at(LONGEST_USE), axis]], Stroke::solid(INK, HAIR_MM));
    for tick in [0.0, 0.5, 1.0, 1.5, LONGEST_USE] {
        sheet.polyline(&[[at(tick), axis], [at(tick), axis + TICK_MM]], Stroke::solid(INK, HAIR_MM));
        let below = [at(tick), axis + TICK_MM + 0.6 + LABEL_LEADING_MM / 2.0];
        sheet.text(below, &fixed(tick, 1), &LABEL.anchored(Anchor::Middle));
    }
    let words = "Force needed over force that bolts provide, screen and shotcrete apart";
    let below = [at(1.0), axis + TICK_MM + 0.6 + 1.5 * LABEL_LEADING_MM];
    sheet.text(below, words, &LABEL.anchored(Anchor::Middle));
    sheet
}

/// Two slanting lines near the end of a bar: it would go on.
fn cut_mark(sheet: &mut Sheet, bar: &Rect) {
    for back in [3.0, 4.2] {
        let x = bar.right - back;
        sheet.polyline(&[[x - 0.6, bar.bottom + 0.5], [x + 0.6, bar.top - 0.5]], Stroke::solid(PAPER, 0.6));
    }
}

fn title(comparison: &Comparison) -> String {
    let over = comparison.options.iter().filter(|o| o.use_of_capacity().is_some_and(|u| u > 1.0)).count();
    let all = comparison.options.len();
    match over {
        0 => "Bolts alone give the force that the criteria ask for in every option, moments apart".to_owned(),
        n => format!("In {n} of {all} options some wedge asks for more force than the bolts alone give"),
    }
}
