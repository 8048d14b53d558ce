//! Colours, dashes, letters and marks that every drawing shares.
//!
//! A joint set is known by colour and dash together, and its letter stands on its line. Held and
//! short differ by shape, never by colour alone.

use super::sheet::{Colour, Fill, PAPER, Point, Sheet, Stroke, Text};

/// Lines, letters and marks.
pub(crate) const INK: Colour = Colour::from_hex(0x1A_1A_1A);
/// What steps back: bolts that serve no wedge, graduations, contours.
pub(crate) const GREY: Colour = Colour::from_hex(0x8C_8C_8C);
/// The faintest line that still prints: grids, hatching.
pub(crate) const PALE: Colour = Colour::from_hex(0xC8_C8_C8);

/// Hairline: graduations, hatching, leader lines.
pub(crate) const HAIR_MM: f64 = 0.18;
/// Thin line: bolts, frames of charts, corners of a section.
pub(crate) const THIN_MM: f64 = 0.25;
/// The line of a joint set or of a curve.
pub(crate) const LINE_MM: f64 = 0.5;
/// The opening's outline, heaviest on any sheet.
pub(crate) const OUTLINE_MM: f64 = 1.1;

/// The thin line that ties a label to its place.
pub(crate) const LEADER: Stroke = Stroke::solid(INK, HAIR_MM);

/// The sentence above a drawing.
pub(crate) const TITLE: Text = Text::new(11.0, INK).bold();
/// Labels and legends.
pub(crate) const LABEL: Text = Text::new(9.0, INK);

/// Height of a line of [`LABEL`], millimetres.
pub(crate) const LABEL_LEADING_MM: f64 = 4.6;
/// Height of a line of [`TITLE`], millimetres.
pub(crate) const TITLE_LEADING_MM: f64 = 5.6;

/// How a joint set is drawn everywhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SetStyle {
    /// Colour of its lines and marks.
    pub colour: Colour,
    /// Its dash, millimetres; see [`Stroke::dash_mm`].
    pub dash_mm: &'static [f64],
    /// Width of its lines, millimetres.
    pub width_mm: f64,
}

impl SetStyle {
    /// The line of this set.
    #[must_use]
    pub(crate) const fn stroke(self) -> Stroke {
        Stroke { colour: self.colour, width_mm: self.width_mm, dash_mm: self.dash_mm }
    }
}

/// Colours after Okabe & Ito (2008), *Color Universal Design*, each with its dash: solid, dashed,
/// dotted, dash-dot, long dash, dash-dot-dot.
const SETS: [(Colour, &[f64]); 6] = [
    (Colour::from_hex(0x00_72_B2), &[]),
    (Colour::from_hex(0xD5_5E_00), &[3.0, 1.4]),
    (Colour::from_hex(0x00_9E_73), &[0.0, 1.1]),
    (Colour::from_hex(0xCC_79_A7), &[3.4, 1.2, 0.0, 1.2]),
    (Colour::from_hex(0xE6_9F_00), &[7.0, 1.8]),
    (Colour::from_hex(0x56_B4_E9), &[3.4, 1.1, 0.0, 1.1, 0.0, 1.1]),
];

/// Widths of sets 1 to 6, 7 to 12, 13 to 18; then again from the first.
const SET_WIDTHS_MM: [f64; 3] = [LINE_MM, 0.9, 0.3];

/// The style of the joint set at `index` in the order of the file, from 0.
#[must_use]
pub(crate) fn set_style(index: usize) -> SetStyle {
    let (colour, dash_mm) = SETS[index % SETS.len()];
    SetStyle { colour, dash_mm, width_mm: SET_WIDTHS_MM[index / SETS.len() % SET_WIDTHS_MM.len()] }
}

/// The line of a bolt: its head side thin and its toe side heavier; a bolt that serves no wedge
/// in the drawing steps back to grey.
#[must_use]
pub(crate) const fn bolt_stroke(toe_side: bool, serving: bool) -> Stroke {
    let colour = if serving { INK } else { GREY };
    Stroke::solid(colour, if toe_side { 0.6 } else { THIN_MM })
}

