//! A file of bolts as they stand: every row is used, or rejected with its reasons.

use super::as_built::{FoundBolt, RejectedRow};
use super::collars::collar_along;
use super::outline::FARTHEST_M;
use crate::input::{
    Collector, Columns, Known, Place, ProblemKind, Row, Says, Separator, Sheet, cited, one_of, parse_number,
    quoted, too_wide,
};
use crate::opening::{Opening, Vec2};
use crate::orientation::{Line, Vec3};
use crate::support::{Anchorage, Bolt, Collar, Condition, SetBolt};

/// A collar farther than this from the section, metres, is no collar of this drive: more than
/// overbreak and survey put together.
pub const FARTHEST_COLLAR_M: f64 = 1.0;

/// Two rows with collars nearer than this, metres, are one bolt written twice.
const SAME_BOLT_M: f64 = 1e-3;

/// Bounds of a bolt's length, metres, as of a pattern's.
const LENGTH_M: (f64, f64) = (0.1, 30.0);

/// More rows than any stretch has bolts.
const MOST_ROWS: usize = 200_000;

/// The columns of the file.
const COLUMNS: [Known; 15] = [
    Known::named("chainage_m"),
    Known::named("arc_m"),
    Known::named("u_m"),
    Known::named("v_m"),
    Known::named("east_m"),
    Known::named("north_m"),
    Known::named("up_m"),
    Known::named("trend_deg"),
    Known::named("plunge_deg"),
    Known::named("length_m"),
    Known::named("outside_hole_m"),
    Known::named("bolt"),
    Known::named("state"),
    Known::named("inspected_on"),
    Known::named("note"),
];

/// What a file says.
pub(super) struct FoundBolts {
    /// The case's bolts, then those in other states.
    pub kinds: Vec<Bolt>,
    /// In the order of chainage.
    pub bolts: Vec<FoundBolt>,
    pub rejected: Vec<RejectedRow>,
}

/// How rows say where a collar is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum By {
    Arc,
    Section,
    World,
}

/// Reads the bolts of a text against the drive that they stand in and the bolts of the case. `None`
/// where no row can be used, which has been reported.
pub(super) fn read_bolts(
    text: &str,
    file: usize,
    opening: &Opening,
    bolts: &[Bolt],
    problems: &mut Collector,
) -> Option<FoundBolts> {
    let Some(mut sheet) = Sheet::of(text, Separator::OfHeader, file) else {
        let says = Says::new(
            "an empty file",
            "a line of column names and a line a bolt",
            "write the bolts into it, or take as_built out",
        );
        problems.add(ProblemKind::File, Place { file, line: 0 }, "as_built", says);
        return None;
    };
    let (columns, by) = columns(&sheet, problems)?;
    let mut reader = Reader { opening, bolts, columns, by, kinds: bolts.to_vec(), variants: Vec::new() };
    let mut found: Vec<Inspected> = Vec::new();
    let mut rejected = Vec::new();
    while found.len() + rejected.len() <= MOST_ROWS
        && let Some((row, place)) = sheet.next_row()
    {
        let bolt = match sheet.exceeded_by(&row) {
            Some(width) => Err(vec![too_wide(&row, width)]),
            None => reader.bolt(&row),
        };
        match bolt {
            Ok(bolt) => found.push(bolt),
            Err(reasons) => rejected.push(RejectedRow {
                line: place.line,
                reason: reasons.join("; "),
                row: row.raw.to_owned(),
            }),
        }
    }
    if found.len() + rejected.len() > MOST_ROWS {
        let says = Says::new(
            format!("more than {MOST_ROWS} rows"),
            format!("at most {MOST_ROWS} rows"),
            "keep the stretch that you ask about",
        );
        problems.add(ProblemKind::Value, Place { file, line: 0 }, "as_built", says);
        return None;
    }
    if sheet.report_unclosed("as_built", problems) {
        return None;
    }
    let found = one_of_each(found, &mut rejected, text);
    if found.is_empty() {
        let first = rejected.first();
        let says = Says::new(
            first.map_or_else(
                || "no row below the column names".to_owned(),
                |r| {
                    format!(
                        "{} rows, none of which can be used; the first: {}",
                        rejected.len(),
                        cited(&r.reason)
                    )
                },
            ),
            "at least one bolt",
            "correct the rows, or take as_built out",
        );
        let line = first.map_or(sheet.header.line, |r| r.line);
        problems.add(ProblemKind::Value, Place { file, line }, "as_built", says);
        return None;
    }
    rejected.sort_by_key(|r| r.line);
    Some(FoundBolts { kinds: reader.kinds, bolts: found, rejected })
}

