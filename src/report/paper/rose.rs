//! The rose diagram: how many lines trend which way.
//!
//! Trends are axial: a line that trends 030 trends 210 as well, so each reading stands at both
//! ends. A petal's area, not its length, is in proportion to its number; length would make the
//! larger ones look larger than they are.

use std::f64::consts::TAU;

use crate::orientation::{Line, wrap_azimuth_deg};

use super::compass::{self, CompassSheet, MARGIN_MM};
use super::sheet::{Anchor, Colour, FULL_WIDTH_MM, Fill, Layout, Point, Rect, Sheet, Stroke};
use super::style::{self, GREY, HAIR_MM, LABEL, LABEL_LEADING_MM};

const RADIUS_MM: f64 = 46.0;
const ROSE: Colour = Colour::from_hex(0x00_72_B2);

/// What a rose shows.
#[derive(Debug, Clone, Default)]
pub(crate) struct Rose {
    /// One sentence that says what is seen.
    pub title: String,
    /// Which north the azimuths count from, for example `mine grid`.
    pub north: String,
    /// What is counted, for example `strikes of set A`.
    pub counted: String,
    /// The trends, degrees clockwise from north; either end of the line.
    pub trends_deg: Vec<f64>,
    /// Width of a petal, degrees; brought to the nearest divisor of 180 from 5 to 45.
    pub petal_deg: f64,
    /// The drive's axis along the advance, drawn as two ticks on the rim.
    pub drive: Option<Line>,
}

/// Numbers in petals from north to south (clockwise, 0 to 180), and how many trends were not
/// finite. A trend on a border belongs to the petal clockwise of it.
#[must_use]
pub(crate) fn axial_counts(trends_deg: &[f64], petals: usize) -> (Vec<usize>, usize) {
    let mut counts = vec![0; petals];
    let mut left_out = 0;
    for trend in trends_deg {
        let half = wrap_azimuth_deg(2.0 * trend) / 2.0;
        let index = (half / 180.0 * petals as f64).floor();
        match counts.get_mut(index as usize) {
            Some(count) if trend.is_finite() => *count += 1,
            _ => left_out += 1,
        }
    }
    (counts, left_out)
}

impl Rose {
    /// Draws the rose on a sheet 180 mm wide.
    #[must_use]
    pub(crate) fn draw(&self) -> Sheet {
        let width = FULL_WIDTH_MM;
        let title_width = width - 2.0 * MARGIN_MM;
        let on_sheet = CompassSheet::under(&self.title, RADIUS_MM);
        let compass = on_sheet.compass;
        let height = on_sheet.bottom_mm() + MARGIN_MM;
        let mut sheet = Sheet::new(width, height, &self.title);
        sheet.describe(&format!("Rose diagram of {}, azimuths from north of {}.", self.counted, self.north));
        style::title(&mut sheet, [MARGIN_MM; 2], &self.title, title_width);

        let petals = petals(self.petal_deg);
        let (counts, left_out) = axial_counts(&self.trends_deg, petals);
        let most = counts.iter().copied().max().unwrap_or(0);
        let scale = scale_of(most);
        let mut layout = Layout::within(Rect::new(0.0, 0.0, width, height));
        for (index, count) in counts.iter().enumerate() {
            let from_deg = 180.0 * index as f64 / petals as f64;
            let to_deg = 180.0 * (index + 1) as f64 / petals as f64;
            let radius = RADIUS_MM * (*count as f64 / scale.top as f64).sqrt();
            for turn in [0.0, 180.0] {
                petal(&mut sheet, compass.centre, radius, from_deg + turn, to_deg + turn);
            }
        }
        rings(&mut sheet, compass.centre, &scale, free_azimuth_deg(&counts));
        compass.draw(&mut sheet, &mut layout, self.drive);
        let [left, top] = on_sheet.beside;
        self.notes(&mut sheet, left, top, 180.0 / petals as f64, left_out);
        sheet
    }

