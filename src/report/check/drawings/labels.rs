//! Names beside what they name, and set letters on lines.

use crate::report::paper::sheet::{Anchor, Fill, Layout, PAPER, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{INK, LABEL, LABEL_LEADING_MM, LEADER};
use crate::study::Verdict;

use super::order::verdict_mark;
use super::{MARK_MM, MARK_ROOM_MM};

/// How much of what lies beneath a label its paper takes away.
const BENEATH_OPACITY: f64 = 0.7;

/// Kept free round a label, millimetres.
const CLEAR_MM: f64 = 0.6;

/// A label nearer to its target than this needs no line to it, millimetres.
const LEADER_FROM_MM: f64 = 2.0;

/// What a millimetre of distance from the target costs, beside the layout's costs.
const COST_OF_DISTANCE: f64 = 1.2;

/// What a label's line to its target costs where it runs over something, beside what the label
/// itself would.
const COST_OF_LEADER: f64 = 0.6;

/// Steps in which that line is felt along, millimetres.
const LEADER_STEP_MM: f64 = 1.0;

/// A letter that would hide this much is left to the legend.
const MOST_LETTER_COST: f64 = 20.0;

/// A line shorter than this many times its letter has no room for it.
const LETTERS_ON_LINE: f64 = 2.4;

/// `text` in rows of at most `width_mm`, broken at spaces, after a joiner of names, or, where
/// there is neither, anywhere.
pub(super) fn rows(sheet: &Sheet, text: &str, width_mm: f64) -> Vec<String> {
    let mut rows = Vec::new();
    for line in sheet.wrap(text, &LABEL, width_mm) {
        let mut rest = line.as_str();
        while sheet.text_width_mm(rest, &LABEL) > width_mm {
            let ends = rest.char_indices().skip(1).map(|(i, _)| i);
            let fitting: Vec<usize> =
                ends.take_while(|&i| sheet.text_width_mm(&rest[..i], &LABEL) <= width_mm).collect();
            let Some(&last) = fitting.last() else { break };
            let after_joiner = fitting.iter().rev().find(|&&i| rest[..i].ends_with(['-', '.', '_']));
            let (head, tail) = rest.split_at(after_joiner.copied().unwrap_or(last));
            rows.push(head.to_owned());
            rest = tail;
        }
        rows.push(rest.to_owned());
    }
    rows
}

/// A label with the mark of its verdict before the first row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub verdict: Verdict,
    pub rows: Vec<String>,
}

impl Label {
    /// Width and height, millimetres.
    pub(super) fn size_mm(&self, sheet: &Sheet) -> [f64; 2] {
        let widest = self.rows.iter().map(|r| sheet.text_width_mm(r, &LABEL)).fold(0.0, f64::max);
        [MARK_ROOM_MM + widest, LABEL_LEADING_MM * self.rows.len() as f64]
    }

    /// Writes it with its upper left corner there.
    pub(super) fn draw(&self, sheet: &mut Sheet, [left, top]: Point) {
        let first = top + LABEL_LEADING_MM / 2.0;
        verdict_mark(sheet, [left + MARK_MM / 2.0, first], MARK_MM, self.verdict);
        for (i, row) in self.rows.iter().enumerate() {
            let at = [left + MARK_ROOM_MM, first + LABEL_LEADING_MM * i as f64];
            sheet.text(at, row, &LABEL.halo());
        }
    }

