//! Width and height of an opening, measured on its section.

use crate::opening::{Section, Vec2};
use crate::report::paper::numbers::fixed;
use crate::report::paper::sheet::{Anchor, Point, Sheet, Stroke};
use crate::report::paper::style::{HAIR_MM, INK, LABEL, THIN_MM};

/// From a dimension line to the middle of its words, millimetres.
const OFF_LINE_MM: f64 = 2.4;

/// From the floor to a dimension line below it, and kept free below the floor's own line, millimetres.
const BELOW_MM: f64 = 3.0;
const CLEAR_MM: f64 = 1.2;

/// The room that [`draw_small`] takes below the floor, millimetres.
pub(crate) const ROOM_BELOW_MM: f64 = BELOW_MM + 2.0 * OFF_LINE_MM;

/// Draws width and height inside the opening, each where it is greatest; `place` gives the
/// sheet's point of a place in the section.
pub(crate) fn draw(sheet: &mut Sheet, section: &Section, place: impl Fn(&Vec2) -> Point) {
    let (low, high) = section.bounds();
    if let Some((v, [a, b])) =
        longest_chord(section.vertices(), 1, [0.16, 0.25, 0.4, 0.5], [low.y, high.y - low.y])
    {
        let (from, to) = (place(&Vec2::new(a, v)), place(&Vec2::new(b, v)));
        dimension(sheet, from, to);
        let at = [from[0] + 0.26 * (to[0] - from[0]), from[1] - OFF_LINE_MM];
        sheet.text(at, &metres(b - a), &LABEL.anchored(Anchor::Middle).halo());
    }
    height(sheet, section, 0.74, &place);
}

/// The same for small drawings: the width below the floor, the height alone inside.
pub(crate) fn draw_small(sheet: &mut Sheet, section: &Section, place: impl Fn(&Vec2) -> Point) {
    let (low, high) = section.bounds();
    let (left, right) = (place(&Vec2::new(low.x, low.y)), place(&Vec2::new(high.x, low.y)));
    let y = left[1] + BELOW_MM;
    for x in [left[0], right[0]] {
        sheet.polyline(&[[x, left[1] + CLEAR_MM], [x, y + 1.0]], Stroke::solid(INK, HAIR_MM));
    }
    dimension(sheet, [left[0], y], [right[0], y]);
    let at = [0.5 * (left[0] + right[0]), y + OFF_LINE_MM];
    sheet.text(at, &metres(high.x - low.x), &LABEL.anchored(Anchor::Middle).halo());
    height(sheet, section, 0.45, &place);
}

/// The height where it is greatest, its words this share of the way up it.
fn height(sheet: &mut Sheet, section: &Section, up: f64, place: impl Fn(&Vec2) -> Point) {
    let (low, high) = section.bounds();
    let highest = longest_chord(section.vertices(), 0, [0.76, 0.7, 0.6, 0.5], [low.x, high.x - low.x]);
    let Some((u, [a, b])) = highest else { return };
    let (from, to) = (place(&Vec2::new(u, a)), place(&Vec2::new(u, b)));
    dimension(sheet, from, to);
    let at = [from[0] - OFF_LINE_MM, from[1] + up * (to[1] - from[1])];
    sheet.text(at, &metres(b - a), &LABEL.anchored(Anchor::Middle).halo().upward());
}

fn metres(length: f64) -> String {
    format!("{} m", fixed(length, 2))
}

/// A dimension line with slanting ticks at its ends.
fn dimension(sheet: &mut Sheet, from: Point, to: Point) {
    let line = Stroke::solid(INK, HAIR_MM);
    sheet.polyline(&[from, to], line);
    for [x, y] in [from, to] {
        sheet.polyline(&[[x - 1.0, y + 1.0], [x + 1.0, y - 1.0]], Stroke::solid(INK, THIN_MM));
    }
}

/// The longest chord of a convex outline along an axis, among chords through its vertices and
/// through `preferred` shares of its extent; the preferred ones win among equals. `fixed` is the
/// coordinate that stays the same: 0 is u, 1 is v.
fn longest_chord(
    outline: &[Vec2],
    fixed: usize,
    preferred: [f64; 4],
    [low, size]: [f64; 2],
) -> Option<(f64, [f64; 2])> {
    let shares = preferred.map(|s| low + s * size);
    let mut best: Option<(f64, [f64; 2])> = None;
    for at in shares.into_iter().chain(outline.iter().map(|v| v[fixed])) {
        let Some(ends) = chord(outline, fixed, at) else { continue };
        let longer = best.is_none_or(|(_, [a, b])| ends[1] - ends[0] > (b - a) * (1.0 + 1e-6));
        if longer {
            best = Some((at, ends));
        }
    }
    best
}

fn chord(outline: &[Vec2], fixed: usize, at: f64) -> Option<[f64; 2]> {
    let other = 1 - fixed;
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (i, a) in outline.iter().enumerate() {
        let b = &outline[(i + 1) % outline.len()];
        let (from, to) = (a[fixed] - at, b[fixed] - at);
        if from * to <= 0.0 && from != to {
            let value = a[other] + from / (from - to) * (b[other] - a[other]);
            low = low.min(value);
            high = high.max(value);
        }
    }
    (low <= high).then_some([low, high])
}
