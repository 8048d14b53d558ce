//! A set's own readings, which its orientation is drawn from: a table that a mapping wrote.

use super::file::OrientationTable;
use super::scatter::Resampled;
use crate::input::document::Node;
use crate::input::{
    Collector, Columns, Known, Place, ProblemKind, Row, Says, Separator, Sheet, cited, nearest, one_of,
    parse_number, quoted,
};
use crate::orientation::{FisherStatistics, Plane};

/// More of one set than this is another table.
const MOST_READINGS: usize = 100_000;

/// The mean of the readings may be so far off the plane that is typed: that is judged by every other command, so
/// both have to mean one set. Whole degrees of dip and dip direction are at most 0.7° off.
const MEAN_APART_DEG: f64 = 2.0;

/// What map writes into readings.csv before the columns of the survey, so that of two of one name the first is meant.
const COLUMNS: [Known; 4] =
    [Known::named("set"), Known::named("dip_deg"), Known::named("dip_direction_deg"), Known::named("weight")];

/// What of a set asks for its readings.
pub(super) struct OfSet<'a> {
    /// Which joint.
    pub joint: usize,
    /// The table as typed.
    pub typed: OrientationTable,
    /// Where it stands.
    pub at: &'a Node,
    /// The set's name in the case.
    pub name: &'a str,
    /// Its plane in the case.
    pub plane: Plane,
}

impl OfSet<'_> {
    /// Name of the set in the table.
    fn set(&self) -> &str {
        self.typed.set.as_deref().unwrap_or(self.name)
    }

    /// Where a key of it stands.
    fn place(&self, key: &str) -> (Place, String) {
        let node = self.at.table().and_then(|t| t.get(key)).unwrap_or(self.at);
        (node.place, node.path.clone())
    }

    /// Its readings, each as likely as its weight, from the text of the table. What is wrong with a row of the set
    /// is reported; `None` where no readings can be drawn from.
    pub fn read(&self, text: &str, file: usize, problems: &mut Collector) -> Option<Resampled> {
        let before = problems.count();
        let Some(mut sheet) = Sheet::of(text, Separator::Comma, file) else {
            let says = Says::new(
                "an empty file",
                "the readings.csv of a mapping",
                "name the readings.csv that `backhold map` wrote",
            );
            problems.add(ProblemKind::File, Place { file, line: 0 }, "readings", says);
            return None;
        };
        let columns = Columns::of(&sheet.header, sheet.header_place(), &COLUMNS);
        let lacking = columns.lacking(&["set", "dip_deg", "dip_direction_deg"]);
        if !lacking.is_empty() {
            let says = Says::new(
                cited(sheet.header.raw),
                "the columns set, dip_deg and dip_direction_deg, and weight where readings have one, named in the first line",
                format!(
                    "name the readings.csv that `backhold map` wrote, or the column {} in the first line",
                    lacking.join(" and ")
                ),
            );
            problems.add(ProblemKind::MissingKey, sheet.header_place(), &lacking.join(", "), says);
            return None;
        }
        let most = (MOST_READINGS, "readings of the set", "give a part of them that was taken by chance");
        let mut others: Vec<String> = Vec::new();
        let readings = sheet.take_rows("readings", most, problems, |row, place, problems| {
            let set = columns.text(row, "set");
            if set == self.set() {
                return reading(&columns, row, place, problems);
            }
            if !set.is_empty() && !others.iter().any(|other| other == set) {
                others.push(set.to_owned());
            }
            None
        })?;
        if problems.count() > before {
            return None;
        }
        if readings.is_empty() {
            self.report_none(&others, problems);
            return None;
        }
        let found = Resampled::new(self.joint, &self.typed.readings, self.set(), &readings);
        if found.is_none() {
            let (place, path) = self.place("readings");
            let says = Says::new(
                format!("readings of {} of which none has a weight", quoted(self.set())),
                "a weight above 0 for one of them at least",
                "correct the weights in the table",
            );
            problems.add(ProblemKind::Conflict, place, &path, says);
        }
        self.check_mean(&readings, problems).then_some(found).flatten()
    }

    fn report_none(&self, others: &[String], problems: &mut Collector) {
        let (place, path) = self.place(if self.typed.set.is_some() { "set" } else { "readings" });
        let allowed = match others {
            [] => "a table with the set of each reading".to_owned(),
            others => one_of(others.iter().map(String::as_str)),
        };
        let advice = match nearest(self.set(), others.iter().map(String::as_str)) {
            Some(near) => format!("did you mean set = {}?", quoted(near)),
            None => "give set = the name that the table has for it".to_owned(),
        };
        let found = format!("{}, of which {} has no reading", quoted(self.set()), self.typed.readings);
        problems.add(ProblemKind::Conflict, place, &path, Says::new(found, allowed, advice));
    }

    /// Whether the mean of the readings is the plane that the case gives; it is reported where it is not.
    fn check_mean(&self, readings: &[(Plane, f64)], problems: &mut Collector) -> bool {
        let axes = readings.iter().map(|(plane, weight)| (plane.upward_normal().into_inner(), *weight));
        #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
        let count = readings.len() as f64;
        let of_axes = FisherStatistics::of_axes(axes, &self.plane.upward_normal(), count);
        let Some(mean) = of_axes.map(|f| Plane::from_normal(&f.mean)) else { return false };
        let apart_deg = mean.angle_to_deg(self.plane);
        if apart_deg <= MEAN_APART_DEG {
            return true;
        }
        let (place, path) = self.place("readings");
        let says = Says::new(
            format!(
                "readings of {} whose mean, dip {:.1}, dip direction {:.1}, is {apart_deg:.1}° from the plane of the set",
                quoted(self.set()),
                mean.dip_deg,
                mean.dip_direction_deg
            ),
            format!("a mean at most {MEAN_APART_DEG}° from dip_deg and dip_direction_deg of the set"),
            "give the set the mean of its readings, or name the set and the north that were meant",
        );
        problems.add(ProblemKind::Conflict, place, &path, says);
        false
    }
}

fn reading(columns: &Columns, row: &Row<'_>, place: Place, problems: &mut Collector) -> Option<(Plane, f64)> {
    let before = problems.count();
    let mut number = |key: &str, most: f64, otherwise: Option<f64>| {
        let text = columns.text(row, key);
        if text.is_empty() && otherwise.is_some() {
            return otherwise;
        }
        let found = parse_number(text).filter(|v| (0.0..=most).contains(v));
        if found.is_none() {
            let found = if text.is_empty() { "nothing".to_owned() } else { cited(text) };
            let says = Says::new(found, format!("a number from 0 to {most}"), "correct the number");
            problems.add(ProblemKind::Value, place, key, says);
        }
        found
    };
    let dip_deg = number("dip_deg", 90.0, None);
    let dip_direction_deg = number("dip_direction_deg", 360.0, None);
    let weight = number("weight", GREATEST_WEIGHT, Some(1.0));
    if problems.count() > before {
        return None;
    }
    Some((Plane { dip_deg: dip_deg?, dip_direction_deg: dip_direction_deg? }, weight?))
}

/// No reading stands for more of them.
const GREATEST_WEIGHT: f64 = 1e6;
