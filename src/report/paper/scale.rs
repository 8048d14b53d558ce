//! Round scales, and the bar that shows one.

use crate::report::paper::sheet::{Anchor, Point, Sheet, Stroke};
use crate::report::paper::style::{INK, LABEL, THIN_MM};

/// Kept free along the edges of a drawing to scale, millimetres.
pub(crate) const MARGIN_MM: f64 = 6.0;

/// Steps of a decade in which scales are taken.
const STEPS: [f64; 9] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5];

/// Longest scale bar, millimetres.
const MOST_BAR_MM: f64 = 34.0;

/// A scale 1 : n at full print width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    denominator: f64,
}

impl Scale {
    /// Every scale on offer, from 1:5 to 1:75 000, the largest first.
    pub(crate) fn ladder() -> impl Iterator<Item = Self> {
        [5.0, 7.5]
            .into_iter()
            .chain((1..=4).flat_map(|decade| STEPS.map(|s| s * 10_f64.powi(decade))))
            .map(|denominator| Self { denominator })
    }

    /// The largest scale at which `size_m` fits into `room_mm`, both across and down.
    pub(crate) fn fitting(size_m: [f64; 2], room_mm: [f64; 2]) -> Self {
        Self::ladder()
            .find(|s| (0..2).all(|i| size_m[i] * s.mm_per_m() <= room_mm[i]))
            .unwrap_or(Self { denominator: 1e5 })
    }

    /// Millimetres of paper for a metre.
    pub(crate) fn mm_per_m(self) -> f64 {
        1000.0 / self.denominator
    }

    /// `1:100`
    pub(crate) fn words(self) -> String {
        format!("1:{}", self.denominator)
    }

    /// The longest of 1, 2, 5, 10 … metres that makes a bar of at most 34 mm.
    fn bar_m(self) -> f64 {
        let most_m = MOST_BAR_MM / self.mm_per_m();
        let decade = 10_f64.powf(most_m.log10().floor());
        [5.0, 2.0].map(|step| step * decade).into_iter().find(|m| *m <= most_m).unwrap_or(decade)
    }
}

/// Draws a scale bar from its left end and gives the x at which its words end.
pub(crate) fn bar(sheet: &mut Sheet, [x, y]: Point, scale: Scale) -> f64 {
    let bar_m = scale.bar_m();
    let end = x + bar_m * scale.mm_per_m();
    let ink = Stroke::solid(INK, THIN_MM);
    sheet.polyline(&[[x, y], [end, y]], ink);
    for i in 0..=4 {
        let at = x + (end - x) * f64::from(i) / 4.0;
        let up = if i % 4 == 0 { 2.0 } else { 1.1 };
        sheet.polyline(&[[at, y], [at, y - up]], ink);
    }
    sheet.polyline(&[[x, y], [x + (end - x) / 2.0, y]], Stroke::solid(INK, 0.8));
    let words = format!("{bar_m} m \u{00B7} {}", scale.words());
    let style = LABEL.anchored(Anchor::Start);
    sheet.text([end + 1.8, y - 0.8], &words, &style);
    end + 1.8 + sheet.text_width_mm(&words, &style)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_is_the_largest_that_fits() {
        // 9.7 m at 1:100 are 97 mm, at 1:75 they are 129 mm.
        let scale = Scale::fitting([9.7, 2.0], [100.0, 100.0]);
        assert_eq!(scale.words(), "1:100");
        assert!((scale.mm_per_m() - 10.0).abs() < 1e-12);
        assert_eq!(scale.bar_m(), 2.0);
        assert_eq!(Scale::fitting([0.5, 40.0], [100.0, 100.0]).words(), "1:400");
        let ladder: Vec<f64> = Scale::ladder().map(|s| s.denominator).collect();
        assert!(ladder.windows(2).all(|w| w[0] < w[1]));
    }
}