    /// Writes it where it hides least near `target`, with a thin line to it where it stands off;
    /// `dot` puts a dot at the line's end.
    pub(super) fn place(&self, sheet: &mut Sheet, layout: &mut Layout, target: Point, dot: bool) {
        let [width, height] = self.size_mm(sheet);
        let mut places: Vec<(Rect, f64)> = Vec::new();
        for ring in 0..20 {
            let gap = 2.2 * f64::from(ring);
            let turns = if ring == 0 { 1 } else { 24 };
            for turn in 0..turns {
                let (sin, cos) = (f64::from(turn) * 15.0 + 90.0).to_radians().sin_cos();
                let out = if ring == 0 { 0.0 } else { 1.0 };
                // The box touches a circle of radius `gap` round the target.
                let x = target[0] + gap * sin + out * 0.5 * width * (2.0 * sin).clamp(-1.0, 1.0);
                let y = target[1] - gap * cos - out * 0.5 * height * (2.0 * cos).clamp(-1.0, 1.0);
                let room = Rect::new(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0);
                let across = COST_OF_LEADER * leader_cost(layout, target, nearest(&room, target));
                places.push((room.grown(CLEAR_MM), COST_OF_DISTANCE * gap + across));
            }
        }
        let Some((room, _)) = layout.choose(&places).and_then(|i| places.get(i)) else { return };
        let room = room.grown(-CLEAR_MM);
        let near = nearest(&room, target);
        if (near[0] - target[0]).hypot(near[1] - target[1]) > LEADER_FROM_MM {
            leader(sheet, target, near, dot);
            layout.take_line(&[target, near], 4.0);
        }
        // What lies beneath stays to be seen, and the words to be read.
        let Rect { left, top, right, bottom } = room;
        let corners = [
            [left + MARK_ROOM_MM - 0.4, top],
            [right, top],
            [right, bottom],
            [left + MARK_ROOM_MM - 0.4, bottom],
        ];
        sheet.polygon(&corners, Some(Fill::tint(PAPER, BENEATH_OPACITY)), None);
        self.draw(sheet, [room.left, room.top]);
    }
}

/// Where the thin line from a target meets the room of a label.
fn nearest(room: &Rect, target: Point) -> Point {
    [target[0].clamp(room.left - 0.4, room.right + 0.4), target[1].clamp(room.top + 0.8, room.bottom - 0.8)]
}

/// What a thin line would run over, felt in steps along it.
fn leader_cost(layout: &Layout, target: Point, near: Point) -> f64 {
    let steps = (distance(target, near) / LEADER_STEP_MM) as usize;
    (1..steps)
        .map(|i| {
            let share = i as f64 / steps as f64;
            let at = [0, 1].map(|k| target[k] + share * (near[k] - target[k]));
            let half = LEADER_STEP_MM / 2.0;
            layout.cost(&Rect::new(at[0] - half, at[1] - half, at[0] + half, at[1] + half))
        })
        .sum()
}

/// A thin line from a label to its target, which a dot may mark.
pub(super) fn leader(sheet: &mut Sheet, target: Point, near: Point, dot: bool) {
    sheet.polyline(&[near, target], LEADER);
    if dot {
        sheet.circle(target, 0.45, Some(Fill::solid(INK)), None);
    }
}

/// Writes a set's name on its line where it hides least; a line too short or too crowded for it
/// goes without, its dash is in the legend.
pub(super) fn on_line(sheet: &mut Sheet, layout: &mut Layout, line: &[Point], name: &str) {
    let style = LABEL.bold().halo().anchored(Anchor::Middle);
    let length: f64 = line.windows(2).map(|p| distance(p[0], p[1])).sum();
    let size = sheet.text_width_mm(name, &style).max(LABEL_LEADING_MM);
    if length < LETTERS_ON_LINE * size {
        return;
    }
    let mut best: Option<(Rect, Point, f64)> = None;
    for share in [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82] {
        let Some(at) = point_on(line, share * length) else { continue };
        let room = sheet.text_box(at, name, &style);
        let cost = layout.cost(&room) + 10.0 * f64::abs(share - 0.5);
        if best.as_ref().is_none_or(|b| cost < b.2) {
            best = Some((room, at, cost));
        }
    }
    if let Some((room, at, cost)) = best
        && cost <= MOST_LETTER_COST
    {
        layout.take(room, 10.0);
        sheet.text(at, name, &style);
    }
}

fn point_on(line: &[Point], along_mm: f64) -> Option<Point> {
    let mut left = along_mm;
    for pair in line.windows(2) {
        let step = distance(pair[0], pair[1]);
        if left <= step && step > 0.0 {
            let share = left / step;
            let at = |i: usize| pair[0][i] + share * (pair[1][i] - pair[0][i]);
            return Some([at(0), at(1)]);
        }
        left -= step;
    }
    line.last().copied()
}

pub(super) fn distance(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The same stroke, a little thinner: lines that lie side by side.
pub(super) fn thinner(stroke: Stroke) -> Stroke {
    stroke.wide(0.75 * stroke.width_mm)
}
