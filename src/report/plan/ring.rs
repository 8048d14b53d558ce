//! The rings as the crew drills them.

use crate::case::Case;
use crate::opening::{Section, Vec2};
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::dimensions;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::output::OutputError;
use crate::report::paper::scale::{MARGIN_MM, Scale, bar as scale_bar};
use crate::report::paper::sheet::{Anchor, DrawError, FULL_WIDTH_MM, Fill, PAPER, Point, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, INK, LABEL, LABEL_LEADING_MM, OUTLINE_MM, THIN_MM};
use crate::study::plan::{PlannedCollar, RingKind};

/// Greatest height of one ring's drawing, millimetres.
const MOST_HEIGHT_MM: f64 = 92.0;
/// Between two drawings side by side, millimetres.
const BETWEEN_MM: f64 = 6.0;
/// Room beside and above a drawing for the words at the toes, millimetres.
const WORDS_ROOM_MM: [f64; 2] = [13.0, 13.0];
/// From a bolt's toe to its words, millimetres.
const WORDS_OFF_MM: f64 = 2.6;
/// Words at the toe of a hole steeper than this (its share to the side) read upward along it.
const STEEP: f64 = 0.3;
/// Kept free round the opening, metres: half of its heavy line.
const CLEAR_M: f64 = 0.1;
/// Half the length of a plate, millimetres.
const HALF_PLATE_MM: f64 = 1.3;

const LEGEND: &str = "Hole's number from left to right, as in the table, and its angle in the section from straight up. Filled dot: one set-up reaches the collar; hollow dot: it does not.";

/// One drawing a kind of ring and pattern, to scale, looking along the advance: collars with their
/// numbers, bolts at their angles. Hollow dots mark collars that one set-up does not reach.
///
/// # Errors
/// When the case's section is none.
pub(super) fn ring_drawing(case: &Case, collars: &[PlannedCollar]) -> Result<Sheet, OutputError> {
    let section = case.shape.section().map_err(|e| DrawError::Backend(e.to_string()))?;
    let mut rings: Vec<(usize, RingKind)> = Vec::new();
    for collar in collars {
        if !rings.contains(&(collar.pattern, collar.ring)) {
            rings.push((collar.pattern, collar.ring));
        }
    }
    let of = |ring: &(usize, RingKind)| -> Vec<&PlannedCollar> {
        collars.iter().filter(|c| (c.pattern, c.ring) == *ring).collect()
    };
    let (low, high) = extent(&section, collars);
    let size = high - low;
    let across = rings.len().clamp(1, 2);
    let room_mm = (FULL_WIDTH_MM - 2.0 * MARGIN_MM - BETWEEN_MM * (across as f64 - 1.0)) / across as f64;
    let scale = Scale::fitting([size.x, size.y], [room_mm - 2.0 * WORDS_ROOM_MM[0], MOST_HEIGHT_MM]);
    let high_mm = size.y * scale.mm_per_m() + WORDS_ROOM_MM[1];
    let row_mm = LABEL_LEADING_MM * 2.0 + high_mm + dimensions::ROOM_BELOW_MM;
    let rows = rings.len().div_ceil(across);

    let title = title(&rings, collars);
    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM) + 2.0;
    let foot = top + rows as f64 * row_mm;
    let mut sheet = Sheet::new(FULL_WIDTH_MM, foot + 3.0 * LABEL_LEADING_MM + MARGIN_MM, &title);
    sheet.describe("Rings looking along the advance: collars numbered from left to right, bolts to scale.");
    style::title(&mut sheet, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM);
    for (index, ring) in rings.iter().enumerate() {
        let left = MARGIN_MM + (index % across) as f64 * (room_mm + BETWEEN_MM);
        let y = top + (index / across) as f64 * row_mm;
        let words = ring_words(case, ring);
        for (line, text) in sheet.wrap(&words, &LABEL, room_mm).iter().take(2).enumerate() {
            sheet.text([left, y + (line as f64 + 0.5) * LABEL_LEADING_MM], text, &LABEL);
        }
        let middle = 0.5 * (low + high);
        // Words stand above the toes, none below the floor.
        let words_mm = 0.5 * WORDS_ROOM_MM[1];
        let centre = [left + 0.5 * room_mm, y + 2.0 * LABEL_LEADING_MM + 0.5 * high_mm + words_mm];
        let place = |at: &Vec2| -> Point {
            let k = scale.mm_per_m();
            [centre[0] + k * (at.x - middle.x), centre[1] - k * (at.y - middle.y)]
        };
        draw_ring(&mut sheet, &section, &of(ring), place);
    }
    scale_bar(&mut sheet, [MARGIN_MM, foot + 3.0], scale);
    let looking = format!("looking along the advance {}", azimuth_words(case.advance.trend_deg));
    let right = FULL_WIDTH_MM - MARGIN_MM;
    sheet.text([right, foot + 2.2], &looking, &LABEL.anchored(Anchor::End));
    for (line, text) in sheet.wrap(LEGEND, &LABEL, right - MARGIN_MM).iter().enumerate() {
        sheet.text([MARGIN_MM, foot + 3.0 + (line as f64 + 1.0) * LABEL_LEADING_MM], text, &LABEL);
    }
    Ok(sheet)
}