    fn notes(&self, sheet: &mut Sheet, left: f64, top: f64, petal_deg: f64, left_out: usize) {
        let shown = self.trends_deg.len() - left_out;
        let mut notes = vec![
            format!("{}: {shown}", self.counted),
            format!("Petals of {petal_deg}°, each line at both of its ends."),
            "Areas in proportion to numbers; the rings say how many.".to_owned(),
            format!("Azimuths from north of: {}", self.north),
        ];
        if left_out > 0 {
            notes.push(format!("Left out, no trend: {left_out}"));
        }
        let room = sheet.width_mm() - MARGIN_MM - left;
        let mut y = top + LABEL_LEADING_MM / 2.0;
        for note in notes {
            for line in sheet.wrap(&note, &LABEL, room) {
                sheet.text([left, y], &line, &LABEL);
                y += LABEL_LEADING_MM;
            }
            y += 1.5;
        }
        if let Some(drive) = self.drive {
            compass::drive_sample(sheet, [left, y]);
            sheet.text([left + 11.0, y], &compass::drive_words(drive), &LABEL);
        }
    }
}

/// Numbers of rings stand toward here, away from the azimuths on the rim, or where fewer petals are.
const NUMBERS_DEG: f64 = 135.0;
/// As far from the middle between two of those azimuths, degrees.
const BETWEEN_RIM_DEG: f64 = 30.0;

/// The nearest number of petals in half a turn.
fn petals(petal_deg: f64) -> usize {
    const ALLOWED: [usize; 9] = [36, 30, 20, 18, 15, 12, 9, 6, 4];
    // What is not a number becomes petals of 10°.
    let wanted = if petal_deg > 0.0 { 180.0 / petal_deg } else { 18.0 };
    ALLOWED
        .into_iter()
        .min_by(|a, b| {
            let off = |n: &usize| (*n as f64 - wanted).abs();
            off(a).total_cmp(&off(b))
        })
        .unwrap_or(18)
}

/// The number at the rim and the step between rings.
struct RingScale {
    top: usize,
    step: usize,
}

/// A round number at or above the most, in two to five round steps.
fn scale_of(most: usize) -> RingScale {
    let mut step = 1_usize;
    for factor in [2, 5, 10].iter().cycle() {
        if step.saturating_mul(4) >= most {
            break;
        }
        // 1, 2, 5, 10, 20, 50, ...
        let decade = 10_usize.saturating_pow(step.ilog10());
        step = decade.saturating_mul(*factor);
    }
    RingScale { top: most.div_ceil(step).max(1).saturating_mul(step), step }
}

fn petal(sheet: &mut Sheet, centre: Point, radius: f64, from_deg: f64, to_deg: f64) {
    if radius <= 0.0 {
        return;
    }
    let mut points = vec![centre];
    let steps = (to_deg - from_deg).ceil().max(1.0);
    for step in 0..=steps as u32 {
        let azimuth = from_deg + (to_deg - from_deg) * f64::from(step) / steps;
        let (sin, cos) = (azimuth / 360.0 * TAU).sin_cos();
        points.push([centre[0] + radius * sin, centre[1] - radius * cos]);
    }
    sheet.polygon(&points, Some(Fill::tint(ROSE, 0.45)), Some(Stroke::solid(ROSE, HAIR_MM)));
}

/// Toward where numbers of rings hide least: the shortest of the petals that lie between the azimuths on the rim, the
/// nearest to 135 of equals. `counts` are petals of half a turn.
fn free_azimuth_deg(counts: &[usize]) -> f64 {
    let middle = |at: usize| 180.0 * (at as f64 + 0.5) / counts.len() as f64;
    let is_between = |deg: f64| (deg.rem_euclid(90.0) - 45.0).abs() <= BETWEEN_RIM_DEG;
    (0..counts.len())
        .filter(|&at| is_between(middle(at)))
        .min_by(|&a, &b| {
            let off = |at: usize| (middle(at) - NUMBERS_DEG).abs();
            counts[a].cmp(&counts[b]).then(off(a).total_cmp(&off(b)))
        })
        .map_or(NUMBERS_DEG, middle)
}