/// Held: a filled square.
pub(crate) fn held_mark(sheet: &mut Sheet, centre: Point, side_mm: f64) {
    sheet.square(centre, side_mm, Some(Fill::solid(INK)), None);
}

/// Short: a hollow triangle, point down.
pub(crate) fn short_mark(sheet: &mut Sheet, centre: Point, side_mm: f64) {
    sheet.triangle_down(centre, side_mm, Some(Fill::solid(PAPER)), Some(Stroke::solid(INK, 0.4)));
}

/// The pole of a reading: a shape and colour by set, a small grey ring where it is in no set.
/// None of the shapes is one that stands for a verdict.
pub(crate) fn pole_mark(sheet: &mut Sheet, centre: Point, size_mm: f64, set: Option<usize>) {
    let half = size_mm / 2.0;
    let [x, y] = centre;
    let Some(index) = set else {
        sheet.circle(centre, 0.7 * half, None, Some(Stroke::solid(GREY, HAIR_MM)));
        return;
    };
    let colour = set_style(index).colour;
    let line = Stroke::solid(colour, 0.35);
    let diamond = [[x, y - 1.2 * half], [x + 1.2 * half, y], [x, y + 1.2 * half], [x - 1.2 * half, y]];
    match index % SETS.len() {
        0 => sheet.circle(centre, half, Some(Fill::solid(colour)), None),
        1 => {
            sheet.polyline(&[[x - half, y], [x + half, y]], line);
            sheet.polyline(&[[x, y - half], [x, y + half]], line);
        }
        2 => sheet.circle(centre, half, None, Some(line)),
        3 => {
            sheet.polyline(&[[x - half, y - half], [x + half, y + half]], line);
            sheet.polyline(&[[x - half, y + half], [x + half, y - half]], line);
        }
        4 => sheet.polygon(&diamond, Some(Fill::solid(colour)), None),
        _ => sheet.polygon(&diamond, None, Some(line)),
    }
}

/// Writes a title at the top left, broken into lines of at most `width_mm`, and gives the y
/// below it, millimetres.
pub(crate) fn title(sheet: &mut Sheet, left_top: Point, text: &str, width_mm: f64) -> f64 {
    let mut y = left_top[1];
    for line in sheet.wrap(text, &TITLE, width_mm) {
        sheet.text([left_top[0], y + TITLE_LEADING_MM / 2.0], &line, &TITLE);
        y += TITLE_LEADING_MM;
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eighteen_sets_are_told_apart() {
        let styles: Vec<SetStyle> = (0..18).map(set_style).collect();
        for (i, a) in styles.iter().enumerate() {
            for (j, b) in styles.iter().enumerate().skip(i + 1) {
                assert_ne!(a, b, "{i} {j}");
            }
        }
        // Within a width, neither colour nor dash is used twice.
        for six in styles.chunks(6) {
            for (i, a) in six.iter().enumerate() {
                for b in &six[i + 1..] {
                    assert!(a.colour != b.colour && a.dash_mm != b.dash_mm);
                }
            }
        }
        assert_eq!(set_style(18), set_style(0));
    }

    #[test]
    fn the_verdicts_differ_by_shape() {
        let mut held = Sheet::new(20.0, 20.0, "held");
        held_mark(&mut held, [10.0, 10.0], 4.0);
        let mut short = Sheet::new(20.0, 20.0, "short");
        short_mark(&mut short, [10.0, 10.0], 4.0);
        let (held, short) = (held.to_svg().unwrap(), short.to_svg().unwrap());
        assert!(held.contains("points=\"800,800 1200,800 1200,1200 800,1200 \""));
        assert!(held.contains("fill=\"#1A1A1A\""));
        // Point down: the lowest corner is in the middle; the inside is paper.
        assert!(short.contains("points=\"800,885 1200,885 1000,1231 \""));
        assert!(!short.contains("fill=\"#1A1A1A\""));
    }
}