fn title(rings: &[(usize, RingKind)], collars: &[PlannedCollar]) -> String {
    let counts: Vec<String> = rings
        .iter()
        .map(|ring| collars.iter().filter(|c| (c.pattern, c.ring) == *ring).count().to_string())
        .collect();
    let beyond = collars.iter().filter(|c| !c.within_reach).count();
    let reach = match beyond {
        0 => "one set-up reaches them all".to_owned(),
        1 => "one of them is beyond the reach of one set-up".to_owned(),
        n => format!("{n} of them are beyond the reach of one set-up"),
    };
    match counts.as_slice() {
        [one] => format!("A ring has {one} holes; {reach}"),
        [one, other] => format!("Rings have {one} and {other} holes; {reach}"),
        more => format!("Rings have {} holes; {reach}", more.join(", ")),
    }
}

fn ring_words(case: &Case, (pattern, kind): &(usize, RingKind)) -> String {
    let design = case.pattern_at(*pattern);
    if *pattern >= case.first_on_face() {
        return format!(
            "Pattern {}, the face of every round: {}, {} m, holes {} m; rows {} m above each other",
            case.pattern_number(*pattern).unwrap_or_default(),
            case.bolts[design.bolt].name,
            shortest(design.length_m),
            fixed(design.length_in_hole_m(), 2),
            fixed(design.ring_spacing_m, 2)
        );
    }
    let which = match kind {
        RingKind::Every => "every ring".to_owned(),
        RingKind::Odd => "odd rings (1, 3, 5, …)".to_owned(),
        RingKind::Even => "even rings (2, 4, 6, …)".to_owned(),
    };
    format!(
        "Pattern {}, {which}: {}, {} m, holes {} m; rings {} m apart",
        pattern + 1,
        case.bolts[design.bolt].name,
        shortest(design.length_m),
        fixed(design.length_in_hole_m(), 2),
        fixed(design.ring_spacing_m, 2)
    )
}

/// Lower and upper corner of what is drawn: the opening, toes, and room for numbers.
fn extent(section: &Section, collars: &[PlannedCollar]) -> (Vec2, Vec2) {
    let (mut low, mut high) = section.bounds();
    for collar in collars {
        let toe = collar.point + collar.direction * collar.hole_m;
        low = low.inf(&toe);
        high = high.sup(&toe);
    }
    let clear = Vec2::repeat(CLEAR_M);
    (low - clear, high + clear)
}

fn draw_ring(
    sheet: &mut Sheet,
    section: &Section,
    collars: &[&PlannedCollar],
    place: impl Fn(&Vec2) -> Point,
) {
    let outline: Vec<Point> = section.vertices().iter().map(&place).collect();
    sheet.polygon(&outline, Some(Fill::solid(PAPER)), Some(Stroke::solid(INK, OUTLINE_MM)));
    dimensions::draw_small(sheet, section, &place);
    for collar in collars {
        let at = place(&collar.point);
        let toe = place(&(collar.point + collar.direction * collar.hole_m));
        let length = (toe[0] - at[0]).hypot(toe[1] - at[1]);
        sheet.polyline(&[at, toe], Stroke::solid(INK, 2.0 * THIN_MM));
        if length > 0.0 {
            let along = [(toe[0] - at[0]) / length, (toe[1] - at[1]) / length];
            let off = OUTLINE_MM / 2.0 + 0.4;
            let plate = [at[0] - off * along[0], at[1] - off * along[1]];
            let side = [-HALF_PLATE_MM * along[1], HALF_PLATE_MM * along[0]];
            let ends = [[plate[0] - side[0], plate[1] - side[1]], [plate[0] + side[0], plate[1] + side[1]]];
            sheet.polyline(&ends, Stroke::solid(GREY, 2.0 * THIN_MM));
            let words_at = [toe[0] + WORDS_OFF_MM * along[0], toe[1] + WORDS_OFF_MM * along[1]];
            let style = match along[0] {
                side if side > STEEP => LABEL.halo(),
                side if side < -STEEP => LABEL.halo().anchored(Anchor::End),
                _ => LABEL.halo().upward(),
            };
            let words = format!("{}: {}°", collar.number, fixed(collar.from_up_deg.abs(), 0));
            sheet.text(words_at, &words, &style);
        } else {
            // Along the axis there is no angle in the section.
            let beside = [at[0] + WORDS_OFF_MM, at[1]];
            sheet.text(beside, &collar.number.to_string(), &LABEL.halo());
        }
        let fill = if collar.within_reach { INK } else { PAPER };
        sheet.circle(at, 0.9, Some(Fill::solid(fill)), Some(Stroke::solid(INK, THIN_MM)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{TEMPLATE, parse_case};
    use crate::study::plan::planned_collars;

    #[test]
    fn every_collar_has_its_number_on_the_sheet() {
        let read = parse_case(TEMPLATE, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap();
        let collars = planned_collars(&read.case, &read.plan).unwrap();
        let sheet = ring_drawing(&read.case, &collars).unwrap();
        assert_eq!(sheet.left_out(), 0);
        let words: Vec<String> = sheet.words().into_iter().map(|w| w.1).collect();
        let numbers = words.iter().filter(|w| w.ends_with('°') && w.contains(": ")).count();
        assert_eq!(numbers, collars.len());
        for point in sheet.points() {
            assert!((0.0..=sheet.width_mm()).contains(&point[0]), "{point:?}");
            assert!((0.0..=sheet.height_mm()).contains(&point[1]), "{point:?}");
        }
    }
}
