//! The metrics and outlines of the embedded font, DejaVu Sans.

use std::sync::OnceLock;

use ab_glyph::{Font, FontRef, OutlineCurve};

use super::Point;

/// Height of DejaVu Sans's capitals: the outline of its `H` is 1493 of 2048 units high.
pub(super) const CAP_HEIGHT_EM: f64 = 0.729;

/// Half of the room that a line takes, about the middle of the capitals: enough for the foot of
/// a `g` (0.208 below the baseline) and the head of an `h` (0.760 above it).
pub(super) const LINE_HALF_HEIGHT_EM: f64 = 0.61;

/// Taken for a width only if the embedded font could not be read at all.
const FALLBACK_ADVANCE_EM: f64 = 0.6;

/// Pieces in which a curve of a letter is drawn, at most: at 9 pt and 1200 dpi they are 3 pixels long.
const MOST_STEPS: u16 = 8;

/// Pieces for letters of so many pixels. A quadratic curve leaves its chord by a quarter of its second difference,
/// its n pieces by that over n²: less than a tenth of a pixel here, since no second difference of a letter is as much
/// as two fifths of its size.
fn steps_per_curve(em_px: f64) -> u16 {
    (em_px.max(0.0).sqrt().ceil() as u16).clamp(2, MOST_STEPS)
}

/// The regular or heavy font, read once. Both are constants of the program, so `None` is not
/// expected; it becomes an error where something is drawn.
fn face(bold: bool) -> Option<&'static FontRef<'static>> {
    static REGULAR: OnceLock<Option<FontRef<'static>>> = OnceLock::new();
    static BOLD: OnceLock<Option<FontRef<'static>>> = OnceLock::new();
    if bold {
        BOLD.get_or_init(|| FontRef::try_from_slice(dejavu::sans::bold()).ok()).as_ref()
    } else {
        REGULAR.get_or_init(|| FontRef::try_from_slice(dejavu::sans::regular()).ok()).as_ref()
    }
}

/// The width of a line of text, kerning included, in multiples of the letters' size.
#[must_use]
pub(crate) fn text_width_em(text: &str, bold: bool) -> f64 {
    let Some(face) = face(bold) else {
        return FALLBACK_ADVANCE_EM * text.chars().count() as f64;
    };
    let mut pen = Pen::new(face);
    for letter in text.chars() {
        pen.step(letter);
    }
    pen.x_em
}

/// The outlines of a line of text, in multiples of the letters' size: x right from the start of
/// the baseline, y down, as fine as letters of `em_px` pixels show. `None` if the font could not be read.
pub(super) fn outlines_em(text: &str, bold: bool, em_px: f64) -> Option<Vec<Vec<Point>>> {
    let face = face(bold)?;
    let steps = steps_per_curve(em_px);
    let mut pen = Pen::new(face);
    let mut contours: Vec<Vec<Point>> = Vec::new();
    for letter in text.chars() {
        let (glyph, start_em) = pen.step(letter);
        let Some(outline) = face.outline(glyph) else {
            continue;
        };
        let place = |p: ab_glyph::Point| {
            [start_em + f64::from(p.x) / pen.units_per_em, -f64::from(p.y) / pen.units_per_em]
        };
        let mut last = None;
        for curve in &outline.curves {
            let (begin, end) = match curve {
                OutlineCurve::Line(a, b) | OutlineCurve::Quad(a, _, b) | OutlineCurve::Cubic(a, _, _, b) => {
                    (*a, *b)
                }
            };
            if last != Some(begin) {
                contours.push(vec![place(begin)]);
            }
            if let Some(contour) = contours.last_mut() {
                flatten(curve, steps, |p| contour.push(place(p)));
            }
            last = Some(end);
        }
    }
    Some(contours)
}

/// Walks along the baseline.
struct Pen<'a> {
    face: &'a FontRef<'static>,
    units_per_em: f64,
    x_em: f64,
    last: Option<ab_glyph::GlyphId>,
}

impl<'a> Pen<'a> {
    fn new(face: &'a FontRef<'static>) -> Self {
        Self {
            face,
            // 2048 for DejaVu; the file states it.
            units_per_em: f64::from(face.units_per_em().unwrap_or(2048.0)),
            x_em: 0.0,
            last: None,
        }
    }

    /// The glyph for `letter` and where it begins; the pen moves behind it.
    fn step(&mut self, letter: char) -> (ab_glyph::GlyphId, f64) {
        let glyph = self.face.glyph_id(letter);
        if let Some(last) = self.last {
            self.x_em += f64::from(self.face.kern_unscaled(last, glyph)) / self.units_per_em;
        }
        let start_em = self.x_em;
        self.x_em += f64::from(self.face.h_advance_unscaled(glyph)) / self.units_per_em;
        self.last = Some(glyph);
        (glyph, start_em)
    }
}

/// Hands on the points of a curve behind its first.
fn flatten(curve: &OutlineCurve, steps: u16, mut emit: impl FnMut(ab_glyph::Point)) {
    let mix = |weights: &[(f32, ab_glyph::Point)]| {
        weights
            .iter()
            .fold(ab_glyph::point(0.0, 0.0), |sum, (w, p)| ab_glyph::point(sum.x + w * p.x, sum.y + w * p.y))
    };
    let shares = (1..=steps).map(|i| f32::from(i) / f32::from(steps));
    match *curve {
        OutlineCurve::Line(_, b) => emit(b),
        OutlineCurve::Quad(a, b, c) => {
            for t in shares {
                let s = 1.0 - t;
                emit(mix(&[(s * s, a), (2.0 * s * t, b), (t * t, c)]));
            }
        }
        OutlineCurve::Cubic(a, b, c, d) => {
            for t in shares {
                let s = 1.0 - t;
                emit(mix(&[(s * s * s, a), (3.0 * s * s * t, b), (3.0 * s * t * t, c), (t * t * t, d)]));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_fonts_own_tables() {
        // Advance widths in the hmtx table of DejaVu Sans 2.37, in 2048ths: "0" 1303, "i" 569,
        // "m" 1995, "A" and "V" 1401; its kern table pulls "AV" together by 131. Read from the
        // file with fontTools 4.
        let cases =
            [("0", 1303.0), ("i", 569.0), ("m", 1995.0), ("0i", 1872.0), ("AV", 1401.0 + 1401.0 - 131.0)];
        for (text, units) in cases {
            let width = text_width_em(text, false);
            assert!((width - units / 2048.0).abs() < 1e-9, "{text} {width}");
        }
    }

    #[test]
    fn outlines_stand_on_the_baseline_and_reach_the_capitals_height() {
        let contours = outlines_em("H", false, 20.0).unwrap();
        assert_eq!(contours.len(), 1);
        let top = contours[0].iter().map(|p| p[1]).fold(0.0, f64::min);
        let foot = contours[0].iter().map(|p| p[1]).fold(-1.0, f64::max);
        assert!(foot.abs() < 1e-9 && (top + CAP_HEIGHT_EM).abs() < 1e-3);
        // A ring has an outer and an inner contour.
        assert_eq!(outlines_em("o", false, 20.0).unwrap().len(), 2);
    }

    #[test]
    fn a_heavy_line_is_wider() {
        assert!(text_width_em("Wedge", true) > text_width_em("Wedge", false));
    }
}
