//! A polar chart: values by azimuth.

use crate::orientation::Line;

use super::chart::round_step;
use super::compass::{self, Compass, CompassSheet, MARGIN_MM};
use super::numbers::shortest;
use super::sheet::{Anchor, FULL_WIDTH_MM, Layout, Point, Rect, Sheet, Stroke};
use super::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, LINE_MM};

const RADIUS_MM: f64 = 46.0;
/// Width of the samples in front of the words.
const SAMPLE_MM: f64 = 9.0;
/// Between rows of the legend.
const ROW_GAP_MM: f64 = 1.5;
/// Rings at most, and how near to the rim one is left out, in steps between rings.
const MOST_RINGS: usize = 5;
const RIM_CLEAR: f64 = 0.4;
/// Numbers of rings stand toward this azimuth, away from those on the rim.
const NUMBERS_DEG: f64 = 135.0;

/// What a polar chart shows.
#[derive(Debug, Clone, Default)]
pub(crate) struct Polar {
    /// One sentence that says what is seen.
    pub title: String,
    /// Which north the azimuths count from, for example `mine grid`.
    pub north: String,
    /// What the distance from the middle is, with its unit.
    pub measured: String,
    /// The value at the rim; larger ones stand there.
    pub rim: f64,
    /// A value whose ring is drawn in ink, and what it is.
    pub mark: Option<(f64, String)>,
    /// The curves, closed round the circle.
    pub curves: Vec<PolarCurve>,
    /// Single values, each with the name beside it.
    pub points: Vec<PolarPoint>,
    /// The drive's axis along the advance, drawn as two ticks on the rim.
    pub drive: Option<Line>,
}

/// A closed curve.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PolarCurve {
    /// What it is, for the legend.
    pub label: String,
    /// (azimuth in degrees, value), azimuths ascending.
    pub points: Vec<[f64; 2]>,
}

/// A value with a name.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PolarPoint {
    /// Its name.
    pub name: String,
    /// Azimuth, degrees.
    pub azimuth_deg: f64,
    /// The value.
    pub value: f64,
    /// Whether it is drawn filled, as what is held, or hollow.
    pub held: bool,
}

impl Polar {
    /// Draws the chart on a sheet 180 mm wide.
    #[must_use]
    pub(crate) fn draw(&self) -> Sheet {
        let width = FULL_WIDTH_MM;
        let title_width = width - 2.0 * MARGIN_MM;
        let on_sheet = CompassSheet::under(&self.title, RADIUS_MM);
        let (compass, [left, top]) = (on_sheet.compass, on_sheet.beside);
        let notes_bottom = self.notes(&mut Sheet::new(width, 100.0, ""), left, top);
        let height = on_sheet.bottom_mm().max(notes_bottom) + MARGIN_MM;
        let mut sheet = Sheet::new(width, height, &self.title);
        sheet.describe(&format!("{} by azimuth from north of {}. {}", self.measured, self.north, self.title));
        style::title(&mut sheet, [MARGIN_MM; 2], &self.title, title_width);
        let mut layout = Layout::within(Rect::new(0.0, 0.0, width, height));
        self.rings(&mut sheet, &compass);
        for (index, curve) in self.curves.iter().enumerate() {
            let mut line: Vec<Point> = curve.points.iter().map(|&at| self.place(&compass, at)).collect();
            line.extend(line.first().copied());
            sheet.polyline(&line, style::set_style(index).stroke());
        }
        compass.draw(&mut sheet, &mut layout, self.drive);
        self.names(&mut sheet, &mut layout, &compass);
        self.notes(&mut sheet, left, top);
        sheet
    }

    fn place(&self, compass: &Compass, [azimuth_deg, value]: [f64; 2]) -> Point {
        let share = if self.rim > 0.0 { (value / self.rim).clamp(0.0, 1.0) } else { 0.0 };
        compass.at(azimuth_deg, RADIUS_MM * (share - 1.0))
    }

    fn rings(&self, sheet: &mut Sheet, compass: &Compass) {
        let numbers = LABEL.anchored(Anchor::Middle).halo();
        let marked = |value: f64| self.mark.as_ref().is_some_and(|(mark, _)| *mark == value);
        for value in self.ring_values() {
            if value < self.rim && !marked(value) {
                let radius = RADIUS_MM * value / self.rim;
                sheet.circle(compass.centre, radius, None, Some(Stroke::solid(GREY, HAIR_MM)));
            }
            let out = if value < self.rim { RADIUS_MM * (value / self.rim - 1.0) } else { 4.0 };
            sheet.text(compass.at(NUMBERS_DEG, out), &shortest(value), &numbers);
        }
        if let Some((value, _)) = self.mark.as_ref().filter(|(value, _)| *value < self.rim) {
            let radius = RADIUS_MM * value / self.rim;
            sheet.circle(compass.centre, radius, None, Some(Stroke::solid(INK, LINE_MM)));
        }
    }

    /// Round values from the middle out, the rim last.
    fn ring_values(&self) -> Vec<f64> {
        if !(self.rim > 0.0 && self.rim.is_finite()) {
            return Vec::new();
        }
        let step = round_step(self.rim, MOST_RINGS).0;
        // The last ring keeps clear of the rim's number.
        let rings = (self.rim / step - RIM_CLEAR).ceil().max(0.0) as u32;
        (1..=rings).map(|i| f64::from(i) * step).filter(|v| *v < self.rim).chain([self.rim]).collect()
    }

