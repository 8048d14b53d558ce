//! Letters on great circles, marks of lines, arrows of slides, and room for their names.

use crate::orientation::{Line, angle_between_deg};
use crate::report::paper::compass::arrow_head;
use crate::report::paper::sheet::{Anchor, Fill, Layout, PAPER, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{self, INK, LABEL, LABEL_LEADING_MM, LEADER};

use super::disc::Disc;
use super::movement::{Movement, straight};
use super::{NetLine, Stereonet};

/// Directions closer than this share one mark and list their names together.
const SAME_DIRECTION_DEG: f64 = 0.5;
const ARROW_MM: f64 = 6.5;
const HEAD_MM: f64 = 2.4;
/// Kept free round names.
const LABEL_MARGIN_MM: f64 = 0.7;
/// Labels nearer to their mark than this need no line to it.
const LEADER_FROM_MM: f64 = 3.0;

/// Names at one direction.
struct Group<'a> {
    line: Line,
    names: Vec<&'a str>,
}

fn groups(lines: &[NetLine]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for one in lines {
        let here = one.line.to_vector();
        let known =
            groups.iter_mut().find(|g| angle_between_deg(&g.line.to_vector(), &here) < SAME_DIRECTION_DEG);
        match known {
            Some(group) => group.names.push(&one.label),
            None => groups.push(Group { line: one.line, names: vec![&one.label] }),
        }
    }
    groups
}

/// Draws marks and arrows, then the letters of the planes, then the names.
pub(super) fn lines_and_slides(
    sheet: &mut Sheet,
    layout: &mut Layout,
    net: &Stereonet,
    disc: &Disc,
    circles: &[Vec<Point>],
) {
    let lines = groups(&net.lines);
    let slides = groups(&net.slides);
    let mut named: Vec<(Point, Vec<&str>)> = Vec::new();
    for group in &slides {
        if let Some(at) = disc.place(&group.line.to_vector()) {
            slide(sheet, layout, at, group.line);
            named.push((at, group.names.clone()));
        }
    }
    for group in &lines {
        if let Some(at) = disc.place(&group.line.to_vector()) {
            cross(sheet, layout, at);
            named.push((at, group.names.clone()));
        }
    }
    letters(sheet, layout, net, circles);
    for (at, names) in named {
        name(sheet, layout, at, &names);
    }
}

fn cross(sheet: &mut Sheet, layout: &mut Layout, at: Point) {
    let [x, y] = at;
    let half = 1.1;
    let line = Stroke::solid(INK, 0.4);
    sheet.polyline(&[[x - half, y - half], [x + half, y + half]], line);
    sheet.polyline(&[[x - half, y + half], [x + half, y - half]], line);
    layout.take(around(at, half), 10.0);
}

/// A small arrow from the point where the slide's line pierces the hemisphere, toward the trend;
/// a ring where it goes straight down or up.
fn slide(sheet: &mut Sheet, layout: &mut Layout, at: Point, line: Line) {
    let movement = Movement::of(line);
    if matches!(movement, Movement::StraightDown | Movement::StraightUp) {
        straight(sheet, at, movement);
        layout.take(around(at, 1.6), 10.0);
        return;
    }
    let (sin, cos) = line.trend_deg.to_radians().sin_cos();
    let tip = [at[0] + ARROW_MM * sin, at[1] - ARROW_MM * cos];
    let neck = ARROW_MM - HEAD_MM;
    let shaft = [at, [at[0] + neck * sin, at[1] - neck * cos]];
    sheet.polyline(&shaft, Stroke::solid(INK, 0.45));
    let fill = if movement == Movement::Upward { PAPER } else { INK };
    arrow_head(sheet, tip, line.trend_deg, HEAD_MM, Fill::solid(fill));
    sheet.circle(at, 0.7, Some(Fill::solid(INK)), None);
    layout.take_line(&[at, tip], 12.0);
    layout.take(around(at, 0.8), 10.0);
    layout.take(around(tip, 1.2), 10.0);
}

/// Puts each plane's letter on its great circle, where it hides least.
fn letters(sheet: &mut Sheet, layout: &mut Layout, net: &Stereonet, circles: &[Vec<Point>]) {
    let style = LABEL.bold().halo().anchored(Anchor::Middle);
    for (plane, circle) in net.planes.iter().zip(circles) {
        // Along the middle of the circle; its ends meet the rim, its steepest point often an arrow.
        let spots: Vec<Point> = circle
            .iter()
            .enumerate()
            .filter(|(i, _)| (15..=165).contains(i) && i % 5 == 0)
            .map(|(_, at)| *at)
            .collect();
        let places: Vec<(Rect, f64)> =
            spots.iter().map(|at| (sheet.text_box(*at, &plane.label, &style), 0.0)).collect();
        if let Some(at) = layout.choose(&places).and_then(|i| spots.get(i)) {
            sheet.text(*at, &plane.label, &style);
        }
    }
}

/// Writes names in rows at the nearest free room round a mark.
fn name(sheet: &mut Sheet, layout: &mut Layout, at: Point, names: &[&str]) {
    let rows: Vec<&str> = names.iter().copied().filter(|n| !n.is_empty()).collect();
    if rows.is_empty() {
        return;
    }
    let width = rows.iter().map(|row| sheet.text_width_mm(row, &LABEL)).fold(0.0, f64::max);
    let height = LABEL_LEADING_MM * rows.len() as f64;
    let mut places: Vec<(Rect, f64)> = Vec::new();
    for ring in 0..10 {
        let gap = 1.8 + 3.0 * f64::from(ring);
        for turn in 0..16 {
            let (sin, cos) = (f64::from(turn) * 22.5 + 67.5).to_radians().sin_cos();
            // The box touches a circle of radius `gap` round the mark.
            let x = at[0] + gap * sin + 0.5 * width * (2.0 * sin).clamp(-1.0, 1.0);
            let y = at[1] - gap * cos - 0.5 * height * (2.0 * cos).clamp(-1.0, 1.0);
            let room = Rect::new(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0);
            // A place further out must save a line or two to be worth its leader.
            places.push((room.grown(LABEL_MARGIN_MM), 1.5 * gap));
        }
    }
    let Some((room, _)) = layout.choose(&places).and_then(|i| places.get(i)) else {
        return;
    };
    let room = room.grown(-LABEL_MARGIN_MM);
    let near = [at[0].clamp(room.left, room.right), at[1].clamp(room.top + 0.8, room.bottom - 0.8)];
    if (near[0] - at[0]).hypot(near[1] - at[1]) > LEADER_FROM_MM {
        sheet.polyline(&[at, near], LEADER);
        layout.take_line(&[at, near], 4.0);
    }
    let (x, anchor) =
        if room.left + width / 2.0 < at[0] { (room.right, Anchor::End) } else { (room.left, Anchor::Start) };
    for (row, y) in rows.iter().zip(0..) {
        let y = room.top + LABEL_LEADING_MM * (f64::from(y) + 0.5);
        sheet.text([x, y], row, &style::LABEL.anchored(anchor).halo());
    }
}

fn around(at: Point, half: f64) -> Rect {
    Rect::new(at[0] - half, at[1] - half, at[0] + half, at[1] + half)
}
