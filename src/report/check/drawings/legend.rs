//! The legend and notes under a drawing.

use crate::case::Case;
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::numbers::fixed;
use crate::report::paper::sheet::{Fill, PAPER, Point, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM};

use super::MARK_MM;
use super::placed::{FoundMark, changed_ring, local_collar};
use crate::study::{CheckedWedge, Verdict};

/// Width of a sample of line, and the gap after it, millimetres.
const SAMPLE_MM: f64 = 9.0;
const GAP_MM: f64 = 1.6;
/// Between two entries.
const BETWEEN_MM: f64 = 5.0;

/// Entries that flow from left to right, and notes over the whole width.
pub(super) struct Legend<'a> {
    sheet: &'a mut Sheet,
    left: f64,
    right: f64,
    x: f64,
    /// Top of the present row.
    y: f64,
}

impl<'a> Legend<'a> {
    pub(super) fn new(sheet: &'a mut Sheet, [left, top]: Point, right: f64) -> Self {
        Self { sheet, left, right, x: left, y: top }
    }

    /// The y below everything written so far, millimetres.
    pub(super) fn bottom(&self) -> f64 {
        if self.x > self.left { self.y + LABEL_LEADING_MM } else { self.y }
    }

    fn entry(&mut self, sample_mm: f64, words: &str, sample: impl FnOnce(&mut Sheet, Point)) {
        let width = sample_mm + GAP_MM + self.sheet.text_width_mm(words, &LABEL);
        if self.x > self.left && self.x + width > self.right {
            self.new_row();
        }
        let middle = self.y + LABEL_LEADING_MM / 2.0;
        sample(self.sheet, [self.x, middle]);
        let words_left = self.x + sample_mm + GAP_MM;
        let lines = self.sheet.wrap(words, &LABEL, self.right - words_left);
        for (i, line) in lines.iter().enumerate() {
            if i > 0 {
                self.y += LABEL_LEADING_MM;
            }
            self.sheet.text([words_left, self.y + LABEL_LEADING_MM / 2.0], line, &LABEL);
        }
        self.x += width + BETWEEN_MM;
    }

    /// Begins a new row unless the present one is empty.
    pub(super) fn new_row(&mut self) {
        self.y = self.bottom();
        self.x = self.left;
    }

