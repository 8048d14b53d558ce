//! The strip drawing of the cycle: the heading seen from its right wall, stage under stage.

use crate::case::Case;
use crate::numeric::convex_hull;
use crate::opening::Vec2;
use crate::report::paper::numbers::{factor, fixed, kn};
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Fill, PAPER, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{
    self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, LINE_MM, OUTLINE_MM, PALE, THIN_MM,
};
use crate::study::{Check, Place, Stage, StageRow, Stages, Verdict};

/// Most wedges that a strip draws: short ones first, the heaviest before the others.
const MOST_DRAWN: usize = 4;
/// The drawing reaches this far beyond the heading at either end and above, metres.
const AROUND_M: f64 = 1.5;
/// Rings drawn behind the last one.
const RINGS_BEHIND: usize = 3;
/// Greatest height of a strip, millimetres.
const MOST_STRIP_MM: f64 = 62.0;

const NOTE: &str = "Seen from the right wall, to scale. Shaded: ahead of the last ring. Wedges are projected along the line of sight, on walls and in the back alike; those that can stand anywhere ahead of the last ring are drawn at the face. Dashed: across the last ring, where its end leaves them worst.";

/// One strip a stage, to scale, looking from the right wall to the left, the advance to the right:
/// floor, back and face, the rings up to the last one, the length that no ring holds, and the wedges
/// that lack most there, projected along the line of sight.
#[must_use]
pub(crate) fn stages_drawing(case: &Case, check: &Check, stages: &Stages) -> Sheet {
    let title = title(stages);
    let mut order: Vec<Stage> = stages.rows.iter().map(|r| r.stage).collect();
    order.push(Stage::FreshRound);
    order.sort_unstable();
    order.dedup();
    let (low, high) = check.opening.section.bounds();
    let spacing_m = case.patterns.iter().map(|p| p.ring_spacing_m).fold(0.0, f64::max);
    let behind_m = stages.fresh_length_m() + RINGS_BEHIND as f64 * spacing_m + AROUND_M;
    let size_m = [behind_m + 2.0 * AROUND_M, high.y - low.y + 2.0 * AROUND_M];
    let width_mm = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let mm_per_m = (width_mm / size_m[0]).min(MOST_STRIP_MM / size_m[1]);
    let strip_mm = size_m[1] * mm_per_m;
    let lines = MOST_DRAWN as f64 * LABEL_LEADING_MM;

    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, width_mm) + 2.0;
    let each_mm = LABEL_LEADING_MM + strip_mm + lines + 5.0;
    let notes = trial.wrap(NOTE, &LABEL, width_mm);
    let notes_top = top + each_mm * order.len() as f64;
    let height_mm = notes_top + notes.len() as f64 * LABEL_LEADING_MM + MARGIN_MM;
    let mut sheet = Sheet::new(FULL_WIDTH_MM, height_mm, &title);
    sheet.describe(
        "The heading seen from its right wall, one strip for each stage of the cycle: rings, the length that no ring holds, and wedges projected along the line of sight.",
    );
    style::title(&mut sheet, [MARGIN_MM; 2], &title, width_mm);
    for (k, stage) in order.iter().enumerate() {
        let y = top + each_mm * k as f64;
        let frame =
            Rect::new(MARGIN_MM, y + LABEL_LEADING_MM, MARGIN_MM + width_mm, y + LABEL_LEADING_MM + strip_mm);
        let strip = Strip { case, stages, stage: *stage, frame, mm_per_m, low, high };
        strip.draw(&mut sheet);
    }
    for (k, line) in notes.iter().enumerate() {
        sheet.text([MARGIN_MM, notes_top + (k as f64 + 0.5) * LABEL_LEADING_MM], line, &LABEL);
    }
    sheet
}

fn title(stages: &Stages) -> String {
    let length = fixed(stages.fresh_length_m(), 1);
    match stages.heaviest_fresh() {
        Some(row) => format!(
            "{length} m stand unsupported after a round, and {} kN of {} can come down",
            kn(row.weight_kn),
            row.wedge
        ),
        None => format!("{length} m stand unsupported after a round; no wedge there lacks what is asked"),
    }
}

struct Strip<'a> {
    case: &'a Case,
    stages: &'a Stages,
    stage: Stage,
    frame: Rect,
    mm_per_m: f64,
    low: Vec2,
    high: Vec2,
}

