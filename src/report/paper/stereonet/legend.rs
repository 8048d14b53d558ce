//! The legend beside the net: only what the net shows.

use crate::orientation::Plane;
use crate::report::paper::compass;
use crate::report::paper::sheet::{Fill, PAPER, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, PALE};

use super::Stereonet;
use super::cloud::{contour_colour, drawn_every};
use super::draw::BORDER_DASH_MM;
use super::movement::{Movement, straight};

/// Width of the samples in front of the words.
const SAMPLE_MM: f64 = 9.0;
const GAP_MM: f64 = 2.0;
/// Rows of planes that are listed; a net with more is a cloud whose letters must do.
const MOST_PLANES: usize = 24;

/// Dip and dip direction as the trade writes them: `68/042`.
pub(super) fn dip_and_direction(plane: Plane) -> String {
    let direction = compass::azimuth_words(plane.dip_direction_deg);
    format!("{:02.0}/{direction}", plane.dip_deg)
}

/// Draws the legend from the top of `room` and gives the y below it, millimetres.
pub(super) fn draw(sheet: &mut Sheet, net: &Stereonet, room: &Rect) -> f64 {
    let mut column = Column { sheet, left: room.left, right: room.right, y: room.top };
    planes(&mut column, net);
    marks(&mut column, net);
    column.y
}

fn planes(column: &mut Column<'_>, net: &Stereonet) {
    if net.planes.is_empty() {
        return;
    }
    column.row("dip/direction", |_, _| {});
    for plane in net.planes.iter().take(MOST_PLANES) {
        let words = format!("{} {}", plane.label, dip_and_direction(plane.plane));
        let stroke = style::set_style(plane.set).stroke();
        column.row(&words, |sheet, [x, y]| {
            sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], stroke);
        });
    }
    if net.planes.len() > MOST_PLANES {
        let words = format!("and {} more", net.planes.len() - MOST_PLANES);
        column.row(&words, |_, _| {});
    }
    column.y += LABEL_LEADING_MM / 2.0;
}

fn marks(column: &mut Column<'_>, net: &Stereonet) {
    let middle = SAMPLE_MM / 2.0;
    let mut sets: Vec<usize> = net.poles.iter().filter_map(|p| p.set).collect();
    sets.sort_unstable();
    sets.dedup();
    for set in sets.into_iter().take(MOST_PLANES) {
        let name = net
            .planes
            .iter()
            .find(|p| p.set == set)
            .map_or_else(|| format!("set {}", set + 1), |p| p.label.clone());
        let count = net.poles.iter().filter(|p| p.set == Some(set)).count();
        column.row(&format!("poles of {name} ({count})"), |sheet, [x, y]| {
            style::pole_mark(sheet, [x + middle, y], 1.8, Some(set));
        });
    }
    let loose = net.poles.iter().filter(|p| p.set.is_none()).count();
    if loose > 0 {
        column.row(&format!("in no set ({loose})"), |sheet, [x, y]| {
            style::pole_mark(sheet, [x + middle, y], 1.8, None);
        });
    }
    let every = drawn_every(net.poles.len());
    if every > 1 {
        column.row(&format!("only 1 pole in {every} is drawn"), |_, _| {});
    }
    if !net.contours.is_empty() {
        let mut levels: Vec<f64> = net.contours.iter().map(|c| c.level).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let levels: Vec<String> = levels.iter().map(|l| format!("{l}")).collect();
        let words = format!("{} {}", levels.join(", "), net.contour_unit);
        column.row(&words, |sheet, [x, y]| {
            sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], Stroke::solid(contour_colour(net), style::THIN_MM));
        });
    }
    if !net.cones.is_empty() {
        column.row(&net.cone_note, |sheet, [x, y]| {
            sheet.circle([x + middle, y], 1.7, None, Some(Stroke::solid(INK, 0.35)));
        });
    }
    if !net.borders.is_empty() {
        column.row("border drawn by hand", |sheet, [x, y]| {
            let stroke = Stroke { dash_mm: &BORDER_DASH_MM, ..Stroke::solid(INK, style::THIN_MM) };
            sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], stroke);
        });
    }
    for zone in &net.blind_zones {
        let words = format!("blind zone {}", zone.label);
        column.row(words.trim_end(), hatch_sample);
    }
    slides(column, net);
    if !net.lines.is_empty() {
        column.row("line", |sheet, [x, y]| {
            let (x, half) = (x + middle, 1.1);
            let line = Stroke::solid(INK, 0.4);
            sheet.polyline(&[[x - half, y - half], [x + half, y + half]], line);
            sheet.polyline(&[[x - half, y + half], [x + half, y - half]], line);
        });
    }
    if let Some(drive) = net.drive {
        column.row(&compass::drive_words(drive), compass::drive_sample);
    }
}

fn slides(column: &mut Column<'_>, net: &Stereonet) {
    let arrow = |fill: Fill| {
        move |sheet: &mut Sheet, [x, y]: Point| {
            sheet.circle([x + 1.0, y], 0.7, Some(Fill::solid(INK)), None);
            sheet.polyline(&[[x + 1.0, y], [x + 5.5, y]], Stroke::solid(INK, 0.45));
            compass::arrow_head(sheet, [x + 7.5, y], 90.0, 2.4, fill);
        }
    };
    let any = |of: Movement| net.slides.iter().any(|s| Movement::of(s.line) == of);
    if any(Movement::Downward) {
        column.row("slide direction", arrow(Fill::solid(INK)));
    }
    if any(Movement::Upward) {
        column.row("upward slide", arrow(Fill::solid(PAPER)));
    }
    for (movement, words) in
        [(Movement::StraightDown, "straight down"), (Movement::StraightUp, "straight up")]
    {
        if any(movement) {
            column.row(words, |sheet, [x, y]| {
                straight(sheet, [x + SAMPLE_MM / 2.0, y], movement);
            });
        }
    }
}

fn hatch_sample(sheet: &mut Sheet, [x, y]: Point) {
    let (top, bottom) = (y - 1.6, y + 1.6);
    for i in 0..4 {
        let start = x + 1.6 * f64::from(i);
        let line = [[start, bottom], [start + 3.2, top]];
        sheet.polyline(&line, Stroke::solid(PALE, HAIR_MM));
    }
    for y in [top, bottom] {
        sheet.polyline(&[[x, y], [x + 8.0, y]], Stroke::solid(GREY, HAIR_MM));
    }
}

/// Rows from the top down.
struct Column<'a> {
    sheet: &'a mut Sheet,
    left: f64,
    right: f64,
    y: f64,
}

impl Column<'_> {
    /// A sample and its words, broken to the column's width.
    fn row(&mut self, words: &str, sample: impl FnOnce(&mut Sheet, Point)) {
        let left = self.left + SAMPLE_MM + GAP_MM;
        sample(self.sheet, [self.left, self.y + LABEL_LEADING_MM / 2.0]);
        for line in self.sheet.wrap(words, &LABEL, self.right - left) {
            let at = [left, self.y + LABEL_LEADING_MM / 2.0];
            self.sheet.text(at, &line, &LABEL);
            self.y += LABEL_LEADING_MM;
        }
        self.y += 0.8;
    }
}