/// A bolt, and the day on which it was found so.
struct Inspected {
    bolt: FoundBolt,
    on: Option<Day>,
}

/// Year, month and day: later days compare greater.
type Day = (u16, u8, u8);

/// The longest month's days.
const MOST_DAYS: u8 = 31;

/// A day as ISO 8601 writes it, year-month-day.
fn day_of(text: &str) -> Option<Day> {
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let digits = |part: &str, count: usize| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
    if parts.next().is_some() || !digits(year, 4) || !digits(month, 2) || !digits(day, 2) {
        return None;
    }
    let (year, month, day) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    ((1..=12).contains(&month) && (1..=MOST_DAYS).contains(&day)).then_some((year, month, day))
}

/// Which of the rows at one collar counts, and why. Of those that say when, the latest; then of that one and
/// those that do not, the one that holds least, since a bolt that was found broken once is not whole because
/// another row says so. Of equals the first that was written.
fn that_counts(rows: &[Inspected]) -> (usize, &'static str) {
    let holds_less = |a: usize, b: usize| {
        let (a, b) = (&rows[a].bolt, &rows[b].bolt);
        let length = b.set.length_in_hole_m.total_cmp(&a.set.length_in_hole_m);
        a.condition.cmp(&b.condition).then(length).then(b.line.cmp(&a.line))
    };
    let all = 0..rows.len();
    let latest = all.clone().max_by(|&a, &b| rows[a].on.cmp(&rows[b].on).then(holds_less(a, b)));
    let latest_of_its = |&i: &usize| rows[i].on.is_none() || Some(i) == latest;
    let counts = all.filter(latest_of_its).max_by(|&a, &b| holds_less(a, b)).unwrap_or(0);
    let dated = rows.iter().filter(|r| r.on.is_some() && r.on != rows[counts].on).count();
    let same = |r: &Inspected| {
        let (here, there) = (&r.bolt, &rows[counts].bolt);
        here.condition == there.condition && here.set.length_in_hole_m == there.set.length_in_hole_m
    };
    let length_alone = |r: &Inspected| r.bolt.condition == rows[counts].bolt.condition;
    let why = match rows[counts].on {
        Some(_) if dated + 1 == rows.len() => "inspected latest",
        _ if rows.iter().all(same) => "found alike",
        _ if rows.iter().all(length_alone) => "it has the shorter bolt",
        _ => "found worse",
    };
    (counts, why)
}

/// Sorts by chainage, and leaves one of the rows that stand within a millimetre of each other.
fn one_of_each(mut found: Vec<Inspected>, rejected: &mut Vec<RejectedRow>, text: &str) -> Vec<FoundBolt> {
    let chainage_m = |i: &Inspected| i.bolt.set.chainage_m;
    found.sort_by(|a, b| chainage_m(a).total_cmp(&chainage_m(b)).then(a.bolt.line.cmp(&b.bolt.line)));
    let mut collars: Vec<Vec<Inspected>> = Vec::with_capacity(found.len());
    for here in found {
        let point = here.bolt.set.collar.point;
        let beside = (0..collars.len())
            .rev()
            .take_while(|&k| chainage_m(&here) - chainage_m(&collars[k][0]) <= SAME_BOLT_M)
            .find(|&k| (collars[k][0].bolt.set.collar.point - point).norm() <= SAME_BOLT_M);
        match beside {
            Some(k) => collars[k].push(here),
            None => collars.push(vec![here]),
        }
    }
    let mut kept = Vec::with_capacity(collars.len());
    for rows in collars {
        let (counts, why) = that_counts(&rows);
        let of = rows[counts].bolt.line;
        for (k, row) in rows.into_iter().enumerate() {
            let line = row.bolt.line;
            if k == counts {
                kept.push(row.bolt);
                continue;
            }
            rejected.push(RejectedRow {
                line,
                reason: format!("the collar of line {of} once more; that line counts: {why}"),
                row: text.lines().nth(line - 1).unwrap_or_default().to_owned(),
            });
        }
    }
    kept.sort_by(|a, b| a.set.chainage_m.total_cmp(&b.set.chainage_m).then(a.line.cmp(&b.line)));
    kept
}