impl Strip<'_> {
    /// Metres from the face, and height, on the sheet.
    fn place(&self, s: f64, v: f64) -> Point {
        let right = self.frame.right - 2.0 * AROUND_M * self.mm_per_m;
        [right + s * self.mm_per_m, self.frame.bottom - (v - self.low.y + AROUND_M) * self.mm_per_m]
    }

    fn draw(&self, sheet: &mut Sheet) {
        let ahead_m = self.stages.unsupported_length_m(self.stage);
        let heading = format!("{}: {} m ahead of the last ring", self.stage.name(), fixed(ahead_m, 1));
        sheet.text([self.frame.left, self.frame.top - 0.5 * LABEL_LEADING_MM], &heading, &LABEL.bold());
        let back_m = -(self.frame.right - self.frame.left) / self.mm_per_m + 2.0 * AROUND_M;
        // What no ring holds.
        let corners =
            [(-ahead_m, self.low.y), (0.0, self.low.y), (0.0, self.high.y), (-ahead_m, self.high.y)];
        let open: Vec<Point> = corners.iter().map(|&(s, v)| self.place(s, v)).collect();
        if ahead_m > 0.0 {
            sheet.polygon(&open, Some(Fill::tint(INK, 0.07)), None);
        }
        self.rings(sheet, ahead_m, back_m);
        let drawn = self.drawn();
        for (n, row) in drawn.iter().enumerate() {
            self.wedge(sheet, row, n + 1);
        }
        let outline = [
            self.place(back_m, self.low.y),
            self.place(0.0, self.low.y),
            self.place(0.0, self.high.y),
            self.place(back_m, self.high.y),
        ];
        sheet.polyline_within(&outline, Stroke::solid(INK, OUTLINE_MM), &self.frame);
        self.dimension(sheet, ahead_m);
        for (n, row) in drawn.iter().enumerate() {
            let y = self.frame.bottom + (n as f64 + 0.6) * LABEL_LEADING_MM;
            let mark = [self.frame.left + 1.6, y];
            match row.verdict {
                Verdict::Held => style::held_mark(sheet, mark, 2.2),
                Verdict::Short => style::short_mark(sheet, mark, 2.5),
                Verdict::NotJudged => {}
            }
            let asked = row.criterion_fs.map(|fs| format!(" where {} is asked", fixed(fs, 2)));
            let words = format!(
                "{}  {}, {}: {} kN, FS {}{}",
                n + 1,
                row.wedge,
                row.place.name(),
                kn(row.weight_kn),
                factor(row.fs),
                asked.unwrap_or_default()
            );
            sheet.text([self.frame.left + 4.4, y], &words, &LABEL.anchored(Anchor::Start));
        }
    }

    /// The wedges of the stage that matter: short before held, the heaviest before the others.
    fn drawn(&self) -> Vec<&StageRow> {
        let mut rows: Vec<&StageRow> = self
            .stages
            .rows
            .iter()
            .filter(|r| r.stage == self.stage && r.criterion_fs.is_some() && r.place != Place::InPattern)
            .collect();
        rows.sort_by(|a, b| {
            let held = |r: &StageRow| r.verdict != Verdict::Short;
            held(a).cmp(&held(b)).then(b.weight_kn.total_cmp(&a.weight_kn))
        });
        rows.truncate(MOST_DRAWN);
        rows
    }

    fn rings(&self, sheet: &mut Sheet, ahead_m: f64, back_m: f64) {
        for pattern in &self.case.patterns {
            let covers_back = pattern.covers.iter().any(|c| c.includes(crate::opening::Surface::Back));
            let heights = pattern.lowest_collar_m.into_iter().chain(pattern.row_at_m);
            let lowest_m = heights.fold(self.high.y, f64::min);
            let mut s = -ahead_m;
            while s > back_m {
                if covers_back {
                    let bolt =
                        [self.place(s, self.high.y), self.place(s, self.high.y + pattern.length_in_hole_m())];
                    sheet.polyline_within(&bolt, style::bolt_stroke(false, true), &self.frame);
                }
                let wall = [self.place(s, lowest_m), self.place(s, self.high.y)];
                sheet.polyline_within(&wall, Stroke::solid(GREY, HAIR_MM), &self.frame);
                s -= pattern.ring_spacing_m;
            }
        }
    }

    fn wedge(&self, sheet: &mut Sheet, row: &StageRow, number: usize) {
        let at = |p: &crate::orientation::Vec3| self.place(p.y + row.apex_from_face_m, p.z);
        let points: Vec<Point> = row.shape.vertices().iter().map(at).collect();
        let hull = convex_hull(&points);
        let middle = hull.iter().fold([0.0, 0.0], |m, p| [m[0] + p[0], m[1] + p[1]]);
        let inside: Vec<Point> = hull.clone();
        sheet.polygon(&inside, Some(Fill::tint(INK, 0.05)), None);
        let mut closed = hull.clone();
        closed.extend(hull.first());
        let stroke = Stroke {
            colour: INK,
            width_mm: LINE_MM,
            dash_mm: if row.place == Place::Across { &[2.0, 1.2] } else { &[] },
        };
        sheet.polyline_within(&closed, stroke, &self.frame);
        let count = hull.len().max(1) as f64;
        let [x, y] = [middle[0] / count, middle[1] / count];
        if self.frame.holds([x, y]) {
            sheet.circle([x, y], 2.1, Some(Fill::solid(PAPER)), Some(Stroke::solid(INK, THIN_MM)));
            sheet.text([x, y], &number.to_string(), &LABEL.anchored(Anchor::Middle));
        }
    }

    fn dimension(&self, sheet: &mut Sheet, ahead_m: f64) {
        let v = self.low.y - 0.45 * AROUND_M;
        let (from, to) = (self.place(-ahead_m, v), self.place(0.0, v));
        sheet.polyline_within(&[from, to], Stroke::solid(INK, THIN_MM), &self.frame);
        for [x, y] in [from, to] {
            sheet.polyline_within(&[[x, y - 1.2], [x, y + 1.2]], Stroke::solid(INK, THIN_MM), &self.frame);
        }
        let below = [0.5 * (from[0] + to[0]), from[1] + 2.6];
        sheet.text(below, &format!("{} m", fixed(ahead_m, 2)), &LABEL.anchored(Anchor::Middle));
        let [x, y] = self.place(0.0, self.low.y);
        sheet.text([x + 1.5, y], "face", &LABEL.anchored(Anchor::Start));
        let ahead = [self.place(0.0, self.high.y), self.place(0.0, self.high.y + AROUND_M)];
        sheet.polyline_within(&ahead, Stroke::solid(PALE, HAIR_MM), &self.frame);
    }
}
