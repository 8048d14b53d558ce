//! The net itself: rim, curves and marks.

use crate::numeric::bisect;
use crate::orientation::Plane;
use crate::report::paper::compass::{Compass, MARGIN_MM, RIM_ROOM_MM, azimuth_words};
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Layout, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, PALE, THIN_MM};

use super::cloud::{contour_colour, drawn_every, mark_mm};
use super::disc::Disc;
use super::movement::Movement;
use super::{Stereonet, curves, labels, legend};

const RADIUS_MM: f64 = 52.0;
const HATCH_SPACING_MM: f64 = 2.4;
/// The dash of borders that somebody drew.
pub(super) const BORDER_DASH_MM: [f64; 2] = [2.0, 1.2];
/// Step along a hatch line; its ends are then found by halving.
const HATCH_STEP_MM: f64 = 0.5;
/// Halvings of such a step where a hatch line ends: half a micrometre of paper.
const BORDER_HALVINGS: usize = 10;

pub(super) fn draw(net: &Stereonet) -> Sheet {
    let width = FULL_WIDTH_MM;
    // The height of title and legend is known once they are laid out on a sheet of any height.
    let mut trial = Sheet::new(width, 100.0, "");
    let title_bottom = style::title(&mut trial, [MARGIN_MM; 2], &net.title, width - 2.0 * MARGIN_MM);
    let legend_left = MARGIN_MM + 2.0 * (RIM_ROOM_MM + RADIUS_MM) + 3.0;
    let legend_room = Rect::new(legend_left, title_bottom + 4.0, width - MARGIN_MM, 1e4);
    let legend_bottom = legend::draw(&mut trial, net, &legend_room);

    let disc = Disc {
        centre: [MARGIN_MM + RIM_ROOM_MM + RADIUS_MM, title_bottom + 10.0 + RADIUS_MM],
        radius_mm: RADIUS_MM,
        projection: net.projection,
    };
    let corner_top = disc.centre[1] + RADIUS_MM + 9.0;
    let corner_bottom = corner_top + 2.0 * style::LABEL_LEADING_MM;
    let height = corner_bottom.max(legend_bottom) + MARGIN_MM;

    let mut sheet = Sheet::new(width, height, &net.title);
    sheet.describe(&description(net));
    style::title(&mut sheet, [MARGIN_MM; 2], &net.title, width - 2.0 * MARGIN_MM);
    let net_room = Rect::new(MARGIN_MM, title_bottom + 1.0, legend_left - 2.0, corner_top - 1.0);
    let mut layout = Layout::within(net_room);

    blind_zones(&mut sheet, net, &disc);
    // Lines stand on the poles: a cloud of them would hide every contour and cone.
    poles(&mut sheet, &mut layout, net, &disc);
    let contour_lines = contours(&mut sheet, net, &disc);
    let compass = Compass { centre: disc.centre, radius_mm: disc.radius_mm };
    compass.draw(&mut sheet, &mut layout, net.drive);
    straight_down_cross(&mut sheet, disc.centre);
    let circles = great_circles(&mut sheet, &mut layout, net, &disc);
    cones(&mut sheet, &mut layout, net, &disc);
    borders(&mut sheet, &mut layout, net, &disc);
    for (_, line) in &contour_lines {
        layout.take_line(line, 0.5);
    }
    levels(&mut sheet, &mut layout, &contour_lines);
    labels::lines_and_slides(&mut sheet, &mut layout, net, &disc, &circles);
    legend::draw(&mut sheet, net, &legend_room);
    corner(&mut sheet, net, corner_top);
    sheet
}

/// What a reader who hears the page is told.
fn description(net: &Stereonet) -> String {
    let mut text =
        format!("Stereonet, lower hemisphere, {} projection, north is {}.", net.projection.name(), net.north);
    for p in &net.planes {
        text.push_str(&format!(" Plane {}: {}.", p.label, legend::dip_and_direction(p.plane)));
    }
    for s in &net.slides {
        let way = match Movement::of(s.line) {
            Movement::StraightDown => "straight down".to_owned(),
            Movement::StraightUp => "straight up".to_owned(),
            Movement::Downward | Movement::Upward => {
                format!("toward trend {}, plunge {:.0}", azimuth_words(s.line.trend_deg), s.line.plunge_deg)
            }
        };
        text.push_str(&format!(" {} moves {way}.", s.label));
    }
    text
}

fn corner(sheet: &mut Sheet, net: &Stereonet, top: f64) {
    let half = style::LABEL_LEADING_MM / 2.0;
    let hemisphere = format!("Lower hemisphere, {} projection", net.projection.name());
    sheet.text([MARGIN_MM, top + half], &hemisphere, &LABEL);
    let north = format!("Azimuths from north of: {}", net.north);
    sheet.text([MARGIN_MM, top + 3.0 * half], &north, &LABEL);
}

/// Draws the great circles and gives them back, so that labels can avoid them.
fn great_circles(sheet: &mut Sheet, layout: &mut Layout, net: &Stereonet, disc: &Disc) -> Vec<Vec<Point>> {
    let circles: Vec<Vec<Point>> = net.planes.iter().map(|p| great_circle_on_sheet(p.plane, disc)).collect();
    for (plane, circle) in net.planes.iter().zip(&circles) {
        sheet.polyline(circle, style::set_style(plane.set).stroke());
        layout.take_line(circle, 1.0);
    }
    circles
}

fn great_circle_on_sheet(plane: Plane, disc: &Disc) -> Vec<Point> {
    curves::great_circle(plane).iter().filter_map(|v| disc.place(v)).collect()
}