/// Where each column stands, and how collars are given.
fn columns(sheet: &Sheet, problems: &mut Collector) -> Option<(Columns, By)> {
    let before = problems.count();
    let place = sheet.header_place();
    let columns = Columns::of(&sheet.header, place, &COLUMNS);
    columns.report_unknown("delete the column; notes go into a column note", problems);
    columns.report_twice("rename or delete one of the two", problems);
    let has = |names: &[&str]| columns.has(names);
    let ways = [
        (By::Arc, has(&["chainage_m", "arc_m"])),
        (By::Section, has(&["chainage_m", "u_m", "v_m"])),
        (By::World, has(&["east_m", "north_m", "up_m"])),
    ];
    let given: Vec<By> = ways.iter().filter(|w| w.1).map(|w| w.0).collect();
    if given.len() != 1 {
        let found = if given.is_empty() { "no place of a collar" } else { "several places of a collar" };
        let says = Says::new(
            found,
            "one of: chainage_m with arc_m; chainage_m with u_m and v_m; east_m, north_m and up_m",
            "keep the columns of one of them",
        );
        problems.add(ProblemKind::MissingKey, place, "as_built", says);
    }
    for name in ["length_m", "outside_hole_m", "bolt"] {
        if !has(&[name]) {
            let says = Says::new("nothing", format!("the column {name}"), format!("add {name}"));
            problems.add(ProblemKind::MissingKey, place, name, says);
        }
    }
    if has(&["trend_deg"]) != has(&["plunge_deg"]) {
        let says = Says::new(
            "one of trend_deg and plunge_deg without the other",
            "both, or neither where every bolt stands square to the surface",
            "add the other one",
        );
        problems.add(ProblemKind::MissingKey, place, "trend_deg, plunge_deg", says);
    }
    (problems.count() == before).then(|| (columns, given[0]))
}

struct Reader<'a> {
    opening: &'a Opening,
    bolts: &'a [Bolt],
    columns: Columns,
    by: By,
    kinds: Vec<Bolt>,
    /// Bolt and state of `kinds` beyond those of the case.
    variants: Vec<(usize, Condition)>,
}

