use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::{HandSet, NetPolygon, SetBorder};
use crate::input::{Collector, Place, ProblemKind, Problems, Says, cited, nearest, quoted};
use crate::orientation::{Line, Plane};

/// A case takes no more sets.
const MOST_SETS: usize = 20;
/// Nobody draws more corners by hand.
const MOST_CORNERS: usize = 200;
/// Letters of a name that a case takes.
const LONGEST_NAME: usize = 24;
/// The keys of a `[[set]]` table.
const KEYS: [&str; 5] = ["name", "dip_deg", "dip_direction_deg", "within_deg", "poles_deg"];
/// How a border is given, in words.
const BORDER: &str = "dip_deg, dip_direction_deg and within_deg, or poles_deg";

/// Reads sets by hand from TOML: a `[[set]]` table each, with a `name` and either `dip_deg`, `dip_direction_deg` and
/// `within_deg` (a mean plane, and how far poles may be off its own), or `poles_deg`, the poles at the corners of a
/// border as `[trend, plunge]` in the order in which it goes round.
///
/// # Units
/// Degrees, to the case's north.
///
/// # Errors
/// All problems at once, each with its line and key.
pub fn read_hand_sets(file_name: &str, text: &str) -> Result<Vec<HandSet>, Problems> {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut reader = Reader { text, problems: Collector::of_file(file_name) };
    let mut last = 0;
    for error in &errors {
        let place = error.span().map_or(Place::line(1), |span| reader.place(span));
        // The rest of a line follows from the first that is wrong with it.
        if place.line != last {
            last = place.line;
            let typed = text.lines().nth(place.line - 1).unwrap_or_default().trim();
            let says = Says::new(
                quoted(typed),
                format!("TOML ({})", error.message()),
                "correct the line; words stand between quotation marks, decimals after a point",
            );
            reader.problems.add(ProblemKind::Syntax, place, "", says);
        }
    }
    let sets = if errors.is_empty() { reader.sets(table.get_ref()) } else { Vec::new() };
    reader.problems.finish(sets)
}

struct Reader<'t> {
    text: &'t str,
    problems: Collector,
}

