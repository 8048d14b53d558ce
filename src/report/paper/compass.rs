//! The rim that stereonet and rose share: azimuths, north, and the drive's axis.

use crate::orientation::Line;

use super::sheet::{Anchor, FULL_WIDTH_MM, Fill, Layout, Point, Sheet, Stroke};
use super::style::{self, HAIR_MM, INK, LABEL, OUTLINE_MM, THIN_MM};

/// A label this near to an end of the drive's axis would stand on its tick.
const NEAR_TICK_DEG: f64 = 6.0;
const ASIDE_MM: f64 = 4.4;

/// A circle with north at its top.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Compass {
    pub centre: Point,
    pub radius_mm: f64,
}

/// Kept free along the edges of a sheet with a compass, and beside its rim for azimuths and ends of arrows,
/// millimetres.
pub(super) const MARGIN_MM: f64 = 8.0;
pub(super) const RIM_ROOM_MM: f64 = 9.5;
/// Room between the rim and what is told beside it, millimetres.
const BESIDE_MM: f64 = 6.0;

/// Where title, compass and what is told beside it stand on a sheet of full width.
#[derive(Debug, Clone, Copy)]
pub(super) struct CompassSheet {
    pub compass: Compass,
    /// The left end and the top of what is told beside the compass.
    pub beside: Point,
}

impl CompassSheet {
    /// A compass of this radius under a title.
    pub(super) fn under(title: &str, radius_mm: f64) -> Self {
        // The height of a title is known once it is laid out on a sheet of any height.
        let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
        let top = style::title(&mut trial, [MARGIN_MM; 2], title, FULL_WIDTH_MM - 2.0 * MARGIN_MM);
        let centre = [MARGIN_MM + RIM_ROOM_MM + radius_mm, top + 10.0 + radius_mm];
        let beside = [centre[0] + radius_mm + RIM_ROOM_MM + BESIDE_MM, top + 4.0];
        Self { compass: Compass { centre, radius_mm }, beside }
    }

    /// The lowest that a sheet has to reach for the rim, margin left out, millimetres.
    pub(super) fn bottom_mm(&self) -> f64 {
        self.compass.centre[1] + self.compass.radius_mm + 10.0
    }
}

impl Compass {
    /// The point at an azimuth, `out_mm` outside the circle.
    pub(crate) fn at(&self, azimuth_deg: f64, out_mm: f64) -> Point {
        let (sin, cos) = azimuth_deg.to_radians().sin_cos();
        let r = self.radius_mm + out_mm;
        [self.centre[0] + r * sin, self.centre[1] - r * cos]
    }

    /// Draws the rim with a tick every 10°, its azimuths, and the ends of the drive's axis.
    pub(crate) fn draw(&self, sheet: &mut Sheet, layout: &mut Layout, drive: Option<Line>) {
        sheet.circle(self.centre, self.radius_mm, None, Some(Stroke::solid(INK, 0.4)));
        let around: Vec<Point> = (0..=180).map(|i| self.at(f64::from(2 * i), 0.0)).collect();
        layout.take_line(&around, 2.0);
        for azimuth in (0..360).step_by(10) {
            let long = if azimuth % 30 == 0 { 2.0 } else { 1.2 };
            let azimuth = f64::from(azimuth);
            let tick = [self.at(azimuth, 0.0), self.at(azimuth, long)];
            sheet.polyline(&tick, Stroke::solid(INK, HAIR_MM));
        }
        if let Some(drive) = drive {
            self.drive_ticks(sheet, layout, drive.trend_deg);
        }
        for (text, azimuth, anchor) in [
            ("N", 0.0, Anchor::Middle),
            ("090", 90.0, Anchor::Start),
            ("180", 180.0, Anchor::Middle),
            ("270", 270.0, Anchor::End),
        ] {
            let style = LABEL.anchored(anchor).halo();
            let style = if text == "N" { style.bold() } else { style };
            let out = if anchor == Anchor::Middle { 4.4 } else { 2.8 };
            let [x, y] = self.at(azimuth, out);
            let aside = drive.map_or(0.0, |drive| aside_mm(azimuth, drive.trend_deg));
            let (sin, cos) = azimuth.to_radians().sin_cos();
            let at = [x + aside * cos, y + aside * sin];
            layout.take(sheet.text_box(at, text, &style), 10.0);
            sheet.text(at, text, &style);
        }
    }