impl Reader<'_> {
    fn bolt(&mut self, row: &Row<'_>) -> Result<Inspected, Vec<String>> {
        let mut reasons = Vec::new();
        let line = row.line;
        let row = Cells { row, columns: &self.columns };
        let collar = self.collar(&row, &mut reasons);
        let length_m = row.number("length_m", LENGTH_M, &mut reasons);
        let outside_m = row.number("outside_hole_m", (0.0, LENGTH_M.1), &mut reasons);
        let bolt = self.kind_of(&row, &mut reasons);
        let condition = condition_of(&row, &mut reasons);
        let on = inspected_on(&row, &mut reasons);
        let in_hole_m = length_m.zip(outside_m).map(|(l, o)| l - o);
        if let Some(in_hole_m) = in_hole_m.filter(|m| *m <= 0.0) {
            reasons.push(format!("{in_hole_m:.3} m of the bolt in its hole"));
        }
        if let (Some(bolt), Some(in_hole_m)) = (bolt, in_hole_m)
            && let Anchorage::PointAnchored { anchor_length_m, .. } = self.bolts[bolt].anchorage
            && in_hole_m < anchor_length_m
        {
            reasons
                .push(format!("{in_hole_m:.3} m in its hole, less than its anchor of {anchor_length_m} m"));
        }
        let kind = bolt.zip(condition).and_then(|(b, c)| self.variant(b, c, &mut reasons));
        match (collar, kind, bolt, condition, in_hole_m) {
            (Some((chainage_m, collar)), Some(kind), Some(bolt), Some(condition), Some(length_in_hole_m))
                if reasons.is_empty() =>
            {
                let set = SetBolt { kind, chainage_m, collar, length_in_hole_m };
                Ok(Inspected { bolt: FoundBolt { line, bolt, condition, set }, on })
            }
            _ => Err(reasons),
        }
    }

    fn variant(&mut self, bolt: usize, condition: Condition, reasons: &mut Vec<String>) -> Option<usize> {
        if condition == Condition::Good {
            return Some(bolt);
        }
        let known = self.variants.iter().position(|v| *v == (bolt, condition));
        if let Some(known) = known {
            return Some(self.bolts.len() + known);
        }
        let Some(found) = condition.of(&self.bolts[bolt]) else {
            reasons.push(format!(
                "state {}, which a bolt of kind {} cannot be in",
                quoted(condition.name()),
                self.bolts[bolt].kind.name()
            ));
            return None;
        };
        self.variants.push((bolt, condition));
        self.kinds.push(found);
        Some(self.kinds.len() - 1)
    }

    fn kind_of(&self, row: &Cells, reasons: &mut Vec<String>) -> Option<usize> {
        let name = row.text("bolt");
        let found = self.bolts.iter().position(|b| b.name == name);
        if found.is_none() {
            let names = one_of(self.bolts.iter().map(|b| b.name.as_str()));
            reasons.push(if name.is_empty() {
                format!("no bolt; the case has {names}")
            } else {
                format!("bolt {}, which the case does not have; it has {names}", quoted(name))
            });
        }
        found
    }

    /// Chainage and collar.
    fn collar(&self, row: &Cells, reasons: &mut Vec<String>) -> Option<(f64, Collar)> {
        let far = (-FARTHEST_M, FARTHEST_M);
        let section = &self.opening.section;
        let mut get = |name: &str| row.number(name, far, reasons);
        let (chainage_m, along_m, off_m) = match self.by {
            By::Arc => {
                let (s, arc_m) = (get("chainage_m"), get("arc_m"));
                let (s, arc_m) = (s?, arc_m?);
                let half_m = 0.5 * section.perimeter_m();
                if arc_m.abs() > half_m {
                    reasons.push(format!("arc_m {arc_m}, farther round than the middle of the floor"));
                    return None;
                }
                (s, section.crown_m() - arc_m, 0.0)
            }
            By::Section => {
                let (s, u, v) = (get("chainage_m"), get("u_m"), get("v_m"));
                let (along_m, off_m) = section.nearest_m(&Vec2::new(u?, v?));
                (s?, along_m, off_m)
            }
            By::World => {
                let (e, n, u) = (get("east_m"), get("north_m"), get("up_m"));
                let local = self.opening.frame.to_local(&Vec3::new(e?, n?, u?));
                let (along_m, off_m) = section.nearest_m(&Vec2::new(local.x, local.z));
                (local.y, along_m, off_m)
            }
        };
        if off_m > FARTHEST_COLLAR_M {
            reasons.push(format!("a collar {off_m:.2} m from the section, more than {FARTHEST_COLLAR_M} m"));
            return None;
        }
        let mut given = None;
        if row.has("trend_deg") {
            let trend = row.number("trend_deg", (0.0, 360.0), reasons);
            let plunge = row.number("plunge_deg", (-90.0, 90.0), reasons);
            let line = Line { trend_deg: trend?, plunge_deg: plunge? };
            given = Some(self.opening.frame.to_local(&line.to_vector()));
        }
        let collar = match collar_along(self.opening, along_m, |_, normal| given.unwrap_or(normal)) {
            Ok(collar) => collar,
            Err(how) => {
                reasons.push(how);
                return None;
            }
        };
        Some((chainage_m, collar))
    }
}

fn condition_of(row: &Cells, reasons: &mut Vec<String>) -> Option<Condition> {
    if !row.has("state") {
        return Some(Condition::Good);
    }
    let word = row.text("state").to_lowercase();
    let found = Condition::ALL.into_iter().find(|c| c.name() == word);
    if found.is_none() {
        let words = one_of(Condition::ALL.iter().map(|c| c.name()));
        reasons.push(if word.is_empty() {
            format!("no state; it is one of {words}")
        } else {
            format!("state {}; it is one of {words}", quoted(&word))
        });
    }
    found
}

/// The day of a row; a row may leave it out.
fn inspected_on(row: &Cells, reasons: &mut Vec<String>) -> Option<Day> {
    let text = row.text("inspected_on");
    let day = day_of(text);
    if day.is_none() && !text.is_empty() {
        reasons.push(format!("inspected_on {}; a day is year-month-day, such as 2026-03-14", quoted(text)));
    }
    day
}

/// One row.
struct Cells<'r> {
    row: &'r Row<'r>,
    columns: &'r Columns,
}

impl Cells<'_> {
    fn has(&self, name: &str) -> bool {
        self.columns.has(&[name])
    }

    fn text(&self, name: &str) -> &str {
        self.columns.text(self.row, name)
    }

    fn number(&self, name: &str, (least, most): (f64, f64), reasons: &mut Vec<String>) -> Option<f64> {
        let text = self.text(name);
        match parse_number(text) {
            Some(number) if (least..=most).contains(&number) => Some(number),
            Some(number) => {
                reasons.push(format!("{name} {number}, not from {least} to {most}"));
                None
            }
            None if text.is_empty() => {
                reasons.push(format!("no {name}"));
                None
            }
            None => {
                reasons.push(format!("{name} {}, which is not a number", quoted(text)));
                None
            }
        }
    }
}
