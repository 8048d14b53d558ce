use crate::input::{Collector, Columns, Known, Place, ProblemKind, Says, Separator, Sheet, cited, nearest};
use crate::opening::{ON_VERTEX_M, SECTION_SIZE_M, SectionError, SectionShape, Vec2};

/// An outline with more points than a survey of a profile has is refused.
const MOST_POINTS: usize = 2000;

const COLUMNS: [Known; 2] = [Known::named("u_m"), Known::named("v_m")];

/// Coordinates may count from a far origin, but not further than any mine grid, metres.
pub(super) const FARTHEST_M: f64 = 1e7;

/// Reads the outline in a CSV text, columns `u_m` and `v_m`; lines that start with `#` are
/// comments. `None` when there is a problem, which has been reported.
pub(super) fn read_outline(text: &str, file: usize, problems: &mut Collector) -> Option<SectionShape> {
    let before = problems.count();
    let points = points(text, file, problems)?;
    if problems.count() > before {
        return None;
    }
    let shape = SectionShape::Outline { points: points.iter().map(|(_, p)| *p).collect() };
    let last = points.last().map_or(1, |(line, _)| *line);
    match shape.section() {
        Err(error) => {
            let (line, says) = not_a_section(&error, &points, last);
            problems.add(ProblemKind::Conflict, Place { file, line }, "outline", says);
            None
        }
        Ok(section) => {
            let (low, high) = section.bounds();
            let (size, thin) = ((high - low).max(), (high - low).min());
            let [least, most] = SECTION_SIZE_M;
            if size > most || thin < least {
                let found = format!("{:.3} m by {:.3} m", high.x - low.x, high.y - low.y);
                let allowed = format!("{least} to {most} metres wide and high");
                let says = Says::new(found, allowed, "give u_m and v_m in metres");
                problems.add(ProblemKind::Value, Place { file, line: last }, "outline", says);
                return None;
            }
            Some(shape)
        }
    }
}

/// Points with their lines, each different from the one before.
fn points(text: &str, file: usize, problems: &mut Collector) -> Option<Vec<(usize, Vec2)>> {
    let Some(mut sheet) = Sheet::of(text, Separator::Comma, file) else {
        let says =
            Says::new("an empty file", "a line u_m,v_m and a line a point", "write the outline into it");
        problems.add(ProblemKind::File, Place { file, line: 0 }, "outline", says);
        return None;
    };
    let [u, v] = columns(&sheet, problems)?;
    let mut points: Vec<(usize, Vec2)> = Vec::new();
    let mut rows = 0;
    while let Some((row, place)) = sheet.next_row() {
        rows += 1;
        if rows > MOST_POINTS {
            let says = Says::new(
                format!("more than {MOST_POINTS} points"),
                format!("at most {MOST_POINTS} points"),
                "thin the outline out; a point every few centimetres is enough",
            );
            problems.add(ProblemKind::Value, place, "outline", says);
            return None;
        }
        let needed = u.max(v) + 1;
        if row.cells.len() < needed {
            let says = Says::new(
                format!("{} ({} fields)", cited(row.raw), row.cells.len()),
                format!("{needed} fields"),
                "give each point its u_m and v_m",
            );
            problems.add(ProblemKind::Syntax, place, "outline", says);
            continue;
        }
        if sheet.report_too_wide(&row, "outline", problems) {
            continue;
        }
        let u = coordinate(&row.cells[u], "u_m", place, problems);
        let v = coordinate(&row.cells[v], "v_m", place, problems);
        if let (Some(u), Some(v)) = (u, v) {
            let point = Vec2::new(u, v);
            if points.last().is_none_or(|(_, last)| (point - last).norm() > ON_VERTEX_M) {
                points.push((place.line, point));
            }
        }
    }
    sheet.report_unclosed("outline", problems);
    Some(points)
}

/// Where u_m and v_m stand; other columns are notes.
fn columns(sheet: &Sheet, problems: &mut Collector) -> Option<[usize; 2]> {
    let columns = Columns::of(&sheet.header, sheet.header_place(), &COLUMNS);
    columns.report_twice("rename or delete one of the two", problems);
    if let (Some(u), Some(v)) = (columns.index("u_m"), columns.index("v_m")) {
        return Some([u, v]);
    }
    let lacking = columns.lacking(&["u_m", "v_m"]);
    let raw = sheet.header.raw;
    let advice = if raw.contains(';') || raw.contains('\t') {
        "separate the columns with commas, and decimals with points".to_owned()
    } else {
        let mut cells = sheet.header.cells.iter();
        let meant = cells.find(|cell| nearest(cell, lacking.iter().copied()).is_some());
        meant.map_or_else(
            || format!("name the column {} in the first line", lacking.join(" and ")),
            |cell| format!("rename {}, if it is that", cited(cell)),
        )
    };
    let says = Says::new(cited(raw), "the columns u_m and v_m, metres, named in the first line", advice);
    problems.add(ProblemKind::MissingKey, sheet.header_place(), &lacking.join(", "), says);
    None
}

fn coordinate(field: &str, key: &str, place: Place, problems: &mut Collector) -> Option<f64> {
    let number = field.parse::<f64>().ok().filter(|n| n.is_finite() && n.abs() <= FARTHEST_M);
    if number.is_none() {
        let found = if field.is_empty() { "nothing".to_owned() } else { cited(field) };
        let allowed = format!("a number from -{FARTHEST_M} to {FARTHEST_M} metres");
        problems.add(ProblemKind::Value, place, key, Says::new(found, allowed, "correct the number"));
    }
    number
}

/// Where in the file, and in words, an outline is no section.
fn not_a_section(error: &SectionError, points: &[(usize, Vec2)], last: usize) -> (usize, Says) {
    let line = |index: usize| points.get(index % points.len().max(1)).map_or(last, |(line, _)| *line);
    match error {
        SectionError::TooFewPoints { found } => (
            last,
            Says::new(
                format!("an outline of {found} different points"),
                "at least 3 points",
                "add the rest of the outline, in order round the section",
            ),
        ),
        SectionError::CrossesItself { first, second } => (
            line(*second),
            Says::new(
                format!(
                    "an outline that crosses itself: the edge from line {} to line {} meets the edge from line {} to line {}",
                    line(*first),
                    line(first + 1),
                    line(*second),
                    line(second + 1)
                ),
                "points in order round the section",
                "put the points in order, clockwise or counter-clockwise",
            ),
        ),
        SectionError::NotConvex { u_m, v_m } => {
            let here = points.iter().find(|(_, p)| p.x == *u_m && p.y == *v_m).map_or(last, |(l, _)| *l);
            (
                here,
                Says::new(
                    format!("an outline that turns inward at u_m {u_m}, v_m {v_m}: it is not convex"),
                    "a convex outline",
                    "draw a convex outline round it; leave out the points of notches and benches",
                ),
            )
        }
        SectionError::NoArea => (
            last,
            Says::new(
                "points on one straight line: the outline encloses no area",
                "an outline that encloses an area",
                "add the points off the line",
            ),
        ),
        other => (last, Says::new(other.to_string(), "a convex outline", "correct the outline")),
    }
}