impl Reader<'_> {
    fn place(&self, span: Range<usize>) -> Place {
        let before = self.text.get(..span.start.min(self.text.trim_end().len())).unwrap_or_default();
        Place::line(before.matches('\n').count() + 1)
    }

    fn wrong(&mut self, place: Place, key: &str, found: &str, allowed: &str, advice: &str) {
        self.problems.add(ProblemKind::Value, place, key, Says::new(found, allowed, advice));
    }

    fn unknown(&mut self, place: Place, key: String, found: &str, known: &[&str]) {
        let advice = nearest(found, known.iter().copied())
            .map_or_else(|| "take it out".to_owned(), |near| format!("did you mean {near}?"));
        let says = Says::new(format!("the unknown key {}", quoted(found)), known.join(", "), advice);
        self.problems.add(ProblemKind::UnknownKey, place, &key, says);
    }

    fn sets(&mut self, root: &DeTable<'_>) -> Vec<HandSet> {
        for (key, _) in root.iter().filter(|(key, _)| key.get_ref() != "set") {
            let name: &str = key.get_ref();
            self.unknown(self.place(key.span()), cited(name), name, &["set"]);
        }
        let Some((key, value)) = root.iter().find(|(key, _)| key.get_ref() == "set") else {
            let says =
                Says::new("no set", "[[set]] tables, one a set", format!("give each a name, and {BORDER}"));
            self.problems.add(ProblemKind::MissingKey, Place::whole(), "set", says);
            return Vec::new();
        };
        let place = self.place(key.span());
        let DeValue::Array(list) = value.get_ref() else {
            self.wrong(
                place,
                "set",
                "something else than a list of tables",
                "[[set]] tables",
                "write [[set]]",
            );
            return Vec::new();
        };
        if list.is_empty() || list.len() > MOST_SETS {
            let allowed = format!("1 to {MOST_SETS}");
            self.wrong(place, "set", &format!("{} sets", list.len()), &allowed, "draw fewer borders, or one");
        }
        let mut sets: Vec<HandSet> = Vec::new();
        let mut names: Vec<String> = Vec::new();
        for (at, item) in list.iter().enumerate().take(MOST_SETS) {
            let (path, place) = (format!("set[{}]", at + 1), self.place(item.span()));
            let DeValue::Table(table) = item.get_ref() else {
                self.wrong(place, &path, "something else than a table", "[[set]] tables", "write [[set]]");
                continue;
            };
            let name = self.name(table, &path, place, &names);
            names.extend(name.clone());
            let border = self.border(table, &path, place);
            sets.extend(name.zip(border).map(|(name, border)| HandSet { name, border }));
        }
        sets
    }

    fn name(&mut self, table: &DeTable<'_>, path: &str, place: Place, taken: &[String]) -> Option<String> {
        let key = format!("{path}.name");
        let allowed = format!("1 to {LONGEST_NAME} letters (a to z), digits and _");
        let Some((at, value)) = entry(table, "name") else {
            let says = Says::new("no name", allowed, "give the set a name, such as name = \"A\"");
            self.problems.add(ProblemKind::MissingKey, place, &key, says);
            return None;
        };
        let place = self.place(at);
        let DeValue::String(text) = value else {
            self.wrong(place, &key, &shown(value), &allowed, "put it between quotation marks");
            return None;
        };
        let fits = (1..=LONGEST_NAME).contains(&text.len())
            && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
        if !fits {
            self.wrong(place, &key, &quoted(text), &allowed, "shorten it, or write _ for other signs");
            return None;
        }
        if taken.iter().any(|name| name == text.as_ref()) {
            let says = Says::new(format!("{} a second time", quoted(text)), "each name once", "rename one");
            self.problems.add(ProblemKind::Conflict, place, &key, says);
            return None;
        }
        Some(text.to_string())
    }

    fn border(&mut self, table: &DeTable<'_>, path: &str, place: Place) -> Option<SetBorder> {
        let mut meant = Vec::new();
        for (key, _) in table.iter() {
            let name: &str = key.get_ref();
            if !KEYS.contains(&name) {
                meant.extend(nearest(name, KEYS.iter().copied()));
                self.unknown(self.place(key.span()), format!("{path}.{}", cited(name)), name, &KEYS);
            }
        }
        let round = ["dip_deg", "dip_direction_deg", "within_deg"];
        let given: Vec<&str> = round.into_iter().filter(|key| entry(table, key).is_some()).collect();
        match (given.is_empty(), entry(table, "poles_deg")) {
            (false, Some((at, _))) => {
                let says =
                    Says::new(format!("{} beside poles_deg", given.join(", ")), BORDER, "take one of both");
                self.problems.add(ProblemKind::Conflict, self.place(at), &format!("{path}.poles_deg"), says);
                None
            }
            (true, None) => {
                // A slip of a key has been told of.
                if !meant.iter().any(|key| *key != "name") {
                    let says = Says::new("no border", BORDER, "say what the set takes in");
                    self.problems.add(ProblemKind::MissingKey, place, path, says);
                }
                None
            }
            (true, Some((at, value))) => self.polygon(value, &format!("{path}.poles_deg"), self.place(at)),
            (false, None) => {
                for key in round.iter().filter(|key| !given.contains(key) && !meant.contains(key)) {
                    let says = Says::new("nothing", BORDER, "add it");
                    self.problems.add(ProblemKind::MissingKey, place, &format!("{path}.{key}"), says);
                }
                let [dip, direction, within] = [
                    self.angle(table, path, "dip_deg", [0.0, 90.0]),
                    self.angle(table, path, "dip_direction_deg", [0.0, 360.0]),
                    self.angle(table, path, "within_deg", [0.0, 90.0]),
                ];
                if within == Some(0.0) {
                    let (place, key) =
                        (self.place(entry(table, "within_deg")?.0), format!("{path}.within_deg"));
                    self.wrong(place, &key, "0", "above 0 to 90, degrees", "a border takes an angle");
                    return None;
                }
                let mean = Plane { dip_deg: dip?, dip_direction_deg: direction? };
                Some(SetBorder::Round { mean, within_deg: within? })
            }
        }
    }

    fn angle(&mut self, table: &DeTable<'_>, path: &str, key: &str, range: [f64; 2]) -> Option<f64> {
        let (at, value) = entry(table, key)?;
        self.number(value, &format!("{path}.{key}"), self.place(at), range)
    }

    fn number(&mut self, value: &DeValue<'_>, key: &str, place: Place, [low, high]: [f64; 2]) -> Option<f64> {
        let found = number_of(value);
        if let Some(number) = found.filter(|number| (low..=high).contains(number)) {
            return Some(number);
        }
        let advice = match value {
            DeValue::String(_) => "numbers stand without quotation marks, their unit is in the key",
            _ if found.is_some() => "check the number",
            _ => "type a number",
        };
        self.wrong(place, key, &shown(value), &format!("{low} to {high}, degrees"), advice);
        None
    }

    fn polygon(&mut self, value: &DeValue<'_>, key: &str, place: Place) -> Option<SetBorder> {
        const CORNERS: &str = "a list of poles, each [trend, plunge]";
        let DeValue::Array(list) = value else {
            self.wrong(place, key, &shown(value), CORNERS, "such as [[200, 10], [230, 10], [215, 40]]");
            return None;
        };
        if list.len() > MOST_CORNERS {
            let found = format!("{} corners", list.len());
            self.wrong(place, key, &found, &format!("up to {MOST_CORNERS}"), "draw it with fewer");
            return None;
        }
        let mut corners = Vec::new();
        for (at, item) in list.iter().enumerate() {
            let (path, place) = (format!("{key}[{}]", at + 1), self.place(item.span()));
            let parts = match item.get_ref() {
                DeValue::Array(parts) if parts.len() == 2 => parts,
                other => {
                    self.wrong(place, &path, &shown(other), "[trend, plunge], degrees", "write both numbers");
                    continue;
                }
            };
            let trend = self.number(parts[0].get_ref(), &format!("{path}[1]"), place, [0.0, 360.0]);
            let plunge = self.number(parts[1].get_ref(), &format!("{path}[2]"), place, [0.0, 90.0]);
            corners.extend(trend.zip(plunge).map(|(trend_deg, plunge_deg)| Line { trend_deg, plunge_deg }));
        }
        // What is wrong with a corner says more than what the others make.
        if corners.len() < list.len() {
            return None;
        }
        match NetPolygon::new(&corners) {
            Ok(polygon) => Some(SetBorder::Polygon(polygon)),
            Err(fault) => {
                self.wrong(place, key, &fault.to_string(), &fault.allowed(), fault.advice());
                None
            }
        }
    }
}

/// A key's place in the text and its value.
fn entry<'v, 't>(table: &'v DeTable<'t>, name: &str) -> Option<(Range<usize>, &'v DeValue<'t>)> {
    let (key, value) = table.iter().find(|(key, _)| key.get_ref() == name)?;
    Some((key.span(), value.get_ref()))
}

fn number_of(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(whole) if whole.radix() == 10 => whole.as_str().parse().ok(),
        DeValue::Float(float) => float.as_str().parse().ok(),
        _ => None,
    }
}

/// A value as messages call it.
fn shown(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => quoted(text),
        DeValue::Integer(whole) => cited(whole.as_str()),
        DeValue::Float(float) => cited(float.as_str()),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(date) => date.to_string(),
        DeValue::Array(list) if list.len() == 1 => "a list of 1".to_owned(),
        DeValue::Array(list) => format!("a list of {}", list.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}