fn cones(sheet: &mut Sheet, layout: &mut Layout, net: &Stereonet, disc: &Disc) {
    for cone in &net.cones {
        let colour = cone.set.map_or(INK, |i| style::set_style(i).colour);
        let circle = curves::small_circle(&cone.axis.to_vector(), cone.half_angle_deg);
        for part in disc.place_line(&circle) {
            sheet.polyline(&part, Stroke::solid(colour, 0.35));
            layout.take_line(&part, 0.5);
        }
    }
}

fn borders(sheet: &mut Sheet, layout: &mut Layout, net: &Stereonet, disc: &Disc) {
    for border in &net.borders {
        let colour = border.set.map_or(INK, |i| style::set_style(i).colour);
        for part in disc.place_line(&border.outline) {
            sheet.polyline(&part, Stroke { dash_mm: &BORDER_DASH_MM, ..Stroke::solid(colour, THIN_MM) });
            layout.take_line(&part, 0.5);
        }
    }
}

fn poles(sheet: &mut Sheet, layout: &mut Layout, net: &Stereonet, disc: &Disc) {
    let size = mark_mm(net);
    for reading in net.poles.iter().step_by(drawn_every(net.poles.len())) {
        if let Some(at) = disc.place(&reading.pole.to_vector()) {
            style::pole_mark(sheet, at, size, reading.set);
            layout.take(Rect::new(at[0], at[1], at[0], at[1]).grown(size / 2.0), 0.3);
        }
    }
}

/// Draws the contours and gives their lines on the sheet with their levels.
fn contours(sheet: &mut Sheet, net: &Stereonet, disc: &Disc) -> Vec<(f64, Vec<Point>)> {
    let colour = contour_colour(net);
    let mut lines = Vec::new();
    for contour in &net.contours {
        let mut points = contour.points.clone();
        if contour.closed {
            points.extend(contour.points.first());
        }
        for part in disc.place_line(&points) {
            sheet.polyline(&part, Stroke::solid(colour, THIN_MM));
            lines.push((contour.level, part));
        }
    }
    lines
}

/// Writes each level once, where it hides least along any line of that level.
fn levels(sheet: &mut Sheet, layout: &mut Layout, lines: &[(f64, Vec<Point>)]) {
    let style = LABEL.anchored(Anchor::Middle).halo();
    let mut levels: Vec<f64> = lines.iter().map(|(level, _)| *level).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    for level in levels {
        let text = format!("{level}");
        let spots: Vec<Point> = lines
            .iter()
            .filter(|(other, _)| *other == level)
            .flat_map(|(_, line)| line.iter().copied().step_by(8))
            .collect();
        let places: Vec<(Rect, f64)> =
            spots.iter().map(|at| (sheet.text_box(*at, &text, &style), 0.0)).collect();
        if let Some(at) = layout.choose(&places).and_then(|i| spots.get(i)) {
            sheet.text(*at, &text, &style);
        }
    }
}

fn blind_zones(sheet: &mut Sheet, net: &Stereonet, disc: &Disc) {
    for zone in &net.blind_zones {
        let inside = |at: Point| {
            let east = (at[0] - disc.centre[0]) / disc.radius_mm;
            let north = (disc.centre[1] - at[1]) / disc.radius_mm;
            disc.projection.unproject([east, north]).is_some_and(|pole| zone.holds(&pole))
        };
        hatch(sheet, disc, inside);
        let stroke = Stroke { dash_mm: &[1.2, 1.0], ..Stroke::solid(GREY, HAIR_MM) };
        for edge in zone.edges() {
            let line: Vec<Point> = edge.iter().filter_map(|v| disc.place(v)).collect();
            sheet.polyline(&line, stroke);
        }
    }
}

/// Hatches the part of the disc that `inside` says, with lines that rise to the right.
fn hatch(sheet: &mut Sheet, disc: &Disc, inside: impl Fn(Point) -> bool) {
    let reach = disc.radius_mm * 1.5;
    let lines = (2.0 * reach / HATCH_SPACING_MM).ceil() as i32;
    let steps = (2.0 * reach / HATCH_STEP_MM).ceil() as i32;
    let half_root = std::f64::consts::FRAC_1_SQRT_2;
    for line in 0..=lines {
        let off = f64::from(line) * HATCH_SPACING_MM - reach;
        let at = |along: f64| {
            [disc.centre[0] + half_root * (along + off), disc.centre[1] - half_root * (along - off)]
        };
        let mut begin: Option<f64> = None;
        let mut before = -reach;
        for step in 1..=steps {
            let along = f64::from(step) * HATCH_STEP_MM - reach;
            match (begin, inside(at(along))) {
                (None, true) => begin = Some(border(before, along, |s| !inside(at(s)))),
                (Some(start), false) => {
                    let end = border(before, along, |s| inside(at(s)));
                    sheet.polyline(&[at(start), at(end)], Stroke::solid(PALE, HAIR_MM));
                    begin = None;
                }
                _ => {}
            }
            before = along;
        }
    }
}

/// The last place from `from` toward `to` at which `holds` is true, by halving.
fn border(from: f64, to: f64, holds: impl Fn(f64) -> bool) -> f64 {
    bisect(from, to, BORDER_HALVINGS, holds).0
}

fn straight_down_cross(sheet: &mut Sheet, [x, y]: Point) {
    let hair = Stroke::solid(GREY, HAIR_MM);
    sheet.polyline(&[[x - 1.5, y], [x + 1.5, y]], hair);
    sheet.polyline(&[[x, y - 1.5], [x, y + 1.5]], hair);
}