    /// Lines of the sets, in the order of the case, with dip and dip direction.
    pub(super) fn sets(&mut self, case: &Case, sets: &[usize]) {
        for (index, set) in case.joints.iter().enumerate().filter(|(i, _)| sets.contains(i)) {
            let direction = azimuth_words(set.plane.dip_direction_deg);
            let words = format!("{} {:02.0}/{direction}", set.name, set.plane.dip_deg);
            let stroke = style::set_style(index).stroke();
            self.entry(SAMPLE_MM, &words, |sheet, [x, y]| {
                sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], stroke)
            });
        }
    }

    /// A line of some kind, where the drawing has it.
    pub(super) fn line(&mut self, words: &str, stroke: Stroke, shown: bool) {
        if shown {
            self.entry(SAMPLE_MM, words, |sheet, [x, y]| {
                sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], stroke)
            });
        }
    }

    /// The marks of the verdicts.
    pub(super) fn verdicts<'w>(&mut self, wedges: impl Iterator<Item = &'w CheckedWedge> + Clone) {
        let any = |verdict: Verdict| wedges.clone().any(|w| w.decided.verdict == verdict);
        let (held, short) = (any(Verdict::Held), any(Verdict::Short));
        let room = MARK_MM * 1.15;
        if short {
            self.entry(room, "short", |sheet, [x, y]| {
                style::short_mark(sheet, [x + room / 2.0, y], MARK_MM * 1.15);
            });
        }
        if held {
            self.entry(room, "held", |sheet, [x, y]| style::held_mark(sheet, [x + room / 2.0, y], MARK_MM));
        }
        if any(Verdict::NotJudged) {
            self.entry(0.0, "without a mark: not judged", |_, _| {});
        }
    }

    /// Bolts seen from the side.
    pub(super) fn bolts(&mut self, serving: bool, others: bool) {
        if serving {
            self.entry(SAMPLE_MM, "bolt that crosses its wedge, toe side heavier", |sheet, [x, y]| {
                plate(sheet, [x, y], [0.0, 1.0], INK);
                sheet.polyline(&[[x, y], [x + 4.0, y]], style::bolt_stroke(false, true));
                sheet.polyline(&[[x + 4.0, y], [x + SAMPLE_MM, y]], style::bolt_stroke(true, true));
            });
        }
        if others {
            self.entry(SAMPLE_MM, "other bolt of the ring", |sheet, [x, y]| {
                plate(sheet, [x, y], [0.0, 1.0], GREY);
                sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], style::bolt_stroke(false, false));
            });
        }
    }

    /// Collars on the surface.
    pub(super) fn collars(&mut self, serving: bool, others: bool, radius_mm: f64) {
        let room = MARK_MM;
        if serving {
            self.entry(room, "collar of a bolt that crosses a wedge", |sheet, [x, y]| {
                collar(sheet, [x + room / 2.0, y], radius_mm, true);
            });
        }
        if others {
            self.entry(room, "other collar", |sheet, [x, y]| {
                collar(sheet, [x + room / 2.0, y], radius_mm, false);
            });
        }
    }

    /// Collars that stand at their chainage alone.
    pub(super) fn local_collars(&mut self, serving: bool, others: bool, half_mm: f64) {
        let room = MARK_MM;
        let mut entry = |shown: bool, words: &str, crosses: bool| {
            if shown {
                self.entry(room, words, |sheet, [x, y]| {
                    local_collar(sheet, [x + room / 2.0, y], half_mm, crosses);
                });
            }
        };
        entry(serving, "collar at its chainage alone, its bolt crosses a wedge", true);
        entry(others, "other collar at its chainage alone", false);
    }

    /// A bolt as it was found.
    pub(super) fn found(&mut self, mark: FoundMark, half_mm: f64) {
        self.entry(MARK_MM, mark.words(), |sheet, [x, y]| mark.draw(sheet, [x + MARK_MM / 2.0, y], half_mm));
    }

    /// A bolt that is not as the survey in a file found it.
    pub(super) fn changed(&mut self, file: &str, half_mm: f64) {
        let words = format!("ringed: lost, added or changed since {file}");
        self.entry(MARK_MM, &words, |sheet, [x, y]| changed_ring(sheet, [x + MARK_MM / 2.0, y], half_mm));
    }

    /// A sentence over the whole width.
    pub(super) fn note(&mut self, words: &str) {
        self.new_row();
        for line in self.sheet.wrap(words, &LABEL, self.right - self.left) {
            self.sheet.text([self.left, self.y + LABEL_LEADING_MM / 2.0], &line, &LABEL);
            self.y += LABEL_LEADING_MM;
        }
    }
}

/// A collar on the unrolled surface: a disc where its bolt crosses a wedge, a ring elsewhere.
pub(super) fn collar(sheet: &mut Sheet, at: Point, radius_mm: f64, serving: bool) {
    if serving {
        sheet.circle(at, radius_mm, Some(Fill::solid(INK)), None);
    } else {
        // Two discs: a drawing has hundreds of these, and a ring of many corners takes five times
        // the room in its file.
        sheet.circle(at, radius_mm * 0.9, Some(Fill::solid(GREY)), None);
        sheet.circle(
            at,
            radius_mm * 0.9 - 1.4 * HAIR_MM.min(0.4 * radius_mm),
            Some(Fill::solid(PAPER)),
            None,
        );
    }
}

/// Half of a plate's length on paper, millimetres.
pub(super) const HALF_PLATE_MM: f64 = 1.3;

/// A plate: a short bar along the unit vector `across`.
pub(super) fn plate(
    sheet: &mut Sheet,
    [x, y]: Point,
    across: Point,
    colour: crate::report::paper::sheet::Colour,
) {
    let half = [HALF_PLATE_MM * across[0], HALF_PLATE_MM * across[1]];
    let bar = [[x - half[0], y - half[1]], [x + half[0], y + half[1]]];
    sheet.polyline(&bar, Stroke::solid(colour, 0.9));
}

/// `Asked: FS 2.00 where a wedge falls, 1.50 where it slides.`
pub(super) fn criteria_words(case: &Case) -> String {
    format!(
        "Asked: FS {} where a wedge falls, {} where it slides.",
        fixed(case.criteria.min_fs_falling, 2),
        fixed(case.criteria.min_fs_sliding, 2)
    )
}