    fn names(&self, sheet: &mut Sheet, layout: &mut Layout, compass: &Compass) {
        let places: Vec<Point> =
            self.points.iter().map(|p| self.place(compass, [p.azimuth_deg, p.value])).collect();
        for (point, &at) in self.points.iter().zip(&places) {
            if point.held {
                style::held_mark(sheet, at, 2.2);
            } else {
                style::short_mark(sheet, at, 2.2);
            }
            layout.take(Rect::new(at[0], at[1], at[0], at[1]).grown(1.3), 3.0);
        }
        for (point, &[x, y]) in self.points.iter().zip(&places) {
            let spots = [
                ([x + 2.2, y], Anchor::Start),
                ([x - 2.2, y], Anchor::End),
                ([x, y - 3.0], Anchor::Middle),
                ([x, y + 3.0], Anchor::Middle),
            ];
            let boxes: Vec<(Rect, f64)> = spots
                .iter()
                .map(|(at, anchor)| (sheet.text_box(*at, &point.name, &LABEL.anchored(*anchor)), 0.0))
                .collect();
            if let Some((at, anchor)) = layout.choose(&boxes).and_then(|chosen| spots.get(chosen)) {
                let style = LABEL.anchored(*anchor).halo();
                layout.take(sheet.text_box(*at, &point.name, &style), 5.0);
                sheet.text(*at, &point.name, &style);
            }
        }
    }

    /// The legend; gives the y below it, millimetres.
    fn notes(&self, sheet: &mut Sheet, left: f64, top: f64) -> f64 {
        let right = sheet.width_mm() - MARGIN_MM;
        let mut y = top;
        let row = |sheet: &mut Sheet, y: &mut f64, words: &str, sample: Option<Stroke>| {
            let from = if sample.is_some() { left + SAMPLE_MM + 2.0 } else { left };
            if let Some(stroke) = sample {
                let at = *y + LABEL_LEADING_MM / 2.0;
                sheet.polyline(&[[left, at], [left + SAMPLE_MM, at]], stroke);
            }
            for line in sheet.wrap(words, &LABEL, right - from) {
                sheet.text([from, *y + LABEL_LEADING_MM / 2.0], &line, &LABEL);
                *y += LABEL_LEADING_MM;
            }
            *y += ROW_GAP_MM;
        };
        row(sheet, &mut y, &format!("From the middle: {}", self.measured), None);
        for (index, curve) in self.curves.iter().enumerate() {
            row(sheet, &mut y, &curve.label, Some(style::set_style(index).stroke()));
        }
        if let Some((_, words)) = &self.mark {
            row(sheet, &mut y, words, Some(Stroke::solid(INK, LINE_MM)));
        }
        for (held, words) in [(true, "held"), (false, "not held")] {
            if self.points.iter().any(|point| point.held == held) {
                let at = [left + SAMPLE_MM / 2.0, y + LABEL_LEADING_MM / 2.0];
                if held {
                    style::held_mark(sheet, at, 2.2)
                } else {
                    style::short_mark(sheet, at, 2.2)
                }
                sheet.text([left + SAMPLE_MM + 2.0, at[1]], words, &LABEL);
                y += LABEL_LEADING_MM + ROW_GAP_MM;
            }
        }
        let beyond = |value: f64| value > self.rim;
        let values = self.curves.iter().flat_map(|c| c.points.iter().map(|p| p[1]));
        if values.chain(self.points.iter().map(|p| p.value)).any(beyond) {
            row(sheet, &mut y, &format!("More than {} stands at the rim.", shortest(self.rim)), None);
        }
        row(sheet, &mut y, &format!("Azimuths from north of: {}", self.north), None);
        if let Some(drive) = self.drive {
            compass::drive_sample(sheet, [left, y + LABEL_LEADING_MM / 2.0]);
            sheet.text([left + 11.0, y + LABEL_LEADING_MM / 2.0], &compass::drive_words(drive), &LABEL);
            y += LABEL_LEADING_MM;
        }
        y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_stands_at_its_share_of_the_radius_and_none_beyond_the_rim() {
        let polar = Polar { rim: 2.0, ..Polar::default() };
        let compass = Compass { centre: [60.0, 60.0], radius_mm: RADIUS_MM };
        let from_middle = |value: f64| {
            let [x, y] = polar.place(&compass, [90.0, value]);
            assert!((y - 60.0).abs() < 1e-12);
            x - 60.0
        };
        assert!((from_middle(1.0) - RADIUS_MM / 2.0).abs() < 1e-12);
        assert!((from_middle(5.0) - RADIUS_MM).abs() < 1e-12);
        assert!((from_middle(f64::INFINITY) - RADIUS_MM).abs() < 1e-12);
        assert!(from_middle(0.0).abs() < 1e-12);
    }

    #[test]
    fn what_lies_beyond_the_rim_is_told() {
        let drawn = |value: f64| {
            let curve =
                PolarCurve { label: "level".into(), points: vec![[0.0, 0.5], [120.0, value], [240.0, 1.0]] };
            let polar = Polar { rim: 2.0, curves: vec![curve], title: "t".into(), ..Polar::default() };
            polar.draw().to_svg().unwrap()
        };
        assert!(drawn(3.0).contains("More than 2 stands") && !drawn(1.5).contains("stands at the rim"));
    }
}