fn rings(sheet: &mut Sheet, centre: Point, scale: &RingScale, azimuth_deg: f64) {
    let style = LABEL.anchored(Anchor::Middle).halo();
    let mut number = scale.step;
    let (sin, cos) = azimuth_deg.to_radians().sin_cos();
    while number <= scale.top {
        let radius = RADIUS_MM * (number as f64 / scale.top as f64).sqrt();
        if number < scale.top {
            sheet.circle(centre, radius, None, Some(Stroke::solid(GREY, HAIR_MM)));
        }
        let out = if number == scale.top { radius + 4.0 } else { radius };
        sheet.text([centre[0] + out * sin, centre[1] - out * cos], &number.to_string(), &style);
        number = number.saturating_add(scale.step);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_of_a_line_fall_into_one_petal() {
        let (counts, left_out) = axial_counts(&[5.0, 185.0, -175.0, 10.0, 179.0, 359.0, 360.0, f64::NAN], 18);
        assert_eq!(counts[0], 4);
        assert_eq!(counts[1], 1);
        assert_eq!(counts[17], 2);
        assert_eq!((counts.iter().sum::<usize>(), left_out), (7, 1));
    }

    #[test]
    fn numbers_stand_where_petals_are_short() {
        let mut counts = vec![3; 18];
        assert_eq!(free_azimuth_deg(&counts), 135.0);
        counts[13] = 40;
        assert_eq!(free_azimuth_deg(&counts), 125.0);
        counts[4] = 0;
        assert_eq!(free_azimuth_deg(&counts), 45.0);
        // Beside the east of the rim nothing stands, however few lie there.
        counts[8] = 0;
        counts[4] = 3;
        assert_eq!(free_azimuth_deg(&counts), 125.0);
        assert_eq!(free_azimuth_deg(&[7]), 135.0);
    }

    #[test]
    fn rings_are_round_and_few() {
        for (most, top, step) in
            [(0, 1, 1), (3, 3, 1), (5, 6, 2), (17, 20, 5), (37, 40, 10), (61, 80, 20), (4000, 4000, 1000)]
        {
            let scale = scale_of(most);
            assert_eq!((scale.top, scale.step), (top, step), "{most}");
        }
        let endless = scale_of(usize::MAX);
        assert!(endless.step > 0 && endless.top > 0);
    }

    #[test]
    fn a_petals_area_is_in_proportion_to_its_number() {
        let rose = Rose {
            title: "t".to_owned(),
            north: "mine grid".to_owned(),
            counted: "strikes".to_owned(),
            trends_deg: vec![5.0, 5.0, 5.0, 5.0, 95.0],
            petal_deg: 10.0,
            drive: None,
        };
        let svg = rose.draw().to_svg().unwrap();
        let areas: Vec<f64> = svg
            .lines()
            .filter(|row| row.starts_with("<polygon"))
            .map(|row| {
                let points: Vec<Point> = row
                    .split("points=\"")
                    .nth(1)
                    .unwrap()
                    .split('"')
                    .next()
                    .unwrap()
                    .split_whitespace()
                    .map(|pair| {
                        let (x, y) = pair.split_once(',').unwrap();
                        [x.parse().unwrap(), y.parse().unwrap()]
                    })
                    .collect();
                let next = points.iter().cycle().skip(1);
                points
                    .iter()
                    .zip(next)
                    .map(|(a, b): (&Point, &Point)| (a[0] * b[1] - a[1] * b[0]) / 2.0)
                    .sum::<f64>()
                    .abs()
            })
            .collect();
        assert_eq!(areas.len(), 4);
        // Coordinates are whole hundredths of a millimetre on petals tens of millimetres long.
        assert!((areas[0] / areas[2] - 4.0).abs() < 0.01, "{areas:?}");
        assert!((areas[0] - areas[1]).abs() < 0.01 * areas[0]);
    }

    #[test]
    fn petals_divide_half_a_turn() {
        for (asked, given) in [(10.0, 18), (9.0, 20), (7.0, 30), (0.1, 36), (90.0, 4)] {
            assert_eq!(petals(asked), given, "{asked}");
        }
        assert_eq!(petals(f64::NAN), 18);
        assert_eq!(petals(0.0), 18);
    }
}