    /// Two heavy ticks on the rim; the one along the advance carries a point.
    fn drive_ticks(&self, sheet: &mut Sheet, layout: &mut Layout, trend_deg: f64) {
        for azimuth in [trend_deg, trend_deg + 180.0] {
            let tick = [self.at(azimuth, -3.0), self.at(azimuth, 3.0)];
            sheet.polyline(&tick, Stroke::solid(INK, OUTLINE_MM));
            layout.take_line(&tick, 6.0);
        }
        arrow_head(sheet, self.at(trend_deg, 5.5), trend_deg, 3.2, Fill::solid(INK));
    }
}

/// How far an azimuth's label moves clockwise along the rim to stand clear of the drive's ticks,
/// millimetres.
fn aside_mm(label_deg: f64, trend_deg: f64) -> f64 {
    let off_deg = |end_deg: f64| (label_deg - end_deg + 180.0).rem_euclid(360.0) - 180.0;
    for off in [off_deg(trend_deg), off_deg(trend_deg + 180.0)] {
        if off.abs() < NEAR_TICK_DEG {
            return ASIDE_MM.copysign(off);
        }
    }
    0.0
}

/// An azimuth in whole degrees with three digits; one that rounds up to 360 is 000.
pub(crate) fn azimuth_words(azimuth_deg: f64) -> String {
    format!("{:03.0}", azimuth_deg.round().rem_euclid(360.0))
}

/// The drive's words in a legend: `drive 035, level`.
pub(crate) fn drive_words(drive: Line) -> String {
    let trend = azimuth_words(drive.trend_deg);
    if drive.plunge_deg.abs() < 0.5 {
        format!("drive {trend}, level")
    } else {
        let plunge = format!("{:.0}", drive.plunge_deg).replace('-', "\u{2212}");
        format!("drive {trend}, plunge {plunge}")
    }
}

/// The tick of the drive's axis, 9 mm wide, for a legend.
pub(crate) fn drive_sample(sheet: &mut Sheet, [x, y]: Point) {
    let tick = [[x + 1.0, y], [x + 6.0, y]];
    sheet.polyline(&tick, Stroke::solid(INK, OUTLINE_MM));
    arrow_head(sheet, [x + 8.5, y], 90.0, 3.0, Fill::solid(INK));
}

/// A triangle whose tip points along an azimuth of the sheet (0 up, clockwise).
pub(crate) fn arrow_head(sheet: &mut Sheet, tip: Point, azimuth_deg: f64, length_mm: f64, fill: Fill) {
    let (sin, cos) = azimuth_deg.to_radians().sin_cos();
    let half = 0.36 * length_mm;
    let back = [tip[0] - length_mm * sin, tip[1] + length_mm * cos];
    let corners =
        [tip, [back[0] + half * cos, back[1] + half * sin], [back[0] - half * cos, back[1] - half * sin]];
    sheet.polygon(&corners, Some(fill), Some(Stroke::solid(INK, THIN_MM)));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_stand_clear_of_the_drives_ticks() {
        let drawn = |trend_deg| {
            let mut sheet = Sheet::new(60.0, 60.0, "rim");
            let compass = Compass { centre: [30.0, 30.0], radius_mm: 20.0 };
            let drive = Line { trend_deg, plunge_deg: 0.0 };
            compass.draw(&mut sheet, &mut Layout::default(), Some(drive));
            let svg = sheet.to_svg().unwrap();
            let of = |word: &str| {
                let row = svg.lines().find(|r| r.ends_with(&format!(">{word}</text>")));
                let rest = row.unwrap().strip_prefix("<text x=\"").unwrap();
                rest.split('"').next().unwrap().parse::<i32>().unwrap()
            };
            (of("N"), of("180"))
        };
        assert_eq!(drawn(35.0), (3000, 3000));
        // The tick at 002 pushes N to the west, the one at 182 pushes 180 to the east.
        assert_eq!(drawn(2.0), (2560, 3440));
        assert_eq!(drawn(358.0), (3440, 2560));
    }

    #[test]
    fn azimuths_have_three_digits_and_end_before_360() {
        for (azimuth, words) in [(0.0, "000"), (7.4, "007"), (359.6, "000"), (-1.0, "359")] {
            assert_eq!(azimuth_words(azimuth), words);
        }
        let drive = |plunge_deg| Line { trend_deg: 359.7, plunge_deg };
        assert_eq!(drive_words(drive(-0.2)), "drive 000, level");
        assert_eq!(drive_words(drive(-7.0)), "drive 000, plunge \u{2212}7");
    }
}
